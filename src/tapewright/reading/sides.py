"""Sides: a CSV text of groups shot at a plumb line or on slopes becomes side groups.

Holds:  the columns of such a file, and what a row means.
Never:  how a table is read (tables.py), what the groups say (services).
"""

from pathlib import Path

from tapewright.ground.errors import BadShots
from tapewright.reading.shots import MOST_BYTES
from tapewright.reading.table_columns import COUNTS, MEASURES, WORDS
from tapewright.reading.tables import Row, TableKind, read_table
from tapewright.reading.text_file import file_name, load_text
from tapewright.services.level import SideGroup

SIDES = TableKind(
    what="the test",
    reads=("distance", "slope", "right", "arrows"),
    filled=("distance", "right"),
    needed={"the distance": ("distance",), "the right": ("right",)},
    example="distance_yd,slope_deg,right_in,arrows",
    passes=(*MEASURES, *COUNTS, *WORDS),
    drops_bad=True,
    most_rows=1000,
)


def load_side_groups(path: Path) -> tuple[SideGroup, ...]:
    """Load a plumb-line or slope test from a file."""
    return read_side_groups(load_text(path, MOST_BYTES, BadShots), file_name(path))


def read_side_groups(text: str, name: str = "test file") -> tuple[SideGroup, ...]:
    """Read a plumb-line or slope test."""
    _, groups = read_table(text, name, SIDES, _side_group)
    if not groups:
        raise BadShots(name, "no group stands below the header", "Write a row such as 40,0,1.5,6")
    return tuple(groups)


def _side_group(row: Row) -> SideGroup:
    """One row."""
    distance_m, slope_rad, right_m, arrows = (row.said[word] for word in SIDES.reads)
    return SideGroup(distance_m, slope_rad or 0.0, right_m, arrows or 1)
