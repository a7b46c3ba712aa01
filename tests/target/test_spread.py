from math import isnan, pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tapewright.target.group import Group, Impact, group_dispersion
from tapewright.target.spread import (
    Banded,
    banded_dispersion,
    combined_spread,
    extreme_spread,
    farthest_apart,
    interval_factors,
    mean_radius,
    radius_factor,
)

LAW = settings(deadline=None, derandomize=True, max_examples=40)
offs = st.floats(-0.3, 0.3)
shots = st.lists(st.tuples(offs, offs), min_size=2, max_size=8)


def group(pairs, scale=1.0):
    return Group("A", tuple(Impact(scale * x, scale * y) for x, y in pairs))


def test_spread_of_one_group_is_its_dispersion_over_the_distance():
    pairs = [(0.01, 0.02), (-0.03, 0.01), (0.02, -0.04)]
    found = combined_spread([group(pairs)], [20.0])
    assert (found.arrows, found.groups, found.freedoms) == (3, 1, 4)
    assert found.dispersion_rad.value == pytest.approx(group_dispersion(group(pairs)) / 20.0)
    # by hand: squares about the mean, 0.0014 across and 0.0020667 up, 2 freedoms each
    assert found.variance_rad2 * 400.0 == pytest.approx((0.0014 + 0.62 / 300) / 4)
    c4 = sqrt(pi) / 2  # of two freedoms
    assert found.right_rad.value * 20.0 == pytest.approx(sqrt(0.0007) / c4)
    assert found.up_rad.value * 20.0 == pytest.approx(sqrt(0.62 / 600) / c4)


@LAW
@given(shots, shots, offs, offs)
def test_groups_are_taken_about_their_own_centres(here, there, x, y):
    moved = [(a + x, b + y) for a, b in there]
    one = combined_spread([group(here), group(there, 2.0)], [10.0, 20.0])
    two = combined_spread([group(here), group(moved, 2.0)], [10.0, 20.0])
    assert two.variance_rad2 == pytest.approx(one.variance_rad2, abs=1e-12)
    assert one.freedoms == 2 * (len(here) + len(there) - 2)


@LAW
@given(shots)
def test_bands_lie_about_the_value_and_shrink_with_arrows(pairs):
    once = combined_spread([group(pairs)], [10.0])
    often = combined_spread([group(pairs)] * 8, [10.0] * 8)
    assert once.dispersion_rad.low <= once.dispersion_rad.value <= once.dispersion_rad.high
    assert often.dispersion_rad.high <= once.dispersion_rad.high


def test_bands_hold_the_truth_nine_times_in_ten():
    """4000 pairs of groups: 90 % is told to 0.5 %; four of those."""
    rng = np.random.default_rng(9)
    inside = 0
    for _ in range(4000):
        groups = [group(rng.normal(size=(3, 2))), group(rng.normal(size=(4, 2)))]
        band = combined_spread(groups, [1.0, 1.0]).dispersion_rad
        inside += band.low <= 1.0 <= band.high
    assert abs(inside / 4000 - 0.9) < 0.02


def test_what_nobody_measured_is_no_number():
    heights = Group("B", (Impact(None, 0.02), Impact(None, 0.04), Impact(0.0, 0.0, arrows=3)))
    found = combined_spread([heights, group([(0.1, 0.1)])], [10.0, 10.0])
    assert (found.arrows, found.groups, found.freedoms) == (2, 1, 1)
    assert isnan(found.right_rad.value)
    assert found.up_rad.value == found.dispersion_rad.value > 0.0
    nothing = combined_spread([], [])
    assert nothing.freedoms == 0
    assert isnan(nothing.variance_rad2)
    assert isnan(nothing.radius_rad(0.5).high)


def test_circles_grow_with_the_share_and_the_band():
    found = combined_spread([group([(0.0, 0.1), (0.1, 0.0), (0.0, 0.0)])], [1.0])
    half, most = found.radius_rad(0.5), found.radius_rad(0.9)
    assert half.value < found.mean_radius_rad.value < most.value
    assert most.high / most.value == pytest.approx(half.high / half.value)
    assert radius_factor(0.0) == 0.0


def test_interval_of_a_chance_of_one_half_is_narrow():
    wide, narrow = interval_factors(10, 0.9), interval_factors(10, 0.5)
    assert wide[0] < narrow[0] < 1.0 < narrow[1] < wide[1]
    assert banded_dispersion(4.0, 10).value == pytest.approx(2.0, rel=0.03)
    assert Banded(1.0, 0.5, 3.0).times(2.0) == Banded(2.0, 1.0, 6.0)


@LAW
@given(shots)
def test_extreme_spread_is_at_most_twice_the_farthest_from_the_centre(pairs):
    one = group(pairs)
    xy = np.array(pairs)
    farthest = np.hypot(*(xy - xy.mean(axis=0)).T).max()
    assert farthest <= extreme_spread(one) + 1e-12 <= 2 * farthest + 2e-12
    assert mean_radius(one) <= farthest + 1e-12
    assert farthest_apart(np.stack([xy, 2 * xy]))[1] == pytest.approx(2 * extreme_spread(one))


def test_one_arrow_has_no_spread():
    assert isnan(extreme_spread(group([(0.1, 0.1)])))
    assert isnan(mean_radius(group([(0.1, 0.1)])))
