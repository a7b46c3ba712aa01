"""Moving the sight: readings and pin travel by the forward model; the rest in test_correct.py."""

from dataclasses import replace

import pytest
from sessions import rig

from tapewright.calibration.observation import Observation
from tapewright.services.move_sight import (
    fitted_sight,
    height,
    pin_per_shift,
    right_per_click,
    sight_move,
    up_per_click,
)
from tapewright.target.correction import AxisMove
from tapewright.target.group import Group

HERE = Observation(Group("1", ()), 18.0, 0.02)
LEFT = AxisMove(0.0, 1.0, 0.0, None, "within chance")


@pytest.fixture(params=["increases", "decreases"])
def fitted(request):
    clicks = {"elevation_click_m": 0.1e-3, "windage_click_m": 0.05e-3}
    return fitted_sight(rig(sight={"farther": request.param, **clicks}))


def test_a_click_is_a_step_of_the_height(fitted):
    step = height(fitted, HERE, HERE.reading_m + 0.1e-3) - height(fitted, HERE, HERE.reading_m)
    assert up_per_click(fitted, HERE, 0.0) == pytest.approx(abs(step), rel=1e-3)
    # the mean of a long way is that of its ends
    far = height(fitted, HERE, HERE.reading_m + 10e-3) - height(fitted, HERE, HERE.reading_m)
    assert up_per_click(fitted, HERE, far) == pytest.approx(abs(far) / 100, rel=1e-6)


def test_windage_is_a_pair_of_similar_triangles(fitted):
    radius_m = fitted.evidence.prior.unknowns.sight_radius_m
    assert pin_per_shift(fitted, HERE) == pytest.approx(-radius_m / 18.0)
    assert right_per_click(fitted, HERE) == pytest.approx(0.05e-3 * 18.0 / radius_m)


def test_a_sheet_without_clicks_has_none(fitted):
    without = replace(fitted.rig.sight, elevation_click_m=None, windage_click_m=None)
    bare = replace(fitted, rig=replace(fitted.rig, sight=without))
    assert up_per_click(bare, HERE, 0.1) is None
    assert right_per_click(bare, HERE) is None


def test_where_the_windage_is_told_it_is_told_where_it_is_to_stand(fitted):
    to_right = AxisMove(0.05, 1.0, -0.05, None, "off the aim")  # arrows hit right and must go left
    told = sight_move(fitted, replace(HERE, windage_m=1.0e-3), LEFT, to_right)
    assert told.pin_right_m > 2e-3
    assert told.windage_m == pytest.approx(1.0e-3 + told.pin_right_m)
    assert sight_move(fitted, HERE, LEFT, to_right).windage_m is None


def test_moves_left_alone_leave_the_sight(fitted):
    move = sight_move(fitted, HERE, LEFT, LEFT)
    assert (move.reading_m, move.by_reading_m, move.pin_up, move.pin_right_m) == (0.02, 0, 0, 0)


def test_an_impact_that_must_rise_takes_the_pin_down(fitted):
    rise = AxisMove(-0.1, 1.0, 0.1, None, "off the aim")
    move = sight_move(fitted, HERE, rise, LEFT)
    assert move.pin_up == -1
    moved_m = height(fitted, HERE, move.reading_m) - height(fitted, HERE, HERE.reading_m)
    assert moved_m == pytest.approx(0.1, abs=2e-6)
