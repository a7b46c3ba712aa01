"""Typed arrows: where an arrow landed, in the words of a person at a prompt.

Holds:  "0.4 -0.9", "2 left 1 high", "3 at 2 o'clock", "hit", "here", "missed", "bad" become
        right and up; "#7" before them says which arrow it was.
Never:  cells of a file (appended_rows.py), groups.
Source: words are common practice, no source.
"""

import re
from difflib import get_close_matches
from math import cos, radians, sin
from typing import NamedTuple

from tapewright.ground.errors import BadInput
from tapewright.reading.csv_columns import group_name, is_called_bad, is_missed, read_typed
from tapewright.words.quantity_parser import with_unit
from tapewright.words.unit_spellings import TIDY, quoted, unit_name

MEND = 'Write right and up as "0.4 -0.9", or such as "2 left 1 high", "hit", "missed", "bad"'
ON_AIM = ("hit", "aim", "centre", "center", "middle")
HERE = "here"  # "it hits here": a mark, no arrow was measured
WAYS = {  # word → column, and which way it counts
    **dict.fromkeys(("right", "r"), ("right", 1)),
    **dict.fromkeys(("left", "l"), ("right", -1)),
    **dict.fromkeys(("up", "high", "above", "over", "u", "h"), ("up", 1)),
    **dict.fromkeys(("down", "low", "below", "under", "d"), ("up", -1)),
}
FILLERS = (*ON_AIM, "and", "the", "to", "of", "a", "an")
_NUMBER = r"[-+]?(?:\d+ +\d+/\d+|\d+/\d+|\d+(?:[.,]\d+)?|[.,]\d+)"
_TOKEN = re.compile(rf"(?P<number>{_NUMBER})|(?P<word>[^\W\d_]+\.?|[\"'″′”’]+)|(?P<gap>[\s,;:]+)")
_CLOCK = re.compile(
    rf"(?P<far>{_NUMBER}\s*[^\W\d_]*?)\s*(?:\bat\b)?\s*(?P<hour>\d{{1,2}})(?P<half>[:.]30)?"
    r"\s*(?:o['’]?\s*clock)"
)
_NUMBERED = re.compile(r"#\s*(?P<arrow>\S+)\s+(?P<rest>.+)")
_POINT_COMMA = re.compile(r"(\d*\.\d+),(?=[-+.\d])")  # "0.4,0.9": here a comma parts numbers


class TypedArrow(NamedTuple):
    """One arrow."""

    right_m: float | None = None  # None: not said
    up_m: float | None = None
    note: str = ""
    is_mark: bool = False  # nothing was measured: it hits here
    arrow: str = ""  # what stands on its shaft


class _Amount(NamedTuple):
    text: str  # number, and its unit if one was typed
    way: str  # the word of its direction; empty: none was typed


def read_arrow(text: str, unit: str, place: str) -> TypedArrow:
    """Where an arrow landed; numbers without a unit are in the one given."""
    tidy = text.translate(TIDY).strip()
    if numbered := _NUMBERED.fullmatch(tidy):
        arrow = group_name(numbered["arrow"], place)
        one = read_arrow(numbered["rest"], unit, place)
        if one.is_mark:
            wrong = "a group of which nothing was measured is no arrow's"
            raise BadInput(place, wrong, f"Leave #{arrow} out, or write where it hit")
        return one._replace(arrow=arrow)
    plain = tidy.casefold()
    if plain in ON_AIM:
        return TypedArrow(0.0, 0.0)
    if plain == HERE:
        return TypedArrow(is_mark=True)
    if is_missed(tidy):
        return TypedArrow(note=tidy)
    word, _, rest = plain.partition(" ")
    if is_called_bad(tidy) or word == "bad":
        return _bad(tidy, rest, unit, place)
    right_m, up_m = _place(plain, unit, place)
    return TypedArrow(right_m, up_m)


def _bad(tidy: str, rest: str, unit: str, place: str) -> TypedArrow:
    """A shot that was called bad, where it landed if that was said, else why."""
    try:
        right_m, up_m = _place(rest, unit, place)
    except BadInput:
        why = tidy[len("bad") :].strip(" :")
        return TypedArrow(note=f"bad: {why}" if why else "bad")
    return TypedArrow(right_m, up_m, "bad")


