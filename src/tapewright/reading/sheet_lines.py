"""Sheet lines: a sheet as lines of a form, and back as text, nothing lost but comments.

Holds:  which lines a form has; text to what stands in them; what was typed to text, examined.
Never:  keys and limits (sheet_keys.py), labels and measuring (the face that shows a form).
"""

import json
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import pairwise
from typing import Any, Literal, cast, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from tapewright.reading.sheet import sheet_cautions, sheet_faults
from tapewright.reading.sheet_faults import Fault, Path, fault_of, field_name
from tapewright.reading.sheet_keys import TABLES, Amount, SheetKeys, as_text

__all__ = [
    "Examined",
    "SheetLine",
    "examined_sheet",
    "has_comments",
    "sheet_lines",
    "sheet_text",
    "sheet_values",
    "tidy_values",
]

Values = Mapping[str, str]

LEAST_ROWS = {"chronograph": 4, "pins_below_first": 4, "travel_ends": 2}
_STRINGS = re.compile(
    r'"""(?:\\.|[^\\])*?"""|' + r"'''.*?'''" + r'|"(?:\\.|[^"\\\n])*"' + r"|'[^'\n]*'", re.DOTALL
)


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line of a form."""

    path: Path  # tables, key and position in a list
    name: str  # name of the field: ``bow.chronograph[2].speed``
    key: str  # the same without positions: ``bow.chronograph.speed``
    amount: Amount | None  # what it takes; None: a choice, or the name
    choices: tuple[str, ...] = ()  # all it may be, the usual one first; empty: typed freely
    is_needed: bool = False  # whether a sheet is none without it


@dataclass(frozen=True, slots=True)
class Examined:
    """What was typed, as a sheet."""

    text: str  # the sheet, as good as it is
    faults: tuple[Fault, ...]  # what keeps it from being used
    notes: tuple[Fault, ...]  # what is odd but possible


def sheet_lines(values: Values) -> tuple[SheetLine, ...]:
    """Lines of a form: every key of a sheet, and of lists one row more than is filled."""
    rows = []
    for begins, least, most in _lists():
        filled = (
            name[len(begins) :] for name, text in values.items() if text and name.startswith(begins)
        )
        numbers = (one.partition("]")[0] for one in filled)
        last = max((int(one) for one in numbers if one.isdecimal() and len(one) < 4), default=0)
        rows.append(min(most, max(least, last + 1)))
    return _lines_of(tuple(rows))


@cache
def _lists() -> tuple[tuple[str, int, int], ...]:
    """Lists of a sheet: how names of their lines begin, rows shown at least and at most."""
    found = []
    for table, keys in TABLES.items():
        for key, one in keys.model_fields.items():
            if get_origin(one.annotation) is list:
                most = next(part.max_length for part in one.metadata if hasattr(part, "max_length"))
                found.append((f"{field_name((*table, key))}[", LEAST_ROWS[key], int(most)))
    return tuple(found)


@lru_cache(maxsize=64)
def _lines_of(rows: tuple[int, ...]) -> tuple[SheetLine, ...]:
    counts = {begins: row for (begins, _, _), row in zip(_lists(), rows, strict=True)}
    return tuple(_lines(SheetKeys, (), counts))


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
    try:
        keys = SheetKeys.model_validate({"arrow": {}} | _tables(tidy))
    except ValidationError as error:
        return Examined(text, tuple(fault_of(one) for one in error.errors()), ())
    faults = sheet_faults(keys)
    return Examined(text, faults, () if faults else sheet_cautions(keys))


def has_comments(text: str) -> bool:
    """Whether a sheet holds comments, which a form cannot keep."""
    return "#" in _STRINGS.sub("", text)


def _lines(table: type[BaseModel], path: Path, rows: Mapping[str, int]) -> Iterator[SheetLine]:
    for key, one in table.model_fields.items():
        if one.alias:  # the number of the schema is nobody's wish
            continue
        here = (*path, key)
        inner = _inner(one.annotation)
        if get_origin(one.annotation) is list:
            for place in range(rows[f"{field_name(here)}["]):
                row = (*here, place)
                yield from _lines(inner, row, rows) if inner else (_line(row, one),)
        elif inner:
            yield from _lines(inner, here, rows)
        else:
            yield _line(here, one)


def _inner(annotation: Any) -> type[BaseModel] | None:  # noqa: ANN401 — any annotation
    """The table that a key holds, alone or in a list."""
    kinds = [annotation, *get_args(annotation)]
    found = [one for one in kinds if isinstance(one, type) and issubclass(one, BaseModel)]
    return found[0] if found else None


def _line(path: Path, one: FieldInfo) -> SheetLine:
    choices: tuple[str, ...] = ()
    if get_origin(one.annotation) is Literal:
        every = get_args(one.annotation)
        choices = (one.default, *(choice for choice in every if choice != one.default))
    metadata = [*one.metadata]
    if get_origin(one.annotation) is list:
        metadata = [*getattr(get_args(one.annotation)[0], "__metadata__", ())]
    amount = next((part for part in metadata if isinstance(part, Amount)), None)
    in_list = any(isinstance(part, int) for part in path)
    key = ".".join(part for part in path if isinstance(part, str))
    is_needed = one.is_required() and not in_list
    return SheetLine(path, field_name(path), key, amount, choices, is_needed)


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
