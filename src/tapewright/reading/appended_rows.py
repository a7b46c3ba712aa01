"""Appended rows: arrows put behind those of a file of shots, by the columns that it has.

Holds:  a text of shots begun, a row for its columns, a column that it lacks added to all rows; the
        next free name of a group.
Never:  words of a person (typed_arrows.py), what a row means (shots_reader.py), disks.
"""

import csv
import io
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from tapewright.ground.errors import BadShots
from tapewright.reading.csv_columns import MEASURES, Column
from tapewright.reading.csv_reader import first_row, separator_of, table_rows
from tapewright.reading.shots_reader import SHOTS
from tapewright.words.quantity_parser import in_unit
from tapewright.words.unit_system import Units

OF_UNITS = ("distance", "right", "up")  # columns of which a new file is in the person's units
Cells = Mapping[str, float | str]  # by the column's word: words as they are, numbers in SI


@dataclass(frozen=True, slots=True)
class ShotsHeader:
    """How a file of shots is written."""

    columns: tuple[Column, ...]
    separator: str = ","
    newline: str = "\n"

    @property
    def words(self) -> tuple[str, ...]:
        """What its columns hold."""
        return tuple(one.word for one in self.columns)

    def unit_of(self, word: str, otherwise: str) -> str:
        """Unit of the numbers of a column, or another where there is none."""
        units = {one.word: one.unit_name for one in self.columns}
        return units.get(word) or otherwise


def header_of(text: str, name: str) -> ShotsHeader | None:
    """How a text of shots is written; None for one in which nothing stands."""
    plain = text.removeprefix("\ufeff")
    line, columns = first_row(table_rows(plain, name), name, SHOTS)
    if not line:
        return None
    raw = plain.replace("\r\n", "\n").replace("\r", "\n").split("\n")[line - 1]
    return ShotsHeader(tuple(columns), separator_of(raw), "\r\n" if "\r\n" in text else "\n")


def begun_text(units: Units, words: Sequence[str], dialled: str = "") -> str:
    """The header of a new file with these columns."""
    return ",".join(_header(word, units, dialled) for word in words) + "\n"


def _header(word: str, units: Units, dialled: str) -> str:
    """How a column is headed in a new file, or where it is added."""
    if word in OF_UNITS:
        return f"{word}_{units.distance if word == 'distance' else units.miss}"
    if word == "dialled":
        return f"dialled_{dialled or units.distance}"
    return MEASURES[word].sent if word in MEASURES else word


def with_columns(text: str, name: str, words: Collection[str], units: Units, dialled: str) -> str:
    """The text with columns that it lacks at the end of each row, empty but for their heads."""
    header = header_of(text, name)
    assert header is not None, "a file that holds something"
    added = [word for word in words if word not in header.words]
    if not added:
        return text
    heads = header.separator.join(["", *(_header(word, units, dialled) for word in added)])
    is_head, lines = True, []
    for line in text.split("\n"):
        row, end = line.removesuffix("\r"), line[len(line.removesuffix("\r")) :]
        plain = row.removeprefix("\ufeff")
        if plain.strip() and not plain.lstrip().startswith("#"):
            row += heads if is_head else header.separator * len(added)
            is_head = False
        lines.append(row + end)
    return "\n".join(lines)


def row_text(header: ShotsHeader, cells: Cells) -> str:
    """One row for these columns; every word must have its column."""
    if lost := [word for word in cells if word not in header.words]:
        raise BadShots("header", f"there is no column for {', '.join(lost)}", "Add it")
    told = []
    for column in header.columns:
        said = cells.get(column.word, "")
        told.append(f"{in_unit(said, column.unit_name):.10g}" if isinstance(said, float) else said)
    text = io.StringIO()
    writer = csv.writer(text, delimiter=header.separator, lineterminator=header.newline)
    writer.writerow(told)
    return text.getvalue()


def behind(text: str, row: str) -> str:
    """What is put behind a text so that a row stands on a line of its own."""
    ends = not text or text.endswith(("\n", "\r")) or text == "\ufeff"
    newline = "\r\n" if row.endswith("\r\n") else "\n"
    return row if ends else newline + row


def next_name(names: Collection[str]) -> str:
    """A name for a group that no other has: the next number."""
    numbers = [int(one) for one in names if one.isascii() and one.isdigit() and len(one) < 10]
    number = max([len(names) if not numbers else 0, *numbers]) + 1
    while str(number) in names:
        number += 1
    return str(number)
