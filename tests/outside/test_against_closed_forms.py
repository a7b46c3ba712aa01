"""Flights whose answer is a formula, or a table worked out by two other methods.

Source: vacuum ballistics; vertical quadratic drag; the hodograph of quadratic drag (Euler) as in
[BOR13]; flat fire and its range by Lambert's W [WAR10]; Didion's lag rule and arc factor (from
memory). The printed tables below were worked out by an ODE solver at 1e-13 and by quadrature in
the slope angle, which agreed to every digit shown; ``hodograph`` recomputes them with mpmath.
"""

from math import atan, cos, exp, log, pi, radians, sqrt, tan

import mpmath
import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import lambertw
from written_out import STANDARD_AIR

from tapewright.flight.drag import constant_drag
from tapewright.flight.steps import crossing_by_steps
from tapewright.flight.trajectory import (
    Wind,
    crossing,
    height_on_the_level,
)
from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import Aim, sight_angle
from tapewright.sight.scale import Scale

YARD_M = 0.9144
G = 9.80665

# speed m/s, angle °, drag 1/m, g, then: range m, time s, impact speed m/s, impact angle °.
# Row 4 is a teaching exercise of the Univ. del País Vasco, row 5 Taylor's Classical Mechanics
# (set-ups only; neither prints these digits).
LEVEL = Aim()  # a level line of sight, calm, in the rig's own air
LEVEL_RANGES = [
    (85.0, 2.0, 0.002, 9.80665, 48.14638974, 0.59496496, 77.20166420, -2.132463),
    (85.0, 5.0, 0.002, 9.80665, 109.87089877, 1.45136696, 68.29763711, -5.783401),
    (85.0, 45.0, 0.002, 9.80665, 369.80100907, 9.88875371, 48.38955985, -60.250673),
    (60.0, 45.0, 0.0025, 9.8, 223.27294569, 7.45301018, 39.19516026, -56.649841),
    (30.0, 50.0, 9.8 / 35**2, 9.8, 58.51572406, 4.11476991, 21.07494219, -59.759168),
    (50.0, 60.0, 0.00613125, 9.80665, 103.59009361, 6.91733090, 29.63942655, -72.087346),
]
# speed m/s, drag 1/m, then launch angle in rad that hits a level point at 20, 40 ... 100 yd.
LAUNCH_ANGLES = [
    (85.00, 0.0020, (0.012720988, 0.026090878, 0.040158201, 0.054977822, 0.070612301)),
    (91.44, 0.0015, (0.010924410, 0.022263339, 0.034041081, 0.046284478, 0.059023350)),
    (76.20, 0.0025, (0.015927942, 0.032883449, 0.050965139, 0.070288537, 0.090990940)),
    (60.00, 0.0015, (0.025381702, 0.051784592, 0.079339116, 0.108204356, 0.138578047)),
]
# Launched level at 85 m/s, drag 0.002 1/m: yd, time s, drop m, flat-fire drop m, speed m/s.
LEVEL_LAUNCH = [
    (20, 0.21913629, 0.23261633, 0.23261615, 81.974055),
    (40, 0.44643940, 0.95386685, 0.95386037, 79.114228),
    (60, 0.68222328, 2.20087035, 2.20081664, 76.421107),
    (80, 0.92682274, 4.01363058, 4.01338337, 73.895872),
    (100, 1.18059702, 6.43531162, 6.43448705, 71.540254),
]


def hodograph(speed, angle_deg, drag, g):
    """Level range, time and impact speed in 30 digits, integrated over the slope angle."""
    mpmath.mp.dps = 30
    v, k, g = mpmath.mpf(speed), mpmath.mpf(drag), mpmath.mpf(g)
    start = mpmath.radians(mpmath.mpf(angle_deg))
    arc = lambda a: (mpmath.sec(a) * mpmath.tan(a) + mpmath.asinh(mpmath.tan(a))) / 2  # noqa: E731
    level = v * mpmath.cos(start)

    def square(a):  # of the horizontal speed
        return 1 / (1 / level**2 + 2 * k / g * (arc(start) - arc(a)))

    def over(weight, end):
        return mpmath.quad(lambda a: weight(a) / mpmath.cos(a) ** 2 / g, [end, 0, start])

    end = mpmath.findroot(lambda e: over(lambda a: square(a) * mpmath.tan(a), e), -1.2 * start)
    time = over(lambda a: mpmath.sqrt(square(a)), end)
    return over(square, end), time, mpmath.sqrt(square(end)) / mpmath.cos(end)


