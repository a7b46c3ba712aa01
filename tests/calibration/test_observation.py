import pytest
from exact_units import YARD_M

from tapewright.calibration.observation import Observation, distance_doubt
from tapewright.target.group import Group, Impact


@pytest.mark.parametrize(("yards", "doubt_yd"), [(10, 0.25), (50, 0.25), (60, 0.30), (100, 0.5)])
def test_distance_is_known_to_half_a_per_cent_or_a_quarter_of_a_yard(yards, doubt_yd):
    assert distance_doubt(yards * YARD_M) == pytest.approx(doubt_yd * YARD_M)


def test_a_group_is_level_calm_with_the_first_pin_unless_said():
    one = Observation(Group("1", (Impact(0.0, 0.0),)), 18.0, 0.02)
    assert (one.pin, one.slope_rad, one.crosswind_mps, one.air) == (1, 0.0, 0.0, None)
