from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import bare, groups, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.posterior import draw_posterior
from tapewright.confidence.ready_strips import ReadyStrip, rank_strips
from tapewright.sight.prediction import impact

TICKS_M = np.arange(20, 81, 10) * YARD_M


def drawn(sheet, shots):
    return draw_posterior(fit_bow(sheet, shots), np.random.default_rng(1))


@pytest.fixture(scope="module", params=["increases", "decreases"])
def session(request):
    sheet = rig({"farther": request.param})
    truth = truth_near(sheet)
    return truth, drawn(sheet, groups(sheet, truth, (20, 40, 60, 80), arrows=6))


def strip_set(truth, steps=(-2, -1, 0, 1, 2), ticks_m=TICKS_M, way=1.0, start_m=0.05):
    """Strips whose lengths differ from the true one by 3 mm a step."""
    marks = truth.marks(ticks_m)
    length = marks - marks[0]
    grown = [1 + step * 3e-3 / abs(length[-1]) for step in steps]
    return tuple(
        ReadyStrip(f"{step:+d}", ticks_m, start_m + way * length * factor)
        for step, factor in zip(steps, grown, strict=True)
    )


@pytest.mark.parametrize("way", [1.0, -1.0])
def test_the_true_strip_comes_first(session, way):
    truth, posterior = session
    ranked = rank_strips(posterior, strip_set(truth, way=way), TICKS_M[-1])
    assert ranked[0].strip.name == "+0"
    assert ranked[0].reversed_way == (way < 0)
    assert sum(one.chance for one in ranked) == pytest.approx(1.0)
    assert [one.chance for one in ranked] == sorted((one.chance for one in ranked), reverse=True)


def test_where_it_is_stuck_and_what_it_leaves(session):
    truth, posterior = session
    best = rank_strips(posterior, strip_set(truth), TICKS_M[-1])[0]
    marks = truth.marks(TICKS_M)
    # arrows are balanced about the truth: two tenths of a millimetre
    assert best.align_m == pytest.approx(marks[0], abs=2e-4)
    assert best.distance_m == pytest.approx(TICKS_M)
    assert best.worst_m == np.abs(best.error_m).max()
    # the error told is what the true bow does with the strip: 0.2 mm of reading are 11 mm there
    shown = best.align_m + best.strip.position_m - best.strip.position_m[0]
    up = impact(truth.unknowns.bow(truth.vector), TICKS_M, shown)[1]
    assert best.error_m == pytest.approx(up, abs=0.02)


def test_a_strip_that_is_too_long_sends_far_arrows_high(session):
    truth, posterior = session
    long = rank_strips(posterior, strip_set(truth, (2,)), TICKS_M[-1])[0]
    assert long.chance == 1.0  # the only one of its set
    assert long.error_m[-1] > 0.05
    assert long.error_m[0] < 0
    assert long.worst_m > 0.05


def test_aligning_is_the_best_that_can_be_done(session):
    truth, posterior = session
    long = rank_strips(posterior, strip_set(truth, (2,)), TICKS_M[-1])[0]
    best2 = np.square(long.error_m).sum()
    bow = truth.unknowns.bow(truth.vector)
    shown = long.align_m + long.strip.position_m - long.strip.position_m[0]
    per_reading = (impact(bow, TICKS_M, shown + 1e-5)[1] - impact(bow, TICKS_M, shown)[1]) / 1e-5
    for shift_m in (-2e-4, 2e-4):
        assert np.square(long.error_m + shift_m * per_reading).sum() > best2


def test_ticks_past_the_wanted_distance_do_not_count(session):
    truth, posterior = session
    broken = strip_set(truth, (0,))[0]
    position = broken.position_m.copy()
    position[-1] += 0.02
    near = rank_strips(posterior, (replace(broken, position_m=position),), 70 * YARD_M)[0]
    assert len(near.distance_m) == len(TICKS_M) - 1
    assert near.worst_m < 0.02


def test_two_zeroed_marks_are_enough():
    sheet = rig()
    truth = truth_near(sheet)
    marks = tuple(bare(one, 3) for one in groups(sheet, truth, (20, 60)))
    ranked = rank_strips(drawn(sheet, marks), strip_set(truth, range(-4, 5)), TICKS_M[-1])
    assert ranked[0].strip.name in ("-1", "+0", "+1")
    assert ranked[0].chance < 0.95  # two marks do not tell 3 mm for sure


def test_the_order_of_the_set_does_not_matter(session):
    truth, posterior = session
    strips = strip_set(truth)
    one = rank_strips(posterior, strips, TICKS_M[-1])
    other = rank_strips(posterior, strips[::-1], TICKS_M[-1])
    assert [(a.strip.name, a.chance) for a in one] == [(b.strip.name, b.chance) for b in other]
