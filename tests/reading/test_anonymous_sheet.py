"""A bow's sheet for its taker: nothing of the giver's hands, name or place in it."""

import pytest

from tapewright.ground.errors import BadInput, BadRigSheet
from tapewright.reading.anonymous_sheet import given_sheet
from tapewright.reading.rig_sheet import read_rig_sheet
from tapewright.services.stops import questions

SHEET = """schema = 1
name = "Hedwig's Heron"  # Hedwig Zwölfender, left-eyed
hand = "left"
[bow]
kind = "compound"
draw_weight = "57 lbf"
draw_length = "28.3 in"
brace_height = "6.4 in"
rated_speed = "331 ft/s"
rest = "1.7 in"
least_arrow_mass = "351 gr"
[[bow.chronograph]]
speed = "271 ft/s ± 3"
at = "2 yd"
[arrow]
mass = "427 gr ± 2"
shaft_diameter = "5.9 mm"
length = "28.1 in"
vane_height = "0.43 in"
[sight]
peep_height = "4.7 in ± 0.2"
sight_radius = "32.6 in"
reading_per_travel = "1.63 ± 0.05"
pins_below_first = ["9 mm", "17 mm"]
travel_ends = ["2 mm", "83 mm"]
clearance_reading = "77 mm"
[archer]
dispersion = "0.7 mrad"
tolerance = "2.9 in"
[air]
altitude = "1234 ft"
[checks]
bow = "sound"
shafts = "sound"
"""


def test_what_is_the_bow_s_goes_along_and_nothing_of_the_person_does():
    given = given_sheet(SHEET, "  Pupil's   bow ")
    rig, _ = read_rig_sheet(given.text)
    assert rig.name == "Pupil's bow"
    for stays in (
        'hand = "left"', 'brace_height = "6.4 in"', 'rated_speed = "331 ft/s"', "427 gr ± 2",
        '"0.43 in"', '"1.63 ± 0.05"', '["9 mm", "17 mm"]', '["2 mm", "83 mm"]', '"77 mm"',
    ):  # fmt: skip
        assert stays in given.text, stays
    for goes in (
        "Hedwig", "Zwölfender", "28.3 in", "271 ft/s", "chronograph", "4.7 in", "32.6", "0.7 mrad",
        "2.9 in", "1234", "sound", "[checks]", "[archer]", "[air]", "57 lbf", "351 gr", "1.7 in",
        "28.1 in", "#",
    ):  # fmt: skip
        assert goes not in given.text, goes


def test_what_a_stop_hangs_on_is_asked_anew_and_told_as_it_was():
    before, _ = read_rig_sheet(SHEET)
    given = given_sheet(SHEET, "Egret")
    after, _ = read_rig_sheet(given.text)
    assert questions(before) == ()
    assert questions(after) == ("bow.draw_weight", "bow.draw_length", "bow.rest", "arrow.length")
    assert [value for _, value in given.was] == ["57 lbf", "351 gr", "1.7 in", "28.1 in"]
    assert given_sheet(given.text, "Wren").was == ()


@pytest.mark.parametrize("name", ["", "  ", "HEDWIG'S heron", "x" * 61])
def test_a_name_of_the_taker_s_is_asked_for(name):
    with pytest.raises(BadInput):
        given_sheet(SHEET, name)


def test_a_sheet_that_is_none_is_refused():
    with pytest.raises(BadRigSheet):
        given_sheet("name = 7\n", "Egret")
