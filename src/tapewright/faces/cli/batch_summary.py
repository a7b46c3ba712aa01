"""Batch summary: one row for each rig, from what was written: CSV, JSON, a table on the screen.

Holds:  the Row record; a record's text to its row; rows to CSV, JSON and a table.
Never:  calibration; the order in which rigs were finished.
"""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from tapewright.ground.units import UNITS
from tapewright.words.blocks import Table
from tapewright.words.quantities import in_unit

SCHEMA = "tapewright.batch/1"
MOST_SHOWN = 60
MOST_WORDS = 70
FORMULA = ("=", "+", "-", "@", "\t", "\r")  # a spreadsheet would run what begins so


@dataclass(frozen=True, slots=True)
class Row:
    """One rig of many."""

    rig: str  # where its files are
    name: str = ""  # as on its sheet; empty when it could not be read
    # Trusted distance; 0 for none, None when it failed or no arrow that fits stands behind
    trusted_m: float | None = None
    groups: int = 0  # what was shot
    arrows: int = 0
    odd_groups: tuple[str, ...] = ()  # what speaks against it
    cautions: tuple[str, ...] = ()
    following: str = ""  # what to shoot next
    tape: str = ""  # ``"printed"``, why it was not, or empty when none was asked for
    why: str = ""  # why it failed; empty when it did not
    stop: tuple[str, ...] = ()  # why it must not be shot

    @property
    def asks_for_a_look(self) -> bool:
        """Whether somebody should look at this rig first."""
        return bool(self.why or self.stop or self.odd_groups or not self.trusted_m)


def row_of(rig: str, record: dict[str, Any], unit: str) -> Row:
    """The row of a rig that was calibrated, from its record."""
    return Row(
        rig,
        record["rig"],
        _metres(record[f"trusted_distance_{unit}"], unit),
        len(record["groups"]),
        record["arrows"],
        tuple(record["odd_groups"]),
        tuple(record["cautions"]),
        record["next"],
        "printed" if record["tape_sha256"] else record["tape_fault"],
        stop=tuple(record["stop"]),
    )


def _metres(distance: float | None, unit: str) -> float | None:
    return None if distance is None else distance * UNITS[unit].factor


def _trusted(row: Row, unit: str) -> float | None:
    """Trusted distance in the unit, as its record has it."""
    return None if row.trusted_m is None else round(in_unit(row.trusted_m, unit), 3)


def summary_json(rows: Sequence[Row], unit: str) -> dict[str, Any]:
    """All rows as JSON."""
    failed = sum(bool(row.why) for row in rows)
    rigs = [_sent(row, unit) for row in rows]
    return {"schema": SCHEMA, "done": len(rows) - failed, "failed": failed, "rigs": rigs}


def _sent(row: Row, unit: str) -> dict[str, Any]:
    """A row for programs."""
    return {
        "rig": row.rig,
        "name": row.name,
        "stop": list(row.stop),
        f"trusted_distance_{unit}": _trusted(row, unit),
        "groups": row.groups,
        "arrows": row.arrows,
        "odd_groups": list(row.odd_groups),
        "cautions": list(row.cautions),
        "next": row.following,
        "tape": row.tape,
        "why": row.why,
    }


def summary_csv(rows: Sequence[Row], unit: str) -> str:
    """All rows as a table for a spreadsheet; lists are joined by a bar."""
    trusted = f"trusted_distance_{unit}"
    keys = ("rig", "name", trusted, "groups", "arrows", "odd_groups", "cautions", "next", "tape",
            "why", "stop")  # fmt: skip
    file = io.StringIO()
    writer = csv.writer(file, lineterminator="\r\n")  # RFC 4180
    writer.writerow([f"trusted_{unit}" if key == trusted else key for key in keys])
    for sent in (_sent(row, unit) for row in rows):
        writer.writerow([_cell(sent[key]) for key in keys])
    return file.getvalue()


def _cell(value: Any) -> str:  # noqa: ANN401 — whatever a row sends
    """Text of a cell; what a spreadsheet would run is made harmless."""
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:g}"
    text = " | ".join(value) if isinstance(value, list) else str(value)
    return f"'{text}" if text.startswith(FORMULA) else text


def summary_table(rows: Sequence[Row], unit: str) -> Table:
    """The rows for a screen; of very many those that ask for a look."""
    shown, title = list(rows), "Rigs"
    if len(rows) > MOST_SHOWN:
        asking = [row for row in rows if row.asks_for_a_look]
        shown = asking[:MOST_SHOWN]
        title = f"Rigs to look at first: {len(shown)} of {len(asking)}, of {len(rows)} in all"
    return Table(
        title,
        ("rig", "trusted", "odd groups", "cautions", "next"),
        tuple(_cells(row, unit) for row in shown),
    )


def _cells(row: Row, unit: str) -> tuple[str, ...]:
    if row.why:
        short = " ".join(row.why.split())
        short = short if len(short) <= MOST_WORDS else short[: MOST_WORDS - 1] + "…"
        return row.rig, "failed", "", "", short
    if row.stop:
        return row.rig, "STOP", ", ".join(row.odd_groups), str(len(row.cautions)), row.following
    trusted = f"{_trusted(row, unit):.0f} {unit}" if row.trusted_m else "none"
    return row.rig, trusted, ", ".join(row.odd_groups), str(len(row.cautions)), row.following
