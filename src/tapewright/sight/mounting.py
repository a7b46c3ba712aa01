"""Mounting: the same sight bolted on elsewhere, and what one look along the arrow tells of it.

A sight moves up and down with the hole it is bolted to, forward and back with its extension.
Holds:  the scale of a sight that was moved; the angle at which the pin is seen where the arrow
        points; the zero that such a look gives.
Never:  doubt, travel ends, housings (confidence/bolting.py).
Source: docs/physics.md eq. (5.21), (5.22).
"""

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.sight.scale import Scale

Floats = NDArray[np.float64]


def mounted(scale: Scale, up_m: ArrayLike, ahead_m: ArrayLike) -> Scale:
    """The scale of a sight that was bolted on elsewhere.

    Parameters
    ----------
    scale : Scale
        As it is bolted on now.
    up_m : (...) array
        How much higher it stands, square to the arrow. [m]
    ahead_m : (...) array
        How much farther forward, along the arrow. [m]

    Returns
    -------
    Scale
        For the same readings.

    Source
    ------
    docs/physics.md eq. (5.21).
    """
    per_travel = scale.reading_per_tangent_m / scale.sight_radius_m
    radius_m = np.asarray(scale.sight_radius_m + np.asarray(ahead_m), dtype=np.float64)
    return replace(
        scale,
        zero_reading_m=np.asarray(scale.zero_reading_m + per_travel * np.asarray(up_m)),
        reading_per_tangent_m=np.asarray(per_travel * radius_m),
        sight_radius_m=radius_m,
    )


def pointing_tangent(
    peep_height_m: ArrayLike, distance_m: float, off_rad: ArrayLike = 0.0
) -> Floats:
    """Tangent at which the pin is seen on the spot at which the arrow points.

    Parameters
    ----------
    peep_height_m : (...) array
        Eye to arrow axis, square to the arrow. [m]
    distance_m : float
        Eye to that spot. [m]
    off_rad : (...) array, default 0
        By how much the look was off, the arrow pointing higher than was thought. [rad]

    Returns
    -------
    (...) array
        Of the angle between line of sight and arrow: no arrow flies. [-]

    Source
    ------
    docs/physics.md eq. (5.22).
    """
    return np.asarray(np.tan(np.arcsin(np.asarray(peep_height_m) / distance_m) + off_rad))


def with_zero_at(scale: Scale, reading_m: float, tangent: ArrayLike) -> Scale:
    """The scale with the zero at which a reading gives an angle.

    Parameters
    ----------
    scale : Scale
        Whatever its zero.
    reading_m : float
        What the pointer shows. [m]
    tangent : (...) array
        Tangent of the angle between line of sight and arrow. [-]

    Returns
    -------
    Scale
        The zero enters (5.2) and (5.3) as a straight line, so one step is exact.

    Source
    ------
    docs/physics.md eq. (5.2), (5.3).
    """
    step_m = (np.asarray(tangent) - scale.tangent(reading_m)) / scale.by_zero(reading_m)
    return replace(scale, zero_reading_m=np.asarray(scale.zero_reading_m + step_m))
