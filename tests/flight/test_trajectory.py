import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from written_out import STANDARD_AIR

from tapewright.flight.drag import constant_drag, drag_per_metre
from tapewright.flight.steps import crossing_by_steps
from tapewright.flight.trajectory import (
    Wind,
    crossing,
    crossing_gradient,
    height_on_the_level,
)

PIECE = 4096  # flights that are computed at a time

G = 9.80665
LAW = settings(deadline=None, derandomize=True, max_examples=80)
speeds = st.floats(45.0, 105.0)
drags = st.floats(0.0008, 0.004)
alongs = st.floats(3.0, 114.0)
angles = st.floats(-0.02, 0.1)
slopes = st.floats(-0.8, 0.8)
winds = st.floats(-8.0, 8.0)
WITHIN_M = 1e-6  # a thousandth of a millimetre


def level(*causes):
    return height_on_the_level(*(np.asarray(cause) for cause in causes))


@LAW
@given(speeds, angles, alongs, slopes)
def test_without_drag_the_path_is_a_parabola(speed, angle, along, slope):
    # Seen along the slope: x = v t cos a − g t² sin s / 2, y = v t sin a − g t² cos s / 2.
    a, b = 0.5 * G * np.sin(slope), speed * np.cos(angle)
    inside = b * b - 4 * a * along
    assume(inside > 0.2 * b * b)
    time = 2 * along / (b + np.sqrt(inside))
    at = crossing(speed, angle, 1e-13, along, slope)
    drawn = speed * time * np.sin(angle) - 0.5 * G * np.cos(slope) * time**2
    assert float(at.across_m) == pytest.approx(drawn, abs=WITHIN_M)
    assert float(at.time_s) == pytest.approx(time, abs=1e-8)


@LAW
@given(speeds, drags, angles, alongs)
def test_more_drag_drops_more(speed, drag, angle, along):
    assert level(speed, angle, 1.05 * drag, along) < level(speed, angle, drag, along)


@LAW
@given(speeds, drags, angles, alongs)
def test_a_faster_arrow_drops_less(speed, drag, angle, along):
    assert level(1.01 * speed, angle, drag, along) > level(speed, angle, drag, along)


@LAW
@given(speeds, drags, angles, alongs)
def test_both_ways_over_level_ground_agree(speed, drag, angle, along):
    assume(drag * along < 0.35 and along < speed)
    at = crossing(speed, angle, drag, along)
    assert level(speed, angle, drag, along) == pytest.approx(float(at.across_m), abs=WITHIN_M)


@LAW
@given(speeds, drags, angles, alongs, slopes)
def test_no_wind_is_a_wind_of_nothing(speed, drag, angle, along, slope):
    assume(speed > 60)
    calm = crossing(speed, angle, drag, along, slope)
    same = crossing(speed, angle, drag, along, slope, Wind())
    assert float(same.across_m) == pytest.approx(float(calm.across_m), abs=1e-9)
    assert float(same.right_m) == 0.0


@LAW
@given(speeds, drags, angles, alongs, winds, winds)
def test_a_mirrored_wind_mirrors_the_drift(speed, drag, angle, along, ahead, right):
    one = crossing(speed, angle, drag, along, 0.1, Wind(ahead, right))
    other = crossing(speed, angle, drag, along, 0.1, Wind(ahead, -right))
    assert float(one.right_m) == pytest.approx(-float(other.right_m), abs=1e-12)
    assert float(one.across_m) == pytest.approx(float(other.across_m), abs=1e-12)


@LAW
@given(speeds, drags, alongs)
def test_an_arrow_drifts_with_the_wind_and_less_than_it(speed, drag, along):
    at = crossing(speed, 0.02, drag, along, 0.0, Wind(0.0, 3.0))
    assert 0.0 < float(at.right_m) < 3.0 * float(at.time_s)


@LAW
@given(speeds, drags, alongs)
def test_a_tail_wind_carries_higher_than_a_head_wind(speed, drag, along):
    # launched level: while an arrow still climbs, the later one may be the higher
    tail = crossing(speed, 0.0, drag, along, 0.0, Wind(4.0))
    head = crossing(speed, 0.0, drag, along, 0.0, Wind(-4.0))
    assert tail.across_m > head.across_m
    assert tail.time_s < head.time_s


