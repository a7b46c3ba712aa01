"""Estimates: what the arrows and the sheet together say of each unknown.

Holds:  the Estimate record; unknowns in the quantities that people know, before and after.
Never:  units of people (faces), marks (bands.py).
Source: docs/physics.md §8.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from tapewright.confidence.posterior import Posterior
from tapewright.flight.drag import drag_per_metre

Floats = NDArray[np.float64]

MOST_LEFT = 0.95  # share of the sheet's variance; above, the arrows said too little to disagree


@dataclass(frozen=True, slots=True)
class Estimate:
    """One unknown, in SI.

    Parameters
    ----------
    name : str
        What it is, by the glossary.
    kind : str
        Quantity it is measured in: speed, length, angle, or number.
    median, low, high : float
        Middle and ends of the band. [SI unit of the kind]
    sheet : float
        The sheet's own value, or the usual one. [the same]
    sheet_low, sheet_high : float
        Its band before the first arrow. [the same]
    learnt : float
        Share of the doubt that the arrows removed, 0 to 1. [-]
    alone, alone_sd : float
        What the arrows say without the sheet, and its one standard deviation; None when they
        say nothing. [the same]
    conflict : float
        How far the arrows pulled it from the sheet, in the standard deviations they could. [-]
    """

    name: str
    kind: str
    median: float
    low: float
    high: float
    sheet: float
    sheet_low: float
    sheet_high: float
    learnt: float
    alone: float | None
    alone_sd: float | None
    conflict: float


def _forms(posterior: Posterior) -> list[tuple[str, str, str, float, bool]]:
    """Unknown, its name and kind for people, factor, and whether it is kept as a logarithm."""
    rig, unknowns = posterior.calibration.rig, posterior.calibration.evidence.prior.unknowns
    arrow = rig.arrow
    per_coefficient = float(
        drag_per_metre(rig.air.density_kg_m3, 1.0, arrow.shaft_diameter_m, arrow.mass_kg.value)
    )
    pins = [
        (f"pin_{pin + 2}_below", f"pin_{pin + 2}_below_first", "length", 1.0, False)
        for pin in range(unknowns.pins)
    ]
    return [
        ("log_speed", "launch_speed", "speed", 1.0, True),
        ("log_drag", "drag_coefficient", "number", 1.0 / per_coefficient, True),
        ("peep_height", "peep_height", "length", 1.0, False),
        ("log_gain", "reading_per_travel", "number", 1.0 / unknowns.sight_radius_m, True),
        ("launch_ahead", "launch_point", "length", 1.0, False),
        *pins,
        ("windage", "windage_offset", "angle", 1.0, False),
        ("side", "sideways_offset", "length", 1.0, False),
        ("log_dispersion_up", "dispersion_up", "angle", 1.0, True),
        ("log_dispersion_right", "dispersion_right", "angle", 1.0, True),
        ("log_wobble", "wobble", "angle", 1.0, True),
    ]


def estimates(posterior: Posterior, probability: float = 0.9) -> tuple[Estimate, ...]:
    """Every unknown with its band, beside what the sheet said.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    probability : float, default 0.9
        Chance with which a band holds the truth. [-]

    Returns
    -------
    tuple of Estimate
        In the order of the glossary.

    Source
    ------
    docs/physics.md eq. (8.8): conflict is (after − before) / √(variance before − after).
    """
    prior = posterior.calibration.evidence.prior
    tail = 0.5 * (1.0 - probability)
    found = []
    for unknown, name, kind, factor, is_log in _forms(posterior):
        place = prior.unknowns.place(unknown)
        draws = posterior.vectors[:, place]
        mean, sd = float(prior.mean[place]), float(prior.sd[place])
        found.append(_estimate((name, kind), draws, (mean, sd), tail, (factor, is_log)))
    gain_m = np.exp(posterior.vectors[:, prior.unknowns.place("log_gain")])
    zero = prior.unknowns.place("zero_tangent")
    zero_m = prior.unknowns.direction * gain_m * posterior.vectors[:, zero]
    wide_m = float(prior.sd[zero] * np.median(gain_m))
    found.insert(
        3, _estimate(("zero_reading", "length"), zero_m, (0.0, wide_m), tail, (1.0, False))
    )
    return tuple(found)


def _estimate(
    called: tuple[str, str],
    draws: Floats,
    sheet: tuple[float, float],
    tail: float,
    form: tuple[float, bool],
) -> Estimate:
    mean, sd = sheet
    factor, is_log = form
    left = min(float(draws.var() / sd**2), 1.0)
    conflict = 0.0
    if left < MOST_LEFT:
        conflict = float((draws.mean() - mean) / (sd * np.sqrt(1.0 - left)))
    reach = sd * float(ndtri(1.0 - tail))
    ends = np.quantile(draws, [0.5, tail, 1.0 - tail])
    raw = np.array([*ends, mean, mean - reach, mean + reach])
    shown = factor * (np.exp(raw) if is_log else raw)
    middle, low, high, sheet_middle, sheet_low, sheet_high = (float(one) for one in shown)
    alone, alone_sd = _alone(draws, sheet, form)
    return Estimate(
        *called,
        *(middle, low, high, sheet_middle, sheet_low, sheet_high),
        1.0 - left,
        alone,
        alone_sd,
        conflict,
    )


def _alone(
    draws: Floats, sheet: tuple[float, float], form: tuple[float, bool]
) -> tuple[float | None, float | None]:
    """The arrows' own word: what is left of the answer when the sheet's is taken out."""
    mean, sd = sheet
    factor, is_log = form
    left = float(draws.var())
    if left >= MOST_LEFT * sd**2:  # what they say is divided by next to nothing
        return None, None
    told = 1.0 / left - 1.0 / sd**2
    alone, alone_sd = (float(draws.mean()) / left - mean / sd**2) / told, told**-0.5
    if is_log:
        alone, alone_sd = float(np.exp(alone)), float(np.exp(alone)) * alone_sd
    return factor * alone, factor * alone_sd
