"""TOML text: what keeps a text from being a sheet, and on which line everything stands.

A reader of TOML spends time and memory on depth and on numbers of keys, so that a small text can
take a large machine. What is counted before it may see a text is counted in one walk that knows
strings and comments. It stops where a string has no end, for there the reader stops, too: behind
that nothing can be hidden.

Holds:  a text to tables; limits of length, lines, depth, headings and keys; sentences for TOML's
        complaints; the line of every key.
Never:  what a key means (rig_sheet_fields.py, sheet_values.py), TOML's own grammar (tomllib).
Source: limits are common practice, no source: a sheet that says all it can say, with a hundred
        readings of a chronograph, has 30 kB, 450 lines, 340 keys and 105 headings.
"""

import re
import tomllib
from collections.abc import Sequence
from typing import Any

from tapewright.ground.errors import BadRigSheet
from tapewright.reading.sheet_values import Fault, Path, field_name
from tapewright.words.unit_spellings import quoted

MOST_CHARACTERS = 100_000
MOST_LINES = 5_000
MOST_IN_LINE = 10_000  # characters
MOST_PARTS = 8  # of a key with dots; two are ever needed
MOST_INSIDE = 8  # lists and tables, one in the other; two are ever needed
MOST_KEYS = 1_000
MOST_OPENED = 1_000  # headings, lists and tables
MOST_FAULTS = 30  # told at once

_ONE_KEY = r"""(?:[\w-]+|"[^"]*"|'[^']*')"""
_KEYS = rf"\s*({_ONE_KEY}(?:\s*\.\s*{_ONE_KEY})*)\s*"
_ARRAY = re.compile(rf"\s*\[\[{_KEYS}\]\]")
_TABLE = re.compile(rf"\s*\[{_KEYS}\]")
_ENTRY = re.compile(rf"{_KEYS}=")

# how TOML's complaint begins → what it means to a person, and the mend
_CLOSE = 'Close it: mass = "420 gr"'
_TOML_WORDS = {
    "Expected newline": ("there is something behind the value",
                         'Put the whole value in quotes: mass = "420 gr"'),
    "Expected '=' after a key": ("a key has no = behind it",
                                 'Write key = "value", the key in one word with _ and no spaces'),
    "Expected ']'": ("a table's name has no ] behind it",
                     "Write the name as [bow], on its own line"),
    "Illegal character '\\n'": ("a text has no closing quote",
                               'Close it on the same line: mass = "420 gr"'),
    "Cannot overwrite": ("a key stands here for the second time", "Keep one of the two lines"),
    "Cannot declare": ("a table stands here for the second time",
                       "Put all its keys under one heading (only [[bow.chronograph]] may repeat)"),
    'Expected "': ("a text has no closing quote", _CLOSE),
    "Unterminated": ("a text has no closing quote", _CLOSE),
    "Unclosed array": ("a list has no ] behind it", 'Write it as ["9 mm", "17 mm"]'),
    "Unescaped '\\'": ("a text holds a backslash", "Leave it out, or write it twice"),
    "Invalid value": ("there is no value", 'Write text in straight quotes: mass = "420 gr"'),
    "Invalid statement": ("this is no line of a sheet",
                          'Write key = "value", [table] or # comment'),
}  # fmt: skip

# A string with its end, a quote without one, a comment, a run of parts and dots, or one sign.
_PART = r"""(?:"(?:\\.|[^"\\\n])*+"|'[^'\n]*+'|[\w-]++)"""
_TOKENS = re.compile(
    r"""(?P<text>"{3}(?:\\.|(?!"{3})[^\\])*+"{3,5}+|'{3}(?:(?!'{3}).)*+'{3,5}+)"""
    r"""|(?P<open>"{3}|'{3})"""
    rf"|(?P<key>{_PART}(?:[ \t]*+\.[ \t]*+{_PART})*+)"
    r"""|(?P<stray>["'])"""
    r"|(?P<comment>\#[^\n]*+)"
    r"|(?P<sign>[\[\]{}=])",
    re.DOTALL,
)
_DOT = re.compile(rf"{_PART}|\.")