@LAW
@given(speeds, drags, angles, alongs, slopes, winds, winds)
def test_steps_and_quadrature_agree(speed, drag, angle, along, slope, ahead, right):
    assume(speed**2 * np.exp(-2 * drag * along) - 2 * G * along * np.sin(slope) > speed**2 / 4)
    one = drag_per_metre(STANDARD_AIR.density_kg_m3, 1.0, 6e-3, 0.023)
    law, wind = constant_drag(drag / float(one)), Wind(ahead, right)
    by_steps = crossing_by_steps(speed, angle, 0.023, 6e-3, law, STANDARD_AIR, along, slope, wind)
    at = crossing(speed, angle, drag, along, slope, wind)
    assert float(by_steps.across_m) == pytest.approx(float(at.across_m), abs=WITHIN_M)
    assert float(by_steps.right_m) == pytest.approx(float(at.right_m), abs=WITHIN_M)
    assert float(by_steps.time_s) == pytest.approx(float(at.time_s), abs=1e-7)
    assert float(by_steps.speed_mps) == pytest.approx(float(at.speed_mps), abs=1e-3)
    assert float(by_steps.tilt) == pytest.approx(float(at.tilt), abs=1e-5)


def test_steps_in_still_air_are_steps_in_no_wind():
    arrow = (0.023, 6e-3, constant_drag(2.0), STANDARD_AIR)
    calm = crossing_by_steps(80.0, 0.03, *arrow, 50.0)
    assert calm.across_m == crossing_by_steps(80.0, 0.03, *arrow, 50.0, 0.0, Wind()).across_m


@LAW
@given(st.floats(60.0, 105.0), drags, angles, alongs, slopes)
def test_gradient_is_what_small_changes_do(speed, drag, angle, along, slope):
    by = crossing_gradient(speed, angle, drag, along, slope)

    def change(step, *moves):
        up = crossing(speed + step * moves[0], angle + step * moves[1],
                      drag + step * moves[2], along + step * moves[3], slope)  # fmt: skip
        down = crossing(speed - step * moves[0], angle - step * moves[1],
                        drag - step * moves[2], along - step * moves[3], slope)  # fmt: skip
        return float(up.across_m - down.across_m) / (2 * step)

    # Differences are good to 1e-9 m over the step; each bound is far below 0.1 mm on a target.
    assert float(by.by_speed) == pytest.approx(change(1e-2, 1, 0, 0, 0), abs=1e-5)
    assert float(by.by_angle) == pytest.approx(change(1e-4, 0, 1, 0, 0), abs=1e-3)
    assert float(by.by_drag) == pytest.approx(change(1e-6, 0, 0, 1, 0), abs=5e-2)
    assert float(by.by_along) == pytest.approx(change(1e-3, 0, 0, 0, 1), abs=1e-5)


def test_everything_broadcasts():
    rig, plane = np.full((3, 1), 80.0), np.array([20.0, 40.0])
    assert level(rig, 0.02, 0.002, plane).shape == (3, 2)
    assert crossing(rig, 0.02, 0.002, plane).across_m.shape == (3, 2)
    assert crossing_gradient(rig, 0.02, 0.002, plane).by_drag.shape == (3, 2)
    gusts = Wind(np.array([0.0, 1.0]), 2.0)
    assert crossing(80.0, 0.02, 0.002, 40.0, 0.0, gusts).right_m.shape == (2,)
    arrow = (0.023, 6e-3, constant_drag(2.0), STANDARD_AIR)
    assert crossing_by_steps(80.0, 0.02, *arrow, 40.0, 0.0, gusts).right_m.shape == (2,)


@pytest.mark.parametrize("slope_deg", [0.0, 40.0, 80.0])
def test_an_arrow_that_does_not_reach_gives_no_number_and_no_noise(slope_deg):
    at = crossing(12.0, 0.3, 0.004, 110.0, np.radians(slope_deg))
    for told in (at.across_m, at.right_m, at.time_s, at.speed_mps, at.tilt):
        assert np.isnan(told)
    assert np.isnan(crossing_gradient(12.0, 0.3, 0.004, 110.0, np.radians(slope_deg)).across_m)


def test_one_arrow_out_of_reach_leaves_the_others_alone():
    together = crossing(np.array([80.0, 12.0]), 0.05, 0.002, 60.0, 0.7)
    alone = float(crossing(80.0, 0.05, 0.002, 60.0, 0.7).across_m)
    assert together.across_m[0] == pytest.approx(alone, abs=1e-12)  # rounding only
    assert np.isnan(together.across_m[1])


def test_a_large_table_taken_in_pieces_is_the_same_table():
    speed, along = np.linspace(60.0, 100.0, 300)[:, None], np.linspace(5.0, 110.0, 120)
    table = level(speed, 0.04, 0.002, along)
    rows = np.array([level(one, 0.04, 0.002, along) for one in speed[:, 0]])
    assert table.size > PIECE
    assert np.abs(table - rows).max() < 1e-12  # rounding only
