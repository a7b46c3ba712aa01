"""Rows behind a file of shots: its columns, separators and ends of lines stay."""

import pytest

from tapewright.ground.errors import BadShots
from tapewright.reading.appended_rows import (
    begun_text,
    behind,
    header_of,
    next_name,
    row_text,
    with_columns,
)
from tapewright.words.unit_system import Units

YARDS = Units("yd", "in", "ft/s", "in", "mph", "ft·lbf", "slug·ft/s")
METRES = Units("m", "cm", "m/s", "mm", "m/s", "J", "kg·m/s")


def test_a_new_file_is_in_the_persons_units():
    words = ("group", "distance", "reading", "right", "up", "pin")
    assert begun_text(METRES, words) == "group,distance_m,reading_mm,right_cm,up_cm,pin\n"
    dialled = begun_text(YARDS, ("distance", "dialled", "slope"), "m")
    assert dialled == "distance_yd,dialled_m,slope_deg\n"


def test_a_row_goes_by_the_columns_that_are_there():
    header = header_of("up_cm;Distance (m);reading_in;note;group\r\n", "x.csv")
    cells = {"group": "far; 2", "distance": 36.0, "up": -0.0125, "reading": 0.0254}
    assert row_text(header, cells) == '-1.25;36;1;;"far; 2"\r\n'
    with pytest.raises(BadShots, match="no column for right"):
        row_text(header, {"right": 0.1})


def test_a_column_is_added_to_every_row_and_to_no_remark():
    text = "\ufeff# mine\r\ndistance_yd,reading_mm\r\n\r\n20,16\r\n#,\r\n60,46"
    told = with_columns(text, "x.csv", ("distance", "note", "right"), METRES, "")
    rows = "distance_yd,reading_mm,note,right_cm\r\n\r\n20,16,,\r\n#,\r\n60,46,,"
    assert told == f"\ufeff# mine\r\n{rows}"
    assert with_columns(text, "x.csv", ("reading",), METRES, "") == text


def test_a_row_stands_on_a_line_of_its_own():
    assert behind("a\n", "b\n") == behind("", "b\n") == "b\n"
    assert behind("a", "b\n") == "\nb\n"
    assert behind("a", "b\r\n") == "\r\nb\r\n"


def test_nothing_stands_in_a_file_of_remarks():
    assert header_of("\ufeff\n# begun\n", "x.csv") is None
    columns = header_of("distance_yd,reading_mm,,\n", "x.csv").columns
    assert [one.word for one in columns] == ["distance", "reading"]


def test_groups_are_numbered_on():
    assert next_name([]) == "1"
    assert next_name(["1", "7", "far"]) == "8"
    assert next_name(["far", "near"]) == "3"
    assert next_name(["a", "b", "12345678901"]) == "4"
