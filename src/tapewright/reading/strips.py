"""Strips: a CSV text that describes ready-made strips becomes ready strips.

Columns are ``strip``, ``distance`` and ``position`` with their units: one tick a row, its position
along the strip from any zero.

Holds:  the columns of such a file, and what its rows mean.
Never:  how a table is read (tables.py), which strip is the best (confidence/ready_strips.py).
"""

from pathlib import Path

import numpy as np

from tapewright.ground.errors import BadShots
from tapewright.reading.shots import MOST_BYTES
from tapewright.reading.tables import Row, TableKind, read_table
from tapewright.reading.text_file import file_name, load_text
from tapewright.services.choose_strip import ReadyStrip
from tapewright.words.unit_names import quoted

MOST_STRIPS = 1000
STRIPS = TableKind(
    what="strips",
    reads=("strip", "distance", "position"),
    filled=("strip", "distance", "position"),
    needed={f"the {word}": (word,) for word in ("strip", "distance", "position")},
    example="strip,distance_yd,position_mm",
    passes=("note",),
)
Ticks = dict[float, float]


def load_strips(path: Path) -> tuple[ReadyStrip, ...]:
    """Load a set of ready-made strips from a file."""
    return read_strips(load_text(path, MOST_BYTES, BadShots), file_name(path))


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
    """One row."""
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
