import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tapewright.target.flyer import (
    axis_flyer,
    chance_to_find,
    grubbs_critical,
    largest_possible,
    offset_to_find,
    radial_critical,
    radial_flyer,
)
from tapewright.target.group import Group, Impact

LAW = settings(deadline=None, derandomize=True, max_examples=40)
offs = st.floats(-0.3, 0.3)
WILD = [(0.1, 0.0), (0.0, 0.1), (-0.1, 0.0), (0.0, -0.1), (0.1, 0.1), (3.0, 2.0)]


def group(pairs):
    return Group("A", tuple(Impact(x, y) for x, y in pairs))


def test_the_wild_arrow_is_named():
    found = radial_flyer(group(WILD))
    assert found.arrow == 5
    assert found.is_flyer
    assert found.statistic > found.critical
    across = axis_flyer(np.array([x for x, _ in WILD]))
    assert (across.arrow, across.is_flyer) == (5, True)


def test_a_sound_group_has_no_flyer():
    found = radial_flyer(group(WILD[:5]))
    assert not found.is_flyer
    assert found.statistic < found.critical
    assert not axis_flyer(np.array([0.1, 0.2, 0.4, 0.1, 0.3])).is_flyer


@LAW
@given(st.lists(st.tuples(offs, offs), min_size=5, max_size=9))
def test_chance_and_critical_value_say_the_same(pairs):
    found = radial_flyer(group(pairs))
    if found is not None and abs(found.chance - 0.05) > 1e-9:
        assert found.is_flyer == (found.statistic > found.critical)
        assert 0.0 <= found.chance <= 1.0
    across = axis_flyer(np.array([x for x, _ in pairs]))
    if across is not None and abs(across.chance - 0.05) > 1e-9:
        assert across.is_flyer == (across.statistic > across.critical)
        assert across.statistic <= largest_possible(len(pairs)) + 1e-9


@pytest.mark.parametrize("arrows", [5, 6, 10])
def test_a_sound_group_seldom_raises_the_alarm_along_an_axis(arrows):
    """4000 groups: 5 % is told to 0.35 %; four of those."""
    rng = np.random.default_rng(arrows)
    alarms = sum(axis_flyer(rng.normal(size=arrows)).is_flyer for _ in range(4000))
    assert abs(alarms / 4000 - 0.05) < 0.014


def test_what_cannot_be_judged_is_not():
    assert radial_flyer(group(WILD[:2])) is None
    assert radial_flyer(group([*WILD[:3], (3.0, 2.0)])) is None  # four arrows
    assert radial_flyer(group([(0.1, 0.1)] * 5)) is None
    assert axis_flyer(np.array([0.1, 0.2, 0.1, 9.0])) is None
    assert axis_flyer(np.array([0.0, 0.0, 0.0, 0.0, 0.0])) is None


def test_a_straggler_is_no_outlier_yet():
    """Six along an axis: 5 % lies at 1.887 standard deviations, 1 % at 1.973."""
    mild = axis_flyer(np.array([-1.0, 1.0, -0.6, 0.6, 0.0, 5.0]))
    assert (mild.is_flyer, mild.is_outlier) == (True, False)
    assert 1.887 < mild.statistic < 1.973
    wild = axis_flyer(np.array([-1.0, 1.0, -0.6, 0.6, 0.0, 9.0]))
    assert (wild.is_flyer, wild.is_outlier) == (True, True)


def test_rounding_is_part_of_the_spread():
    """Whole inches: s² of 4, 4, 5, 4, 4 is 0.2; with 1/12 the last is 1.503 off, not 1.789."""
    inches = np.array([4.0, 4.0, 5.0, 4.0, 4.0])
    assert axis_flyer(inches).statistic == pytest.approx(1.7889, abs=1e-4)
    assert axis_flyer(inches).is_outlier
    mended = axis_flyer(inches, step_m=1.0)
    assert mended.statistic == pytest.approx(1.5029, abs=1e-4)
    assert not mended.is_flyer
    both = radial_flyer(group([(0.0, one) for one in inches]), step_m=1.0)
    assert both.statistic == pytest.approx(0.8 / (0.1 + 1 / 12) ** 0.5, abs=1e-4)
    assert not both.is_flyer


@pytest.mark.parametrize("axes", [1, 2])
def test_more_arrows_find_nearer_flyers(axes):
    far = [offset_to_find(arrows, 0.5, axes=axes) for arrows in (3, 4, 5, 6, 8, 12)]
    assert far == sorted(far, reverse=True)
    assert far[0] > 10.0  # dispersions: three arrows prove next to nothing
    assert offset_to_find(6, 0.9, axes=axes) > offset_to_find(6, 0.5, axes=axes)
    assert chance_to_find(offset_to_find(6, 0.5, axes=axes), 6, axes=axes) == pytest.approx(0.5)


def test_power_along_an_axis_is_what_a_count_says():
    """20,000 groups of six: a half is told to 0.35 %; four of those."""
    rng = np.random.default_rng(20)
    values = rng.normal(size=(20_000, 6))
    values[:, 0] += offset_to_find(6, 0.5, axes=1)
    away = np.abs(values - values.mean(axis=1, keepdims=True))
    found = away[:, 0] / values.std(axis=1, ddof=1) > grubbs_critical(6)
    assert abs(found.mean() - 0.5) < 0.014


def test_what_is_certain_is_certain():
    assert chance_to_find(80.0, 10) == 1.0
    assert chance_to_find(0.0, 6) < 0.05
    assert radial_critical(6, 0.01) > radial_critical(6)
