"""Sides: a CSV text of groups shot at a plumb line or on slopes becomes side groups.

Holds:  rows of distance, slope, miss to the right and arrows.
Never:  units and limits of columns (table_columns.py), what the groups say (services).
"""

from pathlib import Path

from tapewright.ground.errors import BadShots
from tapewright.reading.shots import MOST_BYTES
from tapewright.reading.table_columns import Column, read_count, read_header, read_measure
from tapewright.reading.table_faults import MOST_FAULTS
from tapewright.reading.table_rows import check_width, is_called_bad, table_rows
from tapewright.reading.text_file import file_name, load_text
from tapewright.services.level import SideGroup

EXAMPLE_HEADER = "distance_yd,slope_deg,right_in,arrows"
NEEDED = ("distance", "right")
MOST_ROWS = 1000


def load_side_groups(path: Path) -> tuple[SideGroup, ...]:
    """Load a plumb-line or slope test from a file."""
    return read_side_groups(load_text(path, MOST_BYTES, BadShots), file_name(path))


def read_side_groups(text: str, name: str = "test file") -> tuple[SideGroup, ...]:
    """Read a plumb-line or slope test."""
    rows = table_rows(text.removeprefix("\ufeff"), name)
    line, cells = next(rows, (0, [""]))
    if not line:
        raise BadShots(name, "the file of the test is empty", f"Begin with {EXAMPLE_HEADER}")
    while cells and not cells[-1]:
        cells.pop()
    columns = read_header(cells, f"{name}, line {line}", NEEDED, EXAMPLE_HEADER)
    groups: list[SideGroup] = []
    faults: list[BadShots] = []
    for line, cells in rows:
        try:
            found = _read_group(cells, columns, f"{name}, line {line}")
            groups += [] if found is None else [found]
        except BadShots as bad:
            faults.append(bad)
        if len(faults) == MOST_FAULTS or len(groups) > MOST_ROWS:
            break
    if faults:
        first, *rest = faults
        others = "".join(f".\n{bad}".removesuffix(".") for bad in rest)
        raise BadShots(first.place, first.wrong, first.mend + others)
    if not groups:
        raise BadShots(name, "no group stands below the header", "Write a row such as 40,0,1.5,6")
    if len(groups) > MOST_ROWS:
        raise BadShots(name, f"the file has more than {MOST_ROWS} rows", "Write a group a row")
    return tuple(groups)


def _read_group(cells: list[str], columns: list[Column], place: str) -> SideGroup | None:
    """One row; None for a shot that was called bad."""
    check_width(cells, columns, place)
    measured: dict[str, float] = {}
    arrows = 1
    for column, text in zip(columns, cells, strict=False):
        spot = f"{place}, column {column.header}"
        if column.word == "note" and is_called_bad(text):
            return None
        if column.word in NEEDED or (column.word == "slope" and text):
            measured[column.word] = read_measure(text, column, spot)
        elif column.word == "arrows" and text:
            arrows = read_count(text, column, spot)
    return SideGroup(measured["distance"], measured.get("slope", 0.0), measured["right"], arrows)
