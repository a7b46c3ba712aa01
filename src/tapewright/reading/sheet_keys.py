"""Sheet keys: the tables of a TOML text become values by key, or faults with their paths.

Holds:  tables, lists, choices and amounts read by their entries; unknown keys and the nearest; the
        Fault record.
Never:  the entries (fields.py), lines of a text (toml_text.py), keys together (cautions).
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from typing import Any

from tapewright.ground.errors import BadInput
from tapewright.reading.fields import KEYS, TABLES
from tapewright.reading.key import Key
from tapewright.services.equip import Belief
from tapewright.words.quantities import in_unit, read_with_doubt
from tapewright.words.unit_names import quoted

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


def read_keys(tables: Mapping[str, Any]) -> tuple[Values, list[Fault]]:
    """Values of every key of a sheet, and what is wrong with any of them."""
    faults: list[Fault] = []
    schema = tables.get("schema", SCHEMA)
    if schema != SCHEMA:
        wrong = f"{quoted(as_text(schema))} is not one of the choices"
        faults.append(Fault(("schema",), wrong, f"Write {SCHEMA}"))
    return _table(tables, "", (), faults), faults


@cache
def inner_tables(name: str) -> tuple[str, ...]:
    """Names of the tables right inside a table, without its own."""
    parts = (table.rpartition(".") for table in TABLES if table)
    return tuple(word for outer, _, word in parts if outer == name)


@cache
def key_names(name: str) -> tuple[str, ...]:
    """Keys of a table as a person writes them, the tables inside it last."""
    return (*(() if name else ("schema",)), *TABLES[name].keys, *inner_tables(name))


def _table(said: Mapping[str, Any], name: str, path: Path, faults: list[Fault]) -> Values:
    """One table with all inside it."""
    values: Values = {}
    for word, key in TABLES[name].keys.items():
        here, dotted = (*path, word), _dotted(name, word)
        values[dotted] = None
        if word in said:
            values[dotted] = _value(key, dotted, said[word], here, faults)
        elif key.needed:
            faults.append(Fault(here, "this key is missing", f"Write {example(dotted)}"))
    for word in inner_tables(name):
        values |= _inner(said.get(word), _dotted(name, word), (*path, word), faults)
    faults += [
        Fault((*path, word), "a rig sheet has no such key", _nearest_key(name, word))
        for word in said
        if word not in key_names(name)
    ]
    return values


def _inner(said: object, name: str, path: Path, faults: list[Fault]) -> Values:
    """A table inside another, or the rows of one that repeats."""
    most = TABLES[name].most
    if most:
        rows = [] if said is None else _listed(said, most, name, path, faults)
        return {name: [_row(row, name, (*path, place), faults) for place, row in enumerate(rows)]}
    if said is not None:
        return {name: True} | _row(said, name, path, faults)
    if any(key.needed for key in TABLES[name].keys.values()):
        faults.append(Fault(path, "this key is missing", f"Write {example(name)}"))
    return {name: False} | _table({}, name, path, [])


def _row(said: object, name: str, path: Path, faults: list[Fault]) -> Values:
    """What is written where a table belongs."""
    if isinstance(said, dict):
        return _table(said, name, path, faults)
    wrong = f"{quoted(as_text(said))} stands where a table belongs"
    mend = f"Write {heading(name)} as a heading, its keys on the lines below"
    faults.append(Fault(path, wrong, mend))
    return {}


def _listed(said: object, most: int, name: str, path: Path, faults: list[Fault]) -> list[Any]:
    """Entries of a list; none of what is no list, or too long."""
    if not isinstance(said, list):
        wrong = f"{quoted(as_text(said))} stands where a list belongs"
        faults.append(Fault(path, wrong, f"Write {example(name)}"))
        return []
    if len(said) > most:
        wrong = f"the list has more than {most} entries"
        faults.append(Fault(path, wrong, "Keep no more than that"))
        return []
    return said


def _value(key: Key, name: str, raw: object, path: Path, faults: list[Fault]) -> Any:  # noqa: ANN401 — by its entry
    """Value of one key; None of what is wrong."""
    if key.many:
        rows = _listed(raw, key.many[1], name, path, faults)
        return [_entry(key, name, row, (*path, place), faults) for place, row in enumerate(rows)]
    return _entry(key, name, raw, path, faults)


def _entry(
    key: Key, name: str, raw: object, path: Path, faults: list[Fault]
) -> Belief | str | None:
    """One amount, choice or text."""
    choices = [choice for choice, _ in key.choices]
    if key.kind is not None:
        try:
            return read_amount(key, as_text(raw))
        except BadInput as bad:
            faults.append(Fault(path, bad.wrong, bad.mend))
    elif isinstance(raw, str) and (not choices or raw in choices):
        return raw
    elif choices:
        offered = " or ".join(f'"{choice}"' for choice in choices if choice)
        wrong = f"{quoted(as_text(raw))} is not one of the choices"
        faults.append(Fault(path, wrong, f"Write {offered}"))
    else:
        wrong = f"{quoted(as_text(raw))} is not text in quotes"
        faults.append(Fault(path, wrong, f"Write {example(name)}"))
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


def example(name: str) -> str:
    """Line of a sheet that would be right for a key, or for a table."""
    word = name.rpartition(".")[2]
    if name in TABLES:
        needed = [f"{name}.{one}" for one, key in TABLES[name].keys.items() if key.needed]
        written = " and ".join(example(one) for one in needed)
        if TABLES[name].most:
            return f"each reading under its own heading {heading(name)} with {written}"
        return f"{heading(name)} with at least {written}"
    key = KEYS[name]
    if key.many:
        return f"{word} = {key.list_example(key.many[0])}"
    return f'{word} = "{key.fitting_example}"'


def heading(name: str) -> str:
    """Heading of a table as TOML writes it."""
    return f"[[{name}]]" if TABLES[name].most else f"[{name}]"


def _nearest_key(name: str, word: str) -> str:
    """Mend for an unknown key: the nearest one, the table it belongs to, or all there are."""
    tidy = re.sub(r"[\s-]+", "_", word.strip().casefold())
    here = key_names(name)
    others = [one for one in TABLES if one and one != "checks"]  # its words are everyday ones
    there = {key: one for one in others for key in key_names(one)}
    if tidy in there and tidy not in here:
        return f'"{tidy}" belongs under {heading(there[tidy])}'
    afar = get_close_matches(tidy, there, 1, 0.85)
    begun = [key for key in here if len(tidy) > 2 and key.startswith(tidy)]
    if near := begun or get_close_matches(tidy, here, 1, 0.85 if afar else 0.6):
        return f'The nearest key is "{near[0]}"'
    if afar:
        return f'"{afar[0]}" belongs under {heading(there[afar[0]])}'
    where = f"under {heading(name)}" if name else "outside every table"
    return f"The keys {where} are {', '.join(here)}"


def _dotted(*words: str) -> str:
    return ".".join(filter(None, words))
