"""Sheet values: the tables of a TOML text become values by key, or faults with their paths.

Holds:  tables, lists, choices and amounts read by their entries; unknown keys and the nearest; the
        Fault record.
Never:  the entries (rig_sheet_fields.py, house_fields.py), lines of a text (toml_text.py), keys
        together (cautions).
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from typing import Any

from tapewright.ground.errors import BadInput
from tapewright.reading.rig_sheet_fields import SHEET
from tapewright.reading.sheet_schema import Declared, Key
from tapewright.services.equip import Belief
from tapewright.words.quantity_parser import in_unit, read_with_doubt
from tapewright.words.unit_spellings import quoted

SCHEMA = 1
SLACK = 1e-9

# Key → its Belief, words, or a list of them or of rows; None when left open.  A table's own name
# → whether it was written.
Values = dict[str, Any]
Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong or odd in a sheet."""

    path: Path  # tables, key and position in a list
    wrong: str  # what is wrong and what would be right, without their full stops
    mend: str


def fault_at(key: str, wrong: str, mend: str) -> Fault:
    """A fault of a key that is in no list."""
    return Fault(tuple(key.split(".")), wrong, mend)


def field_name(path: Path) -> str:
    """Name of a key with its tables, positions counted from one: ``bow.chronograph[2].speed``."""
    words = "".join(f"[{one + 1}]" if isinstance(one, int) else f".{one}" for one in path)
    return " ".join(words.removeprefix(".").split())[:80]


def as_text(raw: object) -> str:
    """Text of any value of a TOML file, even of a number too long to be written."""
    try:
        return str(raw)
    except ValueError:
        return "a number of thousands of digits"


def read_keys(tables: Mapping[str, Any], declared: Declared = SHEET) -> tuple[Values, list[Fault]]:
    """Values of every key of a sheet, and what is wrong with any of them."""
    faults: list[Fault] = []
    schema = tables.get("schema", SCHEMA)
    if schema != SCHEMA:
        wrong = f"{quoted(as_text(schema))} is not one of the choices"
        faults.append(Fault(("schema",), wrong, f"Write {SCHEMA}"))
    return _Reader(declared, faults).table(tables, "", ()), faults


@cache
def inner_tables(name: str, declared: Declared = SHEET) -> tuple[str, ...]:
    """Names of the tables right inside a table, without its own."""
    parts = (table.rpartition(".") for table in declared.tables if table)
    return tuple(word for outer, _, word in parts if outer == name)


@cache
def key_names(name: str, declared: Declared = SHEET) -> tuple[str, ...]:
    """Keys of a table as a person writes them, the tables inside it last."""
    own = () if name else ("schema",)
    return (*own, *declared.tables[name].keys, *inner_tables(name, declared))


@dataclass(frozen=True, slots=True)
class _Reader:
    """Tables of one kind of sheet, read; what is wrong is gathered."""

    declared: Declared
    faults: list[Fault]

    def table(self, said: Mapping[str, Any], name: str, path: Path) -> Values:
        """One table with all inside it."""
        values: Values = {}
        for word, key in self.declared.tables[name].keys.items():
            here, dotted = (*path, word), _dotted(name, word)
            values[dotted] = None
            if word in said:
                values[dotted] = self.value(key, dotted, said[word], here)
            elif key.needed:
                self.missing(dotted, here)
        for word in inner_tables(name, self.declared):
            values |= self.inner(said.get(word), _dotted(name, word), (*path, word))
        wrong = f"{self.declared.what} has no such key"
        self.faults.extend(
            Fault((*path, word), wrong, _nearest_key(name, word, self.declared))
            for word in said
            if word not in key_names(name, self.declared)
        )
        return values

    def missing(self, name: str, path: Path) -> None:
        """Note that something needed is not there."""
        mend = f"Write {example(name, self.declared)}"
        self.faults.append(Fault(path, "this key is missing", mend))

    def inner(self, said: object, name: str, path: Path) -> Values:
        """A table inside another, or the rows of one that repeats."""
        table = self.declared.tables[name]
        if table.most:
            rows = [] if said is None else self.listed(said, table.most, name, path)
            return {name: [self.row(row, name, (*path, place)) for place, row in enumerate(rows)]}
        if said is not None:
            return {name: True} | self.row(said, name, path)
        if any(key.needed for key in table.keys.values()):
            self.missing(name, path)
        return {name: False} | _Reader(self.declared, []).table({}, name, path)

    def row(self, said: object, name: str, path: Path) -> Values:
        """What is written where a table belongs."""
        if isinstance(said, dict):
            return self.table(said, name, path)
        wrong = f"{quoted(as_text(said))} stands where a table belongs"
        mend = f"Write {heading(name, self.declared)} as a heading, its keys on the lines below"
        self.faults.append(Fault(path, wrong, mend))
        return {}

    def listed(self, said: object, most: int, name: str, path: Path) -> list[Any]:
        """Entries of a list; none of what is no list, or too long."""
        if not isinstance(said, list):
            wrong = f"{quoted(as_text(said))} stands where a list belongs"
            self.faults.append(Fault(path, wrong, f"Write {example(name, self.declared)}"))
            return []
        if len(said) > most:
            wrong = f"the list has more than {most} entries"
            self.faults.append(Fault(path, wrong, "Keep no more than that"))
            return []
        return said

    def value(self, key: Key, name: str, raw: object, path: Path) -> Any:  # noqa: ANN401 — by its entry
        """Value of one key; None of what is wrong."""
        if key.many:
            rows = self.listed(raw, key.many[1], name, path)
            return [self.entry(key, name, row, (*path, place)) for place, row in enumerate(rows)]
        return self.entry(key, name, raw, path)

    def entry(self, key: Key, name: str, raw: object, path: Path) -> Belief | str | None:
        """One amount, choice or text."""
        choices = [choice for choice, _ in key.choices]
        if key.kind is not None:
            try:
                return read_amount(key, as_text(raw))
            except BadInput as bad:
                self.faults.append(Fault(path, bad.wrong, bad.mend))
        elif isinstance(raw, str) and (not choices or raw in choices):
            return raw
        elif choices:
            offered = " or ".join(f'"{choice}"' for choice in choices if choice)
            wrong = f"{quoted(as_text(raw))} is not one of the choices"
            self.faults.append(Fault(path, wrong, f"Write {offered}"))
        else:
            wrong = f"{quoted(as_text(raw))} is not text in quotes"
            self.faults.append(Fault(path, wrong, f"Write {example(name, self.declared)}"))
        return None


