"""House values: a TOML text becomes what a shop or a club knows, or its faults are named together.

Holds:  reading the text and the form; the commented file; what is odd about a rig beside them.
Never:  the keys (house_fields.py), where a value stands in (calibration).
"""

import tomllib
from collections import Counter
from collections.abc import Iterator
from difflib import get_close_matches
from functools import lru_cache
from pathlib import Path
from typing import Any

from tapewright.ground.errors import BadHouseValues, BadInput, BadRigSheet
from tapewright.reading import sheet_values
from tapewright.reading.house_fields import HOUSE
from tapewright.reading.sheet_form_lines import sheet_text
from tapewright.reading.sheet_template import clean_name, commented_sheet, quoted_toml
from tapewright.reading.sheet_values import Fault, Values, example, heading, read_keys
from tapewright.reading.text_file import file_name, load_text
from tapewright.reading.toml_text import MOST_FAULTS, SheetText, sheet_tables
from tapewright.services.equip import (
    Belief,
    HouseValue,
    HouseValues,
    Rig,
    unknown_kinds,
    with_house,
)
from tapewright.words.unit_spellings import quoted

__all__ = ["filled_rig", "house_template", "load_house", "read_house", "typed_house"]

MOST_BYTES = 100_000
MOST_KIND = 60  # letters of the name of a kind
MOST_TOLD = 5  # kinds named, the nearest first
# Where each number stands → what it stands for, and for which point.
STANDS_FOR = {
    "sight.reading_per_travel": ("sight.reading_per_travel", ""),
    "arrow.drag_coefficient": ("arrow.drag_coefficient", "field"),
    "arrow.broadhead_drag_coefficient": ("arrow.drag_coefficient", "broadhead"),
    "chronograph.reads": ("chronograph.reads", ""),
    "archer.dispersion": ("archer.dispersion", ""),
}
_NAMED_BY = {"chronograph": "instrument"}  # key that names what a row is for; else kind


def load_house(path: Path) -> HouseValues:
    """House values from a file. BadHouseValues if it cannot be read or anything in it is wrong."""
    return read_house(load_text(path, MOST_BYTES, BadHouseValues), file_name(path))


@lru_cache(maxsize=8)  # a notebook's own stand behind every rig
def read_house(text: str, name: str = "house values") -> HouseValues:
    """House values from their text. BadHouseValues with place and mend if anything is wrong."""
    mend = 'Begin with name = "Reed Lane Archers" and a [[sight]] block'
    try:
        plain, tables = sheet_tables(text, name, ("the file is empty", mend))
    except BadRigSheet as bad:
        raise _no_sheet(bad) from None
    values, wrong = read_keys(tables, HOUSE)
    faults = wrong or list(_faults(values))
    if faults:
        told = SheetText(plain, name).error(faults[:MOST_FAULTS], len(faults[MOST_FAULTS:]))
        raise BadHouseValues(told.place, told.wrong, told.mend)
    return _house(values)


def typed_house(values: dict[str, str]) -> tuple[str, tuple[Fault, ...]]:
    """What was typed into a form as a text, and what is wrong with it."""
    text = sheet_text(values, HOUSE)
    found, wrong = read_keys(tomllib.loads(text), HOUSE)
    return text, tuple(wrong or _faults(found))


def house_template(name: str, *, metric: bool) -> str:
    """Commented file to be filled in."""
    return commented_sheet(HOUSE, {"name": quoted_toml(clean_name(name))}, metric=metric)


def filled_rig(rig: Rig, house: HouseValues) -> tuple[Rig, tuple[str, ...]]:
    """A rig with house values, and what is odd: kinds that its sheet names in vain."""
    filled = with_house(rig, house)
    notes = []
    for key, kind, known in unknown_kinds(filled, house):
        what, of = key.split(".")
        lacks = f"have no {of.replace('_', ' ')} for a kind of {what} called {quoted(kind)}"
        if what == "chronograph":
            lacks = f"know no chronograph called {quoted(kind)}"
        near = get_close_matches(kind, known, MOST_TOLD, 0.0)
        more = f" and {len(known) - MOST_TOLD} more" if len(known) > MOST_TOLD else ""
        there = f"They name {', '.join(map(quoted, near))}{more}" if known else "They name none"
        notes.append(f"The house values of {house.name} {lacks}. {there}.")
    return filled, tuple(notes)


def _no_sheet(bad: BadRigSheet) -> BadHouseValues:
    """The same of house values, of which blocks may repeat that a rig sheet has once."""
    mend = bad.mend
    if "second time" in bad.wrong and "[" in bad.wrong.partition(": ")[2]:
        mend = "Write blocks with two brackets, such as [[sight]], one for each kind"
    return BadHouseValues(bad.place, bad.wrong, mend.replace('mass = "420 gr"', 'name = "Reed"'))


def _rows(values: Values) -> Iterator[tuple[str, str, int, dict[str, Any]]]:
    """Rows of every table: its name, the key that names what it is for, its place and values."""
    for table in HOUSE.tables:
        for place, row in enumerate(values.get(table, ()) if table else ()):
            yield table, _NAMED_BY.get(table, "kind"), place, row


def _kind(table: str, row: dict[str, Any], word: str) -> str:
    return " ".join((row[f"{table}.{word}"] or "").split())


def _faults(values: Values) -> Iterator[Fault]:
    """What is wrong with a file whose keys are each inside their limits."""
    try:
        clean_name(values["name"])
    except BadInput as bad:
        yield Fault(("name",), bad.wrong, bad.mend)
    seen: Counter[tuple[str, str]] = Counter()
    for table, word, place, row in _rows(values):
        here, kind = (table, place), _kind(table, row, word)
        if len(kind) > MOST_KIND or not kind.isprintable():
            wrong = f"{quoted(kind)} is no name"
            yield Fault((*here, word), wrong, f"Write at most {MOST_KIND} letters on one line")
        seen[table, kind.casefold()] += 1
        if seen[table, kind.casefold()] == 2:
            named = f"{word} {quoted(kind)} stands" if kind else f"a block without {word} stands"
            yield Fault(here, f"{named} here for the second time", "Keep one of the two")
        yield from _row_faults(table, here, row)


def _row_faults(table: str, here: sheet_values.Path, row: dict[str, Any]) -> Iterator[Fault]:
    """What is wrong with the numbers of one row."""
    numbers = {name: row[name] for name in STANDS_FOR if name.partition(".")[0] == table}
    if not any(numbers.values()):
        wanted = " or ".join(example(name, HOUSE) for name in numbers)
        yield Fault(here, f"nothing stands under {heading(table, HOUSE)}", f"Write {wanted}")
    for name, value in numbers.items():
        if isinstance(value, Belief) and value.sd is None:
            mend = f"Write such as {example(name, HOUSE)}"
            yield Fault((*here, name.partition(".")[2]), "no ± stands behind it", mend)


def _house(values: Values) -> HouseValues:
    """Put the record together, of a file without faults."""
    found = []
    for table, word, _, row in _rows(values):
        for name, (key, point) in STANDS_FOR.items():
            if name.partition(".")[0] == table and row[name] is not None:
                found.append(HouseValue(key, row[name], _kind(table, row, word), point))
    return HouseValues(clean_name(values["name"]), tuple(found))
