"""Strips: a CSV text that describes ready-made strips becomes ready strips.

Columns are ``strip``, ``distance`` and ``position`` with their units: one tick a row, its position
along the strip from any zero.

Holds:  text to ready strips.
Never:  which strip is the best (confidence/ready_strips.py).
"""

from pathlib import Path

import numpy as np

from tapewright.ground.errors import BadInput, BadShots
from tapewright.reading.shots import MOST_BYTES
from tapewright.reading.table_columns import Column, read_column, read_measure, tidy_header
from tapewright.reading.table_faults import MOST_FAULTS
from tapewright.reading.table_rows import check_width, group_name, table_rows
from tapewright.reading.text_file import file_name, load_text
from tapewright.services.choose_strip import ReadyStrip
from tapewright.words.unit_names import find_unit, quoted, unit_name

EXAMPLE_HEADER = "strip,distance_yd,position_mm"
NEEDED = {"strip": "strip", "distance": "distance_yd or distance_m", "position": "position_mm"}
MOST_STRIPS, MOST_ROWS = 1000, 20_000
POSITIONS = "position_mm, position_cm or position_in"
_Ticks = dict[float, float]


def load_strips(path: Path) -> tuple[ReadyStrip, ...]:
    """Load a set of ready-made strips from a file."""
    return read_strips(load_text(path, MOST_BYTES, BadShots), file_name(path))


def read_strips(text: str, name: str = "file of strips") -> tuple[ReadyStrip, ...]:
    """Read a set of ready-made strips."""
    rows = table_rows(text.removeprefix("\ufeff"), name)
    line, cells = next(rows, (0, [""]))
    if not line:
        raise BadShots(name, "the file of strips is empty", f"Begin with {EXAMPLE_HEADER}")
    columns = _header(cells, f"{name}, line {line}")
    strips: dict[str, _Ticks] = {}
    faults: list[BadShots] = []
    for count, (number, row) in enumerate(rows, 1):
        try:
            _add_tick(strips, row, columns, f"{name}, line {number}")
        except BadShots as bad:
            faults.append(bad)
        if len(faults) == MOST_FAULTS or count > MOST_ROWS or len(strips) > MOST_STRIPS:
            break
    _refuse(faults)
    if not strips:
        raise BadShots(name, "no tick stands below the header", "Write a row such as 14,20,0")
    if len(strips) > MOST_STRIPS or sum(map(len, strips.values())) > MOST_ROWS:
        wrong = f"the file has more than {MOST_STRIPS} strips or {MOST_ROWS} rows"
        raise BadShots(name, wrong, "Keep those that come near")
    return tuple(_strip(label, ticks, name) for label, ticks in strips.items())


def _refuse(faults: list[BadShots]) -> None:
    """One error of all faults, if there are any."""
    if faults:
        first, *rest = faults
        others = "".join(f".\n{bad}".removesuffix(".") for bad in rest)
        raise BadShots(first.place, first.wrong, first.mend + others)


def _header(cells: list[str], place: str) -> list[Column]:
    """Columns of the file."""
    columns: list[Column] = []
    for cell in cells:
        here = f"{place}, column {quoted(cell)}"
        column = _column(cell, here)
        if column.word in {one.word for one in columns}:
            wrong = f"{column.word} stands here for the second time"
            raise BadShots(here, wrong, "Keep one of the two")
        columns.append(column)
    for word, offered in NEEDED.items():
        if word not in {one.word for one in columns}:
            wrong = f"there is no column for the {word}"
            raise BadShots(place, wrong, f"Add {offered}; the whole header may be {EXAMPLE_HEADER}")
    return columns


def _column(cell: str, place: str) -> Column:
    """One column; a position has the units and limits of a reading."""
    tidy = tidy_header(cell)
    word, _, unit = tidy.partition("_")
    if tidy == "strip":
        return Column("strip", cell)
    if word == "position":
        try:
            found = find_unit(unit, "length", place, "", cell)
        except BadInput as bad:
            raise BadShots(place, bad.wrong, f"Write {POSITIONS}") from None
        return Column("position", cell, found, unit_name(unit, "length") or unit)
    if word not in ("distance", "note"):
        wrong = f"{quoted(cell)} has no use in a file of strips"
        raise BadShots(place, wrong, f"Leave it out; such as {EXAMPLE_HEADER}")
    return read_column(cell, place)


def _add_tick(
    strips: dict[str, _Ticks], cells: list[str], columns: list[Column], place: str
) -> None:
    """One row."""
    check_width(cells, columns, place)
    label, measured = "", {}
    for column, text in zip(columns, cells, strict=False):
        here = f"{place}, column {column.header}"
        if column.word == "strip":
            if not text:
                raise BadShots(here, "the strip has no name", "Write its name in each row, as 14")
            label = group_name(text, here)
        elif column.word == "position":
            as_reading = Column("reading", column.header, column.unit, column.unit_name)
            measured["position"] = read_measure(text, as_reading, here)
        elif column.word == "distance":
            measured["distance"] = read_measure(text, column, here)
    ticks = strips.setdefault(label, {})
    if measured["distance"] in ticks:
        wrong = f"strip {quoted(label)} has a tick for this distance already"
        raise BadShots(place, wrong, "Keep one of the two, or give the other strip another name")
    ticks[measured["distance"]] = measured["position"]


def _strip(label: str, ticks: _Ticks, name: str) -> ReadyStrip:
    """One strip, its ticks from near to far."""
    distances = sorted(ticks)
    if len(distances) < 2:
        wrong = f"strip {quoted(label)} has one tick, which tells nothing of its length"
        raise BadShots(name, wrong, "Write two ticks or more for each strip")
    if ticks[distances[0]] == ticks[distances[-1]]:
        wrong = f"strip {quoted(label)} has its first and last tick at one position"
        raise BadShots(name, wrong, "Measure the positions along the strip from one zero")
    return ReadyStrip(label, np.array(distances), np.array([ticks[one] for one in distances]))
