"""Pins: several on one sight.

Holds:  the gaps between the pins of a sight that does not move.
Never:  doubt, tapes.
Source: docs/physics.md eq. (5.6).
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import LEVEL, Aim, sight_angle

Floats = NDArray[np.float64]


def pin_drops(bow: SightedBow, distances_m: ArrayLike, aim: Aim = LEVEL) -> Floats:
    """How far below the first pin each further pin of a fixed sight must sit.

    Parameters
    ----------
    bow : SightedBow
        One bow, or draws of it with shape (d, 1).
    distances_m : (n,) array
        Distance of each pin, the first pin first. [m]
    aim : Aim, optional
        Slope and air.

    Returns
    -------
    (n,) or (d, n) array
        Drop below the first pin, at the sight, down positive. [m]

    Source
    ------
    docs/physics.md eq. (5.6).
    """
    tangent = np.tan(sight_angle(bow, distances_m, aim))
    return np.asarray(bow.scale.sight_radius_m * (tangent - tangent[..., :1]), dtype=np.float64)
