from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tapewright.flight.drag import DragShape, TabulatedDrag, TransitionDrag
from tapewright.ground.errors import LaunchUnreachable
from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import (
    Aim,
    distances_at_angle,
    flat_fire_tangent,
    impact,
    impact_gradient,
    mark,
    sight_angle,
    turning_distance,
)
from tapewright.sight.scale import Scale

YARD_M, G = 0.9144, 9.80665
LAW = settings(deadline=None, derandomize=True, max_examples=60)
bows = st.builds(
    SightedBow,
    speed_mps=st.floats(60.0, 100.0),
    drag_per_m=st.floats(0.0008, 0.0035),
    peep_height_m=st.floats(0.08, 0.14),
    launch_ahead_m=st.floats(0.9, 1.4),
    scale=st.builds(
        Scale,
        zero_reading_m=st.floats(-0.01, 0.02),
        reading_per_tangent_m=st.floats(0.8, 2.0),
        sight_radius_m=st.just(0.85),
    ),
)
distances = st.floats(4.0, 105.0)
slopes = st.floats(-0.8, 0.8)
BOW = SightedBow(85.0, 0.002, 0.115, 1.2, Scale(0.01, 1.4, 0.85))
SOLVED_M = 2e-7  # a search may stop a ten-thousandth of a millimetre from the aim


@LAW
@given(bows, distances, slopes, st.floats(0.0, 0.02))
def test_a_mark_hits_its_own_distance(bow, distance, slope, below):
    aim = Aim(slope_rad=slope, density_ratio=0.95, pin_below_m=below)
    right, up = impact(bow, distance, mark(bow, distance, aim), aim)
    assert abs(float(up)) < SOLVED_M
    assert float(right) == 0.0


@LAW
@given(bows, distances)
def test_a_level_slope_is_the_level(bow, distance):
    # one goes the fastest path, the other, by a slope of nothing, the one for slopes
    level = impact(bow, distance, 0.05)[1]
    sloped = impact(bow, distance, 0.05, Aim(slope_rad=1e-12))[1]
    assert float(sloped) == pytest.approx(float(level), abs=1e-6)


@LAW
@given(bows, distances)
def test_mirrored_numbers_mirror_the_mark(bow, distance):
    scale = bow.scale
    mirror = replace(
        scale,
        zero_reading_m=-scale.zero_reading_m,
        reading_per_tangent_m=-scale.reading_per_tangent_m,
    )
    mirrored = mark(replace(bow, scale=mirror), distance)
    assert float(mirrored) == pytest.approx(-float(mark(bow, distance)), abs=1e-12)


@LAW
@given(bows, st.floats(25.0, 100.0))
def test_beyond_the_turn_farther_slower_and_denser_need_a_greater_angle(bow, distance):
    usual = sight_angle(bow, distance)
    assert sight_angle(bow, distance + 1.0) > usual
    assert sight_angle(replace(bow, speed_mps=0.99 * bow.speed_mps), distance) > usual
    assert sight_angle(bow, distance, Aim(density_ratio=1.05)) > usual
    assert sight_angle(replace(bow, peep_height_m=bow.peep_height_m + 0.01), distance) > usual


@LAW
@given(st.floats(60.0, 100.0), st.floats(10.0, 100.0), st.floats(0.05, 0.8))
def test_in_vacuum_up_and_down_hill_differ_as_the_slant_formula_says(speed, distance, slope):
    bow = SightedBow(speed, 1e-12, 0.0, 0.0, BOW.scale)
    up, down = (float(sight_angle(bow, distance, Aim(slope_rad=s))) for s in (slope, -slope))
    level = float(sight_angle(bow, distance))
    # sin(2a + φ) = g R cos² φ / v² + sin φ: mirror the slope and the two angles lie about it.
    for angle, s in ((up, slope), (down, -slope)):
        gravity = G * distance * np.cos(s) ** 2 / speed**2
        solved = 2 * SOLVED_M / distance
        assert np.sin(2 * angle + s) == pytest.approx(gravity + np.sin(s), abs=solved)
    assert down < up
    assert down < level


