from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tapewright.drawing.ticks import (
    coarseness,
    fives_between,
    kept_ticks,
    numbered,
    numbered_by_rule,
    roundness,
    thinned_between,
    tick_rank,
)

LINE = 1.5  # from number to number, in heights: half a height of white
LEAST_TICK_MM = 0.45  # nearer than this, strokes of 0.15 mm merge in print


@pytest.mark.parametrize(
    ("distance", "rank", "round_to"),
    [(20.0, "long", 0), (25.0, "medium", 1), (26.0, "short", 2), (27.0, "short", 3)],
)
def test_rounder_distances_get_longer_ticks(distance, rank, round_to):
    assert tick_rank(distance) == rank
    assert roundness(distance) == round_to


@pytest.mark.parametrize(
    ("per_unit_mm", "step"), [(1.0, 1), (0.45, 1), (0.44, 2), (0.2, 5), (0.08, 10), (0.05, 10)]
)
def test_ticks_are_thinned_to_the_finest_step_that_has_room(per_unit_mm, step):
    distances = [float(one) for one in range(20, 61)]
    kept = kept_ticks(distances, [per_unit_mm * one for one in distances])
    shown = [one for one, is_kept in zip(distances, kept, strict=True) if is_kept]
    assert shown[-1] == 60.0
    if per_unit_mm * step >= LEAST_TICK_MM:
        assert shown == [one for one in distances if one % step == 0]
    else:
        assert len(shown) == 5


def test_only_the_crowded_stretch_is_thinned():
    distances = [float(one) for one in range(20, 41)]
    places_mm = [0.3 * min(one - 20, 10) + 1.0 * max(one - 30, 0) for one in distances]
    kept = kept_ticks(distances, places_mm)
    assert sum(kept[:10]) < 10
    assert all(kept[10:])


def test_marks_given_in_other_steps_are_kept():
    assert all(kept_ticks([20.0, 20.5, 21.0], [0.0, 0.5, 1.0]))
    assert all(kept_ticks([20.0, 25.0, 30.0], [0.0, 1.5, 3.0]))
    assert kept_ticks([23.0], [1.0]) == (True,)
    assert kept_ticks([], []) == ()


def test_few_marks_can_be_kept_each_for_itself():
    distances, places_mm = [5.0, 6.0, 7.0, 8.0], [3.0, 1.0, 0.2, 0.0]
    assert kept_ticks(distances, places_mm, evenly=False) == (True, True, False, True)


gaps_mm = st.lists(st.floats(0.0, 4.0), min_size=1, max_size=60)


@given(gaps_mm, st.integers(3, 40), st.booleans(), st.booleans())
def test_no_two_ticks_merge(gaps, first, evenly, grows):
    distances, places = [], [0.0]
    for gap in gaps:
        places.append(places[-1] + (gap if grows else -gap))
    distances = [float(first + index) for index in range(len(places))]
    kept = kept_ticks(distances, places, evenly=evenly)
    shown = [place for place, is_kept in zip(places, kept, strict=True) if is_kept]
    assert all(abs(far - near) > LEAST_TICK_MM - 1e-6 for near, far in pairwise(shown))


@given(gaps_mm, st.floats(0.5, 4.0))
def test_no_two_numbers_touch_and_none_is_left_out_without_need(gaps, high_mm):
    places = [0.0]
    for gap in gaps:
        places.append(places[-1] + gap)
    distances = [float(10 + index) for index in range(len(places))]
    shown = numbered(distances, places, roundness, high_mm)
    taken = [place for place, is_shown in zip(places, shown, strict=True) if is_shown]
    clear_mm = LINE * high_mm
    assert all(far - near >= clear_mm for near, far in pairwise(taken))
    for place, is_shown in zip(places, shown, strict=True):
        assert is_shown or any(abs(place - other) < clear_mm for other in taken)


def test_distances_without_urgency_get_no_number():
    shown = numbered([20.0, 25.0], [0.0, 9.0], lambda one: None if one % 10 else 0, 1.0)
    assert shown == (True, False)


def test_the_rounder_number_wins():
    assert numbered([25.0, 30.0], [0.0, 1.0], roundness, 2.0) == (False, True)
    assert numbered([30.0, 35.0], [0.0, 1.0], roundness, 2.0) == (True, False)


