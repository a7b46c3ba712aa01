"""Sheet template: a sheet to fill in, for a person who has never measured a bow.

Holds:  the commented sheet of any kind, in inches or in millimetres; what a rig may be called.
Never:  words and examples of any key (rig_sheet_fields.py), reading it back (rig_sheet.py).
"""

import json
from collections.abc import Iterator
from dataclasses import replace
from textwrap import wrap
from typing import Literal

from tapewright.ground.errors import BadRigSheet
from tapewright.reading.rig_sheet_fields import SHEET
from tapewright.reading.sheet_schema import Declared, Key, Table
from tapewright.words.unit_spellings import quoted

WIDTH = 94  # letters of a comment


def clean_name(name: str) -> str:
    """Tidy the name of a rig: single spaces, nothing that cannot be printed."""
    tidy = " ".join(name.split())
    if not tidy:
        raise BadRigSheet("name", "the name is empty", 'Write a name such as "Heron"')
    if len(tidy) > 60:
        wrong = f"the name has {len(tidy)} letters"
        raise BadRigSheet("name", wrong, 'Write at most 60, such as "Heron"')
    if not all(letter.isprintable() or letter in "\u200c\u200d" for letter in tidy):
        wrong = f"the name {quoted(tidy)} holds a sign that cannot be printed"
        raise BadRigSheet("name", wrong, 'Use letters, digits and spaces, such as "Heron"')
    return tidy


def new_rig_sheet(
    name: str,
    hand: Literal["right", "left"],
    metric: bool,  # noqa: FBT001
    kind: str = "",
) -> str:
    """Commented sheet to be filled in, for one kind of bow; of a kind not said a compound's."""
    said = {"name": quoted_toml(clean_name(name)), "hand": quoted_toml(hand)}
    if kind:
        said["bow.kind"] = quoted_toml(kind)
    return commented_sheet(SHEET, said, metric=metric, kind=kind)


def commented_sheet(
    declared: Declared, said: dict[str, str], *, metric: bool, kind: str = ""
) -> str:
    """Every key of a kind of sheet as a line to be filled in, with what is told of it."""
    tables = (
        _table(name, _of_kind(table, kind), said, metric=metric)
        for name, table in declared.tables.items()
    )
    return "\n".join("".join(f"{line}\n" for line in lines) for lines in tables)


def _of_kind(table: Table, kind: str) -> Table:
    """A table with the keys that a kind of bow has, in its words."""
    keys = {word: key.of(kind) for word, key in table.keys.items() if key.is_of(kind)}
    return replace(table, keys=keys)


def _table(name: str, table: Table, said: dict[str, str], *, metric: bool) -> Iterator[str]:
    """Lines of one table; of one that repeats, all of them comments."""
    if table.most:
        yield from _comment(table.intro)
        yield f"#[[{name}]]"
    else:
        yield from [f"[{name}]"] if name else []
        yield from _comment(table.intro)
        yield from [] if name else ["schema = 1"]
    for word, key in table.keys.items():
        value = said.get(f"{name}.{word}".removeprefix("."), "")
        begun = value or key.begun
        yield ""
        yield from _comment(_words(key))
        yield f"{'' if begun else '#'}{word} = {value or _value(key, metric=metric)}"


def _words(key: Key) -> str:
    """All that is told of a key."""
    words = [f"{key.label}.", key.purpose, key.measure]
    if key.choices and not key.examples[0]:
        offered = (quoted_toml(choice) for choice, _ in key.choices if choice)
        words.append(f"Write {' or '.join(offered)}.")
    if key.guess[0]:
        words.append("The number below is a guess until you measure yours.")
    left_open = f"\nLeft out: {key.left_open}." if key.left_open else ""
    return " ".join(filter(None, words)) + left_open


def _value(key: Key, *, metric: bool) -> str:
    """What a new sheet has behind a key."""
    if key.many:
        return key.list_example()
    usual = key.choices[0][0] if key.begun and key.choices else ""
    return quoted_toml(
        usual
        or key.guess[metric]
        or key.example(metric=metric)
        or next(choice for choice, _ in key.choices if choice)
    )


def _comment(words: str) -> list[str]:
    """Comment lines, a paragraph for each line of the words."""
    lines = (line for paragraph in words.split("\n") for line in wrap(paragraph, WIDTH))
    return [f"# {line}" for line in lines]


def quoted_toml(text: str) -> str:
    """Text as TOML writes it; JSON's escapes are TOML's, but for one sign."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
