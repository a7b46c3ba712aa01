"""Archive stream: the parts of an archive's text, one after the other, none too large to be read.

A file is read a piece at a time, and what comes next is measured before it is made into values:
whatever is in a file, no more of it is held than one entry may have.

Holds:  limits of an archive and of its entries; text → keys with values, and single entries.
Never:  what a key or an entry means (archive.py, archive_fields.py).
Source: limits are common practice, no source: a sheet of 2 kB saved two thousand times has half
        of what an entry may have.
"""

import json
import re
from collections.abc import Collection, Iterator
from typing import Any, NoReturn, TextIO

from tapewright.ground.errors import BadArchive

MOST_CHARACTERS = 64 * 1024 * 1024
MOST_IN_ENTRY = 8 * 1024 * 1024  # characters
# A group of twenty thousand arrows, ten times what anybody shoots, has a quarter of each.
MOST_PARTS = 500_000  # texts, and ends of objects and lists, of one entry
MOST_COMMAS = 400_000
MOST_DEPTH = 50  # ten are needed
COPY = "Copy the whole file again from where it was exported"
EXPORT = "Export it again, or use an untouched copy"
ENTRY = "an entry"  # stands in place of the key for each entry

_BLANKS = re.compile(r"[ \t\r\n]*+")
_TOKENS = re.compile(r'"(?:[^"\\]|\\.)*+"|[\[\]{}]|"', re.DOTALL)


def archive_parts(file: TextIO, keys: Collection[str]) -> Iterator[tuple[str, Any]]:
    """Keys and values of an archive; each of its entries by itself, under ENTRY, as it comes.

    Parameters
    ----------
    file : TextIO
        The text; no more than one entry is held at a time.
    keys : collection of str
        Keys that an archive has; nothing is read behind any other.

    Yields
    ------
    str, value
        Of a list of entries: its key with the value None, then ENTRY with each.

    Raises
    ------
    BadArchive
        If it is no JSON object, ends too early, or is larger than it may be.
    """
    text = _Text(file)
    if text.next() != "{":
        raise BadArchive("the archive", "it is no archive of Tapewright", EXPORT)
    text.step()
    seen: set[str] = set()
    while text.goes_on(seen, "}"):
        key = text.value() if text.next() == '"' else text.damaged()
        if key in seen:
            _refuse_twins()
        seen.add(key)
        if key not in keys:
            yield key, None
            return
        text.pass_by(":")
        if key == "entries" and text.next() == "[":
            yield key, None
            text.step()
            number = 0
            while text.goes_on(number, "]"):
                number += 1
                yield ENTRY, text.value()
        else:
            yield key, text.value()
    if text.next():
        text.damaged()


def refuse_large_entry(text: str, place: str) -> None:
    """Refuse an entry that could not be read again.

    Raises
    ------
    BadArchive
        If it is larger than an entry may be.
    """
    wrong = _too_large(text, 0)
    if wrong or len(text) > MOST_IN_ENTRY:
        raise BadArchive(place, wrong or _LONG, "Make a backup of the whole notebook instead")


_LONG = f"it has more than {MOST_IN_ENTRY / 1e6:.0f} million characters"
_MANY = f"it has more than {MOST_COMMAS} values"


def _too_large(text: str, start: int) -> str:
    """What is too much of the object or list that begins here; empty for nothing."""
    depth = 0
    for number, token in enumerate(_TOKENS.finditer(text, start)):
        if token.end() - start > MOST_IN_ENTRY:
            return _LONG
        if number > MOST_PARTS:
            return f"it has more than {MOST_PARTS} parts"
        sign = token[0]
        if sign in ("{", "["):
            depth += 1
            if depth > MOST_DEPTH:
                return "it is nested too deeply"
        elif sign in ("}", "]"):
            depth -= 1
            if not depth:
                return _MANY if text.count(",", start, token.end()) > MOST_COMMAS else ""
        elif sign == '"':
            break  # a text without an end, over which no reader goes on
    if len(text) - start > MOST_IN_ENTRY and text.count(",", start) <= MOST_COMMAS:
        return _LONG
    # It ends too early; that is for the reader to say, unless it would take long to.
    return _MANY if text.count(",", start) > MOST_COMMAS else ""


