"""Weather: the same rig in other air.

Holds:  marks at home and away, and how much it matters; how far limbs in other air may miss.
Never:  forecasts; what cold really does to a bow's strength, which nobody has measured for yours.
Source: docs/physics.md §9.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import Aim, impact, mark

Floats = NDArray[np.float64]

LIMBS_PER_K = (0.0005, 0.001)  # of arrow speed, glass or carbon to wood; docs/physics.md eq. (9.16)


@dataclass(frozen=True)
class Away:
    """Marks at home and away; arrays of shape (n,).

    Parameters
    ----------
    distance_m : array
        Distances. [m]
    home_m, away_m : array
        Marks in the rig's own air and in the other. [m]
    away_low_m, away_high_m : array
        Band of the mark away. [m]
    miss_m : array
        Where arrows land away with the marks of home, up of the aim. [m]
    density_ratio : float
        Density away over that at home. [-]
    """

    distance_m: Floats
    home_m: Floats
    away_m: Floats
    away_low_m: Floats
    away_high_m: Floats
    miss_m: Floats
    density_ratio: float


def marks_away(
    draws: SightedBow,
    distance_m: ArrayLike,
    density_ratio: float,
    pin_below_m: ArrayLike = 0.0,
    probability: float = 0.9,
) -> Away:
    """Marks in other air, beside those at home.

    Parameters
    ----------
    draws : SightedBow
        Equally likely bows, fields of shape (d, 1).
    distance_m : (n,) array
        Distances. [m]
    density_ratio : float
        Density of the other air over that of the rig's own. [-]
    pin_below_m : (d, 1) array, default 0
        Drop of the pin in use, for each bow. [m]
    probability : float, default 0.9
        Chance with which a band holds the truth. [-]

    Returns
    -------
    Away
        Both marks, and what ignoring the difference costs.

    Source
    ------
    docs/physics.md eq. (9.7).
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    below = np.asarray(pin_below_m, dtype=np.float64)
    there = Aim(density_ratio=density_ratio, pin_below_m=below)
    at_home = mark(draws, distance, Aim(pin_below_m=below))
    tail = 0.5 * (1.0 - probability)
    low, away, high = np.quantile(mark(draws, distance, there), [tail, 0.5, 1.0 - tail], axis=0)
    _, up = impact(draws, distance, at_home, there)  # every bow with its own marks of home
    home, miss = np.median(at_home, axis=0), np.median(up, axis=0)
    return Away(distance, home, away, low, high, miss, density_ratio)


def limb_miss(
    draws: SightedBow,
    distance_m: ArrayLike,
    density_ratio: float,
    colder_k: float,
    pin_below_m: ArrayLike = 0.0,
) -> Floats:
    """How far limbs that other air makes faster or slower may miss, marks dialled for that air.

    Parameters
    ----------
    draws : SightedBow
        Equally likely bows, fields of shape (d, 1).
    distance_m : (n,) array
        Distances. [m]
    density_ratio : float
        Density of the other air over that of the rig's own. [-]
    colder_k : float
        How much colder or warmer than where arrows were shot. [K]
    pin_below_m : (d, 1) array, default 0
        Drop of the pin in use, for each bow. [m]

    Returns
    -------
    (n,) array
        Up and down of the aim, with the larger of both doubts. [m]

    Source
    ------
    docs/physics.md eq. (9.16).
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    there = Aim(density_ratio=density_ratio, pin_below_m=np.asarray(pin_below_m, np.float64))
    slower = replace(draws, speed_mps=draws.speed_mps * (1.0 - LIMBS_PER_K[1] * abs(colder_k)))
    _, up = impact(slower, distance, mark(draws, distance, there), there)
    return np.asarray(np.abs(np.median(up, axis=0)))
