"""The telling group, against groups drawn by chance from both causes."""

from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import groups, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.misses import misses_of, promised_at
from tapewright.confidence.posterior import draw_posterior
from tapewright.confidence.signatures import nothing, shapes_on_tape, signatures
from tapewright.confidence.telling import promise, telling_distance

ENDS_M = (20 * YARD_M, 60 * YARD_M)
TRIED_M = np.array([10, 20, 30, 50, 70, 80]) * YARD_M


@pytest.fixture(scope="module")
def misses():
    sheet = rig()
    truth = truth_near(sheet)
    shots = groups(sheet, truth, (20, 30, 45, 60, 75, 80), arrows=6)
    posterior = draw_posterior(fit_bow(sheet, shots), np.random.default_rng(1))
    return misses_of(posterior, groups(sheet, truth, (60, 80), arrows=6), ENDS_M)


def with_misses(misses, *up_rad):
    return replace(misses, miss_rad=np.array([*up_rad, 0.0, 0.0]))


def law(misses, name):
    return next(one for one in signatures(misses) if one.law == name)


def test_two_far_groups_leave_a_length_and_an_angle_to_a_near_one(misses):
    high = with_misses(misses, 1.2e-3, 1.2e-3)
    zero, height = law(high, "zero"), law(high, "height")
    assert telling_distance(high, zero, height, TRIED_M) == TRIED_M[0]


def test_what_grows_with_distance_is_told_from_nothing_far_out(misses):
    low = with_misses(misses, -0.5e-3, -0.9e-3)
    span = law(low, "span")
    told_m = telling_distance(low, span, nothing(low), TRIED_M)
    assert told_m == TRIED_M[-1]
    assert telling_distance(low, nothing(low), span, TRIED_M) == told_m


def test_no_shot_parts_what_may_both_be_so_or_moves_no_group_there(misses):
    zero, windage = law(misses, "zero"), law(misses, "windage")
    assert telling_distance(misses, zero, windage, TRIED_M) is None
    peg = law(misses, "one distance")
    assert telling_distance(misses, peg, nothing(misses), TRIED_M) is None
    assert telling_distance(misses, zero, peg, TRIED_M) is not None
    assert telling_distance(misses, zero, peg, TRIED_M[:0]) is None
    assert telling_distance(misses, windage, nothing(misses), TRIED_M) is not None


@pytest.mark.parametrize(("name", "usual"), [("zero", 1.5e-3), ("span", 2e-3), ("speed", 0.03)])
def test_a_promise_is_what_a_regression_on_invented_sessions_says(misses, name, usual):
    """Sessions made by chance: a draw, a size, luck; then a straight line through them."""
    low = with_misses(misses, -0.7e-3, -1.1e-3)
    one, rng = law(low, name), np.random.default_rng(5)
    drawn, scatter = promised_at(low, TRIED_M)
    times = 20
    size = usual * rng.standard_normal((times * len(drawn), 1))
    luck = rng.multivariate_normal(
        np.zeros(4), low.covariance - np.cov(low.drawn_rad.T), len(size), method="eigh"
    )
    groups = np.tile(low.drawn_rad, (times, 1)) + size * one.shape + luck
    there = shapes_on_tape(low, TRIED_M)[name]
    more = np.tile(drawn, (times, 1)) + size * there
    table = np.column_stack([np.ones(len(groups)), groups])
    line = np.linalg.lstsq(table, more, rcond=None)[0]
    angle, variance = promise(low, one, TRIED_M)
    # a twentieth of a milliradian: 4 mm at 80 yd, and the draws' middle is no mean
    assert angle == pytest.approx(np.concatenate([[1.0], low.miss_rad]) @ line, abs=5e-5)
    left = (more - table @ line).var(axis=0) + scatter
    assert np.sqrt(variance) == pytest.approx(np.sqrt(left), rel=0.03)