def read_amount(key: Key, text: str) -> Belief:
    """Read an amount inside its hard limits."""
    if text.strip().casefold() in key.none_words:
        return Belief(0.0)
    assert key.kind, "only amounts are read here"
    assert key.limits
    value, doubt = read_with_doubt(text, key.kind, "", key.fitting_example)
    (low, high), number = key.limits, amount_number(key, value)
    if not low - SLACK <= number <= high + SLACK:
        side, limit = ("below", low) if number < low else ("above", high)
        shown = f"{number:.4g} {key.unit}".rstrip()
        wrong = f"{quoted(text)} is " + (f"{shown}, " if shown != text else "")
        wrong += f"{side} the limit of {limit:g} {key.unit}".rstrip()
        comma = " (a comma is read as the decimal mark)" if "," in text else ""
        mend = f"Write {key.span}{comma}, such as {quoted(key.fitting_example)}"
        raise BadInput("", wrong, mend)
    return Belief(value, doubt)


def amount_number(key: Key, value: float) -> float:
    """An SI value in the unit of the limits."""
    return in_unit(value, key.unit) if key.unit else value


def example(name: str, declared: Declared = SHEET) -> str:
    """Line of a sheet that would be right for a key, or for a table."""
    word = name.rpartition(".")[2]
    if table := declared.tables.get(name):
        needed = [f"{name}.{one}" for one, key in table.keys.items() if key.needed]
        written = " and ".join(example(one, declared) for one in needed)
        if table.most:
            under = heading(name, declared)
            return f"each {table.row} under its own heading {under} with {written}"
        return f"{heading(name, declared)} with at least {written}"
    key = declared.keys[name]
    if key.many:
        return f"{word} = {key.list_example(key.many[0])}"
    return f'{word} = "{key.fitting_example}"'


def heading(name: str, declared: Declared = SHEET) -> str:
    """Heading of a table as TOML writes it."""
    return f"[[{name}]]" if declared.tables[name].most else f"[{name}]"


def _nearest_key(name: str, word: str, declared: Declared) -> str:
    """Mend for an unknown key: the nearest one, the table it belongs to, or all there are."""
    tidy = re.sub(r"[\s-]+", "_", word.strip().casefold())
    here = key_names(name, declared)
    others = [one for one in declared.tables if one and one not in declared.aloof]
    there = {key: one for one in others for key in key_names(one, declared)}
    if tidy in there and tidy not in here:
        return f'"{tidy}" belongs under {heading(there[tidy], declared)}'
    afar = get_close_matches(tidy, there, 1, 0.85)
    begun = [key for key in here if len(tidy) > 2 and key.startswith(tidy)]
    if near := begun or get_close_matches(tidy, here, 1, 0.85 if afar else 0.6):
        return f'The nearest key is "{near[0]}"'
    if afar:
        return f'"{afar[0]}" belongs under {heading(there[afar[0]], declared)}'
    where = f"under {heading(name, declared)}" if name else "outside every table"
    return f"The keys {where} are {', '.join(here)}"


def _dotted(*words: str) -> str:
    return ".".join(filter(None, words))
