"""Turns: a CSV text of groups between which clicks were turned.

Columns are those of a file of shots without the reading, and ``clicks``, ``windage_clicks`` or
both: how many were turned from the start before the arrow was shot, elevation positive toward
larger numbers, windage positive when the pin went right.

Holds:  the columns of such a file, and what its rows mean.
Never:  how a table is read (tables.py), the size of a click (services/learn_clicks.py).
"""

from pathlib import Path

from tapewright.ground.errors import BadShots
from tapewright.reading.table_columns import CLICKS, is_called_bad
from tapewright.reading.tables import Row, TableKind, read_table
from tapewright.reading.text_file import file_name, load_text
from tapewright.services.learn_clicks import TurnedGroup
from tapewright.services.record_groups import Group, Impact

MOST_BYTES = 400_000
SHARED = ("group", "distance", *CLICKS)  # by all arrows of one group
TURNS = TableKind(
    what="clicks",
    reads=(*SHARED, "right", "up", "note"),
    filled=("distance",),
    needed={
        "the distance": ("distance",),
        "clicks": CLICKS,
        "where the arrows hit": ("up", "right"),
    },
    example="group,distance_yd,clicks,up_in",
)


def load_turned(path: Path) -> tuple[TurnedGroup, ...]:
    """Load a file of groups between which clicks were turned."""
    return read_turned(load_text(path, MOST_BYTES, BadShots), file_name(path))


def read_turned(text: str, name: str = "file of clicks") -> tuple[TurnedGroup, ...]:
    """Read a text of groups between which clicks were turned."""
    _, rows = read_table(text, name, TURNS, lambda row: row)
    groups: dict[tuple[str | float | None, ...], list[Row]] = {}
    for row in rows:
        groups.setdefault(tuple(row.said[word] for word in SHARED), []).append(row)
    if not groups:
        raise BadShots(name, "there is no arrow in it", "Write one arrow a row below the header")
    return tuple(map(_turned, groups.values()))


def _turned(rows: list[Row]) -> TurnedGroup:
    """One group."""
    label, distance_m, clicks, right_clicks = (rows[0].said[word] for word in SHARED)
    impacts = tuple(map(_impact, rows))
    return TurnedGroup(Group(label or "", impacts), distance_m, clicks, right_clicks)


def _impact(row: Row) -> Impact:
    """One arrow."""
    is_bad = is_called_bad(row.said["note"] or "")
    return Impact(row.said["right"], row.said["up"], called_bad=is_bad)
