"""Geometry drawn afresh with points and turns in the plane, and compared with our formulas.

Source: plane geometry. Points are complex numbers: the real axis is the arrow at full draw, the
eye stands over the origin.
"""

import cmath

import numpy as np
import pytest

from tapewright.sight.bow import SightedBow
from tapewright.sight.pins import pin_drops
from tapewright.sight.prediction import impact, mark, sight_angle
from tapewright.sight.scale import Scale

YARD_M = 0.9144
EYE_M, RADIUS_M, ARM_M = 0.115, 0.84, 0.12
GAIN = 1.6  # reading per travel
LEVEL_READING_M, ZERO_READING_M = 0.060, 0.010
READINGS_M = np.linspace(-0.02, 0.14, 33)


def swinging(below_m=0.0):
    return Scale(
        ZERO_READING_M, GAIN * RADIUS_M, RADIUS_M,
        arm_length_m=ARM_M, arm_level_reading_m=LEVEL_READING_M,
    ), below_m  # fmt: skip


def drawn_tangent(reading, below):
    """Pivot, arm and pin drawn; the slope of the line from the eye through the pin."""
    pin_when_level = RADIUS_M + 1j * (EYE_M - (LEVEL_READING_M - ZERO_READING_M) / GAIN)
    pivot = pin_when_level - ARM_M
    arm = ARM_M * cmath.exp(-1j * (reading - LEVEL_READING_M) / (GAIN * ARM_M))
    sight = pivot + arm - 1j * below - 1j * EYE_M
    return -sight.imag / sight.real


@pytest.mark.parametrize("below", [0.0, 0.011])
def test_pin_on_an_arm_stands_where_it_is_drawn(ledger, below):
    scale, _ = swinging()
    drawn = np.array([drawn_tangent(reading, below) for reading in READINGS_M])
    off = 1000 * RADIUS_M * np.abs(scale.tangent(READINGS_M, below) - drawn).max()
    what = f"Pin on an arm, {1000 * below:.0f} mm under the first"
    ledger(what, "drawn with points", len(READINGS_M), off, 1e-9, "mm of travel")
    back = 1000 * np.abs(scale.reading(drawn, below) - READINGS_M).max()
    ledger(f"{what}, reading back", "drawn with points", len(READINGS_M), back, 1e-5, "mm")


def test_a_long_arm_is_a_straight_slide(ledger):
    straight = Scale(ZERO_READING_M, GAIN * RADIUS_M, RADIUS_M)
    tangents = straight.tangent(READINGS_M, 0.005)
    off = []
    for arm in (10.0, 100.0, 1000.0):
        scale = Scale(ZERO_READING_M, GAIN * RADIUS_M, RADIUS_M, arm, LEVEL_READING_M)
        worst = np.abs(scale.tangent(READINGS_M, 0.005) - tangents).max() * RADIUS_M
        # The arc leaves its tangent by travel² / 2 arm toward the archer: 0.05² / 2 / arm.
        assert worst < 0.05**2 / 2 / arm * 0.15
        off.append(worst * arm)
    assert np.ptp(off) < 0.05 * max(off)  # falls as one over the arm's length
    ledger("Straight slide, and an arm of 1 km", "limit", 33, 1000 * worst, 0.001, "mm of travel")


def test_launch_point_is_where_the_bow_is_drawn(ledger):
    """A flight so fast that it is straight: the impact is a matter of triangles alone."""
    ahead, off = 1.2, []
    bow = SightedBow(3e5, 1e-9, EYE_M, ahead, Scale(0.0, RADIUS_M, RADIUS_M))
    for angle in np.radians([-2.0, 0.0, 1.0, 3.0, 6.0]):
        turn = cmath.exp(1j * angle)
        start = (ahead - 1j * EYE_M) * turn  # from the eye, line of sight along the real axis
        for distance in (5.0, 20.0, 70.0):
            drawn = start.imag + (distance - start.real) * np.tan(angle)
            reading = RADIUS_M * np.tan(angle)
            off.append(abs(float(impact(bow, distance, reading)[1]) - drawn))
    # at 300 km/s gravity bends 70 m by a quarter of a micrometre
    ledger(
        "Straight flight from the bow", "drawn with points", len(off), 1000 * max(off), 1e-3, "mm"
    )


def test_pin_gaps_are_gaps_of_a_sliding_pin(ledger):
    """A fixed pin of its own distance sits where the one movable pin would stand."""
    scale = Scale(ZERO_READING_M, GAIN * RADIUS_M, RADIUS_M)
    bow = SightedBow(85.0, 0.002, EYE_M, 1.2, scale)
    distances = np.array([20, 30, 40, 50, 60]) * YARD_M
    drops = pin_drops(bow, distances)
    moved = (mark(bow, distances) - mark(bow, distances[0])) / GAIN
    drawn = RADIUS_M * (
        np.tan(sight_angle(bow, distances)) - np.tan(sight_angle(bow, distances[0]))
    )
    off = max(np.abs(drops - moved).max(), np.abs(drops - drawn).max())
    ledger("Gaps of a five-pin sight", "a sliding pin", len(drops), 1000 * off, 1e-6, "mm")


def test_correction_of_an_inch_at_twenty_yards(ledger):
    """Similar triangles: 25.4 mm at 20 yd and a pin at 0.85 m are 1.18056 mm of travel."""
    bow = SightedBow(3e5, 1e-9, 0.1, 0.0, Scale(0.0, 0.85, 0.85))
    low = float(impact(bow, 20 * YARD_M, 0.0)[1])
    high = float(impact(bow, 20 * YARD_M, 1.18056e-3)[1])
    ledger("Hit moved by 1.18056 mm of travel", "similar triangles", 1,
           abs(1000 * (high - low) - 25.4), 0.001, "mm")  # fmt: skip