def test_of_two_equally_round_numbers_the_farther_stays():
    assert numbered([20.0, 30.0], [0.0, 1.0], roundness, 2.0) == (False, True)


def test_of_two_equally_round_ticks_the_farther_stays():
    assert kept_ticks([7.0, 9.0], [0.2, 0.0], evenly=False) == (False, True)


def even(first, last, per_unit_mm):
    distances = [float(one) for one in range(first, last + 1)]
    return distances, [per_unit_mm * one for one in distances]


@pytest.mark.parametrize(
    ("per_unit_mm", "wanted"),
    [
        (0.42, [20, 30, 40, 50, 60, 70, 80, 90, 100]),
        (0.41, [20, 40, 60, 80, 100]),
        (0.21, [20, 40, 60, 80, 100]),
        (0.085, [50, 100]),
    ],
)
def test_numbers_go_by_ten_twenty_or_fifty(per_unit_mm, wanted):
    assert list(numbered_by_rule(*even(15, 105, per_unit_mm), 2.8)) == wanted


def test_numbers_become_rarer_only_towards_the_crowded_end():
    distances = [float(one) for one in range(12, 101)]
    places_mm = [0.3 * min(one, 40.0) + 0.6 * max(one - 40.0, 0.0) for one in distances]
    assert list(numbered_by_rule(distances, places_mm, 2.8)) == [20, 40, 50, 60, 70, 80, 90, 100]


def test_a_step_that_would_lose_a_number_goes_back_to_one_that_it_may_begin_from():
    distances = [float(one) for one in range(12, 91)]
    places_mm = [0.3 * min(one, 50.0) + 0.6 * max(one - 50.0, 0.0) for one in distances]
    assert list(numbered_by_rule(distances, places_mm, 2.8)) == [20, 40, 60, 70, 80, 90]


def test_fives_stand_from_the_far_end_as_long_as_they_are_clear():
    distances = [float(one) for one in range(20, 66)]
    places_mm = [0.5 * min(one, 40.0) + 0.9 * max(one - 40.0, 0.0) for one in distances]
    assert fives_between((20, 30, 40, 50, 60), distances, places_mm, 4.2) == (65, 55, 45)


def test_no_more_than_nine_ticks_stand_between_two_numbers():
    distances = [float(one) for one in range(20, 61)]
    kept = thinned_between(distances, (20.0, 40.0, 50.0, 60.0))
    assert [one for one in kept if one < 40] == [20, 22, 24, 26, 28, 30, 32, 34, 36, 38]
    assert [one for one in kept if one > 40] == [float(one) for one in range(41, 61)]


def test_how_coarse_it_is_is_told_from_the_far_end():
    given = [float(one) for one in range(15, 41)]
    kept = [15.0, 20.0, 22.0, 24.0, *(float(one) for one in range(25, 41))]
    assert coarseness(given, kept) == ((24.0, 1), (20.0, 2), (15.0, 5))
    assert coarseness(given, given) == ()
    assert coarseness([20.0, 25.0, 30.0], [20.0, 25.0, 30.0]) == ()


def test_both_halves_of_a_ten_are_thinned_so_that_they_fit_together():
    distances = [float(one) for one in range(60, 81)]
    places_mm = [0.2 * min(one, 75.0) + 0.3 * max(one - 75.0, 0.0) for one in distances]
    kept = kept_ticks(distances, places_mm)
    shown = [one for one, is_kept in zip(distances, kept, strict=True) if is_kept]
    assert shown == [60, 65, 70, 75, 80]
    places_mm = [0.4 * min(one, 75.0) + 0.5 * max(one - 75.0, 0.0) for one in distances]
    kept = kept_ticks(distances, places_mm)
    shown = [one for one, is_kept in zip(distances, kept, strict=True) if is_kept]
    assert shown[shown.index(70.0) :] == [70, 72, 74, 76, 78, 80]


def test_no_five_is_numbered_beside_an_even_number_that_it_would_touch():
    distances = (8.0, 10.0, 12.0, 14.0, 15.0)
    places_mm = (0.0, 2.0, 7.0, 12.0, 13.0)
    assert fives_between((10.0, 14.0), distances, places_mm, 3.0) == ()
    assert fives_between((10.0,), distances, places_mm, 3.0) == (15.0,)
