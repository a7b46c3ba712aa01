"""Trajectory: where an arrow crosses a plane, when, and how fast.

Everything is seen from the launch point: *along* is the direction square to the target plane
(the direction of aim, which may climb at a slope), *across* is square to it and up, *right* is
to the archer's right.

Two ways to the same answer. With a constant drag coefficient the flight is an integral over its
own slope (Euler), which eight Gauss-Legendre nodes settle to a few nanometres; this is the fast
path and it also gives derivatives. Any other drag law takes fixed Runge-Kutta steps (steps.py).

Holds:  the flight of constant drag; the Crossing record.
Never:  other drag laws (steps.py), eyes, sights, where the launch point is.
Source: docs/physics.md §3.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.ground.constants import STANDARD_GRAVITY_MPS2 as G

Floats = NDArray[np.float64]

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)
_NODES, _WEIGHTS = 0.5 * (_NODES + 1.0), 0.5 * _WEIGHTS
MOST_PASSES = 12  # of Newton's steps; two suffice unless the arrow comes down steeply
CLOSE_S = 1e-5  # flight still to go when the steps end; what is left is carried on straight
PIECE = 4096  # flights at a time
# An arrow that cannot reach the plane ends in inf or nan; that is its answer, not an accident.
out_of_reach = np.errstate(over="ignore", divide="ignore", invalid="ignore")


@dataclass(frozen=True, slots=True)
class Wind:
    """Steady horizontal wind, seen along the line of aim.

    Parameters
    ----------
    ahead_mps : float or array, default 0
        Blowing from the archer to the target positive. [m/s]
    right_mps : float or array, default 0
        Blowing to the archer's right positive. [m/s]
    """

    ahead_mps: float | Floats = 0.0
    right_mps: float | Floats = 0.0


@dataclass(frozen=True, slots=True)
class Crossing:
    """Where a flight crosses the target plane; all arrays of one shape.

    Parameters
    ----------
    across_m : array
        Height over the line from the launch point square to the plane. [m]
    right_m : array
        To the archer's right of it. [m]
    time_s : array
        Since launch. [s]
    speed_mps : array
        Speed over ground, to a millimetre per second. [m/s]
    tilt : array
        Slope of the path against the along direction, rising positive, to 1e-5. [-]
    """

    across_m: Floats
    right_m: Floats
    time_s: Floats
    speed_mps: Floats
    tilt: Floats


@dataclass(frozen=True, slots=True)
class Gradient:
    """How the height of a crossing answers to its causes; arrays of one shape.

    Parameters
    ----------
    across_m : array
        The height itself. [m]
    by_speed : array
        Per launch speed. [m per m/s]
    by_angle : array
        Per launch angle. [m/rad]
    by_drag : array
        Per drag per metre. [m per 1/m]
    by_along : array
        Per distance of the plane: the tilt of the path there. [-]
    """

    across_m: Floats
    by_speed: Floats
    by_angle: Floats
    by_drag: Floats
    by_along: Floats


def _antiderivative(slope: Floats) -> Floats:
    """F(p) = p √(1+p²) + asinh p, eq. (3.3)."""
    root = np.sqrt(1.0 + slope * slope)
    turned = np.copysign(np.log(np.abs(slope) + root), slope)  # asinh, in half its time
    return np.asarray(slope * root + turned, dtype=np.float64)


def _sum(terms: Floats) -> Floats:
    """Weighted sum over the nodes; einsum wakes no threads and rounds alike everywhere."""
    return np.asarray(np.einsum("...k,k->...", terms, _WEIGHTS))


def _first_fall(along: Floats, slope0: Floats, inverse0: Floats, drag: Floats) -> Floats:
    """Change of slope over a horizontal run, with the path's length taken at its middle slope."""
    stretch = np.sqrt(1.0 + np.square(slope0 - 0.5 * G * inverse0 * along))
    rate = 2.0 * drag * stretch
    return np.asarray(G * inverse0 * np.expm1(rate * along) / rate, dtype=np.float64)  # eq. (3.6)


@out_of_reach
def _heights(speed: Floats, angle: Floats, drag: Floats, along: Floats) -> Floats:
    """One pass of the quadrature at a guess, then a Taylor series, eq. (3.7)."""
    slope0 = np.tan(angle)
    inverse0 = (1.0 + slope0 * slope0) / np.square(speed)  # 1/v_x²
    fall = _first_fall(along, slope0, inverse0, drag)
    thinning = drag / G
    constant = inverse0 + thinning * _antiderivative(slope0)
    x, y = np.zeros_like(along), np.zeros_like(along)
    for node, weight in zip(_NODES, _WEIGHTS, strict=True):
        slope = slope0 - node * fall
        square = weight / (constant - thinning * _antiderivative(slope))
        x += square
        y += square * slope
    x, y = x * fall / G, y * fall / G
    end = slope0 - fall
    inverse = constant - thinning * _antiderivative(end)
    rest = along - x
    jerk = 2.0 * drag * np.sqrt(1.0 + end * end) / 3.0
    return np.asarray(y + rest * (end - 0.5 * G * inverse * rest * (1.0 + jerk * rest)))


