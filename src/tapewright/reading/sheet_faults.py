"""Sheet faults: what is wrong with a sheet, on which line, and what would be right.

Holds:  the Fault record; the line of every key; sentences for TOML's complaints.
Never:  keys and their limits (fields.py, sheet_keys.py).
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from tapewright.ground.errors import BadRigSheet
from tapewright.words.unit_names import quoted

Path = tuple[str | int, ...]

MOST_FAULTS = 30  # told at once

_ONE_KEY = r"""(?:[\w-]+|"[^"]*"|'[^']*')"""
_KEYS = rf"\s*({_ONE_KEY}(?:\s*\.\s*{_ONE_KEY})*)\s*"
_ARRAY = re.compile(rf"\s*\[\[{_KEYS}\]\]")
_TABLE = re.compile(rf"\s*\[{_KEYS}\]")
_ENTRY = re.compile(rf"{_KEYS}=")

# how TOML's complaint begins → what it means to a person, and the mend
_TOML_WORDS = (
    (
        "Expected newline",
        "there is something behind the value",
        'Put the whole value in quotes: mass = "420 gr"',
    ),
    (
        "Expected '=' after a key",
        "a key has no = behind it",
        'Write key = "value", the key in one word with _ and no spaces',
    ),
    (
        "Expected ']'",
        "a table's name has no ] behind it",
        "Write the name as [bow], on its own line",
    ),
    (
        "Illegal character '\\n'",
        "a text has no closing quote",
        'Close it on the same line: mass = "420 gr"',
    ),
    ("Cannot overwrite", "a key stands here for the second time", "Keep one of the two lines"),
    (
        "Cannot declare",
        "a table stands here for the second time",
        "Put all its keys under one heading (only [[bow.chronograph]] may repeat)",
    ),
    ('Expected "', "a text has no closing quote", 'Close it: mass = "420 gr"'),
    ("Unterminated", "a text has no closing quote", 'Close it: mass = "420 gr"'),
    ("Unclosed array", "a list has no ] behind it", 'Write it as ["9 mm", "17 mm"]'),
    ("Unescaped '\\'", "a text holds a backslash", "Leave it out, or write it twice"),
    ("Invalid value", "there is no value", 'Write text in straight quotes: mass = "420 gr"'),
    (
        "Invalid statement",
        "this is no line of a sheet",
        'Write key = "value", [table] or # comment',
    ),
)


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong or odd in a sheet."""

    path: Path  # tables, key and position in a list
    wrong: str  # what is wrong and what would be right, without their full stops
    mend: str


class SheetText:
    """The text of a sheet, which knows where each key stands."""

    def __init__(self, text: str, name: str) -> None:
        self.name = name
        self._lines = _key_lines(text)

    def place(self, path: Path) -> str:
        """Name file, line and field of a path."""
        known = (path[:length] for length in range(len(path), 0, -1))
        line = next((f", line {self._lines[one]}" for one in known if one in self._lines), "")
        return f"{self.name}{line}, {field_name(path)}"

    def error(self, faults: Sequence[Fault], untold: int = 0) -> BadRigSheet:
        """Put faults into one error, a paragraph each, and how many more there are."""
        first, *rest = faults
        others = "".join(f".\n{self.place(one.path)}: {one.wrong}. {one.mend}" for one in rest)
        if untold:
            others += f".\n{self.name}: {untold} more faults are not told. Mend these first"
        return BadRigSheet(self.place(first.path), first.wrong, first.mend + others)


def field_name(path: Path) -> str:
    """Name of a key with its tables, positions counted from one: ``bow.chronograph[2].speed``."""
    words = "".join(f"[{one + 1}]" if isinstance(one, int) else f".{one}" for one in path)
    return " ".join(words.removeprefix(".").split())[:80]


def toml_error(text: str, name: str, complaint: str) -> BadRigSheet:
    """Say in plain words what keeps a text from being TOML."""
    found = re.search(r"\(at line (\d+), column (\d+)\)", complaint)
    lines = text.split("\n")
    said = complaint.partition(" (at ")[0]
    line, column = (int(found[1]), int(found[2])) if found else (_open_line(lines, said), 1)
    wrong, mend = f"this is not TOML ({quoted(said)[1:-1]})", 'Write key = "value" on each line'
    for begins, meaning, cure in _TOML_WORDS:
        if said.startswith(begins):
            wrong, mend = meaning, cure
            break
    shown = lines[line - 1]
    if any(mark in shown for mark in "“”„‘’"):
        mend = 'Use straight quotes: mass = "420 gr"'
    return BadRigSheet(f"{name}, line {line}, column {column}", f"{wrong}: {quoted(shown)}", mend)


def _open_line(lines: Sequence[str], said: str) -> int:
    """Line that was left open, when the complaint names only the end of the text."""
    numbers = range(len(lines), 0, -1)
    values = [line.partition("=")[2].partition("#")[0] for line in lines]
    if said.startswith("Exceeds"):  # a number of thousands of digits
        return max(numbers, key=lambda number: len(lines[number - 1]))
    for number, value in enumerate(values, 1):
        is_list = said in ("Unclosed array", "Invalid value")
        if is_list and value.count("[") > value.count("]"):
            return number
        if not is_list and (value.count("'") % 2 or value.count('"') % 2):
            return number
    return next(number for number in numbers if lines[number - 1].strip())


def _key_lines(text: str) -> dict[Path, int]:
    """Line of every table and key; what the lines inside a long text say does no harm."""
    lines: dict[Path, int] = {}
    counts: dict[Path, int] = {}
    table: Path = ()
    for number, line in enumerate(text.split("\n"), 1):
        if found := _ARRAY.match(line):
            path = _parts(found[1])
            index = counts[path] = counts.get(path, -1) + 1
            table = (*path, index)
            lines.setdefault(path, number)
            lines.setdefault(table, number)
        elif found := _TABLE.match(line):
            table = _parts(found[1])
            lines.setdefault(table, number)
        elif found := _ENTRY.match(line):
            path = (*table, *_parts(found[1]))
            lines.setdefault(path, number)
    return lines


def _parts(dotted: str) -> Path:
    """Parts of a dotted key, without quotes."""
    return tuple(one.strip("\"'") for one in re.findall(_ONE_KEY, dotted))
