"""Prediction: the forward model, the only one in the house.

A reading and a distance give an impact; a distance gives a mark. Everything above asks here.

Holds:  impact for a reading, sight angle and mark for a distance, their derivatives, the
        turning distance and the two distances that share a reading.
Never:  measurements, fitting, doubt.
Source: docs/physics.md §5.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq, minimize_scalar

from tapewright.flight.steps import shaped_crossing, shaped_gradient
from tapewright.flight.trajectory import (
    Crossing,
    Wind,
    crossing,
    crossing_gradient,
    height_on_the_level,
    out_of_reach,
)
from tapewright.ground.constants import STANDARD_GRAVITY_MPS2 as G
from tapewright.ground.errors import LaunchUnreachable
from tapewright.sight.bow import SightedBow

Floats = NDArray[np.float64]

MOST_STEPS = 40
ENOUGH_M = 1e-7  # at the target: a ten-thousandth of a millimetre
NEAREST_M = 2.0  # nobody aims at less


@dataclass(frozen=True, slots=True)
class ImpactGradient:
    """Height of an impact and how it answers to its causes; arrays of one shape.

    Parameters
    ----------
    up_m : array
        Impact above the line of sight. [m]
    by_log_speed, by_log_drag, by_log_gain : array
        Per relative change of launch speed, drag, K. [m]
    by_peep_height, by_zero_reading, by_launch_ahead : array
        Per change of peep height, zero reading, launch point. [-]
    by_distance, by_reading : array
        Per change of distance, of reading. [-]
    """

    up_m: Floats
    by_log_speed: Floats
    by_log_drag: Floats
    by_log_gain: Floats
    by_peep_height: Floats
    by_zero_reading: Floats
    by_launch_ahead: Floats
    by_distance: Floats
    by_reading: Floats


@dataclass(frozen=True, slots=True)
class Aim:
    """How and where the archer aims, beside distance and reading; arrays broadcast.

    Parameters
    ----------
    slope_rad : float or (n,) array, default 0
        Slope of the line of sight, uphill positive. [rad]
    density_ratio : float or (n,) array, default 1
        Density of the air over that of the rig's reference air. [-]
    pin_below_m : float or (n,) array, default 0
        How far the pin in use sits below the first. [m]
    crosswind_mps : float or (n,) array, default 0
        Wind blowing to the archer's right positive. [m/s]
    headwind_mps : float or (n,) array, default 0
        Wind blowing from the target to the archer positive. [m/s]

    Example
    -------
    >>> Aim(slope_rad=-0.35).is_level
    False
    """

    slope_rad: float | Floats = 0.0
    density_ratio: float | Floats = 1.0
    pin_below_m: float | Floats = 0.0
    crosswind_mps: float | Floats = 0.0
    headwind_mps: float | Floats = 0.0

    @property
    def is_windy(self) -> bool:
        """Whether any wind blows."""
        return bool(np.any(self.crosswind_mps) or np.any(self.headwind_mps))

    @property
    def is_level(self) -> bool:
        """Whether every line of sight is level."""
        return not np.any(self.slope_rad)


LEVEL = Aim()


def _launch_point(bow: SightedBow, angle: Floats) -> tuple[Floats, Floats]:
    """Along and above the line of sight, from the eye; eq. (5.4)."""
    sin, cos = np.sin(angle), np.cos(angle)
    along = bow.peep_height_m * sin + bow.launch_ahead_m * cos
    above = bow.launch_ahead_m * sin - bow.peep_height_m * cos
    return np.asarray(along, dtype=np.float64), np.asarray(above, dtype=np.float64)


def _height(bow: SightedBow, distance: Floats, angle: Floats, aim: Aim) -> Floats:
    """Impact above the line of sight in still air, eq. (5.5)."""
    along, above = _launch_point(bow, angle)
    if aim.is_level and bow.shape is None:
        drag = bow.drag_per_m * np.asarray(aim.density_ratio)
        flown = height_on_the_level(np.asarray(bow.speed_mps), angle, drag, distance - along)
    else:
        flown = flight(bow, angle, distance - along, aim).across_m
    return above + flown


def flight(
    bow: SightedBow,
    angle_rad: ArrayLike,
    along_m: ArrayLike,
    aim: Aim = LEVEL,
    *,
    windy: bool = False,
) -> Crossing:
    """The flight of a bow's arrow to a plane, under its drag law.

    Parameters
    ----------
    bow : SightedBow
        One bow, or draws of it.
    angle_rad : (...) array
        Launch angle above the line of sight. [rad]
    along_m : (...) array
        Distance of the plane from the launch point. [m]
    aim : Aim, optional
        Slope, air, wind.
    windy : bool, default False
        Whether the wind of the aim blows.

    Returns
    -------
    Crossing
        All inputs broadcast; nan where the arrow does not reach.

    Source
    ------
    docs/physics.md §3, eq. (1.5).
    """
    drag = bow.drag_per_m * np.asarray(aim.density_ratio)
    wind = Wind(-np.asarray(aim.headwind_mps), np.asarray(aim.crosswind_mps)) if windy else None
    if bow.shape is None:
        return crossing(bow.speed_mps, angle_rad, drag, along_m, aim.slope_rad, wind)
    causes = (bow.speed_mps, angle_rad, drag, along_m, aim.slope_rad)
    return shaped_crossing(bow.shape, *causes, wind, aim.density_ratio)


def impact(
    bow: SightedBow, distance_m: ArrayLike, reading_m: ArrayLike, aim: Aim = LEVEL
) -> tuple[Floats, Floats]:
    """Where the arrow hits when a reading is dialled.

    Parameters
    ----------
    bow : SightedBow
        One bow, or draws of it.
    distance_m : (...) array
        Eye to target along the line of sight. [m]
    reading_m : (...) array
        What the pointer shows. [m]
    aim : Aim, optional
        Slope, air, pin, wind; absent: level, reference air, first pin, calm.

    Returns
    -------
    (...) array, (...) array
        Impact to the right and above the line of sight, square to it; nan where the arrow does
        not reach. [m]

    Source
    ------
    docs/physics.md eq. (5.5).
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    angle = np.arctan(bow.scale.tangent(reading_m, aim.pin_below_m))
    straight = np.asarray(bow.windage_rad * distance + bow.side_m)
    if not aim.is_windy:
        up = _height(bow, distance, angle, aim)
        right, up = np.broadcast_arrays(straight, up)
        return right, up
    along, above = _launch_point(bow, angle)
    flown = flight(bow, angle, distance - along, aim, windy=True)
    return straight + flown.right_m, above + flown.across_m


