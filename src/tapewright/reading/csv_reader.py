"""CSV reader: the one reader of CSV texts; shots, strips, tests and clicks only name their columns.

Holds:  the record of a kind of file; separators, header, width and cells of its rows; limits of
        length; every fault of a file, each mistake said once.
Never:  what a column takes (csv_columns.py), what a row means (shots_reader.py,
        strip_side_click_tables.py).
Source: limits are common practice, no source: twenty thousand arrows are more than a year of
        any archer's shooting.
"""

import csv
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any, NamedTuple, TypeVar

from tapewright.ground.errors import BadInput, BadShots
from tapewright.reading.csv_columns import MEASURED, PLAIN, Column, is_called_bad, read_cell
from tapewright.words.unit_spellings import find_unit, quoted, unit_name

MOST_CHARACTERS = 4_000_000
MOST_LINES = 200_000  # empty ones and comments, too
MOST_ROWS = 20_000  # below the header
MOST_IN_LINE = 10_000  # characters
MOST_FAULTS = 10
MOST_NAMED = 3  # lines named beside the first
MOST_ALIKE = 1000  # rows with one mistake; the rest is not looked at

Taken = TypeVar("Taken")


@dataclass(frozen=True, slots=True)
class TableKind:
    """One kind of file."""

    what: str  # what it is a file of
    reads: tuple[str, ...]  # columns it reads
    filled: tuple[str, ...]  # those of which no cell may be empty
    needed: Mapping[str, tuple[str, ...]]  # what is lacking → columns of which one must be there
    example: str  # a header that would be right
    passes: tuple[str, ...] = ()  # columns that may be there, unread
    drops_bad: bool = False  # whether a shot that was called bad is passed over
    most_rows: int = MOST_ROWS


class Origin(NamedTuple):
    """Where a table comes from, and what its rows are called."""

    name: str  # of the file
    row: str = "line"

    def at(self, row: int) -> str:
        """Place of one row."""
        return f"{self.name}, {self.row} {row}"


class Row(NamedTuple):
    """One row below the header."""

    line: int
    place: str  # file and line
    cells: tuple[str, ...]  # as written
    said: dict[str, Any]  # what they say, by column, in SI; None for an empty one
    columns: Sequence[Column] = ()  # of the header


def read_table(
    text: str, name: str, kind: TableKind, take: Callable[[Row], Taken]
) -> tuple[list[Column], list[Taken]]:
    """Columns of a file and what its rows are taken for; or all that is wrong with them."""
    rows = table_rows(text.removeprefix("\ufeff"), name, kind.most_rows)
    line, columns = first_row(rows, name, kind)
    if not line:
        raise BadShots(name, f"the file of {kind.what} is empty", f"Begin with {kind.example}")
    return columns, take_rows(rows, columns, Origin(name), kind, take)


def take_rows(
    rows: Iterable[tuple[int, Sequence[str]]],
    columns: Sequence[Column],
    origin: Origin,
    kind: TableKind,
    take: Callable[[Row], Taken],
) -> list[Taken]:
    """What numbered rows of cells are taken for; or all that is wrong with them."""
    faults, taken = Faults(origin.row), []
    for line, cells in rows:
        place = origin.at(line)
        try:
            check_width(cells, columns, place)
            if not (kind.drops_bad and _is_bad(cells, columns)):
                said = _said(cells, columns, place, kind)
                taken.append(take(Row(line, place, tuple(cells), said, columns)))
        except BadShots as bad:
            if not faults.note(bad, line):
                break
    if faults.found:
        raise faults.told()
    return taken


def _is_bad(cells: Sequence[str], columns: Sequence[Column]) -> bool:
    pairs = zip(columns, cells, strict=False)
    return any(column.word == "note" and is_called_bad(text) for column, text in pairs)


def _said(
    cells: Sequence[str], columns: Sequence[Column], place: str, kind: TableKind
) -> dict[str, Any]:
    """What the cells of a row say; None where there is no such column."""
    said: dict[str, Any] = dict.fromkeys(kind.reads)
    for column, text in zip(columns, cells, strict=False):
        if column.word in kind.reads:
            here = f"{place}, column {column.header}"
            said[column.word] = read_cell(text, column, here, filled=column.word in kind.filled)
    return said


def first_row(
    rows: Iterator[tuple[int, list[str]]], name: str, kind: TableKind
) -> tuple[int, list[Column]]:
    """Line of the header and its columns; line 0 where nothing stands."""
    line, cells = next(rows, (0, [""]))
    if not line:
        return 0, []
    while cells and not cells[-1]:
        cells.pop()
    return line, read_header(cells, f"{name}, line {line}", kind)


def read_header(cells: Sequence[str], place: str, kind: TableKind) -> list[Column]:
    """Read the header, forgiving case, spaces and brackets."""
    columns: list[Column] = []
    for cell in cells:
        here = f"{place}, column {quoted(cell)}"
        column = _column(" ".join(cell.split()), here, kind)
        if column.word in {earlier.word for earlier in columns}:
            wrong = f"{column.word} stands here for the second time"
            raise BadShots(here, wrong, "Keep one of the two")
        columns.append(column)
    words = {column.word for column in columns}
    for lack, any_of in kind.needed.items():
        if not words & set(any_of):
            offered = MEASURED[any_of[0]].headers if any_of[0] in MEASURED else any_of[0]
            mend = f"Add {offered}; the whole header may be {kind.example}"
            if len(any_of) > 1:
                mend = f"Write a header such as {kind.example}"
            raise BadShots(place, f"there is no column for {lack}", mend)
    return columns


