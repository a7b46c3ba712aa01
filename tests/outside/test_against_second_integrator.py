"""Our flights against another method at a tighter tolerance: SciPy's DOP853 at 1e-12.

It is integrated in distance along the line of aim, so that its last step ends in the target plane;
an event found by dense output would be less exact than our own answer. Its derivatives come from
a complex step through the whole integration, which loses no digits.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tapewright.flight.air import Air
from tapewright.flight.drag import TransitionDrag, constant_drag, drag_per_metre, reynolds_number
from tapewright.flight.steps import crossing_by_steps
from tapewright.flight.trajectory import (
    Wind,
    crossing,
    crossing_gradient,
    height_on_the_level,
)

G = 9.80665
FARTHEST_M = 114.3  # 125 yd
RIGS = 120
ALLOWED_MM = 0.01


def flown(speed, angle, drag, along, slope=0.0, *, wind=(0.0, 0.0)):
    """State at the plane: along, across, right, time, velocities; ``drag`` may be a law."""
    sin, cos = np.sin(slope), np.cos(slope)
    blow = np.array([wind[0] * cos, -wind[0] * sin, wind[1]])
    gravity = np.array([-G * sin, -G * cos, 0.0])

    def rates(_, state):
        velocity = state[2 + 1 :]
        through = velocity - blow
        airspeed = np.sqrt((through * through).sum())
        k = drag(airspeed) if callable(drag) else drag
        push = gravity - k * airspeed * through
        return np.concatenate([velocity[1:], [1.0], push]) / velocity[0]

    start = np.array([0, 0, 0, speed * np.cos(angle), speed * np.sin(angle), 0], dtype=complex)
    if not np.iscomplexobj(np.array([speed, angle, drag if not callable(drag) else 0.0, along])):
        start = start.real
    end = along.real if isinstance(along, complex) else along
    found = solve_ivp(rates, (0.0, end), start, method="DOP853", rtol=1e-12, atol=1e-13)
    assert found.success
    return found.y[:, -1]


def rigs():
    """Random rigs that aim, with an arrow that keeps half its speed.

    Wilder ones would only test what nobody shoots: steeply uphill an arrow may not arrive at all.
    """
    rng = np.random.default_rng(20240501)
    found = 0
    while found < RIGS:
        speed, along = rng.uniform(45.0, 105.0), rng.uniform(3.0, FARTHEST_M)
        drag = np.exp(rng.uniform(np.log(0.0008), np.log(0.004)))
        slope = np.radians(rng.uniform(-60.0, 60.0))
        gust, heading = rng.uniform(0.0, 8.0), rng.uniform(0.0, 2 * np.pi)
        if found % 10 == 0:
            along = FARTHEST_M
        left = speed**2 * np.exp(-2 * drag * along) - 2 * G * along * np.sin(slope)
        if left < (0.5 * speed) ** 2:
            continue
        found += 1
        wind = (gust * np.cos(heading), gust * np.sin(heading))
        yield speed, drag, along, slope, wind, rng.uniform(-0.02, 0.02)


def aimed(speed, drag, along, slope, off):
    """Launch angle of an arrow that passes within a couple of metres of the aim."""
    drop = 0.5 * G * np.cos(slope) * (along / speed) ** 2 * (1 + 2 * drag * along / 3)
    return np.arctan(drop / along) + off


def test_crossing_in_still_air(ledger):
    off = []
    for speed, drag, along, slope, _, miss in rigs():
        angle = aimed(speed, drag, along, slope, miss)
        state = flown(speed, angle, drag, along, slope)
        at = crossing(speed, angle, drag, along, slope)
        off.append(abs(float(at.across_m) - state[0]))
        assert float(at.time_s) == pytest.approx(state[2], abs=1e-7)  # s
        assert float(at.speed_mps) == pytest.approx(np.linalg.norm(state[3:]), abs=1e-3)
        # speed and tilt are those of the end of Newton's steps, at most 10 µs from the plane
        assert float(at.tilt) == pytest.approx(state[4] / state[3], abs=1e-5)
    worst = 1000 * max(off)
    ledger("Impact on slopes to ±60°", "DOP853 at 1e-12", len(off), worst, ALLOWED_MM, "mm")


def test_crossing_in_wind(ledger):
    off = []
    for speed, drag, along, slope, wind, miss in rigs():
        angle = aimed(speed, drag, along, slope, miss)
        state = flown(speed, angle, drag, along, slope, wind=wind)
        at = crossing(speed, angle, drag, along, slope, Wind(*wind))
        off += [abs(float(at.across_m) - state[0]), abs(float(at.right_m) - state[1])]
    worst = 1000 * max(off)
    ledger("Impact in wind to 8 m/s", "DOP853 at 1e-12", RIGS, worst, ALLOWED_MM, "mm")


def test_height_on_the_level(ledger):
    off = []
    for speed, drag, along, _, _, miss in rigs():
        angle = aimed(speed, drag, along, 0.0, miss)
        ours = height_on_the_level(speed, angle, drag, along)
        off.append(abs(float(ours) - flown(speed, angle, drag, along)[0]))
    worst = 1000 * max(off)
    ledger("Impact on the level, fastest path", "DOP853 at 1e-12", RIGS, worst, ALLOWED_MM, "mm")


MASS_KG, DIAMETER_M, AIR = 0.0227, 6.0e-3, Air(288.15, 101325.0, 0.5)


def law_of_speed(law):
    per_coefficient = float(drag_per_metre(AIR.density_kg_m3, 1.0, DIAMETER_M, MASS_KG))

    def drag(airspeed):
        reynolds = reynolds_number(airspeed, DIAMETER_M, AIR.density_kg_m3, AIR.viscosity_pa_s)
        return per_coefficient * float(law(reynolds))

    return drag


@pytest.mark.parametrize(
    ("name", "law"),
    [("constant", constant_drag(2.1)), ("changing", TransitionDrag(1.8e4))],
)
def test_crossing_by_steps(ledger, name, law):
    off = []
    for speed, _, along, slope, wind, miss in rigs():
        angle = aimed(speed, 0.0016, along, slope, miss)
        state = flown(speed, angle, law_of_speed(law), along, slope, wind=wind)
        arrow = (MASS_KG, DIAMETER_M, law, AIR)
        at = crossing_by_steps(speed, angle, *arrow, along, slope, Wind(*wind))
        off += [abs(float(at.across_m) - state[0]), abs(float(at.right_m) - state[1])]
    worst = 1000 * max(off)
    what = f"Impact in wind, {name} coefficient, by steps"
    ledger(what, "DOP853 at 1e-12", RIGS, worst, ALLOWED_MM, "mm")


def test_derivatives(ledger):
    """As millimetres on the target for a change that a rig sheet may leave open."""
    h = 1e-9  # of a complex step: the error is its square
    speeds, angles, drags, tilts = [], [], [], []
    for speed, drag, along, slope, _, miss in list(rigs())[:40]:
        angle = aimed(speed, drag, along, slope, miss)
        ours = crossing_gradient(speed, angle, drag, along, slope)
        by_speed = flown(speed + 1j * h, angle, drag, along, slope)[0].imag / h
        by_angle = flown(speed, angle + 1j * h, drag, along, slope)[0].imag / h
        by_drag = flown(speed, angle, drag + 1j * h, along, slope)[0].imag / h
        state = flown(speed, angle, drag, along, slope)
        speeds.append(abs(float(ours.by_speed) - by_speed) * 1.0)
        angles.append(abs(float(ours.by_angle) - by_angle) * 1e-3)
        drags.append(abs(float(ours.by_drag) - by_drag) * 5e-4)
        tilts.append(abs(float(ours.by_along) - state[4] / state[3]) * 0.5)
        assert float(ours.across_m) == pytest.approx(state[0], abs=1e-7)  # m
    # 0.001 mm of a change that itself is some tens of centimetres
    for what, off in [
        ("Derivative by speed, for 1 m/s", speeds),
        ("Derivative by angle, for 1 mrad", angles),
        ("Derivative by drag, for 0.0005 per metre", drags),
        ("Derivative by distance, for half a metre", tilts),
    ]:
        ledger(what, "complex step, DOP853", len(off), 1000 * max(off), 0.001, "mm")