@LAW
@given(bows, distances, st.floats(0.02, 0.09), slopes)
def test_gradient_is_what_small_changes_do(bow, distance, reading, slope):
    aim = Aim(slope_rad=slope, density_ratio=0.97, pin_below_m=0.004)
    by = impact_gradient(bow, distance, reading, aim)

    def up(one=bow, x=distance, s=reading):
        return float(impact(one, x, s, aim)[1])

    def change(make, step):
        return (make(step) - make(-step)) / (2 * step)

    def field(name):
        value = getattr(bow, name)
        return lambda step: up(replace(bow, **{name: value + step}))

    def share(name):
        value = getattr(bow, name)
        return lambda step: up(replace(bow, **{name: value * np.exp(step)}))

    def zero(step):
        scale = replace(bow.scale, zero_reading_m=bow.scale.zero_reading_m + step)
        return up(replace(bow, scale=scale))

    def gain(step):
        factor = bow.scale.reading_per_tangent_m * np.exp(step)
        return up(replace(bow, scale=replace(bow.scale, reading_per_tangent_m=factor)))

    assert float(by.up_m) == pytest.approx(up(), abs=1e-6)
    # Each bound times the usual doubt of its cause (1 %, 1 mm, 0.5 m) is far below 0.01 mm.
    assert float(by.by_log_speed) == pytest.approx(change(share("speed_mps"), 1e-4), abs=1e-4)
    assert float(by.by_log_drag) == pytest.approx(change(share("drag_per_m"), 1e-3), abs=1e-4)
    assert float(by.by_log_gain) == pytest.approx(change(gain, 1e-4), abs=1e-4)
    assert float(by.by_peep_height) == pytest.approx(change(field("peep_height_m"), 1e-4), abs=1e-4)
    ahead = change(field("launch_ahead_m"), 1e-3)
    assert float(by.by_launch_ahead) == pytest.approx(ahead, abs=1e-5)
    assert float(by.by_zero_reading) == pytest.approx(change(zero, 1e-5), rel=1e-5)
    reading_by = change(lambda step: up(s=reading + step), 1e-5)
    assert float(by.by_reading) == pytest.approx(reading_by, rel=1e-5)
    assert float(by.by_distance) == pytest.approx(
        change(lambda step: up(x=distance + step), 1e-3), abs=1e-5
    )


@LAW
@given(bows, distances)
def test_flat_fire_is_near_enough_to_begin_with(bow, distance):
    exact = np.tan(sight_angle(bow, distance))
    assert float(flat_fire_tangent(bow, distance)) == pytest.approx(float(exact), rel=0.05)


@LAW
@given(bows)
def test_two_distances_share_an_angle_about_the_turn(bow):
    turn = turning_distance(bow)
    angle = float(sight_angle(bow, turn)) + 1e-3
    near, far = distances_at_angle(bow, angle, 120.0)
    assert near < turn < far
    for distance in (near, far):
        assert float(sight_angle(bow, distance)) == pytest.approx(angle, abs=1e-7)
        assert sight_angle(bow, distance) > sight_angle(bow, turn)


def test_no_distance_has_less_than_the_least_angle():
    least = float(sight_angle(BOW, turning_distance(BOW)))
    assert distances_at_angle(BOW, least - 1e-3, 120.0) == (None, None)


def test_a_far_distance_may_lie_beyond_where_one_looks():
    near, far = distances_at_angle(BOW, float(sight_angle(BOW, 4.0)), 20.0)
    assert near == pytest.approx(4.0, abs=1e-4)  # a tenth of a millimetre
    assert far is None


def test_without_peep_height_there_is_hardly_a_turn():
    assert turning_distance(replace(BOW, peep_height_m=0.0, launch_ahead_m=0.0)) < 3.0


def test_wind_carries_arrows_along_and_to_its_side():
    reading = mark(BOW, 60.0)
    right, up = impact(BOW, 60.0, reading, Aim(crosswind_mps=4.0))
    assert float(right) > 0.05
    assert abs(float(up)) < 2e-3
    left, same = impact(BOW, 60.0, reading, Aim(crosswind_mps=-4.0))
    assert float(left) == pytest.approx(-float(right), abs=1e-12)
    assert float(same) == pytest.approx(float(up), abs=1e-12)
    assert impact(BOW, 60.0, reading, Aim(headwind_mps=4.0))[1] < 0
    assert impact(BOW, 60.0, reading, Aim(headwind_mps=-4.0))[1] > 0