def _place(plain: str, unit: str, place: str) -> tuple[float | None, float | None]:
    """Right and up. [m]"""
    if clock := _CLOCK.fullmatch(plain):
        return _by_the_clock(clock, unit, place)
    amounts = _amounts(_POINT_COMMA.sub(r"\1 ", plain), place)
    has_way = any(one.way for one in amounts)
    has_unit = [not one.text[-1].isdigit() for one in amounts]
    if any(has_unit) and not all(has_unit) and (has_way or not has_unit[-1]):
        wrong = f"one number of {quoted(plain)} has a unit, and another has none"
        raise BadInput(place, wrong, "Write the unit behind each")
    if len(amounts) == 2 and not has_way:
        shared = amounts[1].text.lstrip("+-0123456789.,/ ")
        texts = (with_unit(amounts[0].text, shared), amounts[1].text)
        pair = zip(("right", "up"), texts, strict=True)
        right_m, up_m = (read_typed(one, word, unit, place) for word, one in pair)
        return right_m, up_m
    found: dict[str, float] = {}
    for one in amounts:
        if not one.way:
            wrong = f"{quoted(one.text)} has no direction, and there are not two numbers"
            raise BadInput(place, wrong, MEND)
        column, sign = WAYS[one.way]
        if column in found:
            raise BadInput(place, f"{quoted(plain)} says {column} twice", MEND)
        if one.text.startswith("-"):
            raise BadInput(place, f"{quoted(one.text)} {one.way} says its way twice", MEND)
        found[column] = sign * read_typed(one.text, column, unit, place)
    return found.get("right"), found.get("up")


def _by_the_clock(clock: re.Match[str], unit: str, place: str) -> tuple[float | None, float | None]:
    hour = int(clock["hour"])
    if not 1 <= hour <= 12:
        raise BadInput(place, f"there is no {hour} o'clock", "Write 1 to 12, 12 straight up")
    if clock["far"].startswith("-"):
        raise BadInput(place, f"{quoted(clock[0])} says its way twice", MEND)
    far_m = read_typed(clock["far"], "up", unit, place)
    turn = radians(30.0 * (hour + 0.5 * bool(clock["half"])))
    return far_m * sin(turn), far_m * cos(turn)


def _amounts(plain: str, place: str) -> list[_Amount]:
    """Numbers with their units and the words of their directions, before or behind them."""
    amounts: list[_Amount] = []
    waiting = ""  # a direction whose number comes
    is_before: bool | None = None  # whether directions stand before their numbers
    for token in _tokens(plain, place):
        if token["number"]:
            amounts.append(_Amount(token["number"], waiting))
            waiting = ""
            continue
        word = token["word"]
        if word in WAYS:
            is_before = not amounts if is_before is None else is_before
            if is_before or not amounts or amounts[-1].way:
                waiting = word
            else:
                amounts[-1] = amounts[-1]._replace(way=word)
        elif amounts and unit_name(word, "length") and amounts[-1].text[-1].isdigit():
            amounts[-1] = amounts[-1]._replace(text=f"{amounts[-1].text} {word}")
        elif word not in FILLERS:
            near = get_close_matches(word, (*WAYS, *ON_AIM, HERE, "missed", "bad"), 1, 0.6)
            mean = f'Did you mean "{near[0]}"? ' if near else ""
            raise BadInput(place, f"{quoted(word)} is no place on a target", mean + MEND)
    if waiting or not amounts:
        raise BadInput(place, f"{quoted(plain)} tells no place on a target", MEND)
    return amounts


def _tokens(plain: str, place: str) -> list[dict[str, str]]:
    tokens, at = [], 0
    while at < len(plain):
        found = _TOKEN.match(plain, at)
        if not found:
            raise BadInput(place, f"{quoted(plain)} tells no place on a target", MEND)
        at = found.end()
        if not found["gap"]:
            tokens.append({"number": found["number"] or "", "word": found["word"] or ""})
    return tokens
