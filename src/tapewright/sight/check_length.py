"""Check length: tape length between two marks, and the launch speed that gives a wanted one.

Holds:  tape length between two distances; the speed for it, all else of the bow as it is.
Never:  which lengths a strip set needs, doubt, ink.
Source: docs/physics.md eq. (5.2), (5.5).
"""

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.ground.errors import OutsideValidRange
from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import mark

Floats = NDArray[np.float64]

STEPS = 20
ENOUGH_M = 1e-8  # of the length: a hundred-thousandth of a millimetre
SLOWEST_MPS, FASTEST_MPS = 30.0, 150.0  # beyond any bow, with room to spare


def check_length(bow: SightedBow, near_m: float, far_m: float) -> Floats:
    """How far the sight moves from a near to a far mark, positive toward farther targets.

    Parameters
    ----------
    bow : SightedBow
        One bow, or several with fields of shape (s, 1).
    near_m, far_m : float
        Distances. [m]

    Returns
    -------
    (s,) array
        Tape length, in reading. [m]

    Source
    ------
    docs/physics.md eq. (5.2), (5.5).
    """
    marks = mark(bow, np.array([near_m, far_m]))
    way = np.sign(np.ravel(bow.scale.reading_per_tangent_m))
    return np.asarray(way * (marks[..., 1] - marks[..., 0]), dtype=np.float64)


def find_speeds(bow: SightedBow, length_m: ArrayLike, near_m: float, far_m: float) -> Floats:
    """Launch speeds at which the marks lie as far apart as wanted.

    Parameters
    ----------
    bow : SightedBow
        One bow; its speed is where the search begins.
    length_m : (s,) array
        Tape lengths between the two distances, positive. [m]
    near_m, far_m : float
        Distances, past the turning distance. [m]

    Returns
    -------
    (s,) array
        Speeds. [m/s]

    Raises
    ------
    OutsideValidRange
        If no speed of 30 to 150 m/s gives a length.

    Source
    ------
    docs/physics.md eq. (5.2), (5.5). A length shrinks nearly as the square of the speed, so each
    step leaves about a tenth of the error.
    """
    wanted = np.asarray(length_m, dtype=np.float64)
    low_m, high_m = check_length(_at(bow, np.array([FASTEST_MPS, SLOWEST_MPS])), near_m, far_m)
    speeds = np.full(wanted.shape, float(np.ravel(bow.speed_mps)[0]))
    most_m = low_m
    for _ in range(STEPS):
        found = check_length(_at(bow, speeds), near_m, far_m)
        most_m = np.fmax.reduce(np.append(found, most_m))
        past_arm = np.isnan(found)  # the end of a pivoting arm: only faster bows stay on it
        better = speeds * np.sqrt(np.maximum(np.where(past_arm, wanted, found), low_m) / wanted)
        speeds = np.clip(np.where(past_arm, 1.2 * speeds, better), SLOWEST_MPS, FASTEST_MPS)
    close = np.abs(check_length(_at(bow, speeds), near_m, far_m) - wanted) < ENOUGH_M  # nan is not
    if not close.all():
        ends_mm = 1e3 * float(low_m), 1e3 * float(np.fmax(high_m, most_m))
        beyond_mm = 1e3 * float(wanted[~close][0])
        raise OutsideValidRange("A length of", beyond_mm, *ends_mm, "mm")
    return speeds


def _at(bow: SightedBow, speeds: Floats) -> SightedBow:
    return replace(bow, speed_mps=speeds[:, None])