@pytest.mark.parametrize("aim", [Aim(), Aim(crosswind_mps=2.0)])
def test_windage_grows_with_distance_and_an_offset_does_not(aim):
    crooked = replace(BOW, windage_rad=1e-3, side_m=0.01)
    for distance in (20.0, 60.0):
        straight = float(impact(BOW, distance, 0.04, aim)[0])
        moved = float(impact(crooked, distance, 0.04, aim)[0])
        assert moved - straight == pytest.approx(1e-3 * distance + 0.01, abs=1e-12)


def test_draws_of_any_one_field_broadcast_against_distances():
    column, plane = np.ones((3, 1)), np.array([20.0, 40.0])
    for name in ("speed_mps", "drag_per_m", "peep_height_m", "launch_ahead_m", "windage_rad"):
        draws = replace(BOW, **{name: getattr(BOW, name) * column})
        for aim in (Aim(), Aim(slope_rad=0.2), Aim(crosswind_mps=1.0)):
            right, up = np.broadcast_arrays(*impact(draws, plane, 0.04, aim))
            assert right.shape == up.shape == (3, 2)


def test_marks_of_draws_come_as_a_table():
    draws = replace(BOW, speed_mps=np.array([[80.0], [90.0]]))
    marks = mark(draws, np.array([10.0, 20.0, 60.0]))
    assert marks.shape == (2, 3)
    assert np.all(marks[0] > marks[1])


@pytest.mark.parametrize("aim", [Aim(), Aim(slope_rad=0.5)])
def test_a_distance_out_of_reach_is_named(aim):
    slow = replace(BOW, speed_mps=25.0)
    with pytest.raises(LaunchUnreachable) as refused:
        mark(slow, np.array([20.0, 90.0, 110.0]), aim)
    assert refused.value.distance_m == 90.0


FLAT = DragShape(TabulatedDrag((1e3, 1e6), (2.1, 2.1)), 400.0)
AIMS = (Aim(), Aim(slope_rad=-0.4, density_ratio=0.9), Aim(crosswind_mps=4.0, headwind_mps=-2.0))


@pytest.mark.parametrize("aim", AIMS, ids=("level", "down", "windy"))
def test_a_law_that_does_not_change_moves_no_mark(aim):
    constant = SightedBow(62.0, 0.0019, 0.11, 1.2, Scale(0.004, 1.34, 0.838), side_m=0.003)
    lawful = replace(constant, shape=FLAT)
    marks = mark(constant, [20.0, 60.0, 90.0], aim)
    assert mark(lawful, [20.0, 60.0, 90.0], aim) == pytest.approx(marks, abs=1e-8)
    ours, theirs = (impact(bow, [20.0, 60.0], [0.02, 0.06], aim) for bow in (lawful, constant))
    assert ours[0] == pytest.approx(theirs[0], abs=1e-6)
    assert ours[1] == pytest.approx(theirs[1], abs=1e-6)
    slopes = [impact_gradient(bow, 60.0, 0.06, aim) for bow in (lawful, constant)]
    for one, other in zip(
        *([s.by_reading, s.by_log_speed, s.by_log_drag] for s in slopes), strict=True
    ):
        assert one == pytest.approx(other, rel=3e-5)


def test_a_law_bends_far_marks_more_than_near_ones():
    constant = SightedBow(62.0, 0.0019, 0.11, 1.2, Scale(0.004, 1.34, 0.838))
    lawful = replace(constant, shape=DragShape(TransitionDrag(2.2e4), 410.0))
    # slower than at 60 m/s there is less drag: farther marks come earlier
    near, far = mark(lawful, [20.0, 90.0]) - mark(constant, [20.0, 90.0])
    assert abs(near) < 1e-4
    assert far < -3e-4


def test_a_bow_is_shown_in_few_letters():
    draws = np.full((2000, 1), 62.0)
    told = repr(SightedBow(draws, 0.0019, 0.11, 1.2, Scale(0.004, 1.34, 0.838)))
    assert told.startswith("SightedBow(speed_mps=2000 draws, drag_per_m=0.0019, peep_height_m=0.11")
    assert "scale=Scale(zero_reading_m=0.004, reading_per_tangent_m=1.34" in told
