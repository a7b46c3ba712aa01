import numpy as np
import pytest
from exact_units import YARD_M
from sessions import groups, rig, truth_near

from tapewright.calibration.rig import Belief
from tapewright.services.calibrate import calibrate
from tapewright.services.limits import find_limits, reachable

FAR_M = np.array([40, 80, 120]) * YARD_M
GRID_M = np.arange(10, 126) * YARD_M


def answer_for(sight):
    sheet = rig(sight)
    return calibrate(sheet, groups(sheet, truth_near(sheet)), FAR_M, GRID_M)


@pytest.fixture(scope="module")
def two_pins():
    return answer_for({"pins_below_first_m": (Belief(9e-3, 0.2e-3),), "clearance_reading_m": 0.088})


def test_each_pin_has_its_reach_and_its_travel_left(two_pins):
    found = find_limits(two_pins, FAR_M)
    assert [one.pin for one in found.reaches] == [1, 2]
    assert found.left_m.shape == found.left_low_m.shape == (2, 3)
    assert np.all(found.left_low_m < found.left_m)
    # the second pin sits 9 mm lower, so as much more travel is left on it
    assert found.left_m[1] - found.left_m[0] == pytest.approx(9e-3, abs=0.3e-3)
    assert not found.vane_is_assumed


def test_what_can_surely_be_reached_is_less_than_what_may_be(two_pins):
    far = find_limits(two_pins, FAR_M).reaches[0].farthest_m[0]
    distances = far + np.linspace(-5.0, 5.0, 41)
    surely, perhaps = (reachable(two_pins, distances, chance=one).sum() for one in (0.9, 0.1))
    assert 0 < surely < 20 < perhaps < 41
    assert (reachable(two_pins, distances, pin=2)).all()


def test_everything_is_reachable_when_no_limit_is_known():
    assert reachable(answer_for({}), FAR_M).all()


def test_a_vane_that_was_not_measured_is_told():
    assert find_limits(answer_for({"housing_below_pin_m": 0.02}), FAR_M).vane_is_assumed
