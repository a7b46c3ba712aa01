import pytest
from exact_units import YARD_M
from written_out import STANDARD_AIR

from tapewright.calibration.observation import Observation, distance_doubt
from tapewright.ground.errors import BadInput
from tapewright.target.group import Group, Impact


@pytest.mark.parametrize(("yards", "doubt_yd"), [(10, 0.25), (50, 0.25), (60, 0.30), (100, 0.5)])
def test_distance_is_known_to_half_a_per_cent_or_a_quarter_of_a_yard(yards, doubt_yd):
    assert distance_doubt(yards * YARD_M) == pytest.approx(doubt_yd * YARD_M)


def test_a_group_is_level_calm_with_the_first_pin_unless_said():
    one = Observation(Group("1", (Impact(0.0, 0.0),)), 18.0, 0.02)
    assert (one.pin, one.slope_rad, one.crosswind_mps, one.air) == (1, 0.0, 0.0, None)
    assert (one.scale, one.head) == ("", "")


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({"group": "far"}, "group: 'far' is no Group"),
        ({"reading_m": 46.1}, "reading_m: 46.1 is outside -1 to 1 metres"),
        ({"pin": 21}, "pin: 21 is not a whole number from 1 to 20"),
        ({"air": 288.15}, r"air: 288.15 is no Air\. Give Air\(288\.15, 101325\.0\), or leave it"),
        ({"session": 3}, "session: 3 is no text"),
        ({"distances": "laser"}, "distances: 'laser' is none of its words"),
        ({"head": "blunt"}, "head: 'blunt' is none of its words"),
        ({"scales": "first"}, "scales: 'first' is no tuple of Sticking"),
        ({"windage_clicks": float("nan")}, "windage_clicks: nan is not finite. Give None"),
    ],
)
def test_an_observation_refuses_what_cannot_be_meant(more, told):
    good = {"group": Group("far", (Impact(0.0, 0.01),)), "distance_m": 50, "reading_m": 0.04}
    assert type(Observation(**good).distance_m) is float
    with pytest.raises(BadInput, match=rf"^Observation\.{told}"):
        Observation(**good | more)


def test_conditions_of_a_group_may_all_be_said():
    group = Group("far", [Impact(0.0, 0.01)])
    said = Observation(group, 50.0, 0.04, air=STANDARD_AIR, windage_m=0.001, windage_clicks=-3)
    assert (said.air, said.windage_clicks) == (STANDARD_AIR, -3.0)
    assert group.impacts == (Impact(0.0, 0.01),)
