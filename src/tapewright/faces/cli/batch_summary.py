"""Batch summary: one row for each rig, from what was written: CSV, JSON, a table on the screen.

Holds:  the Row record; a record's text to its row; rows to CSV, JSON and a table.
Never:  calibration; the order in which rigs were finished.
"""

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from tapewright.ground.units import UNITS
from tapewright.words.answer_blocks import Table
from tapewright.words.answer_columns import rounded

SCHEMA = "tapewright.batch/1"
MOST_SHOWN = 60
MOST_WORDS = 70
FORMULA = ("=", "+", "-", "@", "\t", "\r")  # a spreadsheet would run what begins so


@dataclass(frozen=True, slots=True)
class Row:
    """One rig of many, in the order of the columns."""

    rig: str  # where its files are
    name: str = ""  # as on its sheet; empty when it could not be read
    # Trusted distance; 0 for none, None when it failed or no arrow that fits stands behind
    trusted_m: float | None = None
    groups: int = 0  # what was shot
    arrows: int = 0
    odd_groups: Sequence[str] = ()  # what speaks against it
    cautions: Sequence[str] = ()
    next: str = ""  # what to shoot next
    tape: str = ""  # ``"printed"``, why it was not, or empty when none was asked for
    why: str = ""  # why it failed; empty when it did not
    stop: Sequence[str] = ()  # why it must not be shot


def row_of(rig: str, record: Mapping[str, Any], unit: str) -> Row:
    """The row of a rig that was calibrated, from its record."""
    distance = record[f"trusted_distance_{unit}"]
    return Row(
        rig,
        record["rig"],
        None if distance is None else distance * UNITS[unit].factor,
        len(record["groups"]),
        record["arrows"],
        record["odd_groups"],
        record["cautions"],
        record["next"],
        "printed" if record["tape_sha256"] else record["tape_fault"],
        stop=record["stop"],
    )


def summary_json(rows: Sequence[Row], unit: str) -> dict[str, Any]:
    """All rows as JSON."""
    failed = sum(bool(row.why) for row in rows)
    rigs = [_sent(row, unit) for row in rows]
    return {"schema": SCHEMA, "done": len(rows) - failed, "failed": failed, "rigs": rigs}


def _sent(row: Row, unit: str) -> dict[str, Any]:
    """A row for programs."""
    cells = asdict(row)
    trusted = {f"trusted_distance_{unit}": rounded(cells.pop("trusted_m"), unit)}
    return {name: cells.pop(name) for name in ("rig", "name", "stop")} | trusted | cells


def summary_csv(rows: Sequence[Row], unit: str) -> str:
    """All rows as a table for a spreadsheet; lists are joined by a bar."""
    file = io.StringIO()
    writer = csv.writer(file, lineterminator="\r\n")  # RFC 4180
    heads = asdict(Row("")).keys()
    writer.writerow([f"trusted_{unit}" if head == "trusted_m" else head for head in heads])
    for row in rows:
        cells = asdict(row) | {"trusted_m": rounded(row.trusted_m, unit)}
        writer.writerow([_cell(value) for value in cells.values()])
    return file.getvalue()


def _cell(value: Any) -> str:  # noqa: ANN401 — whatever a row holds
    """Text of a cell; what a spreadsheet would run is made harmless."""
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:g}"
    text = " | ".join(value) if isinstance(value, list | tuple) else str(value)
    return f"'{text}" if text.startswith(FORMULA) else text


def summary_table(rows: Sequence[Row], unit: str) -> Table:
    """The rows for a screen; of very many those that ask for a look."""
    shown, title = rows, "Rigs"
    if len(rows) > MOST_SHOWN:
        asking = [row for row in rows if row.why or row.stop or row.odd_groups or not row.trusted_m]
        shown = asking[:MOST_SHOWN]
        title = f"Rigs to look at first: {len(shown)} of {len(asking)}, of {len(rows)} in all"
    heads = ("rig", "trusted", "odd groups", "cautions", "next")
    return Table(title, heads, tuple(_cells(row, unit) for row in shown))


def _cells(row: Row, unit: str) -> tuple[str, ...]:
    if row.why:
        short = " ".join(row.why.split())
        short = short if len(short) <= MOST_WORDS else short[: MOST_WORDS - 1] + "…"
        return row.rig, "failed", "", "", short
    trusted = f"{rounded(row.trusted_m, unit):.0f} {unit}" if row.trusted_m else "none"
    trusted = "STOP" if row.stop else trusted
    return row.rig, trusted, ", ".join(row.odd_groups), str(len(row.cautions)), row.next
