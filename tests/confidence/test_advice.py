from itertools import pairwise

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import groups, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.advice import (
    Wish,
    candidates,
    expected_trust,
    first_shot,
    half_band,
    near_group,
    plan_session,
    prospect,
    walk_back,
)
from tapewright.confidence.bands import bands, trusted_distance
from tapewright.confidence.ladder import Ladder, open_shots
from tapewright.confidence.landing import Butt, landings
from tapewright.confidence.outlook import outlook
from tapewright.confidence.posterior import draw_posterior

ARROWS = (3, 4, 5, 6)  # of a group worth the walk
SAFE_ON_BUTT = 0.95  # chance that the next group's arrows stay on the butt

SHOTS_M = np.array([3.0, *np.arange(4, 31), *np.arange(35, 91, 5)])
SHOTS_M[1:] *= YARD_M
WANTED_M = np.arange(10, 91, 5) * YARD_M
NEVER, TO_40, TO_90 = Ladder(0.0), Ladder(40 * YARD_M), Ladder(90 * YARD_M)
WISH = Wish(0.0762, Butt(0.9, 0.9))
HUGE = Wish(0.0762, Butt(50.0, 50.0))


def drawn(sheet, shots):
    return draw_posterior(fit_bow(sheet, shots), np.random.default_rng(1))


@pytest.fixture(scope="module")
def bare():
    return drawn(rig(), ())


@pytest.fixture(scope="module")
def short():
    sheet = rig()
    return drawn(sheet, groups(sheet, truth_near(sheet), (20, 40)))


@pytest.fixture(scope="module")
def full():
    sheet = rig()
    return drawn(sheet, groups(sheet, truth_near(sheet), (20, 40, 60, 80, 90), arrows=6))


def seen_from(posterior):
    return outlook(posterior, SHOTS_M, WANTED_M)


def now(posterior, ladder):
    return prospect(posterior, SHOTS_M, WANTED_M, ladder)


def planned(*given, **how):
    """The groups of a session's plan."""
    return plan_session(*given, **how)[0]


def test_the_prospect_after_a_plan_is_that_of_its_groups(short):
    start = now(short, TO_40)
    steps, then = plan_session(start, WISH, 100)
    assert len(steps) > 1
    for step in steps:
        start = start.after(int(np.argmin(np.abs(SHOTS_M - step.distance_m))), step.arrows)
    assert then.ladder == start.ladder
    assert then.seen.wanted_sd_m == pytest.approx(start.seen.wanted_sd_m)


def test_expected_trust_is_near_the_real_one(short, full):
    grid = np.arange(10, 91) * YARD_M
    for posterior in (short, full):
        real_m = trusted_distance(posterior, WISH.tolerance_m, grid)
        assert expected_trust(seen_from(posterior), WISH) == pytest.approx(real_m, abs=6 * YARD_M)


def test_with_no_trust_it_is_zero(bare):
    assert expected_trust(seen_from(bare), Wish(0.001, WISH.butt)) == 0.0


def test_half_a_band_is_that_of_the_bands(short):
    told = bands(short, SHOTS_M[-1:])
    half = 0.5 * (told.impact_high_m - told.impact_low_m)[0]
    assert half_band(seen_from(short), WISH) == pytest.approx(half, rel=0.1)


def test_every_candidate_is_told_by_distance_then_arrows(short):
    steps = candidates(now(short, TO_40), WISH)
    assert [(one.distance_m, one.arrows) for one in steps] == [
        (distance, arrows) for distance in SHOTS_M for arrows in (3, 4, 5, 6)
    ]
    some = candidates(now(short, TO_40), WISH, SHOTS_M > 80 * YARD_M)
    assert {one.distance_m for one in some} == {85 * YARD_M, 90 * YARD_M}


def test_more_arrows_never_buy_less(short):
    steps = candidates(now(short, TO_40), WISH)
    for place in range(0, len(steps), 4):
        group = steps[place : place + 4]
        assert [one.band_m for one in group] == sorted((one.band_m for one in group), reverse=True)
        assert [one.trusted_m for one in group] == sorted(one.trusted_m for one in group)


def test_a_group_at_the_wanted_distance_buys_most(bare, short):
    for posterior in (bare, short):
        steps = [one for one in candidates(now(posterior, TO_90), HUGE) if one.arrows == 4]
        assert min(steps, key=lambda one: one.band_m).distance_m == SHOTS_M[-1]


