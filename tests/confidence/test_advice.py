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
    plan_session,
    walk_back,
)
from tapewright.confidence.bands import bands, trusted_distance
from tapewright.confidence.outlook import Butt, after_group, chance_on_butt, outlook
from tapewright.confidence.posterior import draw_posterior

ARROWS = (3, 4, 5, 6)  # of a group worth the walk
SAFE_ON_BUTT = 0.95  # chance that the next group's arrows stay on the butt

SHOTS_M = np.arange(10, 91, 5) * YARD_M
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
    return outlook(posterior, SHOTS_M, SHOTS_M)


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
    steps = candidates(seen_from(short), WISH)
    assert len(steps) == len(SHOTS_M) * len(ARROWS)
    assert [(one.distance_m, one.arrows) for one in steps] == sorted(
        (one.distance_m, one.arrows) for one in steps
    )


def test_more_arrows_never_buy_less(short):
    steps = candidates(seen_from(short), WISH)
    for place in range(0, len(steps), len(ARROWS)):
        group = steps[place : place + len(ARROWS)]
        assert [one.band_m for one in group] == sorted((one.band_m for one in group), reverse=True)
        assert [one.trusted_m for one in group] == sorted(one.trusted_m for one in group)


def test_a_group_at_the_wanted_distance_buys_most_when_safe(bare, short):
    for posterior in (bare, short):
        steps = [one for one in candidates(seen_from(posterior), HUGE) if one.arrows == 4]
        assert all(one.is_safe for one in steps)
        assert min(steps, key=lambda one: one.band_m).distance_m == SHOTS_M[-1]


def test_unsafe_candidates_are_told_and_never_planned(bare):
    small = Wish(0.0762, Butt(0.4, 0.4))
    seen = seen_from(bare)
    assert any(not one.is_safe for one in candidates(seen, small))
    steps = plan_session(seen, small, 60)
    assert steps
    for step in steps:
        shot = int(np.argmin(np.abs(SHOTS_M - step.distance_m)))
        assert chance_on_butt(seen, shot, small.butt) >= SAFE_ON_BUTT
        assert step.is_safe
        seen = after_group(seen, shot, step.arrows)


def test_a_plan_ends_when_the_wanted_distance_is_trusted(bare, short):
    for posterior in (bare, short):
        steps = plan_session(seen_from(posterior), WISH, 100)
        assert steps[-1].trusted_m == SHOTS_M[-1]
        assert all(one.trusted_m < SHOTS_M[-1] for one in steps[:-1])


def test_a_plan_keeps_within_its_arrows(bare):
    tight = Wish(0.02, WISH.butt)
    for most in (3, 7, 12):
        steps = plan_session(seen_from(bare), tight, most)
        assert sum(one.arrows for one in steps) <= most
    assert plan_session(seen_from(bare), tight, 2) == ()


def test_a_plan_has_an_end_however_much_is_wanted(bare):
    assert len(plan_session(seen_from(bare), Wish(0.001, WISH.butt), 10_000)) == 30


def test_nothing_is_planned_when_all_is_trusted_unless_asked(full):
    easy = Wish(1.0, WISH.butt)
    assert plan_session(seen_from(full), easy, 60) == ()
    assert len(plan_session(seen_from(full), easy, 60, least_groups=1)) == 1


def test_nothing_safe_nothing_planned(bare):
    assert plan_session(seen_from(bare), Wish(0.0762, Butt(0.02, 0.02)), 60) == ()


def test_a_smaller_tolerance_never_needs_fewer_arrows(short):
    counts = [
        sum(one.arrows for one in plan_session(seen_from(short), Wish(radius, WISH.butt), 200))
        for radius in (0.2, 0.1, 0.0762, 0.05)
    ]
    assert counts == sorted(counts)


def test_a_first_shot_says_where_it_lands(short):
    first = first_shot(short, 80 * YARD_M, WISH.butt)
    assert first.reading_m == pytest.approx(bands(short, [80 * YARD_M]).reading_m[0])
    assert first.low_m < 0 < first.high_m
    # from −low to high lie nine of ten: half of what stops 95 % is at least that far
    assert first.height_95_m > 0.95 * (first.high_m - first.low_m)
    assert first.height_99_m > first.height_95_m
    tall = Butt(50.0, first.height_95_m)
    assert first_shot(short, 80 * YARD_M, tall).chance == pytest.approx(0.95, abs=0.01)


def test_a_first_shot_spreads_farther_out(short):
    heights = [first_shot(short, yd * YARD_M, WISH.butt).height_95_m for yd in (40, 60, 80, 100)]
    assert heights == sorted(heights)


def test_a_safe_far_shot_needs_no_way_back(full):
    chain = walk_back(full, SHOTS_M, WISH)
    assert [one.distance_m for one in chain] == [SHOTS_M[-1]]
    assert first_shot(full, SHOTS_M[-1], WISH.butt).is_safe


def test_the_way_back_is_safe_at_each_stop_and_ends_far(bare):
    assert not first_shot(bare, SHOTS_M[-1], WISH.butt).is_safe
    chain = walk_back(bare, SHOTS_M, WISH)
    stops = [one.distance_m for one in chain]
    assert stops == sorted(set(stops))
    assert stops[-1] == SHOTS_M[-1]
    assert len(chain) > 1
    assert all(one.is_safe and one.arrows == 3 for one in chain)


def test_no_chain_leads_to_a_butt_that_is_too_small(bare):
    chain = walk_back(bare, SHOTS_M, Wish(0.0762, Butt(0.25, 0.25)))
    assert not chain or chain[-1].distance_m < SHOTS_M[-1]
    assert walk_back(bare, SHOTS_M, Wish(0.0762, Butt(0.01, 0.01))) == ()