def test_vacuum_range(ledger):
    off = []
    for speed in (45.0, 60.0, 85.0, 105.0):
        for angle_deg in (1.0, 2.0, 5.0, 10.0):
            angle = radians(angle_deg)
            range_m = speed**2 * np.sin(2 * angle) / G
            at = crossing(speed, angle, 1e-12, range_m)
            off += [abs(at.across_m), abs(height_on_the_level(speed, angle, 1e-12, range_m))]
            assert at.time_s == pytest.approx(2 * speed * np.sin(angle) / G, abs=1e-8)
            assert at.speed_mps == pytest.approx(speed, abs=1e-6)
            assert at.tilt == pytest.approx(-tan(angle), abs=1e-8)
    ledger("Level range in vacuum", "v² sin 2θ / g", len(off), 1000 * max(off), 0.001, "mm")


def at_level_range(row):
    """Height in mm, lateness in ms, excess of speed in mm/s and of angle in ° at the range."""
    speed, angle_deg, drag, g, range_m, time_s, end_mps, end_deg = row
    # Our gravity is fixed; the same path is flown under another one at a speed scaled so.
    scale = sqrt(G / g)
    at = crossing(speed * scale, radians(angle_deg), drag, range_m)
    tilt_deg = float(np.degrees(np.arctan(at.tilt)))
    late, fast = float(at.time_s) * scale - time_s, float(at.speed_mps) / scale - end_mps
    return np.abs([1000 * float(at.across_m), 1000 * late, 1000 * fast, tilt_deg - end_deg])


def test_arrow_is_back_at_its_height_at_the_tabulated_range(ledger):
    table = np.array([at_level_range(row) for row in LEVEL_RANGES[:2]])
    height, late, fast, tilt = table.max(axis=0)
    ledger("Height at the level range", "hodograph, 2° and 5°", 2, height, 0.001, "mm")
    ledger("Time to the level range", "hodograph, 2° and 5°", 2, late, 1e-3, "ms")
    # speed and tilt are those of the end of Newton's steps, at most 10 µs from the plane
    ledger("Speed at the level range", "hodograph, 2° and 5°", 2, fast, 1.0, "mm/s")
    assert tilt < 1e-3  # degrees


def test_a_lob_is_back_at_its_height_but_for_millimetres(ledger):
    """No sight is set to 45°: eight nodes are made for the little an aimed arrow bends."""
    table = np.array([at_level_range(row) for row in LEVEL_RANGES[2:]])
    height, late, fast, _ = table.max(axis=0)
    assert late < 1.0  # ms
    assert fast < 1.0  # mm/s
    ledger("Height at the range of a lob", "hodograph, 45° to 60°", 4, height, 20.0, "mm")


def test_tabulated_ranges_are_those_of_thirty_digits():
    """The table itself is checked here, so that it rests on more than a note."""
    for speed, angle_deg, drag, g, range_m, time_s, end_mps, _ in LEVEL_RANGES[1:5:2]:
        found = hodograph(speed, angle_deg, drag, g)
        assert float(found[0]) == pytest.approx(range_m, abs=1e-8)  # as printed
        assert float(found[1]) == pytest.approx(time_s, abs=1e-8)
        assert float(found[2]) == pytest.approx(end_mps, abs=1e-8)


def test_launch_angles_are_those_of_the_table(ledger):
    off = []
    for speed, drag, angles in LAUNCH_ANGLES:
        bow = SightedBow(speed, drag, 0.0, 0.0, Scale(0.0, 1.0, 0.85))
        distances = np.array([20, 40, 60, 80, 100]) * YARD_M
        off.extend(np.abs(sight_angle(bow, distances) - angles) * distances)
    # nine decimals are printed: 5e-10 rad at 100 yd is 0.00005 mm
    ledger("Launch angle, as height", "hodograph table", len(off), 1000 * max(off), 0.001, "mm")