def test_a_group_is_trusted_no_farther_than_its_hit_carries(short):
    steps = {one.distance_m: one for one in candidates(now(short, NEVER), HUGE) if one.arrows == 6}
    assert steps[20 * YARD_M].trusted_m <= 30 * YARD_M + 1e-6
    assert steps[50 * YARD_M].trusted_m <= 75 * YARD_M + 1e-6


def test_a_never_shot_bow_climbs_from_near_by(bare):
    steps = planned(now(bare, NEVER), WISH, 100)
    yards = [step.distance_m / YARD_M for step in steps]
    assert yards[0] <= 10.0 + 1e-9
    hit = yards[0]
    for far in yards[1:]:
        assert far <= 1.5 * hit + 1e-9
        hit = max(hit, far)
    assert all(step.is_safe and step.chance >= 0.99 for step in steps)
    assert steps[-1].trusted_m == pytest.approx(90 * YARD_M)
    assert all(one.trusted_m < 90 * YARD_M - 1e-6 for one in steps[:-1])


def test_a_smaller_butt_begins_nearer(bare):
    near = planned(now(bare, NEVER), Wish(0.0762, Butt(0.6, 0.6)), 100)[0]
    assert near.distance_m <= 7 * YARD_M
    wide = planned(now(bare, NEVER), Wish(0.0762, Butt(1.2, 1.2)), 100)[0]
    assert wide.distance_m == pytest.approx(10 * YARD_M)


def test_rungs_cost_two_arrows_and_proof_of_far_marks_three_or_more(short):
    steps = planned(now(short, TO_40), WISH, 100)
    assert steps[0].distance_m == pytest.approx(60 * YARD_M)
    assert steps[0].arrows == 2
    assert steps[-1].trusted_m == pytest.approx(90 * YARD_M)


def test_unsafe_candidates_are_told_and_never_planned(short):
    small = Wish(0.0762, Butt(0.25, 0.25))
    start = now(short, TO_90)
    closed = [one for one in candidates(start, small) if not one.is_safe]
    assert closed
    assert all(one.chance < 0.99 for one in closed)
    for step in planned(start, small, 60):
        shot = int(np.argmin(np.abs(SHOTS_M - step.distance_m)))
        assert open_shots(start.cloud, start.ladder, small.butt)[shot]
        start = start.after(shot, step.arrows)


def test_own_places_come_first_and_others_only_where_a_rung_is_missing(bare):
    own = np.isin(SHOTS_M, [20 * YARD_M, 40 * YARD_M, 60 * YARD_M, 90 * YARD_M])
    yards = [
        round(step.distance_m / YARD_M) for step in planned(now(bare, NEVER), HUGE, 100, own=own)
    ]
    assert yards[:6] == [10, 15, 20, 30, 40, 60]
    fixed = planned(prospect(bare, SHOTS_M[own], WANTED_M, NEVER), HUGE, 100, own=np.ones(4, bool))
    assert fixed == ()


def test_one_group_alone_is_the_farthest_open_one_of_the_archers_own_if_any_is(short):
    start = now(short, TO_40)
    own = np.isin(SHOTS_M, [20 * YARD_M, 35 * YARD_M, 90 * YARD_M])
    (step,) = near_group(start, HUGE, own)
    assert (step.distance_m, step.arrows, step.is_safe) == (35 * YARD_M, 2, True)
    (step,) = near_group(start, HUGE, np.zeros(len(SHOTS_M), bool))
    assert step.distance_m == pytest.approx(60 * YARD_M)  # half as far again as 40
    assert near_group(start, Wish(0.0762, Butt(0.001, 0.001)), own) == ()


def test_where_the_next_place_is_too_far_no_arrow_is_asked_for(short):
    lanes_m = np.array([20, 40, 90]) * YARD_M  # hit at 40 yd: a step to 90 yd is too long
    assert planned(prospect(short, lanes_m, WANTED_M, TO_40), HUGE, 100) == ()
    nearer_m = np.array([20, 40, 60, 90]) * YARD_M
    steps = planned(prospect(short, nearer_m, WANTED_M, TO_40), HUGE, 100)
    assert [round(step.distance_m / YARD_M) for step in steps][:1] == [60]


