from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import bare, group, groups, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.checks import GroupCheck
from tapewright.confidence.ladder import (
    Ladder,
    air_cautions,
    earned_trust,
    farthest_hit,
    ladder_of,
    open_shots,
)
from tapewright.confidence.landing import Butt, landings
from tapewright.confidence.posterior import draw_posterior
from tapewright.flight.air import Air
from tapewright.services.record_groups import past_butt

GRID_M = np.arange(9, 126) * YARD_M


def shot_at(*yards):
    sheet = rig()
    return groups(sheet, truth_near(sheet), yards)


def checks(words):
    return [
        GroupCheck(str(place), 0.0, 0.0, 4, 0.0, 0.0, 0.0, is_odd=one == "odd")
        for place, one in enumerate(words.split())
    ]


def test_without_a_hit_the_next_arrow_is_shot_from_10_yd_or_nearer():
    assert Ladder(0.0).farthest_m == pytest.approx(9.144)
    assert Ladder(0.0).needs_near_arrow
    assert Ladder(0.0).carries_m == 0.0


def test_a_step_is_at_most_half_as_far_again_as_the_farthest_hit():
    assert Ladder(20.0).farthest_m == pytest.approx(30.0)
    assert Ladder(20.0).carries_m == pytest.approx(30.0)
    assert not Ladder(20.0).needs_near_arrow


def test_after_a_change_one_near_arrow_and_then_the_old_hit_counts_once():
    shaken = Ladder(0.0, 60.0)
    assert shaken.farthest_m == pytest.approx(9.144)
    assert shaken.carries_m == 0.0
    assert shaken.climbed(8.0).farthest_m == pytest.approx(60.0)
    assert shaken.climbed(8.0).climbed(50.0).farthest_m == pytest.approx(75.0)


def test_the_near_arrow_comes_from_no_farther_than_arrows_had_hit():
    assert Ladder(0.0, 5.5).farthest_m == 5.5  # of an archer who had only begun
    assert Ladder(0.0, 5.5, 7.0, 1).farthest_m == 3.0


def test_climbing_never_leads_down():
    assert Ladder(30.0).climbed(10.0) == Ladder(30.0)


def test_each_group_that_fits_is_a_rung():
    assert ladder_of(shot_at(10, 15, 20), checks("fits fits fits")) == Ladder(20 * YARD_M)
    assert ladder_of((), ()) == Ladder(0.0)
    assert ladder_of((), (), 50.0) == Ladder(0.0, 50.0)


def test_a_group_that_does_not_fit_shakes_those_before_it():
    found = ladder_of(shot_at(10, 15, 20), checks("fits fits odd"))
    assert found == Ladder(0.0, 15 * YARD_M)
    again = ladder_of(shot_at(10, 40, 20, 8), checks("fits fits odd fits"))
    assert again == Ladder(8 * YARD_M, 40 * YARD_M)


def test_after_a_miss_the_next_arrow_is_shot_where_arrows_have_hit():
    missed = Ladder(20.0, 50.0).missed(28.0)
    assert (missed.farthest_m, missed.carries_m) == (20.0, 20.0)
    back = missed.climbed(18.0)
    assert (back.hit_m, back.missed_m, back.misses) == (20.0, 28.0, 0)
    assert back.farthest_m == pytest.approx(25.0)  # a quarter as far again, not half, nor 50 m
    assert back.carries_m == 20.0  # the step to it is open, trust waits for the hit
    again = back.climbed(25.0).climbed(28.0)
    assert again == Ladder(28.0, 50.0)


def test_a_miss_from_where_arrows_had_hit_takes_the_near_arrow_again():
    missed = Ladder(40.0).missed(30.0)
    assert missed == Ladder(0.0, 40.0, 30.0, 1)
    assert missed.farthest_m == pytest.approx(4.572)  # half of 10 yd
    near = missed.climbed(4.0)
    assert near.farthest_m == pytest.approx(5.0)
    assert near.climbed(35.0).carries_m == pytest.approx(52.5)


def test_trust_stays_short_of_where_arrows_went_past_the_butt():
    assert Ladder(40.0, 0.0, 30.0).carries_m == pytest.approx(29.999)