def height_on_the_level(
    speed_mps: ArrayLike, angle_rad: ArrayLike, drag_per_m: ArrayLike, along_m: ArrayLike
) -> Floats:
    """Height of the arrow over level ground in still air; the fastest path.

    One pass of the quadrature at a guess of the change of slope, then the path continued to the
    wanted distance by its Taylor series: nothing iterates. Large arrays are taken in pieces that
    stay in the processor's cache.

    Parameters
    ----------
    speed_mps : (...) array
        Launch speed. [m/s]
    angle_rad : (...) array
        Launch angle above the horizontal. [rad]
    drag_per_m : (...) array
        Drag per metre, positive. [1/m]
    along_m : (...) array
        Horizontal distance from the launch point. [m]

    Returns
    -------
    (...) array
        Height over the launch point, inputs broadcast. [m]

    Source
    ------
    docs/physics.md eq. (3.3) to (3.7).
    """
    causes = np.broadcast_arrays(
        *(np.asarray(one, dtype=np.float64) for one in (speed_mps, angle_rad, drag_per_m, along_m))
    )
    shape, size = causes[0].shape, causes[0].size
    if size <= PIECE:
        return _heights(*causes)
    flat = [cause.ravel() for cause in causes]
    height = np.empty(size)
    for start in range(0, size, PIECE):
        piece = slice(start, start + PIECE)
        height[piece] = _heights(*(cause[piece] for cause in flat))
    return height.reshape(shape)


@dataclass(frozen=True, slots=True)
class _Launch:
    """A launch seen from the moving air, where the flight is planar and windless.

    ``thinning`` and ``constant`` give 1/v_x² at a slope p as constant − thinning F(p).
    """

    along: Floats
    sin: Floats
    cos: Floats
    wind: Wind
    heading_ahead: Floats
    heading_right: Floats
    slope: Floats
    inverse: Floats
    thinning: Floats
    constant: Floats


