"""Wind: how far to hold off across it, and what head and tail wind do to the height.

Holds:  the WindMiss record; misses of a bow whose mark was dialled in calm air.
Never:  gusts, how to judge a wind, widths of spots (faces).
Source: docs/physics.md §9.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import Aim, impact, impact_gradient, mark

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class WindMiss:
    """What a steady wind does; arrays of shape (n,).

    Parameters
    ----------
    distance_m : array
        Distances. [m]
    right_m, right_low_m, right_high_m : array
        Where arrows land to the right of where they do in calm air, and its band. [m]
    up_m, up_low_m, up_high_m : array
        The same upward. [m]
    reading_m : array
        Change of reading that takes the upward miss away. [m]
    """

    distance_m: Floats
    right_m: Floats
    right_low_m: Floats
    right_high_m: Floats
    up_m: Floats
    up_low_m: Floats
    up_high_m: Floats
    reading_m: Floats


def wind_miss(
    draws: SightedBow,
    distance_m: ArrayLike,
    cross_mps: float,
    head_mps: float,
    probability: float = 0.9,
) -> WindMiss:
    """Misses of marks that were made for calm air.

    Parameters
    ----------
    draws : SightedBow
        Equally likely bows, fields of shape (d, 1); a couple of hundred are enough.
    distance_m : (n,) array
        Distances. [m]
    cross_mps : float
        Wind across, blowing to the archer's right positive. [m/s]
    head_mps : float
        Wind along, blowing from the target to the archer positive. [m/s]
    probability : float, default 0.9
        Chance with which a band holds the truth. [-]

    Returns
    -------
    WindMiss
        Right and up positive; hold off to the other side.

    Source
    ------
    docs/physics.md eq. (9.10).
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    reading = mark(draws, distance)
    calm_right, calm_up = impact(draws, distance, reading)
    blown = Aim(crosswind_mps=cross_mps, headwind_mps=head_mps)
    right, up = impact(draws, distance, reading, blown)
    tail = 0.5 * (1.0 - probability)
    shares = [tail, 0.5, 1.0 - tail]
    right_low, right_middle, right_high = np.quantile(right - calm_right, shares, axis=0)
    rises = up - calm_up
    up_low, up_middle, up_high = np.quantile(rises, shares, axis=0)
    per_reading = impact_gradient(draws, distance, reading).by_reading
    return WindMiss(
        distance,
        right_middle,
        right_low,
        right_high,
        up_middle,
        up_low,
        up_high,
        np.median(-rises / per_reading, axis=0),
    )