def test_level_launch_drops_as_tabulated(ledger):
    yards, times, drops, flat, speeds = np.array(LEVEL_LAUNCH).T
    at = crossing(85.0, 0.0, 0.002, yards * YARD_M)
    drop = 1000 * np.abs(at.across_m + drops).max()
    ledger("Drop, launched level", "hodograph table", len(drops), drop, 0.001, "mm")
    level = height_on_the_level(np.array(85.0), np.array(0.0), np.array(0.002), yards * YARD_M)
    drop = 1000 * np.abs(level + drops).max()
    ledger("Drop, launched level, fastest path", "hodograph table", len(drops), drop, 0.001, "mm")
    late = 1000 * np.abs(at.time_s - times).max()
    ledger("Time of flight", "hodograph table", len(drops), late, 1e-4, "ms")
    assert np.abs(at.speed_mps - speeds).max() < 1e-3  # m/s; at most 10 µs from the plane
    # Flat fire takes the path for as long as its shadow: it drops a little less, always.
    z = 2 * 0.002 * yards * YARD_M
    formula = G / (4 * 0.002**2 * 85.0**2) * (np.expm1(z) - z)
    assert np.abs(formula - flat).max() < 1e-7
    assert np.all(-at.across_m > formula)


def flat_fire_range(speed, angle, drag):
    """Range by Lambert's W, [WAR10]."""
    along, up = speed * cos(angle), speed * np.sin(angle)
    a = 1 + 2 * drag * along * up / G
    return float(-(1 / a + lambertw(-exp(-1 / a) / a, -1).real) / (2 * drag))


def test_level_range_lies_just_below_flat_fire(ledger):
    assert flat_fire_range(85.0, radians(2.0), 0.002) == pytest.approx(48.14713166, abs=1e-8)
    assert flat_fire_range(85.0, radians(5.0), 0.002) == pytest.approx(109.89466796, abs=1e-8)
    worst, cases = 0.0, 0
    for speed in (60.0, 85.0, 105.0):
        for drag in (0.001, 0.002, 0.004):
            for angle in np.radians([1.0, 2.0, 3.0, 5.0]):
                flat = flat_fire_range(speed, angle, drag)
                path = lambda x, v=speed, a=angle, k=drag: float(  # noqa: E731
                    height_on_the_level(np.array(v), np.array(a), np.array(k), np.array(x))
                )
                exact = brentq(path, 0.5 * flat, 1.5 * flat, xtol=1e-10)
                assert exact < flat
                # The path is longer than its shadow by θ²/6, and drag takes k R of the speed.
                worst = max(worst, (flat - exact) / (flat * angle**2 * drag * flat))
                cases += 1
    ledger("Range under flat fire's, over θ² κ R", "Lambert W range", cases, worst, 1 / 6, "share")


def test_straight_up_and_down(ledger):
    """Vertical flight has a closed form, and the house's own slopes end far below 90°."""
    arrow = (0.02268, 6.5e-3, constant_drag(2.0), STANDARD_AIR)
    k = STANDARD_AIR.density_kg_m3 * 2.0 * pi * 6.5e-3**2 / 4 / (2 * 0.02268)
    late, fast = [], []
    for along in (20.0, 50.0, 90.0, 114.3):
        for speed in (60.0, 85.0):
            up = crossing_by_steps(speed, 0.0, *arrow, along, pi / 2)
            end = sqrt((speed**2 + G / k) * exp(-2 * k * along) - G / k)
            terminal = sqrt(G / k)
            time = (atan(speed / terminal) - atan(end / terminal)) / sqrt(G * k)
            late.append(abs(float(up.time_s) - time))
            fast.append(abs(float(up.speed_mps) - end))
            down = crossing_by_steps(speed, 0.0, *arrow, along, -pi / 2)
            end = sqrt(G / k - (G / k - speed**2) * exp(-2 * k * along))
            fast.append(abs(float(down.speed_mps) - end))
            late.append(
                abs(
                    float(down.time_s) - fall_time(end, terminal, k) + fall_time(speed, terminal, k)
                )
            )
    ledger("Time straight up and down", "closed form", len(late), 1000 * max(late), 1e-3, "ms")
    ledger("Speed straight up and down", "closed form", len(fast), 1000 * max(fast), 0.01, "mm/s")


def fall_time(speed, terminal, k):
    """Since rest for a falling arrow, since infinity for one above its terminal speed."""
    ratio = speed / terminal
    return 0.5 * log(abs((1 + ratio) / (1 - ratio))) / sqrt(G * k)


# Launched at 2°, 85 m/s, drag 0.002 1/m: exact values by an ODE solver at 1e-13.
def test_crosswind_drift(ledger):
    cases = [(1.0, 70.0, 0.060496), (5.0, 70.0, 0.303004), (5.0, 60 * YARD_M, 0.184204)]
    off = [
        abs(float(crossing(85.0, radians(2.0), 0.002, x, 0.0, Wind(0.0, w)).right_m) - drift)
        for w, x, drift in cases
    ]
    # six decimals are printed
    ledger("Drift in a crosswind", "ODE at 1e-13", len(off), 1000 * max(off), 0.001, "mm")


