"""Sheet lines: a sheet as lines of a form, and back as text, nothing lost but comments.

Holds:  which lines a form has; text to what stands in them; what was typed to text, examined.
Never:  the keys (fields.py), how a face shows a form.
"""

import json
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Any, cast

from tapewright.reading.fields import KEYS, TABLES
from tapewright.reading.key import Key
from tapewright.reading.sheet import sheet_cautions, sheet_faults
from tapewright.reading.sheet_faults import Fault, Path, field_name
from tapewright.reading.sheet_keys import as_text, inner_tables, read_keys

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


def sheet_lines(values: Values) -> tuple[SheetLine, ...]:
    """Lines of a form: every key of a sheet, and of lists one row more than is filled."""
    counts = []
    for begins, most in _LISTS.items():
        filled = (
            name[len(begins) + 1 :]
            for name, text in values.items()
            if text and name.startswith(f"{begins}[")
        )
        numbers = (one.partition("]")[0] for one in filled)
        last = max((int(one) for one in numbers if one.isdecimal() and len(one) < 4), default=0)
        counts.append(min(most, max(LEAST_ROWS, last + 1)))
    return _lines_of(tuple(counts))


_LISTS = {name: table.most for name, table in TABLES.items() if table.most} | {
    name: key.many[1] for name, key in KEYS.items() if key.many
}


@lru_cache(maxsize=64)
def _lines_of(rows: tuple[int, ...]) -> tuple[SheetLine, ...]:
    return tuple(_lines("", (), dict(zip(_LISTS, rows, strict=True))))


def _lines(table: str, path: Path, rows: Mapping[str, int]) -> Iterator[SheetLine]:
    for word, entry in TABLES[table].keys.items():
        here, key = (*path, word), f"{table}.{word}".removeprefix(".")
        paths: list[Path] = [(*here, row) for row in range(rows[key])] if entry.many else [here]
        for each in paths:
            yield SheetLine(each, field_name(each), key, entry)
    for word in inner_tables(table):
        inner = f"{table}.{word}".removeprefix(".")
        here = (*path, word)
        for each in [(*here, row) for row in range(rows[inner])] if inner in rows else [here]:
            yield from _lines(inner, each, rows)


def sheet_values(text: str) -> dict[str, str]:
    """What stands in the lines of a form, for a sheet that can be read."""
    values: dict[str, str] = {}
    _flatten(tomllib.loads(text.removeprefix("\ufeff").replace("\r\n", "\n")), (), values)
    for line in sheet_lines(values):
        if line.choices:
            values.setdefault(line.name, line.choices[0])
    return values


def tidy_values(values: Values) -> dict[str, str]:
    """What was typed, without what no sheet has and without empty rows between filled ones."""
    known = {line.name: line for line in sheet_lines(values)}
    filled = {name: values[name].strip() for name in known if values.get(name, "").strip()}
    places: dict[tuple[Path, str | int], int] = {}
    counts: dict[Path, int] = {}
    tidy = {}
    for name, text in filled.items():
        path = known[name].path
        for place, part in enumerate(path):
            if isinstance(part, int):
                before = path[:place]
                if (before, part) not in places:
                    places[before, part] = counts.get(before, 0)
                    counts[before] = places[before, part] + 1
                path = (*before, places[before, part], *path[place + 1 :])
        tidy[field_name(path)] = text
    return tidy


def sheet_text(values: Values) -> str:
    """The sheet in which every line says what was typed."""
    tables = _tables(tidy_values(values))
    return "schema = 1\n" + "".join(_written(tables, ()))


def examined_sheet(values: Values) -> Examined:
    """What was typed as a sheet, with what is wrong and what is odd about it."""
    tidy = tidy_values(values)
    text = sheet_text(tidy)
    found, wrong = read_keys({"arrow": {}} | _tables(tidy))
    faults = tuple(wrong) or sheet_faults(found)
    return Examined(text, faults, () if faults else sheet_cautions(found))


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


def _tables(tidy: Values) -> dict[str, Any]:
    """Tables of a sheet, as TOML would read them."""
    tables: dict[str, Any] = {}
    for line in sheet_lines(tidy):
        if line.name not in tidy:
            continue
        last = line.path[-1]
        here: Any = tables
        for part, following in pairwise(line.path):
            if isinstance(part, int):
                if part == len(here):
                    here.append({})
                here = here[part]
            else:
                here = here.setdefault(part, [] if isinstance(following, int) else {})
        if isinstance(last, int):
            here.append(tidy[line.name])
        else:
            here[last] = tidy[line.name]
    return tables


def _written(table: Mapping[str, Any], path: tuple[str, ...]) -> Iterator[str]:
    """Lines of a table: its own keys first, then the tables inside it."""
    inside = []
    for key, value in table.items():
        if isinstance(value, str):
            yield f"{key} = {_quoted(value)}\n"
        elif isinstance(value, list) and isinstance(value[0], str):
            yield f"{key} = [{', '.join(map(_quoted, value))}]\n"
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


def _quoted(text: str) -> str:
    """Text as TOML writes it; JSON's escapes are TOML's, but for one sign."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