def sheet_tables(text: str, name: str, empty: tuple[str, str]) -> tuple[str, dict[str, Any]]:
    """A sheet's text with plain line ends, and its tables.

    BadRigSheet if it is too large or no TOML; for a text that says nothing with ``empty``, what is
    wrong and how it begins.
    """
    plain = text.removeprefix("\ufeff").replace("\r\n", "\n")
    if not plain.strip():
        raise BadRigSheet(name, *empty)
    refuse_large(plain, name)
    try:
        return plain, tomllib.loads(plain)
    except ValueError as error:
        raise toml_error(plain, name, str(error)) from None


def refuse_large(text: str, name: str) -> None:
    """Refuse a sheet that no rig needs before it is read."""
    if len(text) > MOST_CHARACTERS:
        wrong = f"the sheet has more than {MOST_CHARACTERS // 1000},000 characters"
        raise BadRigSheet(name, wrong, "Check that it is the right one; a sheet has a few thousand")
    _refuse_lines(text, name)
    keys = opened = depth = 0
    for token in _TOKENS.finditer(text):
        kind, found = token.lastgroup, token[0]
        if kind in ("open", "stray"):
            return  # no reader goes on from here
        if kind == "key" and found.count(".") >= MOST_PARTS and _count_parts(found) > MOST_PARTS:
            wrong = f"a key has more than {MOST_PARTS} parts: {quoted(found)}"
            raise _at(text, token.start(), name, (wrong, "Write it in two, as bow.draw_weight"))
        keys += found == "="
        opened += found in ("[", "{")
        depth = max(0, depth + (found in ("[", "{")) - (found in ("]", "}")))
        told = _too_much(keys, opened, depth)
        if told is not None:
            raise _at(text, token.start(), name, told)


def _too_much(keys: int, opened: int, depth: int) -> tuple[str, str] | None:
    """What there is too much of, and the mend; None for nothing."""
    if keys > MOST_KEYS:
        mend = "Leave out what the rig sheet's page does not list"
        return f"the sheet has more than {MOST_KEYS} keys", mend
    if opened > MOST_OPENED:
        mend = "Keep one heading for each table, and at most 100 of [[bow.chronograph]]"
        return f"the sheet has more than {MOST_OPENED} headings and lists", mend
    if depth > MOST_INSIDE:
        mend = "A rig sheet needs lists of one level only"
        return "lists or tables stand inside each other too deeply", mend
    return None


def _refuse_lines(text: str, name: str) -> None:
    lines = text.split("\n")
    if len(lines) > MOST_LINES:
        wrong = f"the sheet has more than {MOST_LINES} lines"
        raise BadRigSheet(name, wrong, "Check that it is the right one; a sheet has a few hundred")
    for number, line in enumerate(lines, 1):
        if len(line) > MOST_IN_LINE:
            wrong = f"the line has more than {MOST_IN_LINE} characters"
            mend = "Divide it; a comment may go on in the next line behind another #"
            raise BadRigSheet(f"{name}, line {number}", wrong, mend)


def _count_parts(key: str) -> int:
    """Parts of a key; dots inside quotes part nothing."""
    return 1 + sum(found[0] == "." for found in _DOT.finditer(key))


def _at(text: str, place: int, name: str, told: tuple[str, str]) -> BadRigSheet:
    return BadRigSheet(f"{name}, line {text.count(chr(10), 0, place) + 1}", *told)


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


def toml_error(text: str, name: str, complaint: str) -> BadRigSheet:
    """Say in plain words what keeps a text from being TOML."""
    found = re.search(r"\(at line (\d+), column (\d+)\)", complaint)
    lines = text.split("\n")
    said = complaint.partition(" (at ")[0]
    line, column = (int(found[1]), int(found[2])) if found else (_open_line(lines, said), 1)
    unknown = (f"this is not TOML ({quoted(said)[1:-1]})", 'Write key = "value" on each line')
    known = (words for begins, words in _TOML_WORDS.items() if said.startswith(begins))
    wrong, mend = next(known, unknown)
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
