"""Checks: does the fit hold together, and what speaks against it.

Holds:  GroupCheck and Caution records; which group is odd, which sheet number the arrows
        contradict, which unknown nobody determined.
Never:  sentences (words/cautions.py), changes to the fit.
Source: docs/physics.md §8; docs/sources.md [COOK].
"""

from dataclasses import dataclass
from math import erfc, exp, log10, nan, sqrt

import numpy as np
from numpy.typing import NDArray

from tapewright.calibration.fit import Calibration
from tapewright.calibration.hills import left_out
from tapewright.calibration.misfit import predicted_angles, robust_centres
from tapewright.calibration.observation import Observation
from tapewright.confidence.estimates import Estimate
from tapewright.confidence.posterior import Posterior
from tapewright.confidence.sideways import beside

Floats = NDArray[np.float64]

ODD_CHANCE = 0.05  # that any group of a sound session is called odd
CONFLICT = 2.6  # standard deviations: one sound sheet number in a hundred is called into question
LITTLE_LEARNT = 0.3  # below it an unknown that the sheet leaves open counts as not determined
LEAST_DRAG, MOST_DRAG = 0.0008, 0.004  # per metre; usual masses and published coefficients
FEW_ARROWS = 6


@dataclass(frozen=True, slots=True)
class GroupCheck:
    """One group against the fit.

    Parameters
    ----------
    name : str
        The group.
    distance_m, reading_m : float
        As shot. [m]
    arrows : int
        How many. [-]
    miss_right_m, miss_up_m : float
        Robust centre minus prediction, right and up positive; nan if not measured. [m]
    surprise : float
        One sound group in 10 to this power lies as far off; 0 is no surprise at all. [-]
    is_odd : bool
        Whether it is farther off than chance explains.
    """

    name: str
    distance_m: float
    reading_m: float
    arrows: int
    miss_right_m: float
    miss_up_m: float
    surprise: float
    is_odd: bool

    @classmethod
    def judged(
        cls, shot: Observation, right_m: float, up_m: float, chance: float, tested: int
    ) -> "GroupCheck":
        """A group that lies as far off as it does with a chance.

        Parameters
        ----------
        shot : Observation
            The group.
        right_m, up_m : float
            From where it was expected, right and up positive; nan if not measured. [m]
        chance : float
            That a sound group lies as far off. [-]
        tested : int
            How many groups were looked at. [-]

        Returns
        -------
        GroupCheck
            Odd when chance would call one of a sound session's groups so too seldom.

        Source
        ------
        docs/physics.md eq. (8.9).
        """
        surprise, is_odd = -log10(max(chance, 1e-99)) + 0.0, chance < ODD_CHANCE / tested
        name, arrows = shot.group.name, shot.group.arrows
        return cls(name, shot.distance_m, shot.reading_m, arrows, right_m, up_m, surprise, is_odd)


@dataclass(frozen=True, slots=True)
class Caution:
    """Something the archer must know, as a kind and the numbers behind it.

    Parameters
    ----------
    kind : str
        ``"statements differ"``, ``"no arrows"``, ``"carried"``, ``"few arrows"``, ``"odd group"``,
        ``"sheet contradicted"``, ``"change contradicted"``, ``"not determined"``,
        ``"unusual drag"``, ``"second sampler"``, ``"past the butt"``, ``"other air"``,
        ``"shot elsewhere"``, ``"same arrows"`` or ``"slip"``.
    subject : str
        The group or unknown it is about; empty for the whole.
    numbers : tuple of float
        What the sentence needs, in SI.
    """

    kind: str
    subject: str = ""
    numbers: tuple[float, ...] = ()


def group_checks(calibration: Calibration) -> tuple[GroupCheck, ...]:
    """Every group against the fit, judged as if the fit had not seen it.

    Parameters
    ----------
    calibration : Calibration
        A finished fit.

    Returns
    -------
    tuple of GroupCheck
        In the order shot.

    Source
    ------
    docs/physics.md eq. (8.9).
    """
    evidence, best = calibration.evidence, calibration.best
    if not evidence.groups:
        return ()
    to_right = beside(calibration)
    promised_rad = predicted_angles(evidence, best, calibration.steps_m)[1]
    up_rad = robust_centres(evidence, best)[1] - promised_rad
    misses = np.stack([to_right.miss_rad, up_rad]) * evidence.distance_m
    measured = np.stack([evidence.right.seen, evidence.up.seen])
    freed = np.stack([to_right.surprise, left_out(evidence, best, calibration.steps_m)])
    checks = []
    for place, one in enumerate(evidence.observations):
        both = measured[:, place].all()
        far2 = float(np.square(freed[:, place]).sum())
        chance = exp(-0.5 * far2) if both else erfc(sqrt(0.5 * far2))
        right, up = np.where(measured[:, place], misses[:, place], nan)
        checks.append(GroupCheck.judged(one, float(right), float(up), chance, evidence.groups))
    return tuple(checks)


def cautions(
    posterior: Posterior, found: tuple[Estimate, ...], groups: tuple[GroupCheck, ...]
) -> tuple[Caution, ...]:
    """All that speaks against taking the marks at their word.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    found : tuple of Estimate
        The unknowns.
    groups : tuple of GroupCheck
        The groups.

    Returns
    -------
    tuple of Caution
        Most serious first.
    """
    arrows = sum(group.arrows for group in groups)
    told: list[Caution] = []
    prior = posterior.calibration.evidence.prior
    is_carried = prior.is_carried
    told += [
        Caution(
            "statements differ", one.name, (one.weighed.value, one.weighed.sd, one.weighed.scale)
        )
        for one in prior.disagreements
    ]
    if not arrows:
        told.append(Caution("carried" if is_carried else "no arrows"))
    elif arrows < FEW_ARROWS and not is_carried:
        told.append(Caution("few arrows", numbers=(float(arrows),)))
    told += [
        Caution("odd group", one.name, (one.distance_m, one.miss_right_m, one.miss_up_m))
        for one in sorted(groups, key=lambda group: -group.surprise)
        if one.is_odd
    ]
    told += [
        Caution(
            "change contradicted" if is_carried else "sheet contradicted",
            one.name,
            (one.sheet, one.median, one.low, one.high),
        )
        for one in found
        if abs(one.conflict) > CONFLICT and one.name not in _NOT_ON_THE_SHEET
    ]
    open_gain = posterior.calibration.rig.sight.reading_per_travel is None
    told += [
        Caution("not determined", one.name, (one.median, one.low, one.high))
        for one in found
        if one.name == "reading_per_travel"
        and open_gain
        and one.learnt < LITTLE_LEARNT
        and not is_carried
    ]
    told += _unusual_drag(posterior)
    if posterior.method == "sequential Monte Carlo":
        told.append(Caution("second sampler", numbers=(posterior.effective_draws,)))
    return tuple(told)


_NOT_ON_THE_SHEET = (
    "zero_reading", "windage_offset", "sideways_offset", "launch_point", "wobble",
    "dispersion_up", "dispersion_right",
)  # fmt: skip


def _unusual_drag(posterior: Posterior) -> list[Caution]:
    calibration = posterior.calibration
    place = calibration.evidence.prior.unknowns.place("log_drag")
    ratio = 1.225 / calibration.rig.air.density_kg_m3  # to the air of the usual figures
    drag = float(np.exp(np.median(posterior.vectors[:, place]))) * ratio
    if LEAST_DRAG <= drag <= MOST_DRAG:
        return []
    return [Caution("unusual drag", "drag_coefficient", (drag,))]