class _Text:
    """The text of a file, of which a piece is held."""

    def __init__(self, file: TextIO) -> None:
        self._file = file
        self._held, self._at, self._count, self._ended = "", 0, 0, False
        self._line, self._column = 1, 1  # of the first letter that is held
        self._decoder = json.JSONDecoder(
            object_pairs_hook=_without_twins, parse_constant=_refuse_constant
        )
        self._read_on()
        self._at = 1 if self._held.startswith("\ufeff") else 0

    def next(self) -> str:
        """The letter behind blanks; empty at the end."""
        while True:
            self._at = _BLANKS.match(self._held, self._at).end()  # type: ignore[union-attr]
            if self._at < len(self._held):
                return self._held[self._at]
            if not self._read_on():
                return ""

    def step(self) -> None:
        """Go behind the next letter."""
        self._at += 1

    def pass_by(self, sign: str) -> None:
        """Go behind a sign that must stand here."""
        if self.next() != sign:
            self.damaged()
        self.step()

    def goes_on(self, found: object, end: str) -> bool:
        """Whether another part stands here; goes behind the comma, or behind the end."""
        if self.next() == end:
            self.step()
            return False
        if found:
            self.pass_by(",")
        return True

    def value(self) -> Any:  # noqa: ANN401 — whatever is in the file
        """The next value, measured before it is made."""
        first = self.next()
        if not self._ended and len(self._held) - self._at <= MOST_IN_ENTRY:
            self._read_on()
        if first in ("{", "["):
            wrong = _too_large(self._held, self._at)
            if wrong:
                raise BadArchive(
                    self._place(self._at), f"a part of it is too large: {wrong}", EXPORT
                )
        try:
            value, self._at = self._decoder.raw_decode(self._held, self._at)
        except json.JSONDecodeError as broken:
            self._at = broken.pos
            self.damaged()
        except ValueError as long:  # a number of thousands of digits
            raise BadArchive("the archive", "a number in it is too long", EXPORT) from long
        return value

    def damaged(self) -> NoReturn:
        """Refuse what stands here."""
        raise BadArchive(self._place(self._at), "it ends too early or is damaged here", COPY)

    def _place(self, at: int) -> str:
        line, column = _behind(self._line, self._column, self._held[:at])
        return f"the archive, line {line}, character {column}"

    def _read_on(self) -> bool:
        """Let go of what was read and hold more; False at the end of the file."""
        if self._ended:
            return False
        try:
            more = self._file.read(MOST_IN_ENTRY)
        except UnicodeDecodeError as broken:
            wrong = "it is no archive of Tapewright: it is no text"
            mend = "Choose an exported archive or a backup"
            raise BadArchive("the archive", wrong, mend) from broken
        self._count += len(more)
        if self._count > MOST_CHARACTERS:
            raise too_many("Import the rigs one by one")
        gone = self._held[: self._at]
        self._line, self._column = _behind(self._line, self._column, gone)
        self._held, self._at, self._ended = self._held[self._at :] + more, 0, not more
        return bool(more)


def too_many(mend: str) -> BadArchive:
    """What is said of an archive that is too large."""
    wrong = f"it has more than {MOST_CHARACTERS / 1e6:.0f} million characters"
    return BadArchive("the archive", wrong, mend)


def _behind(line: int, column: int, text: str) -> tuple[int, int]:
    """Line and character behind a text that begins at a line and character."""
    lines = text.count("\n")
    last = len(text) - 1 - text.rfind("\n")
    return line + lines, last + 1 if lines else column + last


def _without_twins(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        _refuse_twins()
    return found


def _refuse_twins() -> NoReturn:
    raise BadArchive("the archive", "a field stands in it twice", EXPORT)


def _refuse_constant(name: str) -> NoReturn:
    raise BadArchive("the archive", f"{name} stands in it, which is no number", EXPORT)
