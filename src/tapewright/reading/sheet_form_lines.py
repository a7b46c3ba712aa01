"""Sheet form lines: a sheet as lines of a form, and back as text, nothing lost but comments.

Holds:  which lines a form has; text to what stands in them; what was typed to text, examined.
Never:  the keys (rig_sheet_fields.py), how a face shows a form.
"""

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, cast

from tapewright.reading.rig_sheet import sheet_cautions, sheet_faults
from tapewright.reading.rig_sheet_fields import SHEET
from tapewright.reading.sheet_schema import Declared, Key
from tapewright.reading.sheet_template import quoted_toml
from tapewright.reading.sheet_values import (
    Fault,
    Path,
    as_text,
    field_name,
    inner_tables,
    read_keys,
)

Values = Mapping[str, str]  # what stands in each line, by name

LEAST_ROWS = 4  # of a list that may be longer
_STRINGS = re.compile(
    r'"""(?:\\.|[^\\])*?"""|' + r"'''.*?'''" + r'|"(?:\\.|[^"\\\n])*"' + r"|'[^'\n]*'", re.DOTALL
)


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line of a form."""

    path: Path  # tables, key and position in a list
    name: str  # name of the field: ``bow.chronograph[2].speed``
    key: str  # the same without positions: ``bow.chronograph.speed``
    entry: Key  # what is declared of the key

    @property
    def choices(self) -> tuple[str, ...]:
        """All it may be, the usual one first; empty: typed freely."""
        return tuple(choice for choice, _ in self.entry.choices)

    def of(self, kind: str) -> "SheetLine":
        """The line in the words of a kind of bow."""
        return replace(self, entry=self.entry.of(kind))

    @property
    def is_needed(self) -> bool:
        """Whether a sheet is none without it."""
        return self.entry.needed and self.row is None

    @property
    def row(self) -> int | None:
        """Its place in a list, or that of its table; None: it stands alone."""
        return next((part for part in self.path if isinstance(part, int)), None)


@dataclass(frozen=True, slots=True)
class Examined:
    """What was typed, as a sheet."""

    text: str  # the sheet, as good as it is
    faults: tuple[Fault, ...]  # what keeps it from being used
    notes: tuple[Fault, ...]  # what is odd but possible


def sheet_lines(values: Values, declared: Declared = SHEET) -> tuple[SheetLine, ...]:
    """Lines of a form: every key of a sheet, and of lists one row more than is filled."""
    counts = []
    for begins, most in declared.lists.items():
        filled = (
            name[len(begins) + 1 :]
            for name, text in values.items()
            if text and name.startswith(f"{begins}[")
        )
        numbers = (one.partition("]")[0] for one in filled)
        last = max((int(one) for one in numbers if one.isdecimal() and len(one) < 4), default=0)
        counts.append(min(most, max(LEAST_ROWS, last + 1)))
    return _lines_of(tuple(counts), declared)


@lru_cache(maxsize=64)
def _lines_of(rows: tuple[int, ...], declared: Declared) -> tuple[SheetLine, ...]:
    return tuple(_lines("", (), dict(zip(declared.lists, rows, strict=True)), declared))


def _lines(
    table: str, path: Path, rows: Mapping[str, int], declared: Declared
) -> Iterator[SheetLine]:
    """Lines of a table, its own keys first; of lists, a line or a table for each row."""
    for word in (*declared.tables[table].keys, *inner_tables(table, declared)):
        here, name = (*path, word), f"{table}.{word}".removeprefix(".")
        for each in [(*here, row) for row in range(rows[name])] if name in rows else [here]:
            if name in declared.keys:
                yield SheetLine(each, field_name(each), name, declared.keys[name])
            else:
                yield from _lines(name, each, rows, declared)


def sheet_values(text: str, declared: Declared = SHEET) -> dict[str, str]:
    """What stands in the lines of a form, for a sheet that can be read."""
    values: dict[str, str] = {}
    _flatten(tomllib.loads(text.removeprefix("\ufeff").replace("\r\n", "\n")), (), values)
    for line in sheet_lines(values, declared):
        if line.choices:
            values.setdefault(line.name, line.choices[0])
    return values


def tidy_values(values: Values, declared: Declared = SHEET) -> dict[str, str]:
    """What was typed, without what no sheet has and without empty rows between filled ones."""
    tidy: dict[str, str] = {}
    _flatten(_tables(values, declared), (), tidy)
    return tidy


def sheet_text(values: Values, declared: Declared = SHEET) -> str:
    """The sheet in which every line says what was typed."""
    return "schema = 1\n" + "".join(_written(_tables(values, declared), ()))


def examined_sheet(values: Values) -> Examined:
    """What was typed as a sheet, with what is wrong and what is odd about it."""
    found, wrong = read_keys({"arrow": {}} | _tables(values, SHEET))
    faults = tuple(wrong) or sheet_faults(found)
    return Examined(sheet_text(values), faults, () if faults else sheet_cautions(found))


def has_comments(text: str) -> bool:
    """Whether a sheet holds comments, which a form cannot keep."""
    return "#" in _STRINGS.sub("", text)


def _flatten(value: object, path: Path, values: dict[str, str]) -> None:
    if isinstance(value, dict):
        for key, inside in value.items():
            _flatten(inside, (*path, key), values)
    elif isinstance(value, list):
        for place, inside in enumerate(value):
            _flatten(inside, (*path, place), values)
    elif path != ("schema",):
        values[field_name(path)] = as_text(value)


def _tables(values: Values, declared: Declared) -> dict[str, Any]:
    """Tables of a sheet as TOML would read them, without empty rows."""
    tables: dict[str | int, Any] = {}
    for line in sheet_lines(values, declared):
        if text := values.get(line.name, "").strip():
            here = tables
            for part in line.path[:-1]:
                here = here.setdefault(part, {})
            here[line.path[-1]] = text
    return {str(word): _closed_up(inside) for word, inside in tables.items()}


def _closed_up(inside: Any) -> Any:  # noqa: ANN401 — a text, or a table
    """What is known by numbers as a list, whatever numbers are missing."""
    if not isinstance(inside, dict):
        return inside
    closed = {part: _closed_up(value) for part, value in inside.items()}
    return list(closed.values()) if any(isinstance(part, int) for part in closed) else closed


def _written(table: Mapping[str, Any], path: tuple[str, ...]) -> Iterator[str]:
    """Lines of a table: its own keys first, then the tables inside it."""
    inside = []
    for key, value in table.items():
        if isinstance(value, str):
            yield f"{key} = {quoted_toml(value)}\n"
        elif isinstance(value, list) and isinstance(value[0], str):
            yield f"{key} = [{', '.join(map(quoted_toml, value))}]\n"
        else:
            inside.append((key, value))
    for key, value in inside:
        here = (*path, key)
        dotted = ".".join(here)
        if isinstance(value, list):
            for row in cast("list[dict[str, Any]]", value):
                yield f"\n[[{dotted}]]\n"
                yield from _written(row, here)
        else:
            yield f"\n[{dotted}]\n"
            yield from _written(value, here)
