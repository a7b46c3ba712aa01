import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tapewright.sight.scale import Scale

LAW = settings(deadline=None, derandomize=True, max_examples=80)
zeros = st.floats(-0.02, 0.03)
gains = st.floats(0.7, 2.5) | st.floats(-2.5, -0.7)
readings = st.floats(-0.03, 0.06)
belows = st.floats(0.0, 0.03)
arms = st.floats(0.08, 0.3)


def swinging(zero, gain, arm):
    """With the arm level where the first pin usually stands: 3 cm from the zero."""
    return Scale(zero, gain, 0.85, arm, zero + 0.03 * np.sign(gain))


@LAW
@given(zeros, gains, readings, belows)
def test_reading_returns_from_its_own_tangent(zero, gain, reading, below):
    scale = Scale(zero, gain, 0.85)
    assert float(scale.reading(scale.tangent(reading, below), below)) == pytest.approx(
        reading, abs=1e-12
    )


@LAW
@given(zeros, gains, st.floats(-0.06, 0.06), belows, arms)
def test_reading_on_an_arm_returns_from_its_own_tangent(zero, gain, off, below, arm):
    scale = swinging(zero, gain, arm)
    reading = scale.arm_level_reading_m + off * abs(gain) / 0.85
    back = float(scale.reading(scale.tangent(reading, below), below))
    assert back == pytest.approx(reading, abs=1e-8)  # a hundred-thousandth of a millimetre


@LAW
@given(zeros, gains, readings, belows)
def test_mirrored_numbers_mirror_the_readings(zero, gain, reading, below):
    scale, mirrored = Scale(zero, gain, 0.85), Scale(-zero, -gain, 0.85)
    assert float(mirrored.tangent(-reading, below)) == pytest.approx(
        float(scale.tangent(reading, below)), abs=1e-12
    )


@LAW
@given(zeros, gains, readings, belows, arms)
def test_mirrored_numbers_mirror_the_readings_of_an_arm(zero, gain, reading, below, arm):
    scale = swinging(zero, gain, arm)
    mirrored = Scale(-zero, -gain, 0.85, arm, -scale.arm_level_reading_m)
    assert float(mirrored.tangent(-reading, below)) == pytest.approx(
        float(scale.tangent(reading, below)), abs=1e-12
    )


@LAW
@given(zeros, gains, readings, st.floats(0.001, 0.03))
def test_a_lower_pin_needs_a_nearer_reading(zero, gain, reading, below):
    scale = Scale(zero, gain, 0.85)
    tangent = float(scale.tangent(reading))
    moved = float(scale.reading(tangent, below)) - reading
    assert moved == pytest.approx(-below * gain / 0.85, abs=1e-12)
    assert scale.tangent(reading, below) > tangent


def derivative(function, at, step=1e-5):
    return float(function(at + step) - function(at - step)) / (2 * step)


@pytest.mark.parametrize("arm", [None, 0.12])
@pytest.mark.parametrize("gain", [1.4, -1.4])
@pytest.mark.parametrize("below", [0.0, 0.012])
def test_derivatives_are_what_small_changes_do(arm, gain, below):
    zero, level, reading = 0.01, 0.05 * np.sign(gain), 0.035 * np.sign(gain)
    scale = Scale(zero, gain, 0.85, arm, level)
    # Differences of double precision over 1e-5 are good to 1e-9.
    assert float(scale.by_reading(reading, below)) == pytest.approx(
        derivative(lambda s: scale.tangent(s, below), reading), abs=1e-8
    )
    assert float(scale.by_zero(reading)) == pytest.approx(
        derivative(lambda z: Scale(z, gain, 0.85, arm, level).tangent(reading, below), zero),
        abs=1e-8,
    )
    assert float(scale.by_log_gain(reading, below)) == pytest.approx(
        derivative(
            lambda log: Scale(zero, gain * np.exp(log), 0.85, arm, level).tangent(reading, below),
            0.0,
        ),
        abs=1e-8,
    )


def test_an_angle_that_no_turn_of_the_arm_reaches_gives_no_number():
    scale = swinging(0.0, 1.4, 0.08)
    found = scale.reading(np.array([0.02, 0.9]))
    assert np.isfinite(found[0])
    assert np.isnan(found[1])


def test_draws_of_a_scale_broadcast():
    draws = Scale(np.zeros((4, 1)), np.full((4, 1), 1.4), 0.85)
    assert draws.tangent(np.zeros(3)).shape == (4, 3)
    assert draws.by_reading(np.zeros(3)).shape == (4, 3)
    assert draws.by_zero(np.zeros(3)).shape == (4, 3)
    assert draws.by_log_gain(np.zeros(3)).shape == (4, 3)
    assert draws.reading(np.zeros(3)).shape == (4, 3)


@pytest.mark.parametrize("arm", [None, 0.12])
@pytest.mark.parametrize("gain", [1.4, -1.4])
def test_drop_and_reading_at_drop_undo_each_other(arm, gain):
    scale = Scale(0.01, gain, 0.85, arm, 0.03 * np.sign(gain))
    readings = np.linspace(-0.02, 0.1, 13) * np.sign(gain)
    assert scale.reading_at_drop(scale.drop(readings)) == pytest.approx(readings, abs=1e-12)


def test_drop_of_a_straight_slide_is_travel_and_grows_toward_far_targets():
    scale = Scale(0.01, 1.7, 0.85)  # 2 mm of reading per mm of travel
    assert scale.drop(np.array([0.01, 0.03])) == pytest.approx([0.0, 0.01], abs=1e-15)
    assert float(Scale(0.01, -1.7, 0.85).drop(-0.01)) == pytest.approx(0.01, abs=1e-15)


def test_an_arm_goes_no_lower_than_straight_down():
    scale = Scale(0.0, 0.85, 0.85, 0.12, 0.0)  # 1 mm of reading per mm of arc
    lowest = float(scale.reading_at_drop(0.5))
    assert lowest == pytest.approx(0.12 * np.pi / 2, abs=1e-12)
    assert float(scale.drop(lowest)) == pytest.approx(0.12, abs=1e-12)
    assert float(scale.reading_at_drop(-0.5)) == pytest.approx(-lowest, abs=1e-12)