def impact_gradient(
    bow: SightedBow, distance_m: ArrayLike, reading_m: ArrayLike, aim: Aim = LEVEL
) -> ImpactGradient:
    """Height of the impact with its derivatives, in still air.

    Parameters
    ----------
    bow, distance_m, reading_m, aim
        As for ``impact``; the wind of the aim is ignored.

    Returns
    -------
    ImpactGradient
        All inputs broadcast.

    Source
    ------
    docs/physics.md eq. (5.7).
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    scale, pin = bow.scale, aim.pin_below_m
    tangent = scale.tangent(reading_m, pin)
    angle = np.arctan(tangent)
    along, above = _launch_point(bow, angle)
    drag = bow.drag_per_m * np.asarray(aim.density_ratio)
    causes = (bow.speed_mps, angle, drag, distance - along, aim.slope_rad)
    if bow.shape is None:
        flown = crossing_gradient(*causes)
    else:
        flown = shaped_gradient(bow.shape, *causes, aim.density_ratio)
    sin, cos, tilt = np.sin(angle), np.cos(angle), flown.by_along
    by_angle = flown.by_angle + along + tilt * above
    by_tangent = by_angle * cos * cos
    return ImpactGradient(
        up_m=above + flown.across_m,
        by_log_speed=flown.by_speed * bow.speed_mps,
        by_log_drag=flown.by_drag * drag,
        by_log_gain=by_tangent * scale.by_log_gain(reading_m, pin),
        by_peep_height=-cos - tilt * sin,
        by_zero_reading=by_tangent * scale.by_zero(reading_m),
        by_launch_ahead=sin - tilt * cos,
        by_distance=tilt,
        by_reading=by_tangent * scale.by_reading(reading_m, pin),
    )


def flat_fire_tangent(bow: SightedBow, distance_m: ArrayLike, aim: Aim = LEVEL) -> Floats:
    """Tangent of the sight angle in one line, good to a part in a hundred for a usual compound.

    Where a search begins, and where a near enough value will do.

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
        Tangent. [-]

    Valid for
    ---------
    Within 0.9 % to 60 m at 60 m/s and more, 4 % to 110 m; slower arrows and steep slopes are
    worse.

    Source
    ------
    docs/physics.md eq. (5.9): the first terms of the flat-fire drop.
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    flight = distance - bow.launch_ahead_m
    z = 2.0 * bow.drag_per_m * np.asarray(aim.density_ratio) * flight
    drop = 0.5 * G * np.square(flight / bow.speed_mps) * (1.0 + z / 3.0 + z * z / 12.0)
    return np.asarray((bow.peep_height_m + drop * np.cos(aim.slope_rad)) / distance)