def test_each_miss_without_a_hit_halves_the_distance_down_to_3_m():
    once = Ladder(0.0).missed(9.0)
    assert once.farthest_m == pytest.approx(4.572)
    assert once.missed(4.5).farthest_m == 3.0
    assert once.missed(4.5).missed_m == 4.5


def past(one, arrows=1, hits=()):
    return replace(one, group=replace(one.group, impacts=(*hits, past_butt(arrows))))


def test_a_group_that_went_past_the_butt_raises_nothing():
    near, far, again = shot_at(10, 15, 10)
    found = ladder_of((near, past(far, 2)), checks("fits"))
    assert found == Ladder(10 * YARD_M, 0.0, 15 * YARD_M, 1)
    found = ladder_of((near, past(far), again), checks("fits fits"))
    assert found == Ladder(10 * YARD_M, 0.0, 15 * YARD_M)
    # one of several is a flyer, one of two may be the truth
    some = past(far, 1, far.group.impacts[:2])
    assert ladder_of((near, some), checks("fits fits")) == Ladder(15 * YARD_M)
    half = past(far, 1, far.group.impacts[:1])
    assert ladder_of((near, half), checks("fits fits")).misses == 1
    assert farthest_hit((near, past(far)), checks("fits")) == pytest.approx(10 * YARD_M)


def test_typed_marks_raise_nothing_but_count_for_trust():
    shots = tuple(bare(one, 3) for one in shot_at(20, 60))
    assert ladder_of(shots, checks("fits fits")) == Ladder(0.0)
    assert farthest_hit(shots, checks("fits fits")) == pytest.approx(60 * YARD_M)


def test_a_measured_centre_of_several_arrows_is_a_hit():
    one = shot_at(20)[0]
    impact = replace(one.group.impacts[0], right_m=0.01, up_m=-0.02, arrows=4)
    centre = replace(one, group=replace(one.group, impacts=(impact,)))
    assert ladder_of((centre,), checks("fits")) == Ladder(20 * YARD_M)


def test_arrows_called_bad_are_no_hit():
    one = shot_at(20)[0]
    bad = tuple(replace(hit, called_bad=True) for hit in one.group.impacts)
    shot = replace(one, group=replace(one.group, impacts=bad))
    assert ladder_of((shot,), checks("fits")) == Ladder(0.0)


def test_groups_that_do_not_fit_carry_no_trust():
    assert farthest_hit(shot_at(20, 60), checks("fits odd")) == pytest.approx(20 * YARD_M)
    assert farthest_hit(shot_at(20), checks("odd")) == 0.0


@pytest.mark.parametrize(
    ("alone_yd", "hit_yd", "before_yd", "earned_yd"),
    [
        (80, 0, 0, 0),  # no arrow: nothing
        (80, 0, 70, 0),  # after a change: nothing until a group fits
        (80, 40, 0, 60),
        (55, 40, 0, 55),  # the bands bind
        (80, 10, 70, 70),  # the old hit counts once
        (80, 33, 0, 49),  # 49.5 yd is no tick of the grid
        (0, 40, 0, 0),
    ],
)
def test_trust_never_passes_what_hits_carry(alone_yd, hit_yd, before_yd, earned_yd):
    earned_m = earned_trust(
        alone_yd * YARD_M, hit_yd * YARD_M, Ladder(0.0, before_yd * YARD_M), GRID_M
    )
    assert earned_m / YARD_M == pytest.approx(earned_yd, abs=1e-6)


def seen_after(shots):
    sheet = rig()
    places = np.array([3.0, *np.arange(4, 61) * YARD_M])
    return landings(draw_posterior(fit_bow(sheet, shots), np.random.default_rng(1)), places)


def test_a_never_shot_sight_is_shot_as_near_as_the_butt_needs():
    seen = seen_after(())

    def farthest_yd(side_m):
        opened = open_shots(seen, Ladder(0.0), Butt(side_m, side_m))
        return seen.shot_m[opened].max(initial=0.0) / YARD_M

    # a pin 40 mm off at 33 in misses by 47.7 mm a metre: half of 0.6 m lasts for 6.2 m
    assert farthest_yd(1.2) == pytest.approx(10.0)
    assert farthest_yd(0.6) == pytest.approx(6.0)
    assert farthest_yd(0.35) == pytest.approx(3.2808, abs=1e-4)
    assert farthest_yd(0.2) == 0.0


