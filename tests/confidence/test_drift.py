"""Drift: sums worked by hand for few groups. Source: ratios of Gaussians, by hand."""

from math import exp, log

import numpy as np
import pytest

from tapewright.confidence.drift import (
    Change,
    changes_seen,
    growths_of,
    likeliest,
    run_watch,
)

ZERO_AND_RIGHT = (  # angles in rad, and rad a month
    Change("zero", is_slow=False, usual=1e-3),
    Change("right", is_slow=False, usual=1e-3),
    Change("zero", is_slow=True, usual=0.5e-3),
    Change("right", is_slow=True, usual=0.5e-3),
)


def sudden(groups, size=np.inf, miss=None, covariance=None, freedoms=np.inf):
    """A watch for one sudden change on one axis."""
    growths = np.tri(groups)[:, :, None]
    miss = np.zeros(groups) if miss is None else miss
    covariance = np.eye(groups) if covariance is None else covariance
    return run_watch(miss, covariance, growths, np.arange(groups), [size], freedoms)


def test_a_given_size_is_the_ratio_of_two_gaussians_from_each_group_on():
    running = sudden(3, miss=[0.4, 2.0, -1.0])
    # of a size of one: exp(x - 1/2) for each group since it began
    each = [-0.1, 1.5, -1.5]
    assert running.log_ratio[2, :, 0] == pytest.approx([sum(each), sum(each[1:]), each[2]])
    assert running.log_ratio[1, :2, 0] == pytest.approx([1.4, 1.5])
    assert np.isneginf(running.log_ratio[0, 1:]).all()
    assert running.statistic[1] == pytest.approx(exp(1.4) + exp(1.5))
    assert running.cumulative[2, 0] == pytest.approx(0.0)
    assert running.size[2, 0, 0] == 1.0


def test_a_change_that_is_believed_more_counts_more():
    growths = np.stack([np.tri(2), np.zeros((2, 2))], axis=2)
    running = run_watch([1.0, 1.0], np.eye(2), growths, [0, 1], [np.inf, 1.0], np.inf, [3.0, 1.0])
    assert [one.believed for one in ZERO_AND_RIGHT] == [1.0, 1.0, 2.0, 2.0]
    assert running.statistic[1] == pytest.approx(0.75 * (exp(1.0) + exp(0.5)) + 0.25 * 2.0)


def test_a_size_that_nobody_knows_is_integrated_out():
    running = sudden(2, size=3.0, miss=[1.0, 2.0])
    # both: mean 1.5, variance 1/2 without and 1/2 + 9 with; the last alone: variance 1 or 10
    both = 0.5 * (1.5**2 / 0.5 - 1.5**2 / 9.5 - log(9.5 / 0.5))
    last = 0.5 * (2.0**2 * (1.0 - 1.0 / 10.0) - log(10.0))
    assert running.log_ratio[1, :, 0] == pytest.approx([both, last])
    assert running.size[1, :, 0] == pytest.approx([1.5 * 9.0 / 9.5, 2.0 * 0.9])


def test_a_level_that_is_not_known_is_learnt_and_not_taken_for_truth():
    level2 = 4.0
    covariance = np.eye(3) + level2
    running = sudden(3, size=1.0, miss=[2.0, 2.0, 2.0], covariance=covariance)
    # foretold from the one before: 2 x 4/5, and with variance 1 + 4 - 16/5; and so on
    errors = [2.0 / 5.0**0.5, 0.4 / 1.8**0.5, (2.0 - 16.0 / 9.0) / (1.0 + 4.0 / 9.0) ** 0.5]
    assert running.innovation == pytest.approx(errors)
    known = sudden(3, size=1.0, miss=[2.0, 2.0, 2.0])
    assert running.statistic[2] < 0.1 * known.statistic[2]


def test_a_scatter_that_is_hardly_known_holds_the_sum_down():
    miss = [0.0, 0.0, 5.0]
    sure, unsure = (sudden(3, 3.0, miss, freedoms=one).statistic[2] for one in (np.inf, 12.0))
    assert unsure < 0.1 * sure
    # Student's t with 12 + 3 freedoms, by hand, of the last group alone
    gain, far2 = 25.0 * 0.9, 25.0
    ratio = -7.5 * log((12.0 + far2 - gain) / (12.0 + far2)) - 0.5 * log(10.0)
    assert sudden(3, 3.0, miss, freedoms=12.0).log_ratio[2, 2, 0] == pytest.approx(ratio)


def test_slow_changes_grow_with_the_days_from_the_group_before():
    shapes = {"zero": np.array([2.0, 2.0, 2.0]), "far": np.ones(3), "right": np.zeros(3)}
    found = growths_of(shapes, [100.0, 115.0, 130.0], [0, 1, 2])
    sudden_zero, slow_zero = found[:, :, 0], found[:, :, 3]
    assert sudden_zero.tolist() == [[2, 0, 0], [2, 2, 0], [2, 2, 2]]
    assert slow_zero == pytest.approx(np.array([[0, 0, 0], [1, 1, 0], [2, 2, 1]]))
    assert not found[:, :, [2, 5]].any()


def test_at_one_distance_the_far_marks_are_not_looked_for():
    seen = {one.name for one in changes_seen([18.0, 18.0], [18.0, 24.0])}
    assert seen == {"zero", "right"}
    names = [one.name for one in changes_seen([18.0, 24.0], [18.0])]
    assert names == ["zero", "far", "right"] * 2
    assert {one.name for one in changes_seen([18.0], [])} == {"zero"}
    assert {one.name for one in changes_seen([], [18.0, 24.0])} == {"right"}


@pytest.mark.parametrize(("name", "sign"), [("zero", -1.0), ("right", 1.0)])
def test_what_has_changed_is_named_with_its_day_and_its_size(name, sign):
    days = 200.0 + 3.5 * np.arange(16)
    rows = np.arange(32)
    group, is_up = rows // 2, rows % 2 == 0
    shapes = {"zero": 1.0 * is_up, "right": 1.0 * ~is_up}
    growths = growths_of(shapes, days, group, ZERO_AND_RIGHT)
    miss = np.where(is_up == (name == "zero"), sign * 1.5e-3 * (group >= 10), 0.0)
    covariance = np.eye(32) * (0.3e-3) ** 2
    usual = [one.usual for one in ZERO_AND_RIGHT]
    running = run_watch(miss, covariance, growths, group, usual)
    found = likeliest(running, days, ZERO_AND_RIGHT)
    assert (found.name, found.first) == (name, 10)
    assert found.size == pytest.approx(sign * 1.5e-3, rel=0.1)
    assert found.chance > 0.99
    assert found.slow_chance < 0.1
    assert 0.0 < found.half < 0.5e-3


def test_a_slow_change_is_told_by_the_month():
    days = 7.0 * np.arange(20)
    shapes = {"zero": np.ones(20), "right": np.zeros(20)}
    growths = growths_of(shapes, days, np.arange(20), ZERO_AND_RIGHT)
    miss = -0.6e-3 * days / 30.0
    covariance = np.eye(20) * (0.3e-3) ** 2
    running = run_watch(miss, covariance, growths, np.arange(20),
                        [one.usual for one in ZERO_AND_RIGHT])  # fmt: skip
    found = likeliest(running, days, ZERO_AND_RIGHT)
    assert (found.name, found.slow_chance > 0.9) == ("zero", True)
    assert found.a_month == pytest.approx(-0.6e-3, rel=0.1)
    assert found.size == pytest.approx(miss[-1], rel=0.1)
