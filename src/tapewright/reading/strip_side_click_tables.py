"""Strip side click tables: CSV texts of ready-made strips, side tests and turned clicks.

Strips have one tick a row, its position along the strip from any zero. A side test is shot at a
plumb line or on slopes. Turned clicks have the columns of a file of shots without the reading, and
``clicks``, ``windage_clicks`` or both: how many were turned from the start before the arrow was
shot, elevation positive toward larger numbers, windage positive when the pin went right.

Holds:  the columns of such files, and what their rows mean.
Never:  how a table is read (csv_reader.py); which strip is the best, what groups say, the size of a
        click (services).
"""

from typing import Any

import numpy as np

from tapewright.ground.errors import BadShots
from tapewright.reading.csv_columns import CLICKS, COUNTS, MEASURES, WORDS, is_called_bad
from tapewright.reading.csv_reader import Row, TableKind, read_table
from tapewright.services.choose_strip import ReadyStrip
from tapewright.services.learn_clicks import TurnedGroup
from tapewright.services.level import SideGroup
from tapewright.services.record_groups import Group, Impact
from tapewright.words.unit_spellings import quoted

MOST_STRIPS = 1000
STRIPS = TableKind(
    what="strips",
    reads=("strip", "distance", "position"),
    filled=("strip", "distance", "position"),
    needed={f"the {word}": (word,) for word in ("strip", "distance", "position")},
    example="strip,distance_yd,position_mm",
    passes=("note",),
)
SIDES = TableKind(
    what="the test",
    reads=("distance", "slope", "right", "arrows"),
    filled=("distance", "right"),
    needed={"the distance": ("distance",), "the right": ("right",)},
    example="distance_yd,slope_deg,right_in,arrows",
    passes=(*MEASURES, *COUNTS, *WORDS, *CLICKS),
    drops_bad=True,
    most_rows=1000,
)
SHARED = ("group", "distance", *CLICKS)  # by all arrows between which no click was turned
TURNS = TableKind(
    what="clicks",
    reads=(*SHARED, "right", "up", "note"),
    filled=("distance",),
    needed={"the distance": ("distance",), "clicks": CLICKS,
            "where the arrows hit": ("up", "right")},
    example="group,distance_yd,clicks,up_in",
)  # fmt: skip
Ticks = dict[float, float]


def read_strips(text: str, name: str = "file of strips") -> tuple[ReadyStrip, ...]:
    """Read a set of ready-made strips."""
    strips: dict[str, Ticks] = {}
    read_table(text, name, STRIPS, lambda row: _add_tick(strips, row))
    if not strips:
        raise BadShots(name, "no tick stands below the header", "Write a row such as 14,20,0")
    if len(strips) > MOST_STRIPS:
        wrong = f"the file has more than {MOST_STRIPS} strips"
        raise BadShots(name, wrong, "Keep those that come near")
    return tuple(_strip(label, ticks, name) for label, ticks in strips.items())


def _add_tick(strips: dict[str, Ticks], row: Row) -> None:
    label, distance_m, position_m = (row.said[word] for word in STRIPS.reads)
    ticks = strips.setdefault(label, {})
    if distance_m in ticks:
        wrong = f"strip {quoted(label)} has a tick for this distance already"
        mend = "Keep one of the two, or give the other strip another name"
        raise BadShots(row.place, wrong, mend)
    ticks[distance_m] = position_m


def _strip(label: str, ticks: Ticks, name: str) -> ReadyStrip:
    """One strip, its ticks from near to far."""
    distances = sorted(ticks)
    if len(distances) < 2:
        wrong = f"strip {quoted(label)} has one tick, which tells nothing of its length"
        raise BadShots(name, wrong, "Write two ticks or more for each strip")
    if ticks[distances[0]] == ticks[distances[-1]]:
        wrong = f"strip {quoted(label)} has its first and last tick at one position"
        raise BadShots(name, wrong, "Measure the positions along the strip from one zero")
    return ReadyStrip(label, np.array(distances), np.array([ticks[one] for one in distances]))


def read_side_groups(text: str, name: str = "test file") -> tuple[SideGroup, ...]:
    """Read a plumb-line or slope test."""
    _, groups = read_table(text, name, SIDES, _side_group)
    if not groups:
        raise BadShots(name, "no group stands below the header", "Write a row such as 40,0,1.5,6")
    return tuple(groups)


def _side_group(row: Row) -> SideGroup:
    distance_m, slope_rad, right_m, arrows = (row.said[word] for word in SIDES.reads)
    return SideGroup(distance_m, slope_rad or 0.0, right_m, arrows or 1)


def read_turned(text: str, name: str = "file of clicks") -> tuple[TurnedGroup, ...]:
    """Read a text of groups between which clicks were turned."""
    _, rows = read_table(text, name, TURNS, lambda row: row.said)
    groups: dict[tuple[Any, ...], list[Impact]] = {}
    for said in rows:
        is_bad = is_called_bad(said["note"] or "")
        impact = Impact(said["right"], said["up"], called_bad=is_bad)
        groups.setdefault(tuple(said[word] for word in SHARED), []).append(impact)
    if not groups:
        raise BadShots(name, "there is no arrow in it", "Write one arrow a row below the header")
    return tuple(
        TurnedGroup(Group(label or "", tuple(impacts)), *turned)
        for (label, *turned), impacts in groups.items()
    )
