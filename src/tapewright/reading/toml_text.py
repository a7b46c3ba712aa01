"""TOML text: what is counted in a sheet before a TOML reader may see it.

A reader of TOML spends time and memory on depth and on numbers of keys, so that a small text can
take a large machine.  The scan here is one walk along the text that knows strings and comments.
It stops where a string has no end, for there the reader stops, too: behind that nothing can be
hidden.

Holds:  limits of length, lines, depth, headings and keys; the line on which each is passed.
Never:  what a key means (fields.py), TOML's own grammar (tomllib).
Source: limits are common practice, no source: a sheet that says all it can say, with a hundred
        readings of a chronograph, has 30 kB, 450 lines, 340 keys and 105 headings.
"""

import re

from tapewright.ground.errors import BadRigSheet
from tapewright.words.unit_names import quoted

MOST_CHARACTERS = 100_000
MOST_LINES = 5_000
MOST_IN_LINE = 10_000  # characters
MOST_PARTS = 8  # of a key with dots; two are ever needed
MOST_INSIDE = 8  # lists and tables, one in the other; two are ever needed
MOST_KEYS = 1_000
MOST_OPENED = 1_000  # headings, lists and tables

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
        if kind == "key" and found.count(".") >= MOST_PARTS and _parts(found) > MOST_PARTS:
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


def _parts(key: str) -> int:
    """Parts of a key; dots inside quotes part nothing."""
    return 1 + sum(found[0] == "." for found in _DOT.finditer(key))


def _at(text: str, place: int, name: str, told: tuple[str, str]) -> BadRigSheet:
    return BadRigSheet(f"{name}, line {text.count(chr(10), 0, place) + 1}", *told)