def test_no_shot_is_open_past_the_step_or_off_the_butt():
    seen = seen_after((group(rig(), truth_near(rig()), 10 * YARD_M),))
    opened = open_shots(seen, Ladder(10 * YARD_M), Butt(0.9, 0.9))
    assert seen.shot_m[opened].max() == pytest.approx(15 * YARD_M)
    assert opened[seen.shot_m <= 15 * YARD_M + 1e-6].all()
    far = open_shots(seen, Ladder(60 * YARD_M), Butt(0.3, 0.3))
    assert all(seen.chance(shot, Butt(0.3, 0.3)) >= 0.99 for shot in np.flatnonzero(far))
    assert not far.all()


def test_groups_shot_in_far_warmer_air_let_the_steps_begin_anew():
    near, far = shot_at(10, 60)
    warm = Air(293.15, 101325.0, 0.5)
    shots = (replace(near, air=warm), replace(far, air=warm))
    cold_k, cool_k = 293.15 - 15.0, 293.15 - 14.0
    assert ladder_of(shots, checks("fits fits"), 0.0, cold_k) == Ladder(0.0, 10 * YARD_M)
    six_yd = replace(shot_at(6)[0], air=warm)
    assert ladder_of((six_yd,), checks("fits"), 0.0, cold_k).farthest_m == 6 * YARD_M
    assert ladder_of(shots, checks("fits fits"), 0.0, cool_k) == Ladder(60 * YARD_M)
    again = (*shots, replace(near, air=Air(cold_k, 101325.0, 0.5)))
    found = ladder_of(again, checks("fits fits fits"), 0.0, cold_k)
    # a near arrow tells nothing of limbs that are slower: the next step is half as far again
    assert found == Ladder(10 * YARD_M, 10 * YARD_M)
    assert found.farthest_m == pytest.approx(15 * YARD_M)
    assert found.carries_m == pytest.approx(15 * YARD_M)


@pytest.mark.parametrize(("groups_c", "sheet_c", "warmer_k"), [
    ((20.0, 21.0), -15.0, -35.0), ((-5.0,), 15.0, 20.0), ((0.0,), 15.0, 15.0),
])  # fmt: skip
def test_a_sheet_in_other_air_than_every_group_is_warned_of(groups_c, sheet_c, warmer_k):
    shots = [
        replace(one, air=Air(celsius + 273.15, 101325.0))
        for one, celsius in zip(shot_at(20, 30), groups_c, strict=False)
    ]
    (caution,) = air_cautions(shots, sheet_c + 273.15)
    assert caution.kind == "other air"
    assert caution.numbers == pytest.approx((warmer_k,))


def test_one_group_in_such_air_is_enough():
    cold, home = shot_at(20, 30)
    cold = replace(cold, air=Air(258.15, 101325.0))
    assert air_cautions([cold, home], 258.15) == ()  # the other one
    assert air_cautions([cold, home], 288.15) == ()  # said nothing: shot in the sheet's own
    assert air_cautions([], 258.15) == ()
    assert air_cautions([cold], 273.0) == ()  # 14.85 °C


def test_broadheads_climb_from_the_first_arrow_and_are_trusted_no_farther_than_they_hit():
    ladder = Ladder(0.0, broadheads=True)
    assert ladder.farthest_m == pytest.approx(9.144)
    assert ladder.carries_m == 0.0
    ladder = ladder.climbed(9.144)
    assert (ladder.farthest_m, ladder.carries_m) == pytest.approx((13.716, 9.144))
    missed = ladder.missed(13.716)
    assert (missed.carries_m, missed.broadheads) == (9.144, True)
    assert missed.climbed(13.716).carries_m == 13.716
    shots, fits = shot_at(10, 15), checks("fits fits")
    found = ladder_of(shots, fits, broadheads=True)
    assert found.carries_m == pytest.approx(15 * YARD_M)
    assert ladder_of(shots, fits).carries_m == pytest.approx(22.5 * YARD_M)
    assert earned_trust(60.0, 15 * YARD_M, found, GRID_M) == pytest.approx(15 * YARD_M)