@out_of_reach
def sight_angle(bow: SightedBow, distance_m: ArrayLike, aim: Aim = LEVEL) -> Floats:
    """Angle between line of sight and arrow that hits at a distance.

    Parameters
    ----------
    bow : SightedBow
        One bow, or draws of it.
    distance_m : (...) array
        Eye to target along the line of sight. [m]
    aim : Aim, optional
        Slope and air; pin and wind are ignored.

    Returns
    -------
    (...) array
        Angle, positive when the arrow climbs over the line of sight. [rad]

    Raises
    ------
    LaunchUnreachable
        If no angle reaches the distance.

    Source
    ------
    docs/physics.md eq. (5.5); secant steps from the flat-fire guess.
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    angle = np.asarray(np.arctan(flat_fire_tangent(bow, distance, aim)), dtype=np.float64)
    steepness = np.broadcast_to(distance, angle.shape)  # ∂height/∂angle, roughly
    height = _height(bow, distance, angle, aim)
    for _ in range(MOST_STEPS):
        step = -height / steepness
        angle = angle + step
        before, height = height, _height(bow, distance, angle, aim)
        if np.all(np.abs(height) < ENOUGH_M):
            return np.asarray(angle, dtype=np.float64)
        moved = np.abs(step) > 1e-9
        steepness = np.where(moved, (height - before) / np.where(moved, step, 1.0), steepness)
    missed = np.broadcast_to(distance, height.shape)[~(np.abs(height) < ENOUGH_M)]
    raise LaunchUnreachable(float(missed.min()))


def mark(bow: SightedBow, distance_m: ArrayLike, aim: Aim = LEVEL) -> Floats:
    """Reading that hits at a distance.

    Parameters
    ----------
    bow : SightedBow
        One bow, or draws of it.
    distance_m : (...) array
        Eye to target along the line of sight. [m]
    aim : Aim, optional
        Slope, air and pin; wind is ignored.

    Returns
    -------
    (...) array
        The mark. [m]

    Raises
    ------
    LaunchUnreachable
        If no angle reaches the distance.

    Source
    ------
    docs/physics.md eq. (5.5), (5.2).
    """
    return bow.scale.reading(np.tan(sight_angle(bow, distance_m, aim)), aim.pin_below_m)


def _one(value: ArrayLike) -> float:
    """The number in an array that holds just one."""
    return float(np.asarray(value).item())


def turning_distance(bow: SightedBow, aim: Aim = LEVEL) -> float:
    """Distance of the least sight angle: nearer targets need a farther mark again.

    Parameters
    ----------
    bow : SightedBow
        One bow, no draws.
    aim : Aim, optional
        Slope and air.

    Returns
    -------
    float
        Distance, about speed × √(2 × peep height / g). [m]

    Source
    ------
    docs/physics.md eq. (5.8).
    """
    peep_m = max(_one(bow.peep_height_m), 1e-4)
    rule_m = _one(bow.speed_mps) * np.sqrt(2.0 * peep_m / G)
    found = minimize_scalar(
        lambda distance: _one(sight_angle(bow, distance, aim)),
        bounds=(NEAREST_M, 2.0 * rule_m + NEAREST_M),
        method="bounded",
        options={"xatol": 1e-6},
    )
    return float(found.x)


def distances_at_angle(
    bow: SightedBow, angle_rad: float, farthest_m: float, aim: Aim = LEVEL
) -> tuple[float | None, float | None]:
    """The near and the far distance that one sight angle hits.

    Parameters
    ----------
    bow : SightedBow
        One bow, no draws.
    angle_rad : float
        Angle between line of sight and arrow. [rad]
    farthest_m : float
        How far to look. [m]
    aim : Aim, optional
        Slope and air.

    Returns
    -------
    float or None, float or None
        Distance nearer and farther than the turning distance; None where there is none. [m]

    Source
    ------
    docs/physics.md eq. (5.8).
    """
    turn_m = turning_distance(bow, aim)

    def excess(distance: float) -> float:
        return _one(sight_angle(bow, distance, aim)) - angle_rad

    def root(one: float, other: float) -> float | None:
        if excess(one) * excess(other) > 0.0:
            return None
        return float(brentq(excess, one, other, xtol=1e-6))

    return root(NEAREST_M, turn_m), root(turn_m, farthest_m)