def test_crosswind_drift_is_close_to_the_lag_rule(ledger):
    """Didion: drift is the wind times how much later the arrow comes than in vacuum."""
    off = []
    for wind in (1.0, 3.0, 5.0):
        for x in (20.0, 50.0, 70.0, 100.0):
            at = crossing(85.0, radians(2.0), 0.002, x, 0.0, Wind(0.0, wind))
            calm = crossing(85.0, radians(2.0), 0.002, x)
            lag = wind * (float(calm.time_s) - x / (85.0 * cos(radians(2.0))))
            off.append(abs(float(at.right_m) / lag - 1))
    # The rule leaves out that a crosswind speeds the air past the arrow: (w/v)²/2 and the like.
    ledger("Drift in a crosswind", "Didion's lag rule", len(off), 100 * max(off), 0.5, "%")


def test_tail_and_head_wind(ledger):
    calm = crossing(85.0, radians(2.0), 0.002, 70.0).across_m
    tail = crossing(85.0, radians(2.0), 0.002, 70.0, 0.0, Wind(5.0)).across_m - calm
    head = crossing(85.0, radians(2.0), 0.002, 70.0, 0.0, Wind(-5.0)).across_m - calm
    worst = max(abs(1000 * tail - 41.7), abs(1000 * head + 45.8))
    # one decimal of a millimetre is printed
    ledger("Shift by tail and head wind of 5 m/s", "ODE at 1e-13", 2, worst, 0.05, "mm")


def test_arc_factor(ledger):
    """Length of a parabola over its shadow: F(p) / 2p, Didion's factor."""
    table = {
        1: 1.000050778,
        2: 1.000203206,
        5: 1.001274250,
        10: 1.005157965,
        20: 1.021659833,
        30: 1.053063345,
        45: 1.147793575,
    }
    off = []
    for degrees, factor in table.items():
        # In a drag so weak that the path stays a parabola, the speed lost tells its length.
        angle, drag, speed = radians(degrees), 1e-7, 60.0
        apex_m = speed**2 * np.sin(2 * angle) / (2 * G)
        at = crossing(speed, angle, drag, apex_m)
        level = float(at.speed_mps) / sqrt(1 + float(at.tilt) ** 2)
        lost = (1 / level**2 - 1 / (speed * cos(angle)) ** 2) * (speed * cos(angle)) ** 2
        off.append(abs(lost / (2 * drag * apex_m) - factor))
    # as a part of the loss of speed; 1e-4 of that is a hundredth of a per cent of drag
    ledger("Length of the path over its shadow", "Didion's factor", 7, 100 * max(off), 0.01, "%")


def sighted(speed, drag, eye, distance, aim=LEVEL):
    """The bow whose launch point is square under the eye, seen from the line of sight.

    Our peep height is square to the arrow instead, so the triangle must be turned.
    """
    angle = 0.02
    for _ in range(30):
        sin, cos_ = np.sin(angle), np.cos(angle)
        bow = SightedBow(speed, drag, eye * cos_, -eye * sin, Scale(0.0, 1.0, 0.85))
        angle = float(sight_angle(bow, distance, aim))
    return angle


def test_thinner_air_and_a_faster_arrow_hit_higher(ledger):
    """Eye 0.10 m over the launch point; change of the angle needed, times the distance."""
    table = [  # yd, mm for air 10 % thinner, mm for 1 % more speed; ODE at 1e-13
        (20, 0.57, 4.59),
        (40, 4.76, 18.82),
        (60, 16.67, 43.51),
        (80, 41.07, 79.58),
    ]
    thin, fast = [], []
    for yards, thin_mm, fast_mm in table:
        x = yards * YARD_M
        usual = sighted(85.0, 0.002, 0.1, x)
        thinner = sighted(85.0, 0.002, 0.1, x, Aim(density_ratio=0.9))
        thin.append(abs(1000 * x * (usual - thinner) - thin_mm))
        fast.append(abs(1000 * x * (usual - sighted(85.85, 0.002, 0.1, x)) - fast_mm))
    # two decimals of a millimetre are printed
    ledger("Higher in air 10 % thinner", "ODE at 1e-13", len(table), max(thin), 0.006, "mm")
    ledger("Higher at 1 % more speed", "ODE at 1e-13", len(table), max(fast), 0.006, "mm")
