"""Answer columns: what stands in a table, said once for people, for programs and for spreadsheets.

Holds:  the Column record; what was found, told as a table, sent as records, sent as CSV.
Never:  which columns a question has, computations.
"""

import csv
import io
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from itertools import accumulate, chain, repeat
from operator import attrgetter, or_
from typing import Any, Generic, Literal, TypeVar

from tapewright.words.answer_blocks import Table
from tapewright.words.number_format import NOTHING, known, plain, told, written
from tapewright.words.quantity_parser import in_unit
from tapewright.words.unit_system import Units

Found = TypeVar("Found")
Place = str  # where values stand in what was found, or in each of its rows: "marks.home_m"
Values = Place | Callable[[Found], Iterable[Any]] | Iterable[Any]
PER = " per "  # between two units
KEYS = {"ft/s": "ftps", "m/s": "mps", "ft·lbf": "ftlbf", "J": "j", "slug·ft/s": "slugftps",
        "kg·m/s": "kgmps"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Column(Generic[Found]):
    """One column: what it is called, and how its values are told; "{unit}" stands for its unit."""

    head: str  # what people read above it; empty: they do not see it
    key: str  # what programs call it; empty: they do not get it
    # A row each, in SI where they have a unit: these, or where or how they are found; words are
    # told as they are
    values: Values[Found]
    unit: str = ""  # "distance", "miss" and so on are the person's own; empty: plain numbers
    decimals: int | None = 1  # as people read it; None: one at most, no zeros that nobody wrote
    kept: int = 3  # decimals that programs get
    signed: bool = False
    # Half of each band, or where its two ends stand: no more digits are told than are known
    half: Values[Found] | tuple[Place, Place] | None = None
    banded: bool = False  # whether the half is told, too
    least: float = 0.0  # nothing finer is told, in SI; 0: whatever is known
    to: Place | Callable[[Found], Iterable[Any]] = ""  # the other end, if each cell is a band
    # Of readings, when a tape is on the sight (readings_on_tape.py): "first": what the tape shows,
    # then mm; "alone": that only; "not": people are not told
    tape: Literal["", "first", "alone", "not"] = ""
    # What people read where there is no number: everywhere, or row by row
    none: str | Callable[[Found], Iterable[str]] = NOTHING
    spare: bool = False  # statistics: people miss it least where there is no room

    def unit_for(self, units: Units) -> str:
        """Unit in which a person reads it, or one per another."""
        return PER.join(map(units.own, self.unit.split(PER)))

    def head_for(self, units: Units) -> str:
        """What that person reads above it."""
        return self.head.replace("{unit}", self.unit_for(units))  # a head may hold a typed name

    def key_for(self, units: Units) -> str:
        """What a program that wants these units calls it."""
        parts = (KEYS.get(part, part) for part in self.unit_for(units).split(PER))
        return self.key.format(unit="_per_".join(parts))

    def told(self, found: Found, units: Units) -> list[str]:
        """Cells as people read them."""
        cells = self._cells(self.values, found, units)
        if not self.to:
            return cells
        ends = self._cells(self.to, found, units)
        return [
            low if low == high and not low[-1:].isdigit() else f"{low} to {high}"
            for low, high in zip(cells, ends, strict=True)
        ]

    def _cells(self, values: Values[Found], found: Found, units: Units) -> list[str]:
        numbers = [self._number(value, units) for value in values_of(values, found)]
        nones = repeat(self.none) if isinstance(self.none, str) else self.none(found)
        if self.half is None:
            return [
                number if isinstance(number, str) else self._digits(number, none)
                for number, none in zip(numbers, nones, strict=False)
            ]
        size = _in(1.0, self.unit_for(units)) - _in(0.0, self.unit_for(units))
        cells = []
        halves = halves_of(self.half, found)
        for number, half, none in zip(numbers, halves, nones, strict=False):
            text = known(number, half * size, least=self.least * size, signed=self.signed)
            text = none if text == NOTHING else text
            cells.append(f"{text} ±{known(half * size, half * size)}" if self.banded else text)
        return cells

    def sent(self, found: Found, units: Units) -> list[Any]:
        """Cells for programs: whatever JSON can hold."""
        values = (self._number(value, units) for value in values_of(self.values, found))
        return [written(one, self.kept) if isinstance(one, float) else one for one in values]

    def _digits(self, value: float | None, none: str) -> str:
        if self.decimals is None:
            text = plain(value, 1 if self.unit == "distance" else 4)
        else:
            text = told(value, self.decimals, signed=self.signed)
        return none if text == NOTHING else text

    def _number(self, value: Any, units: Units) -> Any:  # noqa: ANN401 — words pass as they are
        if value is None or isinstance(value, str | bool | int):
            return value
        return _in(float(value), self.unit_for(units))


def values_of(values: Values[Any], found: Any) -> Iterable[Any]:  # noqa: ANN401 — whatever a question found
    """Values of what was found."""
    if not isinstance(values, str):
        return values(found) if callable(values) else values
    get: Callable[[Any], Iterable[Any]] = attrgetter(values)
    return map(get, found) if isinstance(found, list | tuple) else get(found)


def halves_of(half: Values[Any] | tuple[Place, Place] | None, found: Any) -> Iterable[float]:  # noqa: ANN401 — as above
    """Half of each band, itself or from the places of its ends."""
    if half is None:
        return repeat(0.0)
    if not isinstance(half, tuple):
        return values_of(half, found)
    ends = zip(*(values_of(end, found) for end in half), strict=True)
    return [0.5 * (high - low) for low, high in ends]


def _in(value: float, unit: str) -> float:
    """A number in a unit, in one per another, in none."""
    own, *others = unit.split(PER)
    number = in_unit(value, own) if own else value
    return number / in_unit(1.0, others[0]) if others else number


def each(value: Callable[[Any], Any]) -> Callable[[Any], Iterable[Any]]:
    """Values of a column: what a function makes of each row."""
    return lambda rows: map(value, rows)


def banded_columns(
    name: str,
    values: Values[Found],
    unit: str,
    head: str = "",
    kept: int = 4,
    *,
    spare: bool = False,
) -> tuple[Column[Found], ...]:
    """A value, which people may see, and for programs the two ends of its band."""

    def part(end: str) -> Values[Found]:
        return lambda found: [getattr(banded, end) for banded in values_of(values, found)]

    ends = ((head, "", "value"), ("", "_low", "low"), ("", "_high", "high"))
    return tuple(
        Column(seen, f"{name}{word}_{{unit}}", part(end), unit, 2, kept, spare=spare)
        for seen, word, end in ends
    )


def table(
    title: str,
    columns: Sequence[Column[Found]],
    found: Found,
    units: Units,
    faint: Iterable[int] = (),
) -> Table:
    """What was found as people read it."""
    shown = [column for column in columns if column.head]
    heads = tuple(column.head_for(units) for column in shown)
    rows = zip(*(column.told(found, units) for column in shown), strict=True)
    spare = (place for place, column in enumerate(shown) if column.spare)
    return Table(title, heads, tuple(rows), frozenset(faint), frozenset(spare))


def beside(first: Table, *more: Table) -> Table:
    """Tables of the same rows as one, with the first's title and faint rows."""
    parts = (first, *more)
    heads = chain.from_iterable(part.heads for part in parts)
    rows = zip(*(part.rows for part in parts), strict=True)
    starts = accumulate((len(part.heads) for part in parts), initial=0)
    spare = {
        start + place for start, part in zip(starts, parts, strict=False) for place in part.spare
    }
    told = tuple(tuple(chain(*cells)) for cells in rows)
    return replace(first, heads=tuple(heads), rows=told, spare=frozenset(spare))


def records(columns: Sequence[Column[Found]], found: Found, units: Units) -> list[dict[str, Any]]:
    """What was found as programs get it, one record a row."""
    sent = [column for column in columns if column.key]
    keys = [column.key_for(units) for column in sent]
    rows = zip(*(column.sent(found, units) for column in sent), strict=True)
    return [dict(zip(keys, row, strict=True)) for row in rows]


def joined(*parts: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
    """Records of the same rows as one."""
    return [reduce(or_, rows) for rows in zip(*parts, strict=True)]


def record(columns: Sequence[Column[Any]], one: object, units: Units) -> dict[str, Any] | None:
    """The record of one row; None where there is no row."""
    return None if one is None else records(columns, [one], units)[0]


def rounded(value: float | None, unit: str, decimals: int = 3) -> float | None:
    """A number in a unit, rounded; None for what JSON cannot hold."""
    return written(value if value is None or not unit else in_unit(float(value), unit), decimals)


def csv_text(rows: Sequence[dict[str, Any]]) -> str:
    """Records for a spreadsheet, a header first."""
    text = io.StringIO()
    writer = csv.DictWriter(text, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()
