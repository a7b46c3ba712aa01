"""Steps: where an arrow crosses a plane under any drag law, by fixed Runge-Kutta steps.

Holds:  the equations of motion and their solution by steps; the same with derivatives.
Never:  the faster way of constant drag (trajectory.py), eyes, sights.
Source: docs/physics.md §3.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.flight.air import Air
from tapewright.flight.drag import DragLaw, DragShape, drag_per_metre, reynolds_number
from tapewright.flight.trajectory import Crossing, Gradient, Wind, out_of_reach
from tapewright.ground.constants import STANDARD_GRAVITY_MPS2 as G

Floats = NDArray[np.float64]

STEPS = 48  # 0.0002 mm at 125 yd, docs/accuracy.md
# Of the many flights of a calibration: 0.0004 mm there, 0.12 mm where a table has sharp corners.
SHAPED_STEPS = 24
NUDGE = 1e-4  # relative, of causes for derivatives


def crossing_by_steps(
    speed_mps: ArrayLike,
    angle_rad: ArrayLike,
    mass_kg: float,
    diameter_m: float,
    drag_law: DragLaw,
    air: Air,
    along_m: ArrayLike,
    slope_rad: ArrayLike = 0.0,
    wind: Wind | None = None,
) -> Crossing:
    """Where the arrow crosses a plane, for any drag law.

    Runge-Kutta of order 4 with the distance along the line of aim as independent variable, so
    the last step ends in the plane.

    Parameters
    ----------
    speed_mps, angle_rad, along_m, slope_rad : (...) array
        As for ``crossing``.
    mass_kg, diameter_m : float
        Of the arrow. [kg], [m]
    drag_law : function of the Reynolds number
        Drag coefficient on the shaft's cross-section. [-]
    air : Air
        The air.
    wind : Wind, optional
        Steady wind; absent: still air.

    Returns
    -------
    Crossing
        All inputs broadcast; nan where the arrow turns back before the plane.

    Valid for
    ---------
    Smooth drag laws, a jump in the law costs orders of accuracy; arrows that keep half their
    speed, one that all but stops uphill may be off by a millimetre.

    Source
    ------
    docs/physics.md eq. (3.1), (3.2) and (3.10).
    """
    per_coefficient = drag_per_metre(air.density_kg_m3, 1.0, diameter_m, mass_kg)

    def drag(airspeed: Floats) -> Floats:
        reynolds = reynolds_number(airspeed, diameter_m, air.density_kg_m3, air.viscosity_pa_s)
        return np.asarray(per_coefficient * drag_law(reynolds))

    return _by_steps((speed_mps, angle_rad, along_m, slope_rad), wind, drag, STEPS)


def _by_steps(
    causes: tuple[ArrayLike, ...],
    wind: Wind | None,
    drag_at: Callable[[Floats], Floats],
    steps: int,
) -> Crossing:
    """Speed, angle, along and slope to the plane; drag per metre from the airspeed; eq. (3.10)."""
    blow = Wind() if wind is None else wind
    speed, angle, along, slope, ahead_mps, right_mps = np.broadcast_arrays(
        *(np.asarray(one, np.float64) for one in (*causes, blow.ahead_mps, blow.right_mps))
    )
    sin, cos = np.sin(slope), np.cos(slope)
    wind_frame = np.stack([ahead_mps * cos, -ahead_mps * sin, right_mps])
    gravity = np.stack([-G * sin, -G * cos, np.zeros_like(cos)])

    def rates(state: Floats) -> Floats:
        velocity = state[3:]
        through_air = velocity - wind_frame
        airspeed = np.sqrt(np.square(through_air).sum(axis=0))
        push = gravity - drag_at(airspeed) * airspeed * through_air  # eq. (3.1)
        by_time = np.concatenate([velocity[1:], np.ones_like(airspeed)[None], push])
        return np.asarray(by_time / velocity[0], dtype=np.float64)

    zero = np.zeros_like(along)
    state = np.stack([zero, zero, zero, speed * np.cos(angle), speed * np.sin(angle), zero])
    step, slowest = along / steps, state[3]
    for _ in range(steps):
        one = rates(state)
        two = rates(state + 0.5 * step * one)
        three = rates(state + 0.5 * step * two)
        four = rates(state + step * three)
        state = state + step / 6.0 * (one + 2.0 * (two + three) + four)
        slowest = np.minimum(slowest, state[3])
    state = np.where(slowest > 0.0, state, np.nan)  # it turned back before the plane
    across, right, time, along_speed, across_speed, right_speed = state
    return Crossing(
        across_m=across,
        right_m=right,
        time_s=time,
        speed_mps=np.sqrt(along_speed**2 + across_speed**2 + right_speed**2),
        tilt=across_speed / along_speed,
    )


@out_of_reach
def shaped_crossing(
    shape: DragShape,
    speed_mps: ArrayLike,
    angle_rad: ArrayLike,
    drag_per_m: ArrayLike,
    along_m: ArrayLike,
    slope_rad: ArrayLike = 0.0,
    wind: Wind | None = None,
    density_ratio: ArrayLike = 1.0,
) -> Crossing:
    """Where the arrow crosses a plane, with a drag that changes as it slows.

    Parameters
    ----------
    shape : DragShape
        How it changes.
    speed_mps, angle_rad, along_m, slope_rad, wind
        As for ``crossing``.
    drag_per_m : (...) array
        Drag per metre at 60 m/s, in this air. [1/m]
    density_ratio : (...) array, default 1
        Density of this air over that of the rig's own. [-]

    Returns
    -------
    Crossing
        All inputs broadcast; nan where the arrow does not reach the plane.

    Source
    ------
    docs/physics.md eq. (1.5), (3.10).
    """
    speed, angle, along, slope, drag, ratio = np.broadcast_arrays(
        *(
            np.asarray(one, np.float64)
            for one in (speed_mps, angle_rad, along_m, slope_rad, drag_per_m, density_ratio)
        )
    )
    return _by_steps(
        (speed, angle, along, slope),
        wind,
        lambda airspeed: drag * shape.share(airspeed, ratio),
        SHAPED_STEPS,
    )


def shaped_gradient(
    shape: DragShape,
    speed_mps: ArrayLike,
    angle_rad: ArrayLike,
    drag_per_m: ArrayLike,
    along_m: ArrayLike,
    slope_rad: ArrayLike = 0.0,
    density_ratio: ArrayLike = 1.0,
) -> Gradient:
    """Height at the crossing in still air, with its derivatives by small steps either way.

    Parameters
    ----------
    shape, speed_mps, angle_rad, drag_per_m, along_m, slope_rad, density_ratio
        As for ``shaped_crossing``.

    Returns
    -------
    Gradient
        All inputs broadcast; nan where the arrow does not reach the plane.

    Source
    ------
    docs/physics.md eq. (3.9), its differences.
    """
    causes = np.broadcast_arrays(
        *(
            np.asarray(one, np.float64)
            for one in (speed_mps, angle_rad, drag_per_m, along_m, slope_rad, density_ratio)
        )
    )
    speed, angle, drag, along, slope, ratio = causes
    steps = (NUDGE * speed, np.full_like(angle, NUDGE), NUDGE * drag)
    nudged = np.repeat(np.stack([speed, angle, drag])[:, None], 7, axis=1)
    for cause, step in enumerate(steps):
        nudged[cause, 1 + 2 * cause] += step
        nudged[cause, 2 + 2 * cause] -= step
    found = shaped_crossing(shape, nudged[0], nudged[1], nudged[2], along, slope, None, ratio)
    by_speed, by_angle, by_drag = (
        (found.across_m[1 + 2 * cause] - found.across_m[2 + 2 * cause]) / (2.0 * step)
        for cause, step in enumerate(steps)
    )
    return Gradient(found.across_m[0], by_speed, by_angle, by_drag, found.tilt[0])
