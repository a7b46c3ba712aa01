"""Bolting: from where to where a sight reaches in each hole, on each extension, in each housing.

Holds:  the Seen, Mounting and MountingReach records; ends of the range with their bands, and the
        chance that a wanted range lies inside.
Never:  which mounting is best (services/choose_mounting.py), geometry (sight/mounting.py),
        sentences.
Source: docs/physics.md eq. (8.20), (8.60).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapewright.calibration.kinds import stated_or_usual, usual_of
from tapewright.calibration.prior import prior_from_rig
from tapewright.confidence.bands import drawn_tangents
from tapewright.confidence.limits import (
    Reach,
    blades_over_vanes,
    housing_of,
    looked_at,
    stretch,
)
from tapewright.confidence.posterior import Posterior
from tapewright.sight.mounting import mounted, pointing_tangent, with_zero_at
from tapewright.sight.scale import Scale

Floats = NDArray[np.float64]
Ends = tuple[float, float, float]

# Common practice, no source
BAR_SD_RAD = 9e-3  # half a degree: how far an extension's bar leans against the arrow
HOLE_SD_M = 0.3e-3  # heights of holes, reaches of notches and housings as measured


@dataclass(frozen=True, slots=True)
class Seen:
    """One look along the arrow at full draw: the pin stands on the spot at which it points.

    Parameters
    ----------
    reading_m : float
        What the pointer showed. [m]
    at_m : float
        Eye to that spot. [m]
    sd_rad : float
        How well anybody sees where an arrow points. [rad]
    """

    reading_m: float
    at_m: float
    sd_rad: float


@dataclass(frozen=True, slots=True)
class Mounting:
    """Where a sight may be bolted, in which housing.

    Parameters
    ----------
    hole, extension, housing : int
        Which of those there are, from 1. [-]
    up_m, ahead_m : float
        Above and before where it is bolted now. [m]
    below_pin_m : float or None
        First pin to the lower edge of the housing; None: that of the sheet. [m]
    """

    hole: int = 1
    extension: int = 1
    housing: int = 1
    up_m: float = 0.0
    ahead_m: float = 0.0
    below_pin_m: float | None = None


@dataclass(frozen=True, slots=True)
class MountingReach:
    """From where to where a sight reaches with one mounting.

    Parameters
    ----------
    mounting : Mounting
        Which.
    pins : tuple of Reach
        One for each pin, the first first.
    nearest_m, farthest_m : (float, float, float)
        Of all pins together: median, low and high end of the band; 0 for none. [m]
    chance : float
        That the whole wanted range lies inside. [-]
    looked_to_m : float
        How far was looked: a farthest distance that says this much means it, or more. [m]
    """

    mounting: Mounting
    pins: tuple[Reach, ...]
    nearest_m: Ends
    farthest_m: Ends
    chance: float
    looked_to_m: float


def scale_of(posterior: Posterior, seen: Seen | None, rng: np.random.Generator) -> Scale:
    """The scale of every draw, with its own sight radius, and its zero from a look if one is told.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    seen : Seen or None
        None: arrows have told the zero.
    rng : numpy random Generator
        Chance, handed in.

    Returns
    -------
    Scale
        Fields of shape (d, 1).

    Source
    ------
    docs/physics.md eq. (8.60).
    """
    bows, rig = posterior.bows(), posterior.calibration.rig
    scale, count = bows.scale, len(posterior.vectors)
    prior = prior_from_rig(rig, np.zeros(0))
    place = prior.unknowns.place("log_gain")
    radius = stated_or_usual(rig.sight.sight_radius_m, usual_of(rig.bow).sight_radius_m)
    log_sd = (radius.sd or 0.0) / radius.value
    share = min((log_sd / prior.sd[place]) ** 2, 1.0)
    gain_off = np.log(np.abs(scale.reading_per_tangent_m)) - prior.mean[place]
    own = rng.standard_normal((count, 1)) * log_sd * np.sqrt(1.0 - share)
    told = Scale(
        scale.zero_reading_m,
        scale.reading_per_tangent_m,
        np.asarray(radius.value * np.exp(share * gain_off + own)),
        scale.arm_length_m,
        scale.arm_level_reading_m,
    )
    if seen is None:
        return told
    off = seen.sd_rad * rng.standard_normal((count, 1))
    tangent = pointing_tangent(bows.peep_height_m, seen.at_m, off)
    return with_zero_at(told, seen.reading_m, tangent)


def _lowest(posterior: Posterior, scale: Scale, below_pin_m: float | None) -> Floats:
    """How far down the first pin may stand before its housing meets an arrow, (d, 1)."""
    rig, housing = posterior.calibration.rig, housing_of(posterior.calibration.rig)
    sheet_m = rig.sight.housing_below_pin_m
    other_m = 0.0 if below_pin_m is None or sheet_m is None else below_pin_m - sheet_m
    measured_m = rig.sight.clearance_reading_m
    if measured_m is not None and (below_pin_m is None or sheet_m is not None):
        return scale.drop(measured_m) - blades_over_vanes(rig.arrow) - other_m
    if housing is None:
        return np.array([[np.inf]])
    taken_m = housing.below_pin_m + other_m + housing.arrow_height_m + housing.margin_m
    return np.asarray(posterior.bows().peep_height_m - taken_m, dtype=np.float64)


def _ends(drawn: Floats, tail: float) -> Ends:
    middle, low, high = np.quantile(drawn, [0.5, tail, 1.0 - tail]).tolist()
    return middle, low, high


def mounting_reaches(
    posterior: Posterior,
    mountings: Sequence[Mounting],
    wanted_m: tuple[float, float],
    travel_m: tuple[float, float],
    seen: Seen | None,
    rng: np.random.Generator,
    probability: float = 0.9,
) -> tuple[MountingReach, ...]:
    """From where to where a sight reaches with each mounting.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    mountings : sequence of Mounting
        Those there are.
    wanted_m : (float, float)
        Nearest and farthest distance wanted. [m]
    travel_m : (float, float)
        Readings at the two ends of the travel, the smaller first. [m]
    seen : Seen or None
        What ties scale and arrow; None: arrows have.
    rng : numpy random Generator
        Chance, handed in.
    probability : float, default 0.9
        Chance with which a band holds the truth. [-]

    Returns
    -------
    tuple of MountingReach
        As many as there are mountings.

    Source
    ------
    docs/physics.md eq. (5.21), (5.22), (8.20), (8.60).
    """
    unknowns, count = posterior.calibration.evidence.prior.unknowns, len(posterior.vectors)
    direction = unknowns.direction
    near, far = travel_m[::direction]
    distance = looked_at(posterior)
    tangents = drawn_tangents(posterior, distance)
    scale = scale_of(posterior, seen, rng)
    lean, slips = rng.standard_normal((2, count, 1)) * np.array([[[BAR_SD_RAD]], [[HOLE_SD_M]]])
    tail, found = 0.5 * (1.0 - probability), []
    for one in mountings:
        slip = slips if one.up_m else 0.0
        bolted = mounted(scale, one.up_m + slip + one.ahead_m * np.tan(lean), one.ahead_m)
        lowest = bolted.reading_at_drop(_lowest(posterior, scale, one.below_pin_m))
        last = direction * np.minimum(direction * far, direction * lowest)
        pins, drawn = [], []
        for pin in range(1, unknowns.pins + 2):
            below = unknowns.pin_below(posterior.vectors, np.array([pin]))
            stops = (bolted.tangent(near, below)[:, 0], bolted.tangent(last, below)[:, 0])
            drawn.append(stretch(distance, tangents, stops))
            nearest, farthest = (_ends(each, tail) for each in drawn[-1])
            pins.append(Reach(pin, nearest, farthest, float(distance[-1])))
        near_m, far_m = np.array(drawn).swapaxes(0, 1)  # (p, d) each
        near_m = np.where(far_m > 0.0, near_m, np.inf)
        far_m = far_m.max(axis=0)
        near_m = np.where(far_m > 0.0, near_m.min(axis=0), 0.0)
        holds = (far_m >= wanted_m[1]) & (near_m <= wanted_m[0])
        every = MountingReach(
            one,
            tuple(pins),
            _ends(near_m, tail),
            _ends(far_m, tail),
            float(holds.mean()),
            float(distance[-1]),
        )
        found.append(every)
    return tuple(found)
