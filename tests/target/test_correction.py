from math import nan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tapewright.target.aim_test import CentreRegion
from tapewright.target.correction import (
    axis_move,
    believed_share,
    effective_arrows,
    group_moves,
    harmonic_weight,
    turns_and_clicks,
    wanted_shift,
    whole_clicks,
)

LAW = settings(deadline=None, derandomize=True, max_examples=60)
misses = st.lists(st.floats(-0.5, 0.5), min_size=1, max_size=12)


def region(right_m=0.0, up_m=0.0, chance=0.5, chance_right=0.5, chance_up=0.5):
    return CentreRegion(0.9, right_m, up_m, 0.1, 0.1, chance, chance_right, chance_up)


@LAW
@given(misses, st.floats(0.0, 2.0))
def test_moves_made_in_full_are_the_harmonic_rule(noise, ratio):
    seen, settings_m, setting = [], [], 0.0
    for arrow, one in enumerate(noise, 1):
        seen.append(0.3 + setting + one)
        settings_m.append(setting)
        wanted = float(wanted_shift(seen, settings_m, ratio))
        by_rule = setting - harmonic_weight(arrow, ratio, 1.0) * seen[-1]
        assert wanted == pytest.approx(by_rule, abs=1e-12)
        setting = wanted


@LAW
@given(misses)
def test_what_was_not_moved_is_made_good(noise):
    """Nobody moved: the wanted shift is the mean of all, not a share of the last."""
    still = np.zeros(len(noise))
    assert float(wanted_shift(noise, still, 0.0)) == pytest.approx(-np.mean(noise), abs=1e-12)


def test_both_axes_at_once():
    seen = np.array([[0.1, -0.2], [0.3, 0.0]])
    assert wanted_shift(seen, np.zeros((2, 2)), 0.0) == pytest.approx([-0.2, 0.1])


@LAW
@given(st.integers(1, 30), st.floats(0.01, 4.0), st.floats(0.01, 9.0))
def test_share_grows_with_arrows_and_doubt(arrows, variance, doubt2):
    share = believed_share(arrows, variance, doubt2)
    assert 0.0 < share < 1.0
    assert believed_share(arrows + 1, variance, doubt2) > share
    assert believed_share(arrows, variance, 2 * doubt2) > share
    assert harmonic_weight(1, variance, doubt2) == pytest.approx(
        believed_share(1, variance, doubt2)
    )


def test_wobble_bounds_what_a_group_can_tell():
    assert effective_arrows(6, 1.0, 0.0) == 6
    assert effective_arrows(1e9, 1.0, 0.25) == pytest.approx(4.0)


@LAW
@given(st.floats(-1.0, 1.0), st.floats(0.001, 0.1))
def test_clicks_are_whole_and_nearest(shift_m, click_m):
    clicks = whole_clicks(shift_m, click_m)
    assert abs(clicks * click_m - shift_m) <= 0.5 * click_m + 1e-9
    assert whole_clicks(-shift_m, click_m) == -clicks


def test_half_a_click_is_left():
    assert whole_clicks(0.5, 1.0) == 0
    assert whole_clicks(-0.51, 1.0) == -1
    assert turns_and_clicks(-29, 20) == (1, 9)
    assert turns_and_clicks(40, 20) == (2, 0)


def test_the_impact_goes_back_by_the_share_of_the_miss():
    move = axis_move(-0.10, 0.9, 0.001)
    assert move.is_move
    assert move.shift_m == pytest.approx(0.09)
    assert move.clicks is None
    clicked = axis_move(-0.10, 0.9, 0.001, 0.025)
    assert clicked.clicks == 4
    assert clicked.shift_m == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("miss_m", "chance", "click_m", "reason", "clicks"),
    [
        (nan, 0.001, 0.02, "not measured", None),
        (0.10, 0.2, 0.02, "within chance", 0),
        (0.10, 0.2, None, "within chance", None),
        (0.009, 0.001, 0.02, "under half a click", 0),
    ],
)
def test_leaving_it_has_a_reason(miss_m, chance, click_m, reason, clicks):
    move = axis_move(miss_m, 1.0, chance, click_m)
    assert (move.reason, move.clicks, move.shift_m) == (reason, clicks, 0.0)
    assert not move.is_move


def test_an_axis_moves_only_with_the_group():
    off = {"right_m": 0.01, "up_m": -0.2}
    right, up = group_moves(region(**off, chance=0.01, chance_right=0.4, chance_up=0.001), 1.0)
    assert (right.reason, up.reason) == ("within chance", "off the aim")
    right, up = group_moves(region(**off, chance=0.2, chance_right=0.4, chance_up=0.04), 1.0)
    assert (right.reason, up.reason) == ("within chance", "within chance")
    right, up = group_moves(region(right_m=nan, up_m=0.2, chance=0.0, chance_right=nan,
                                   chance_up=0.0), 0.5, None, 0.01)  # fmt: skip
    assert (right.reason, up.clicks) == ("not measured", -10)
