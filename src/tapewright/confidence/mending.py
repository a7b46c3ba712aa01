"""Mending: what a cause found by a proving session asks to be turned or changed.

Holds:  the Mend record; what to do to sight, strip or distance for a cause of a size.
Never:  which cause it is (diagnosis.py), clicks, sentences.
Source: docs/physics.md §8.
"""

from dataclasses import dataclass, replace

import numpy as np

from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.diagnosis import Cause
from tapewright.confidence.posterior import Posterior
from tapewright.confidence.signatures import moving_mass
from tapewright.sight.prediction import impact_gradient, mark


@dataclass(frozen=True, slots=True)
class Mend:
    """What to change; None where a cause asks for no such thing.

    Parameters
    ----------
    reading_m : float or None
        By how much every reading changes, as the numbers run. [m]
    pin_up : int
        1 when the pin goes up, −1 when down, 0 when it stays. [-]
    pin_right_m : float or None
        Way of the pin to the right. [m]
    longer_m : float or None
        How much longer the strip must be between the near and the far distance. [m]
    heavier_kg : float or None
        By how much heavier another arrow would do as much to the speed. [kg]
    """

    reading_m: float | None = None
    pin_up: int = 0
    pin_right_m: float | None = None
    longer_m: float | None = None
    heavier_kg: float | None = None


def mend(
    posterior: Posterior, cause: Cause, distance_m: float, ends_m: tuple[float, float]
) -> Mend:
    """What a cause asks for.

    The sight follows the arrows: they fly high, the pin goes up.

    Parameters
    ----------
    posterior : Posterior
        Draws of the calibration that was proved.
    cause : Cause
        With its size.
    distance_m : float
        Where a change of zero is reckoned. [m]
    ends_m : (float, float)
        Near and far distance between which the strip is measured. [m]

    Returns
    -------
    Mend
        Empty for a cause that neither sight nor strip can mend.

    Source
    ------
    docs/physics.md eq. (4.2), (5.7), (8.16).
    """
    unknowns = posterior.calibration.evidence.prior.unknowns
    if cause.name == "windage":
        return Mend(pin_right_m=cause.size * unknowns.sight_radius_m)
    if cause.name == "span":
        return Mend(longer_m=cause.size)
    if cause.name == "speed":
        rig = posterior.calibration.rig
        moved_kg = rig.arrow.mass_kg.value + moving_mass(rig)
        return Mend(heavier_kg=float(moved_kg * np.expm1(-2.0 * cause.size)))
    bow = unknowns.bow(np.median(posterior.vectors, axis=0))
    if cause.name == "zero":
        at = np.array([distance_m])
        reading = np.median(drawn_marks(posterior, at), axis=0)
        per_reading = float(impact_gradient(bow, at, reading).by_reading[0])
        change_m = -cause.size * distance_m / per_reading
        return Mend(reading_m=change_m, pin_up=int(np.sign(cause.size)))
    if cause.name == "drag or air":
        ends = np.array(ends_m)
        slower = replace(bow, drag_per_m=bow.drag_per_m * np.exp(cause.size))
        moved = mark(slower, ends) - mark(bow, ends)
        return Mend(longer_m=float(unknowns.direction * (moved[1] - moved[0])))
    return Mend()
