"""Level: what a tilt of bow, level or sight does at the target, and an eye beside the peep.

What each tilt means here; all are seen by the archer at full draw.

*Cant*: the whole bow leans, turned about the line of sight. Top to the right positive.
*Level turned in its housing*, which many call the second axis: with the bubble in the middle the
bow leans. It is cant, the same on every slope.
*Level swung*, which many call the third axis: turned about the bow's own upright, so that one end
of the bubble's tube points ahead. Nothing on the level; on a slope, a bubble in the middle then
makes the bow lean. Right end ahead positive.
*Travel leaning*: the line on which the pin moves is not in the plane of eye, arrow and gravity.
Lower end to the left positive, which is what a bow does whose top leans to the right.
Of a "first axis" sources give different meanings, so the word is not used.

Holds:  sideways and upward miss of each; the drop that cant turns into a sideways miss.
Never:  measurements, doubt (confidence/levelling.py), what to turn (faces).
Source: docs/physics.md eq. (5.12) to (5.16).
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import LEVEL, Aim, sight_angle

Floats = NDArray[np.float64]


def departure_height(bow: SightedBow, distance_m: ArrayLike, aim: Aim = LEVEL) -> Floats:
    """How far over the line of sight the line of departure passes plumb above the target.

    That is the drop of an arrow that hits, seen square to the line of sight. On the level it is
    also how far over the target the arrow would pass without gravity.

    Parameters
    ----------
    bow : SightedBow
        One bow, or draws of it.
    distance_m : (...) array
        Eye to target along the line of sight. [m]
    aim : Aim, optional
        Slope and air.

    Returns
    -------
    (...) array
        Height over the line of sight, square to it. [m]

    Raises
    ------
    LaunchUnreachable
        If no angle reaches the distance.

    Source
    ------
    docs/physics.md eq. (5.12). The launch point lies on the line and does not matter.
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    angle = sight_angle(bow, distance, aim)
    plumb = (distance * np.sin(angle) - bow.peep_height_m) / np.cos(aim.slope_rad + angle)
    return np.asarray(plumb * np.cos(aim.slope_rad), dtype=np.float64)


def cant_miss(departure_height_m: ArrayLike, cant_rad: ArrayLike) -> tuple[Floats, Floats]:
    """Where an arrow lands when the bow leans.

    Parameters
    ----------
    departure_height_m : (...) array
        From ``departure_height``. [m]
    cant_rad : (...) array
        Lean of the bow, top to the right positive. [rad]

    Returns
    -------
    (...) array, (...) array
        To the right, and up, of where the upright bow hits. [m]

    Source
    ------
    docs/physics.md eq. (5.13).
    """
    drop = np.asarray(departure_height_m, dtype=np.float64)
    cant = np.asarray(cant_rad, dtype=np.float64)
    return drop * np.sin(cant), -drop * (1.0 - np.cos(cant))


def swung_level_cant(swing_rad: ArrayLike, slope_rad: ArrayLike) -> Floats:
    """How far the bow leans on a slope with the bubble in the middle of a swung level.

    Parameters
    ----------
    swing_rad : (...) array
        Third axis: the level's right end ahead positive. [rad]
    slope_rad : (...) array
        Slope of the line of sight, uphill positive. [rad]

    Returns
    -------
    (...) array
        Lean of the bow, top to the right positive; nan where no lean centres the bubble. [rad]

    Valid for
    ---------
    The level square to the line of sight. It is square to the arrow rather, which climbs by the
    sight angle over it: 2.4° at 60 yd, worth 0.04° of cant for a level swung by 1°.

    Example
    -------
    A level swung by 1°, on a slope of 30°:

    >>> round(float(np.degrees(swung_level_cant(np.radians(1.0), np.radians(30.0)))), 6)
    0.577419

    Source
    ------
    docs/physics.md eq. (5.14).
    """
    sine = np.tan(swing_rad) * np.tan(slope_rad)
    return np.asarray(np.arcsin(np.where(np.abs(sine) <= 1.0, sine, np.nan)), dtype=np.float64)


def travel_miss(
    distance_m: ArrayLike, tangent: ArrayLike, zeroed_tangent: ArrayLike, lean_rad: ArrayLike
) -> Floats:
    """Sideways miss when the pin's travel leans and windage is right at one distance.

    Parameters
    ----------
    distance_m : (...) array
        Eye to target along the line of sight. [m]
    tangent : (...) array
        Of the sight angle at that distance. [-]
    zeroed_tangent : (...) array
        Of the sight angle where windage was set. [-]
    lean_rad : (...) array
        Lean of the travel, lower end to the left positive. [rad]

    Returns
    -------
    (...) array
        To the right. [m]

    Source
    ------
    docs/physics.md eq. (5.15).
    """
    moved = np.asarray(tangent, dtype=np.float64) - np.asarray(zeroed_tangent)
    return np.asarray(np.asarray(distance_m) * moved * np.tan(lean_rad), dtype=np.float64)


def left_after_windage(
    miss_m: ArrayLike, distance_m: ArrayLike, zeroed_miss_m: ArrayLike, zeroed_m: float
) -> Floats:
    """What is left of a sideways miss once windage was set to be right at one distance.

    Parameters
    ----------
    miss_m : (...) array
        To the right, before windage was set. [m]
    distance_m : (...) array
        Where. [m]
    zeroed_miss_m : (...) array
        The miss where windage was set. [m]
    zeroed_m : float
        Distance at which windage was set. [m]

    Returns
    -------
    (...) array
        To the right. [m]

    Source
    ------
    docs/physics.md eq. (5.13).
    """
    share = np.asarray(distance_m, dtype=np.float64) / zeroed_m
    return np.asarray(np.asarray(miss_m) - share * np.asarray(zeroed_miss_m), dtype=np.float64)


def peep_miss(distance_m: ArrayLike, sight_radius_m: ArrayLike, off_centre_m: ArrayLike) -> Floats:
    """Miss when the eye looks past the middle of the peep.

    Parameters
    ----------
    distance_m : (...) array
        Eye to target along the line of sight. [m]
    sight_radius_m : float or (...) array
        Peep to pin. [m]
    off_centre_m : (...) array
        How far the eye is from where it was when the sight was set. [m]

    Returns
    -------
    (...) array
        To the side on which the eye is. [m]

    Example
    -------
    A quarter of a millimetre at 60 yd, with the pin 0.80 m away:

    >>> round(1e3 * float(peep_miss(54.864, 0.80, 0.25e-3)), 1)
    16.9

    Source
    ------
    docs/physics.md eq. (5.16).
    """
    radius_m = np.asarray(sight_radius_m, dtype=np.float64)
    ahead = np.asarray(distance_m, dtype=np.float64) - radius_m
    return np.asarray(np.asarray(off_centre_m) * ahead / radius_m, dtype=np.float64)
