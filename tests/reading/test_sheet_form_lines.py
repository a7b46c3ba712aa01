"""A rig sheet goes through a form and back without losing a number."""

import tomllib
from importlib.resources import files

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tapewright.reading.rig_sheet import new_rig_sheet, read_rig_sheet
from tapewright.reading.rig_sheet_fields import KEYS
from tapewright.reading.sheet_form_lines import (
    examined_sheet,
    has_comments,
    sheet_lines,
    sheet_text,
    sheet_values,
    tidy_values,
)

HERON = (files("tapewright.faces") / "sample" / "heron.toml").read_text(encoding="utf-8")
FULL = """\
schema = 1
name = "Full \\"quotes\\" \\u00e9"
hand = "left"
[bow]
draw_weight = "60 lbf"
draw_length = "29 in"
brace_height = "6,5 in"
nock_height = "6 mm"
launch_speed = "285 fps ± 3"
rated_speed = "330 ft/s ± 2 %"
rated_draw_weight = "70 lbf"
rated_draw_length = "30 in"
rated_arrow_mass = "350 gr"
[[bow.chronograph]]
speed = "278 ft/s"
[[bow.chronograph]]
speed = "84.7 m/s ± 1"
at = "1 yd"
arrow_mass = "26 g"
[arrow]
mass = "420 gr ± 2"
shaft_diameter = "6.0 mm"
length = "28.5 in"
point = "broadhead"
vane_height = "0.45 in"
drag_coefficient = 2.1
[sight]
peep_height = "4.6 in ± 0.15"
sight_radius = "33 in ± 0.5"
reading_per_travel = "1.60 ± 0.05"
farther = "decreases"
pins_below_first = ["9 mm", "17 mm", "26 mm", "36 mm", "47 mm"]
housing_below_pin = "23 mm"
clearance_reading = "78 mm"
travel_ends = ["0 mm", "85 mm"]
arrow_margin = "6 mm"
elevation_click = "0.10 mm"
windage_click = "0.10 mm"
arm_length = "90 mm"
arm_level_reading = "32 mm"
[archer]
dispersion = "0.6 mrad"
tolerance = "3 in"
distance_error = "0.25 yd"
reading_error = "0.1 mm"
[air]
temperature = "15 °C"
sea_level_pressure = "1013 hPa"
altitude = "300 m"
humidity = "50 %"
"""


@pytest.mark.parametrize(
    "text",
    [HERON, FULL, new_rig_sheet("Wren", "left", metric=True)],
    ids=["sample", "every key", "to be filled in"],
)
def test_a_sheet_through_the_form_is_the_same_rig(text):
    again = sheet_text(sheet_values(text))
    assert read_rig_sheet(again)[0] == read_rig_sheet(text)[0]
    assert sheet_values(again) == sheet_values(text)


def test_every_key_of_a_sheet_has_a_line():
    assert {line.key for line in sheet_lines({})} == set(KEYS)


def test_only_what_no_sheet_is_without_is_needed():
    needed = [line.name for line in sheet_lines({}) if line.is_needed]
    assert needed == ["name", "arrow.mass", "arrow.shaft_diameter"]


def test_a_list_shows_one_row_more_than_is_filled_and_never_too_many():
    def pins(count):
        values = {f"sight.pins_below_first[{one}]": "9 mm" for one in range(1, count + 1)}
        return sum(line.key == "sight.pins_below_first" for line in sheet_lines(values))

    assert [pins(count) for count in (0, 3, 4, 9, 10)] == [4, 4, 5, 10, 10]
    assert len(sheet_lines({"sight.pins_below_first[999]": "x"})) < 90


def test_empty_rows_between_filled_ones_close_up():
    typed = {
        "sight.pins_below_first[2]": " 9 mm ",
        "sight.pins_below_first[4]": "17 mm",
        "bow.chronograph[3].at": "1 yd",
        "bow.chronograph[3].speed": "278 fps",
        "bow.draw_weight": "  ",
        "bow.no_such_key": "1",
    }
    assert tidy_values(typed) == {
        "bow.chronograph[1].speed": "278 fps",
        "bow.chronograph[1].at": "1 yd",
        "sight.pins_below_first[1]": "9 mm",
        "sight.pins_below_first[2]": "17 mm",
    }


@settings(max_examples=200, deadline=None)
@given(st.dictionaries(
    st.sampled_from([line.name for line in sheet_lines({})]),
    st.text(st.characters(exclude_categories=["Cs"])),
))  # fmt: skip
def test_whatever_is_typed_reads_back_as_typed(typed):
    tables = tomllib.loads(sheet_text(typed))
    assert tables.pop("schema") == 1
    written = sheet_values(sheet_text(typed))
    assert {name: written[name] for name in tidy_values(typed)} == tidy_values(typed)
    examined_sheet(typed)  # and never breaks


def test_a_fault_names_its_line():
    values = sheet_values(HERON) | {
        "arrow.mass": "420",
        "bow.chronograph[1].at": "1 yd",
        "sight.travel_ends[1]": "5 mm",
    }
    paths = {fault.path for fault in examined_sheet(values).faults}
    assert paths == {("arrow", "mass"), ("bow", "chronograph", 0, "speed")}
    values |= {"arrow.mass": "420 gr", "bow.chronograph[1].speed": "278 fps"}
    assert [one.path for one in examined_sheet(values).faults] == [("sight", "travel_ends")]


def test_an_empty_form_asks_for_what_a_sheet_needs():
    paths = {fault.path for fault in examined_sheet({}).faults}
    assert paths == {("name",), ("arrow", "mass"), ("arrow", "shaft_diameter")}


def test_oddities_are_notes_and_no_faults():
    found = examined_sheet(sheet_values(HERON) | {"arrow.mass": "250 gr"})
    assert not found.faults
    assert "STOP" in found.notes[0].wrong


@pytest.mark.parametrize(
    ("text", "holds"),
    [
        (HERON, True),
        ("name = \"A # B\"\nnote = '#'\n", False),
        ('name = """\n# no comment\n"""', False),
        ('name = "A" # a bow', True),
        ('name = "a \\" # still text"', False),
    ],
)
def test_comments_are_told_from_text(text, holds):
    assert has_comments(text) is holds