def _column(header: str, place: str, kind: TableKind) -> Column:
    """One cell of the header."""
    tidy = re.sub(r"[\s()\[\]-]+", "_", header.casefold()).strip("_")
    word, _, unit = (tidy, "", "") if tidy in PLAIN else tidy.partition("_")
    known = tuple(dict.fromkeys((*kind.passes, *kind.reads)))
    if word not in known:
        if word in MEASURED or word in PLAIN:
            wrong = f"{word} has no use in a file of {kind.what}"
            raise BadShots(place, wrong, f"Leave it out; such as {kind.example}")
        near = get_close_matches(word, known, 1, 0.6)
        nearest = f'The nearest is "{near[0]}"; known are' if near else "Known are"
        if near and near[0] in MEASURED:
            nearest = f"The nearest is {MEASURED[near[0]].headers}; known are"
        wrong = "no column has that name" if tidy else "a column has no name"
        raise BadShots(place, wrong, f"{nearest} {', '.join(known)}")
    if word in PLAIN:
        return Column(word, header)
    measure = MEASURED[word]
    try:
        found = find_unit(unit, measure.kind, place, "", header)
    except BadInput as bad:
        raise BadShots(place, bad.wrong, f"Write {measure.headers}") from None
    return Column(word, header, found, unit_name(unit, measure.kind) or unit)


def table_rows(text: str, name: str, most_rows: int = MOST_ROWS) -> Iterator[tuple[int, list[str]]]:
    """Line numbers and stripped cells of every line that holds something."""
    if len(text) > MOST_CHARACTERS:
        wrong = f"the file has more than {MOST_CHARACTERS // 1_000_000} million characters"
        raise BadShots(name, wrong, "Check that it is the right one, or divide it")
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if len(lines) > MOST_LINES:
        raise BadShots(name, f"the file has more than {MOST_LINES} lines", "Leave out empty lines")
    separator, rows = "", 0
    for line, raw in enumerate(lines, 1):
        if not raw.strip() or raw.lstrip().startswith("#"):
            continue
        if len(raw) > MOST_IN_LINE:
            wrong = f"the line has more than {MOST_IN_LINE} characters"
            raise BadShots(f"{name}, line {line}", wrong, "Write one arrow a row, notes short")
        separator = separator or separator_of(raw)
        try:
            cells = next(csv.reader([raw], delimiter=separator, strict=True, skipinitialspace=True))
        except csv.Error as error:
            wrong = f"the line is no row of cells ({error})"
            mend = 'Close each " on the same line, and write nothing behind it but the separator'
            raise BadShots(f"{name}, line {line}", wrong, mend) from None
        stripped = [cell.strip() for cell in cells]
        if any(stripped):
            rows += 1
            if rows > most_rows + 1:
                wrong = f"the file has more than {most_rows} rows"
                raise BadShots(f"{name}, line {line}", wrong, "Divide it by rig or by date")
            yield line, stripped


def separator_of(header: str) -> str:
    """What parts the cells of a file with this header."""
    return next((one for one in ";\t" if one in header), ",")


def check_width(cells: Sequence[str], columns: Sequence[Column], place: str) -> None:
    """Refuse rows with more or fewer cells than the header."""
    wrong = f"the row has {len(cells)} cells and the header {len(columns)}"
    if any(cells[len(columns) :]):
        mend = "Write decimals with a point, or part all cells, the header's too, by semicolons"
        raise BadShots(place, wrong, mend)
    if len(cells) < len(columns):
        mend = "Write the separators of empty cells too: empty right and up mean a hit on the aim"
        raise BadShots(place, wrong, mend)


@dataclass(frozen=True, slots=True)
class Faults:
    """Faults of a file, by mistake: the same one in many rows counts once."""

    row: str = "line"  # what rows are called
    found: dict[tuple[str, str, str], list[tuple[int, BadShots]]] = field(default_factory=dict)

    def note(self, bad: BadShots, line: int) -> bool:
        """Keep a fault; False when there are mistakes enough to tell."""
        kind = _kind(bad)
        if kind not in self.found and len(self.found) == MOST_FAULTS:
            return False
        alike = self.found.setdefault(kind, [])
        alike.append((line, bad))
        return len(alike) < MOST_ALIKE

    def told(self) -> BadShots:
        """All of them as one error, a paragraph each."""
        first, *rest = (_said_once(alike, self.row) for alike in self.found.values())
        others = "".join(f".\n{bad}".removesuffix(".") for bad in rest)
        return BadShots(first.place, first.wrong, first.mend + others)


def _kind(bad: BadShots) -> tuple[str, str, str]:
    """Column, mend and what is wrong, without a cell's own number before its unit."""
    column = bad.place.partition(", column ")[2]
    unit = re.match(r'"[^"]*" (carries .*)', bad.wrong)
    return column or bad.place, bad.mend, unit.group(1) if unit else bad.wrong


def _said_once(alike: list[tuple[int, BadShots]], row: str) -> BadShots:
    """The first of faults that are one mistake, and where else it stands."""
    (_, first), *rest = alike
    if not rest:
        return first
    lines = ", ".join(str(line) for line, _ in rest[:MOST_NAMED])
    word = row if len(rest) == 1 else f"{row}s"
    more = len(rest) - MOST_NAMED
    if more > 0:
        lines += f" and {more} more" if len(alike) < MOST_ALIKE else " and hundreds more"
    return BadShots(first.place, f"{first.wrong}; likewise {word} {lines}", first.mend)
