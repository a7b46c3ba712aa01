from math import isnan, pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tapewright.target.group import (
    Group,
    Impact,
    group_centre,
    group_dispersion,
    single_arrows,
    unbiased_factor,
)

LAW = settings(deadline=None, derandomize=True, max_examples=60)
offs = st.floats(-0.3, 0.3)
shots = st.lists(st.tuples(offs, offs), min_size=2, max_size=12)
INCH_M = 0.0254
# A group whose centre and unbiased spread were worked out by hand apart from this program.
SIX = [(1.2, -0.5), (0.3, 0.8), (2.1, -1.1), (1.6, 0.2), (0.9, -0.9), (1.9, 0.4)]


def group(pairs, scale=1.0):
    return Group("A", tuple(Impact(scale * x, scale * y) for x, y in pairs))


def test_centre_and_dispersion_of_a_worked_example():
    six = group(SIX, INCH_M)
    right, up = group_centre(six)
    assert right / INCH_M == pytest.approx(1.333333, abs=1e-6)
    assert up / INCH_M == pytest.approx(-0.183333, abs=1e-6)
    assert group_dispersion(six) / INCH_M == pytest.approx(0.736605, abs=1e-6)


def test_unbiased_factor_is_the_one_in_the_tables():
    # [NIST-EHB] 6.3.2 and any handbook of control charts: c4 for n = 2, 3, 4, 5, 10 values.
    table = {2: 0.7979, 3: 0.8862, 4: 0.9213, 5: 0.9400, 10: 0.9727}
    for values, factor in table.items():
        assert unbiased_factor(values - 1) == pytest.approx(factor, abs=5e-5)
    assert unbiased_factor(1) == pytest.approx(sqrt(2 / pi), rel=1e-12)
    assert unbiased_factor(1e6) == pytest.approx(1.0, abs=1e-6)


def test_dispersion_is_unbiased():
    """4000 groups of three: the mean is within four standard errors, 1.7 %, in 99.99 % of seeds."""
    rng = np.random.default_rng(7)
    spreads = [group_dispersion(group(rng.normal(size=(3, 2)))) for _ in range(4000)]
    error = np.std(spreads) / sqrt(len(spreads))
    assert abs(np.mean(spreads) - 1.0) < 4 * error


@LAW
@given(shots, offs, offs)
def test_moving_every_arrow_moves_the_centre_and_not_the_spread(pairs, x, y):
    here, there = group(pairs), group([(a + x, b + y) for a, b in pairs])
    assert group_centre(there) == pytest.approx(np.add(group_centre(here), (x, y)), abs=1e-12)
    assert group_dispersion(there) == pytest.approx(group_dispersion(here), abs=1e-12)


@LAW
@given(shots)
def test_mirrored_group_has_mirrored_centre_and_same_spread(pairs):
    here, there = group(pairs), group([(-a, b) for a, b in pairs])
    right, up = group_centre(here)
    assert group_centre(there) == pytest.approx((-right, up), abs=1e-15)
    assert group_dispersion(there) == pytest.approx(group_dispersion(here), abs=1e-15)


def test_a_centre_that_stands_for_several_weighs_as_many():
    mixed = Group("B", (Impact(0.0, 0.03, arrows=3), Impact(0.04, -0.01)))
    assert mixed.arrows == 4
    assert group_centre(mixed) == pytest.approx((0.01, 0.02), abs=1e-15)


def test_what_nobody_measured_is_no_number():
    heights = Group("C", (Impact(None, 0.02), Impact(None, 0.04)))
    right, up = group_centre(heights)
    assert isnan(right)
    assert up == pytest.approx(0.03, abs=1e-15)
    assert isnan(group_dispersion(heights))
    values, arrows = heights.along("right")
    assert len(values) == len(arrows) == 0


def test_one_arrow_and_a_bare_centre_tell_no_spread():
    assert isnan(group_dispersion(group([(0.1, 0.1)])))
    assert isnan(group_dispersion(Group("D", (Impact(0.0, 0.0, arrows=6), Impact(0.1, 0.0)))))


def test_called_bad_shots_count_nowhere():
    sound = [Impact(0.01, 0.02), Impact(-0.02, 0.01), Impact(0.03, -0.01)]
    bad = [Impact(0.9, -0.8, called_bad=True), Impact(None, None, called_bad=True)]
    with_bad = Group("E", (sound[0], bad[0], *sound[1:], bad[1]))
    without = Group("E", tuple(sound))
    assert (with_bad.arrows, with_bad.called_bad) == (3, 2)
    assert (without.arrows, without.called_bad) == (3, 0)
    assert group_centre(with_bad) == group_centre(without)
    assert group_dispersion(with_bad) == group_dispersion(without)
    assert (single_arrows(with_bad) == single_arrows(without)).all()
    for axis in ("up", "right"):
        assert len(with_bad.along(axis)[0]) == 3


def test_single_arrows_are_those_seen_one_by_one_and_both_ways():
    mixed = Group("F", (Impact(0.1, 0.2), Impact(None, 0.3), Impact(0.0, 0.0, arrows=3)))
    assert single_arrows(mixed).tolist() == [[0.1, 0.2]]
    assert single_arrows(Group("G", ())).shape == (0, 2)
