"""Turns: a CSV text of groups between which clicks were turned.

Columns are those of a file of shots without the reading, and ``clicks``, ``windage_clicks`` or
both: how many were turned from the start before the arrow was shot, elevation positive toward
larger numbers, windage positive when the pin went right.

Holds:  text to turned groups.
Never:  the size of a click (services/learn_clicks.py).
"""

from pathlib import Path
from typing import NamedTuple

from tapewright.ground.errors import BadInput, BadShots
from tapewright.reading.table_columns import Column, read_column, read_measure, tidy_header
from tapewright.reading.table_rows import check_width, group_name, is_called_bad, table_rows
from tapewright.reading.text_file import file_name, load_text
from tapewright.services.learn_clicks import TurnedGroup
from tapewright.services.record_groups import Group, Impact
from tapewright.words.quantities import read_number
from tapewright.words.unit_names import quoted

MOST_BYTES = 400_000
MOST_CLICKS = 5000
TURNED = ("clicks", "windage_clicks")
TAKEN = ("group", "note", "distance", "right", "up")
EXAMPLE_HEADER = "group,distance_yd,clicks,up_in"


class _Turned(NamedTuple):
    """What all arrows of one group share."""

    group: str
    distance: float
    clicks: float | None
    right_clicks: float | None


def load_turned(path: Path) -> tuple[TurnedGroup, ...]:
    """Load a file of groups between which clicks were turned."""
    return read_turned(load_text(path, MOST_BYTES, BadShots), file_name(path))


def read_turned(text: str, name: str = "file of clicks") -> tuple[TurnedGroup, ...]:
    """Read a text of groups between which clicks were turned."""
    rows = table_rows(text.removeprefix("\ufeff"), name)
    line, cells = next(rows, (0, [""]))
    if not line:
        raise BadShots(name, "the file of clicks is empty", f"Begin with {EXAMPLE_HEADER}")
    columns = _header(cells, f"{name}, line {line}")
    groups: dict[_Turned, list[Impact]] = {}
    for number, row in rows:
        turned, impact = _row(row, columns, f"{name}, line {number}")
        groups.setdefault(turned, []).append(impact)
    if not groups:
        raise BadShots(name, "there is no arrow in it", "Write one arrow a row below the header")
    return tuple(
        TurnedGroup(Group(one.group, tuple(impacts)), one.distance, one.clicks, one.right_clicks)
        for one, impacts in groups.items()
    )


def _header(cells: list[str], place: str) -> list[Column]:
    """Columns of the file."""
    columns: list[Column] = []
    for cell in cells:
        tidy = tidy_header(cell)
        here = f"{place}, column {quoted(cell)}"
        column = Column(tidy, cell) if tidy in TURNED else read_column(cell, here)
        if column.word not in (*TURNED, *TAKEN):
            wrong = f"{column.word} has no use in a file of clicks"
            raise BadShots(here, wrong, f"Leave it out; such as {EXAMPLE_HEADER}")
        if column.word in {one.word for one in columns}:
            wrong = f"{column.word} stands here for the second time"
            raise BadShots(here, wrong, "Keep one of the two")
        columns.append(column)
    words = {one.word for one in columns}
    for need, lack in (
        ({"distance"}, "the distance"),
        (set(TURNED), "clicks"),
        ({"up", "right"}, "where the arrows hit"),
    ):
        if not need & words:
            wrong = f"there is no column for {lack}"
            raise BadShots(place, wrong, f"Write a header such as {EXAMPLE_HEADER}")
    return columns


def _row(cells: list[str], columns: list[Column], place: str) -> tuple[_Turned, Impact]:
    """One arrow."""
    check_width(cells, columns, place)
    read: dict[str, float | None] = {}
    words = {"group": "", "note": ""}
    for column, text in zip(columns, cells, strict=False):
        here = f"{place}, column {column.header}"
        if column.word == "group":
            words["group"] = group_name(text, here)
        elif column.word == "note":
            words["note"] = text
        elif column.word in TURNED:
            read[column.word] = _clicks(text, here)
        elif text or column.word == "distance":
            read[column.word] = read_measure(text, column, here)
    distance = read["distance"]
    assert distance is not None, "an empty cell was refused"
    turned = _Turned(words["group"], distance, read.get("clicks"), read.get("windage_clicks"))
    bad = is_called_bad(words["note"])
    return turned, Impact(read.get("right"), read.get("up"), called_bad=bad)


def _clicks(text: str, place: str) -> float | None:
    """Clicks turned from the start, or None for an empty cell."""
    if not text:
        return None
    try:
        clicks = read_number(text, place, "20")
    except BadInput as bad:
        raise BadShots(place, bad.wrong, "Write a count such as 20 or -20") from None
    if abs(clicks) > MOST_CLICKS:
        wrong = f"{text} clicks are more than a sight has"
        raise BadShots(place, wrong, f"Write {-MOST_CLICKS} to {MOST_CLICKS}")
    return clicks