def _launch(causes: tuple[ArrayLike, ...], wind: Wind | None) -> _Launch:
    speed, angle, drag, along, slope = np.broadcast_arrays(
        *(np.asarray(cause, dtype=np.float64) for cause in causes)
    )
    direction = slope + angle
    if wind is None:
        wind = Wind()
        heading_ahead, heading_right = np.ones_like(along), np.zeros_like(along)
        slope0 = np.tan(direction)
        inverse = (1.0 + slope0 * slope0) / np.square(speed)
    else:
        ahead = speed * np.cos(direction) - wind.ahead_mps
        right = np.zeros_like(ahead) - wind.right_mps
        level = np.hypot(ahead, right)
        heading_ahead, heading_right = ahead / level, right / level
        slope0 = speed * np.sin(direction) / level
        inverse = 1.0 / np.square(level)
    thinning = drag / G
    constant = inverse + thinning * _antiderivative(slope0)
    return _Launch(
        along, np.sin(slope), np.cos(slope), wind, heading_ahead, heading_right,
        slope0, inverse, thinning, constant,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Place:
    """Where the flight is once its slope has fallen by so much; velocities over ground."""

    ahead: Floats
    right: Floats
    up: Floats
    time: Floats
    ahead_speed: Floats
    right_speed: Floats
    up_speed: Floats
    airspeed_level: Floats


def _place(launch: _Launch, fall: Floats) -> _Place:
    """Eq. (3.4), carried back from the air to the ground."""
    slope = launch.slope[..., None] - fall[..., None] * _NODES
    square = 1.0 / (
        launch.constant[..., None] - launch.thinning[..., None] * _antiderivative(slope)
    )
    run, up, time = _sum(square), _sum(square * slope), _sum(np.sqrt(square))
    end = launch.slope - fall
    level = 1.0 / np.sqrt(launch.constant - launch.thinning * _antiderivative(end))
    scale = fall / G
    run, up, time = run * scale, up * scale, time * scale
    wind = launch.wind
    return _Place(
        ahead=launch.heading_ahead * run + wind.ahead_mps * time,
        right=launch.heading_right * run + wind.right_mps * time,
        up=up,
        time=time,
        ahead_speed=launch.heading_ahead * level + wind.ahead_mps,
        right_speed=launch.heading_right * level + wind.right_mps,
        up_speed=end * level,
        airspeed_level=level,
    )


def _find_fall(launch: _Launch) -> tuple[Floats, _Place, Floats]:
    """Change of slope at the plane by Newton's steps, the place there, the time still to go."""
    drag = launch.thinning * G
    fall = _first_fall(launch.along * launch.cos, launch.slope, launch.inverse, drag)
    for _ in range(MOST_PASSES):
        at = _place(launch, fall)
        along_speed = at.ahead_speed * launch.cos + at.up_speed * launch.sin
        reached = at.ahead * launch.cos + at.up * launch.sin
        rest_s = (launch.along - reached) / along_speed
        lost = ~(np.abs(rest_s) <= CLOSE_S)
        if not lost.any():
            break
        step = rest_s * G / at.airspeed_level
        fall = np.where(lost, np.maximum(fall + step, 0.0), fall)
    return fall, at, np.where(lost, np.nan, rest_s)


@out_of_reach
def crossing(
    speed_mps: ArrayLike,
    angle_rad: ArrayLike,
    drag_per_m: ArrayLike,
    along_m: ArrayLike,
    slope_rad: ArrayLike = 0.0,
    wind: Wind | None = None,
) -> Crossing:
    """Where the arrow crosses a plane square to the line of aim.

    Parameters
    ----------
    speed_mps : (...) array
        Launch speed over ground. [m/s]
    angle_rad : (...) array
        Launch angle above the line of aim. [rad]
    drag_per_m : (...) array
        Drag per metre, positive. [1/m]
    along_m : (...) array
        Distance of the plane from the launch point. [m]
    slope_rad : (...) array, default 0
        Slope of the line of aim, uphill positive. [rad]
    wind : Wind, optional
        Steady wind; absent: still air.

    Returns
    -------
    Crossing
        All inputs broadcast; nan where the arrow does not reach the plane.

    Valid for
    ---------
    Slopes of ±60° and arrows that pass within a few metres of the line of aim. A lob at 45° is
    off by 5 mm at 370 m, and one almost straight up may be caught on its way down.

    Example
    -------
    85 m/s, level bore, 0.002 1/m, 60 yd: the exact drop is 2.20087035 m.

    >>> round(float(crossing(85.0, 0.0, 0.002, 54.864).across_m), 5)
    -2.20087

    Source
    ------
    docs/physics.md eq. (3.3) to (3.8).
    """
    launch = _launch((speed_mps, angle_rad, drag_per_m, along_m, slope_rad), wind)
    _, at, rest_s = _find_fall(launch)
    sin, cos = launch.sin, launch.cos
    along_speed = at.ahead_speed * cos + at.up_speed * sin
    along_speed = np.where(np.isnan(rest_s), np.nan, along_speed)
    across_speed = at.up_speed * cos - at.ahead_speed * sin
    return Crossing(
        across_m=at.up * cos - at.ahead * sin + across_speed * rest_s,
        right_m=at.right + at.right_speed * rest_s,
        time_s=at.time + rest_s,
        speed_mps=np.sqrt(along_speed**2 + across_speed**2 + at.right_speed**2),
        tilt=across_speed / along_speed,
    )


@out_of_reach
def crossing_gradient(
    speed_mps: ArrayLike,
    angle_rad: ArrayLike,
    drag_per_m: ArrayLike,
    along_m: ArrayLike,
    slope_rad: ArrayLike = 0.0,
) -> Gradient:
    """Height at the crossing in still air, with its derivatives by hand.

    Parameters
    ----------
    speed_mps, angle_rad, drag_per_m, along_m, slope_rad : (...) array
        As for ``crossing``.

    Returns
    -------
    Gradient
        All inputs broadcast; nan where the arrow does not reach the plane.

    Source
    ------
    docs/physics.md eq. (3.9).
    """
    launch = _launch((speed_mps, angle_rad, drag_per_m, along_m, slope_rad), None)
    fall, at, rest_s = _find_fall(launch)
    fall = fall + rest_s * G / at.airspeed_level
    p0, sin, cos = launch.slope, launch.sin, launch.cos
    slope = p0[..., None] - fall[..., None] * _NODES
    fallen = (_antiderivative(p0)[..., None] - _antiderivative(slope)) / G
    square = 1.0 / (launch.inverse[..., None] + launch.thinning[..., None] * G * fallen)
    minus = -np.square(square)  # what a change of 1/v_x² does to v_x²
    stretch = np.sqrt(1.0 + p0 * p0)[..., None] - np.sqrt(1.0 + slope * slope)
    bend = 2.0 * launch.thinning[..., None] * stretch
    run, up = _sum(square), _sum(square * slope)
    run_w, up_w = _sum(minus), _sum(minus * slope)
    run_k, up_k = _sum(minus * fallen), _sum(minus * fallen * slope)
    run_p, up_p = _sum(minus * bend), _sum(minus * bend * slope + square)
    scale = fall / G
    end = p0 - fall
    tilt = (end * cos - sin) / (cos + end * sin)

    def in_the_plane(run_by: Floats, up_by: Floats) -> Floats:
        along_by = run_by * cos + up_by * sin
        return np.asarray(scale * (up_by * cos - run_by * sin - tilt * along_by), np.float64)

    w_by_speed = -2.0 * launch.inverse / np.asarray(speed_mps)
    w_by_p0 = 2.0 * p0 * launch.inverse / (1.0 + p0 * p0)
    by_p0 = in_the_plane(run_p + run_w * w_by_p0, up_p + up_w * w_by_p0)
    return Gradient(
        across_m=scale * (up * cos - run * sin),
        by_speed=in_the_plane(run_w * w_by_speed, up_w * w_by_speed),
        by_angle=by_p0 * (1.0 + p0 * p0),
        by_drag=in_the_plane(run_k, up_k),
        by_along=tilt,
    )
