"""Peep view: what an eye behind the peep sees of peep, housing, pin and target.

The middle of the peep is the point about which all angles of this house turn; the pupil stands
behind it. All planes are taken square to the line of sight.
Holds:  how large a ring is seen; which housing fills a peep; what a pin covers; how soft the
        peep's edge is; where the eye goes when it centres another thing in the peep.
Never:  doubt, drawings, what is done about it.
Source: docs/physics.md eq. (5.23) to (5.26).
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def seen_angle(width_m: ArrayLike, away_m: ArrayLike) -> Floats:
    """Angle under which a ring or a dot is seen.

    Parameters
    ----------
    width_m : (...) array
        From edge to edge. [m]
    away_m : (...) array
        From the pupil. [m]

    Returns
    -------
    (...) array
        From edge to edge. [rad]

    Source
    ------
    docs/physics.md eq. (5.23).
    """
    return np.asarray(2.0 * np.arctan(np.asarray(width_m) / (2.0 * np.asarray(away_m))))


def filling_width(peep_m: ArrayLike, eye_behind_m: float, sight_radius_m: float) -> Floats:
    """Width at the sight that just fills the peep.

    Parameters
    ----------
    peep_m : (...) array
        Hole of the peep. [m]
    eye_behind_m : float
        Pupil to peep. [m]
    sight_radius_m : float
        Peep to pin. [m]

    Returns
    -------
    (...) array
        Inside width of the housing that does. [m]

    Source
    ------
    docs/physics.md eq. (5.23).
    """
    return np.asarray(peep_m, dtype=np.float64) * (eye_behind_m + sight_radius_m) / eye_behind_m


def soft_edge(pupil_m: float, eye_behind_m: float, sight_radius_m: float) -> float:
    """How wide the peep's edge is washed out at the sight, from bright to dark.

    Parameters
    ----------
    pupil_m : float
        Width of the pupil. [m]
    eye_behind_m : float
        Pupil to peep. [m]
    sight_radius_m : float
        Peep to pin. [m]

    Returns
    -------
    float
        Of an eye that looks at the pin sharply. [m]

    Source
    ------
    docs/physics.md eq. (5.24).
    """
    return pupil_m * sight_radius_m / eye_behind_m


def covered_width(
    width_m: ArrayLike, distance_m: ArrayLike, eye_behind_m: float, sight_radius_m: float
) -> Floats:
    """What a pin hides, or a housing frames, at a distance.

    Parameters
    ----------
    width_m : (...) array
        Of the pin or of the housing's inside. [m]
    distance_m : (...) array
        Peep to target. [m]
    eye_behind_m : float
        Pupil to peep. [m]
    sight_radius_m : float
        Peep to pin. [m]

    Returns
    -------
    (...) array
        Width at the target, seen from the middle of the pupil. [m]

    Source
    ------
    docs/physics.md eq. (5.25).
    """
    away = np.asarray(distance_m, dtype=np.float64) + eye_behind_m
    return np.asarray(np.asarray(width_m) * away / (eye_behind_m + sight_radius_m))


def eye_shift(pin_above_m: ArrayLike, eye_behind_m: float, sight_radius_m: float) -> Floats:
    """How far beside the peep's middle the line to the pin passes when the housing is centred.

    Parameters
    ----------
    pin_above_m : (...) array
        Pin above the middle of the housing. [m]
    eye_behind_m : float
        Pupil to peep. [m]
    sight_radius_m : float
        Peep to pin. [m]

    Returns
    -------
    (...) array
        At the peep, up positive: arrows hit as much higher as (5.16) tells. [m]

    Source
    ------
    docs/physics.md eq. (5.26).
    """
    share = eye_behind_m / (eye_behind_m + sight_radius_m)
    return np.asarray(np.asarray(pin_above_m, dtype=np.float64) * share)