def test_a_step_that_the_butt_closes_is_opened_by_narrowing_nearer(short):
    lanes_m = np.array([20, 40, 60]) * YARD_M
    start = prospect(short, lanes_m, WANTED_M, TO_40)
    small = Wish(0.0762, Butt(0.25, 0.25))  # 97 of 100 at 60 yd, 99.9 at 40 yd
    steps = planned(start, small, 24)
    assert steps[0].distance_m == pytest.approx(40 * YARD_M)
    assert steps[0].arrows >= 3


def test_a_plan_keeps_within_its_arrows(bare):
    tight = Wish(0.02, WISH.butt)
    for most in (2, 7, 12):
        steps = planned(now(bare, NEVER), tight, most)
        assert 0 < sum(one.arrows for one in steps) <= most
    assert planned(now(bare, NEVER), tight, 1) == ()


def test_a_plan_has_an_end_however_much_is_wanted(bare):
    assert len(planned(now(bare, TO_90), Wish(0.001, HUGE.butt), 10_000)) == 30


def test_nothing_is_planned_when_all_is_trusted_unless_asked(full):
    easy = Wish(1.0, WISH.butt)
    assert planned(now(full, TO_90), easy, 60) == ()
    assert len(planned(now(full, TO_90), easy, 60, least_groups=1)) == 1


def test_nothing_safe_nothing_planned(bare):
    assert planned(now(bare, NEVER), Wish(0.0762, Butt(0.02, 0.02)), 60) == ()


def test_a_smaller_tolerance_never_needs_fewer_arrows(short):
    counts = [
        sum(one.arrows for one in planned(now(short, TO_40), Wish(radius, HUGE.butt), 200))
        for radius in (0.2, 0.1, 0.0762, 0.05)
    ]
    assert counts == sorted(counts)


def test_a_first_shot_says_where_it_lands(short):
    first = first_shot(short, 80 * YARD_M, WISH.butt, TO_90)
    assert first.reading_m == pytest.approx(bands(short, [80 * YARD_M]).reading_m[0])
    assert first.low_m < 0 < first.high_m
    # from −low to high lie nine of ten: half of what stops 95 % is at least that far
    assert first.height_95_m > 0.95 * (first.high_m - first.low_m)
    assert first.height_99_m > first.height_95_m
    tall = Butt(50.0, first.height_95_m)
    assert first_shot(short, 80 * YARD_M, tall, TO_90).chance == pytest.approx(0.95, abs=0.01)


def test_a_first_shot_waits_for_the_ladder_and_for_the_butt(short):
    assert first_shot(short, 50 * YARD_M, HUGE.butt, TO_40).is_safe
    assert not first_shot(short, 61 * YARD_M, HUGE.butt, TO_40).is_safe
    assert not first_shot(short, 50 * YARD_M, Butt(0.1, 0.1), TO_40).is_safe


def test_a_first_shot_spreads_farther_out(short):
    heights = [
        first_shot(short, yd * YARD_M, WISH.butt, TO_90).height_95_m for yd in (40, 60, 80, 100)
    ]
    assert heights == sorted(heights)


def test_a_safe_far_shot_needs_no_way_back(full):
    chain = walk_back(now(full, TO_90), WISH)
    assert [one.distance_m for one in chain] == [SHOTS_M[-1]]


def test_the_way_back_is_open_at_each_stop_and_ends_far(bare):
    chain = walk_back(now(bare, NEVER), WISH)
    stops = [one.distance_m for one in chain]
    assert stops == sorted(set(stops))
    assert stops[0] <= 10 * YARD_M + 1e-9
    assert stops[-1] == SHOTS_M[-1]
    assert all(far <= 1.5 * near + 1e-9 for near, far in pairwise(stops))
    assert all(one.is_safe and one.arrows == 2 for one in chain)


def test_no_chain_leads_to_a_butt_that_is_too_small(bare):
    chain = walk_back(now(bare, NEVER), Wish(0.0762, Butt(0.35, 0.35)))
    assert not chain or chain[-1].distance_m < SHOTS_M[-1]
    assert walk_back(now(bare, NEVER), Wish(0.0762, Butt(0.01, 0.01))) == ()


def test_where_arrows_land_is_seen_for_every_shot(short):
    start = now(short, TO_40)
    assert start.cloud.up_rad.shape == landings(short, SHOTS_M).up_rad.shape
