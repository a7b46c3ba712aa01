from math import inf, isnan, pi, sqrt

import numpy as np
import pytest

from tapewright.target.aim_test import (
    centre_region,
    chance_beyond,
    hotelling_region,
    ratio_within,
)
from tapewright.target.group import Group, Impact, group_centre
from tapewright.target.spread import combined_spread

SIX = [(1.2, -0.5), (0.3, 0.8), (2.1, -1.1), (1.6, 0.2), (0.9, -0.9), (1.9, 0.4)]


def group(pairs):
    return Group("A", tuple(Impact(x, y) for x, y in pairs))


def own_region(one, **how):
    spread = combined_spread([one], [1.0])
    return centre_region(one, spread.variance_rad2, spread.freedoms, **how)


@pytest.mark.parametrize("arrows", [2, 3, 6])
def test_region_holds_the_true_centre_nine_times_in_ten(arrows):
    """3000 groups: 90 % is told to 0.55 %; four of those. Chances are even between 0 and 1."""
    rng = np.random.default_rng(arrows)
    inside, chances = 0, []
    for _ in range(3000):
        found = own_region(group(rng.normal(size=(arrows, 2))))
        inside += (found.right_m / found.reach_right_m) ** 2 + (
            found.up_m / found.reach_up_m
        ) ** 2 <= 1.0
        chances.append(found.chance)
    assert abs(inside / 3000 - 0.9) < 0.022
    assert np.histogram(chances, bins=4, range=(0, 1))[0] == pytest.approx([750] * 4, abs=95)


def test_ellipse_holds_the_true_centre_nine_times_in_ten():
    """1500 leaning groups of five: 90 % is told to 0.8 %; four of those."""
    rng = np.random.default_rng(3)
    lean = np.array([[1.0, 0.0], [0.7, 0.4]])
    inside = sum(
        hotelling_region(group(rng.normal(size=(5, 2)) @ lean)).chance > 0.1 for _ in range(1500)
    )
    assert abs(inside / 1500 - 0.9) < 0.032


def test_chance_meets_the_edge_of_the_region():
    found = own_region(group(SIX))
    edge = own_region(group(SIX), probability=1.0 - found.chance)
    assert np.hypot(found.right_m, found.up_m) == pytest.approx(edge.reach_up_m, rel=1e-9)
    assert edge.reach_up_m == pytest.approx(edge.reach_right_m)


def test_edge_of_the_ellipse_meets_the_aim():
    one = group(SIX)
    edge = hotelling_region(one, 1.0 - hotelling_region(one).chance)
    along = np.array([np.cos(edge.tilt_rad), np.sin(edge.tilt_rad)])
    across = np.array([-along[1], along[0]])
    centre = np.array(group_centre(one))
    ring = (centre @ along / edge.major_m) ** 2 + (centre @ across / edge.minor_m) ** 2
    assert ring == pytest.approx(1.0, rel=1e-9)


def test_tilt_of_the_ellipse_is_that_of_the_group():
    for tilt in (-1.2, 0.0, 0.4, 1.5):
        turn = np.array([[np.cos(tilt), np.sin(tilt)], [-np.sin(tilt), np.cos(tilt)]])
        flat = np.array([(2.0, 0.1), (-2.0, 0.1), (1.0, -0.1), (-1.0, -0.1)])
        found = hotelling_region(group(flat @ turn))
        assert found.tilt_rad == pytest.approx(tilt, abs=1e-9)
        assert -pi / 2 <= found.tilt_rad <= pi / 2


def test_known_dispersion_and_wobble():
    four = group([(1.0, 1.0)] * 4)
    known = centre_region(four, 1.0)
    assert known.chance == pytest.approx(np.exp(-0.5 * 8.0), rel=1e-6)  # n |x|² / 2σ² = 4
    assert known.reach_up_m == pytest.approx(sqrt(2 * np.log(10.0) / 4))
    shaky = centre_region(four, 1.0, wobble_m=0.5)
    assert shaky.reach_up_m == pytest.approx(known.reach_up_m * sqrt(2.0))  # 1/4 and 1/4
    assert shaky.chance == pytest.approx(np.exp(-2.0), rel=1e-6)


def test_one_axis_alone_is_students_test():
    heights = Group("B", (Impact(None, 0.2), Impact(None, 0.5), Impact(None, 0.8)))
    found = centre_region(heights, 0.09, 2, probability=0.95)
    assert isnan(found.right_m)
    assert isnan(found.reach_right_m)
    assert isnan(found.chance_right)
    assert found.reach_up_m == pytest.approx(4.3027 * 0.3 / sqrt(3), rel=1e-4)
    assert found.chance == found.chance_up
    nothing = centre_region(Group("C", ()), 1.0)
    assert isnan(nothing.chance)
    assert isnan(nothing.up_m)


def test_axes_measured_unlike_often_have_their_own_reach():
    mixed = Group("D", (Impact(0.1, 0.1), Impact(None, 0.2), Impact(None, 0.3), Impact(None, 0.2)))
    found = centre_region(mixed, 1.0, 4)
    assert found.reach_right_m == pytest.approx(2.0 * found.reach_up_m)


def test_few_arrows_and_a_line_have_no_ellipse():
    assert hotelling_region(group(SIX[:2])) is None
    assert hotelling_region(group([(0.0, 0.0), (1.0, 1.0), (2.0, 2.0)])) is None
    assert hotelling_region(group([(1.0, 1.0)] * 4)) is None


@pytest.mark.parametrize("axes", [1, 2])
@pytest.mark.parametrize("freedoms", [1, 4, 30, inf])
def test_ratio_is_the_inverse_of_the_chance(axes, freedoms):
    ratio = ratio_within(0.9, axes, freedoms)
    assert chance_beyond(ratio, axes, freedoms) == pytest.approx(0.1, rel=1e-6)
