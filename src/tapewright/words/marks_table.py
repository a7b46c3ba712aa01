"""Marks table: those of one pin with their bands, as a table for people and for programs.

Holds:  their columns; a table that ends where the sight does.
Never:  which marks are wanted, computations.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tapewright.services.calibrate import Answer, Bands
from tapewright.words.answer_blocks import Table
from tapewright.words.answer_columns import Column, table
from tapewright.words.number_format import NOTHING
from tapewright.words.readings_on_tape import told_columns
from tapewright.words.unit_system import Units

NO_REACH = ("the arm does", "not reach")
PAST_LIMIT = ("past the limit:", "do not shoot")


def half_band_m(found: Bands) -> NDArray[np.float64]:
    """Half of each mark's band. [m]"""
    return 0.5 * (found.high_m - found.low_m)


BAND, AT = ("low_m", "high_m"), "distance_m"
MARKS: tuple[Column[Bands], ...] = (
    Column("distance {unit}", "distance_{unit}", "distance_m", "distance", None, 4),
    Column("mark mm", "reading_mm", "reading_m", "mm", kept=4, half=BAND, tape="first"),
    Column("band mm", "", "low_m", "mm", half=BAND, to="high_m", tape="alone"),
    Column("", "low_mm", "low_m", "mm", kept=4),
    Column("", "high_mm", "high_m", "mm", kept=4),
    Column("impact {unit}", "", "impact_low_m", "miss", signed=True, to="impact_high_m"),
    Column("", "impact_low_{unit}", "impact_low_m", "miss"),
    Column("", "impact_high_{unit}", "impact_high_m", "miss"),
)  # fmt: skip


# Distance, mark, half of its band, the same as a miss: for tables that show more beside.
SHORT: tuple[Column[Bands], ...] = (
    Column("{unit}", "", "distance_m", "distance", None),
    Column("mark mm", "", "reading_m", "mm", half=BAND, tape="first"),
    Column("± mm", "", half_band_m, "mm", tape="not"),
    Column("± {unit}", "", lambda it: 0.5 * (it.impact_high_m - it.impact_low_m), "miss"),
)


DIALLED: tuple[Column[Bands], ...] = (
    Column("distance {unit}", "", "distance_m", "distance", None),
    Column("dial mm", "", "reading_m", "mm", half=BAND, tape="first"),
    Column("± {unit} on the target", "", lambda it: 0.5 * (it.impact_high_m - it.impact_low_m),
           "miss"),
)  # fmt: skip


def dial_table(answer: Answer, found: Bands, units: Units, pin: int) -> Table:
    """What to dial with one pin, and how far that may miss; past a limit nothing is told."""
    title = "What to dial" + (f" with pin {pin}" if answer.rig.sight.pins_below_first_m else "")
    marks = _pin_table(title, DIALLED, answer, found, units, pin)
    return _ended(
        marks, answer, found, lambda row, why: (row[0], *(NOTHING for _ in row[2:]), " ".join(why))
    )


def marks_table(answer: Answer, found: Bands, units: Units, pin: int) -> Table:
    """Marks of one pin with their bands, as what is on the sight tells them."""
    title = "Marks" if pin == 1 else f"Marks of pin {pin}"
    marks = _pin_table(title, MARKS, answer, found, units, pin)
    return _ended(marks, answer, found, lambda row, why: (*row[:-2], *why))


def _pin_table(
    title: str,
    columns: Sequence[Column[Bands]],
    answer: Answer,
    found: Bands,
    units: Units,
    pin: int,
) -> Table:
    """Marks of one pin; those beyond the trusted distance are faint."""
    beyond = np.flatnonzero(found.distance_m > answer.trusted_m[pin - 1] + 1e-6)
    return table(title, told_columns(columns, answer, pin, AT), found, units, beyond.tolist())


def _ended(
    marks: Table,
    answer: Answer,
    found: Bands,
    past: Callable[[tuple[str, ...], tuple[str, str]], tuple[str, ...]],
) -> Table:
    """The table that ends where the sight does: past that rows tell why, as ``past`` makes them."""
    unknown = np.isnan(found.low_m + found.high_m + found.impact_low_m)
    allowed = answer.limits.allows(found.reading_m)
    rows = (
        past(row, NO_REACH if lost else PAST_LIMIT) if lost or not may else row
        for row, lost, may in zip(marks.rows, unknown, allowed, strict=True)
    )
    return replace(marks, rows=tuple(rows))
