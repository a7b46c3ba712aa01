"""Quantity parser: reads "20 yd", writes "5.3 mm"; the only door between people's units and SI.

Holds:  numbers with a unit, with and without ±; lists of distances; sizes such as "60x90 cm";
        places in a picture; writing back.
Never:  spellings of units (unit_spellings.py), which field wants which kind
        (reading/sheet_values.py).
Source: factors in ground/units.py.
"""

import re
from dataclasses import dataclass
from itertools import pairwise
from math import floor, isclose, isfinite
from typing import Literal, NamedTuple

from tapewright.ground.errors import BadInput, UnreadableQuantity
from tapewright.ground.units import UNITS, Unit
from tapewright.words.number_format import told
from tapewright.words.unit_spellings import TIDY, Kind, find_unit, quoted, unit_name

_NUMBER = re.compile(
    r"[-+]?(?:[0-9]{1,3}(?: [0-9]{3})+(?:[.,][0-9]+)?|[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)"
    r"(?:[eE][-+]?[0-9]{1,4})?(?![0-9.,/])"
)
_FRACTION = re.compile(r"([-+]?)(?:([0-9]+)[ -])?([0-9]+)/([0-9]+)(?![0-9.,/])")
_TIMES = re.compile(r"\s*(?:[x×]|\bby\b)\s*", re.IGNORECASE)
_UNIT_AT_END = re.compile(r"[^\d.,\s]+\.?\s*$")
_TIGHT, _LOOSE = re.compile(r"\d,\d"), re.compile(r",\s")
_ONE_DIGIT = re.compile(r"\d,\d(?!\d)")  # 18,5 is one distance, 33,18 are two
_UNIT = re.compile(r"[^\s0-9.,+-][^0-9]{0,23}")

_PLAIN = Unit("number", 1.0)

LONGEST_TEXT = 80  # characters; nobody needs more for one number
ONE_SD = "Write behind ± one standard deviation: the truth lies within it two times in three"
MOST_DISTANCES = 2000
NEAREST_M, FARTHEST_M = 1.0, 200.0  # beyond, nobody shoots at a mark


class _Amount(NamedTuple):
    number: float
    unit: str


class _Asked(NamedTuple):
    """What was typed, where, and what would be right: everything an error needs."""

    text: str
    place: str
    example: str

    def unreadable(self, why: str, mend: str = "") -> UnreadableQuantity:
        """Build the error that shows the text, what ails it and what would be right."""
        such = f", such as {quoted(self.example)}" if self.example else ""
        usual = "Write one number, with a point or comma for decimals and none for thousands"
        return UnreadableQuantity(
            self.place, f"{quoted(self.text)} {why}", f"{mend or usual}{such}"
        )


@dataclass(frozen=True, slots=True)
class Distances:
    """A list of distances and the unit in which it was asked for."""

    distances_m: tuple[float, ...]  # from near to far
    unit: str  # ``"yd"``, ``"m"`` and so on, as in ground/units.py


def read_number(text: str, place: str, example: str = "12.5") -> float:
    """Read a number without a unit: point or comma, thin spaces, fractions."""
    asked = _Asked(text, place, example)
    amount = _split(text, asked)
    if amount.unit:
        why = f"carries {quoted(amount.unit)}, where a plain number is wanted"
        raise asked.unreadable(why, "Write the number alone")
    return _si(amount, _PLAIN, asked)


def read_quantity(text: str, kind: Kind, place: str, example: str = "") -> float:
    """Read a number with its unit, in SI."""
    value, doubt = read_with_doubt(text, kind, place, example)
    if doubt is not None:
        asked = _Asked(text, place, example)
        raise asked.unreadable("has a ±, which is not used here", "Write the value alone")
    return value


def read_with_doubt(
    text: str, kind: Kind, place: str, example: str = "", *, has_nought: bool = False
) -> tuple[float, float | None]:
    """Read a number with its unit and, where given, how sure it is, in SI.

    ``"285 ft/s ± 3"``, ``"285 ± 3 ft/s"``, ``"33 in ± 5 mm"``, ``"285 ft/s ± 2 %"`` and
    ``+/-`` for ``±`` are all understood. The ± of a temperature is a difference. Of a number that
    may as well be nought it may be larger than the number.

    Example
    -------
    >>> read_with_doubt("100 ft/s ± 2 %", "speed", "here")[0]
    30.48
    """
    asked = _Asked(text, place, example)
    parts = text.replace("+/-", "±").replace("+-", "±").split("±")
    if len(parts) > 2:
        raise asked.unreadable("has more than one ±")
    first = _split(parts[0], asked)
    if len(parts) == 1:
        return _si(first, find_unit(first.unit, kind, place, example, text), asked), None
    second = _split(parts[1], asked)
    relative = unit_name(second.unit, kind) == "%" and kind != "fraction"
    if not first.unit and not relative:
        first = _Amount(first.number, second.unit)
    unit = find_unit(first.unit, kind, place, example, text)
    value = _si(first, unit, asked)
    if relative:
        doubt = abs(value) * second.number * 0.01
    else:
        doubt = (
            second.number * find_unit(second.unit or first.unit, kind, place, example, text).factor
        )
    is_temperature = kind == "temperature"
    _check_doubt(doubt, asked, is_temperature=is_temperature, relative=relative)
    if doubt > abs(value) and not (is_temperature or has_nought):
        raise asked.unreadable("has a ± larger than the number itself", ONE_SD)
    return value, doubt


def _check_doubt(doubt: float, asked: _Asked, *, is_temperature: bool, relative: bool) -> None:
    """Refuse a ± that says nothing or claims certainty."""
    if is_temperature and relative:
        raise asked.unreadable("has a ± in per cent of a temperature", ONE_SD)
    if not (isfinite(doubt) and doubt > 0.0):
        raise asked.unreadable("has a ± that is not above zero", ONE_SD)


def in_unit(value: float, unit: str) -> float:
    """Give an SI value as a number of a unit."""
    return (value - UNITS[unit].offset) / UNITS[unit].factor


def neat(value: float, units: tuple[str, ...]) -> str:
    """A value in the first unit in which it has at most two decimals, else in the first."""
    for unit in units:
        number = in_unit(value, unit)
        if isclose(number, round(number, 2), rel_tol=1e-9, abs_tol=1e-9):
            return f"{round(number, 2):g} {unit}"
    return f"{in_unit(value, units[0]):.10g} {units[0]}"


def format_quantity(value: float, unit: str, decimals: int | None = None) -> str:
    """Write a value as people read it.

    Example
    -------
    >>> format_quantity(0.00532, "mm", 1)
    '5.3 mm'
    """
    return f"{_digits(in_unit(value, unit) if unit else value, decimals)} {unit}".rstrip()


def format_with_doubt(
    value: float, doubt: float | None, unit: str, decimals: int | None = None
) -> str:
    """Write a value and its one standard deviation, such as ``"285 ft/s ± 3"``."""
    written = format_quantity(value, unit, decimals)
    if doubt is None:
        return written
    return f"{written} ± {_digits(doubt / UNITS[unit].factor if unit else doubt, decimals)}"


def read_distances(text: str, place: str, *, is_rising: bool = True) -> Distances:
    """Read distances as ``10:125:5yd`` (from, to, step) or ``20,30,40 m``, also in any order.

    Example
    -------
    >>> read_distances("20:40:10 m", "--distances").distances_m
    (20.0, 30.0, 40.0)
    """
    asked = _Asked(text, place, "10:125:5yd")
    separator = ":" if ":" in text else ";" if ";" in text else ","
    parts = text.split(separator)
    is_tight, is_loose = _TIGHT.search(text), _LOOSE.search(text)
    if separator == "," and is_tight and (is_loose or (not is_rising and _ONE_DIGIT.search(text))):
        why = "holds a comma that may part two distances or stand for a decimal point"
        raise asked.unreadable(why, "Write decimals with a point, and a space behind other commas")
    if len(parts) > MOST_DISTANCES:
        raise asked.unreadable(f"makes more than {MOST_DISTANCES} distances", "Take a larger step")
    amounts = [_split(part, asked) for part in parts]
    unit = amounts[-1].unit
    metres = [
        _si(one, find_unit(one.unit or unit, "length", place, asked.example, text), asked)
        for one in amounts
    ]
    if separator == ":":
        metres = _evenly_spaced(metres, asked)
    if len(metres) > MOST_DISTANCES:
        raise asked.unreadable(f"makes more than {MOST_DISTANCES} distances", "Take a larger step")
    if is_rising and any(far <= near for near, far in pairwise(metres)):
        why = "does not run from near to far"
        mend = "Write distances in rising order, with a point for decimals"
        raise asked.unreadable(why, mend)
    if min(metres) < NEAREST_M or max(metres) > FARTHEST_M:
        why = f"leaves the span of {NEAREST_M:g} to {FARTHEST_M:g} m"
        raise asked.unreadable(why, "Stay inside it")
    return Distances(tuple(metres), unit_name(unit, "length") or unit)


def with_unit(text: str, unit: str) -> str:
    """A text with a unit behind it, if none was typed."""
    return text if not unit or unit_in(text) else f"{text} {unit}"


def _evenly_spaced(bounds_m: list[float], asked: _Asked) -> list[float]:
    """From, to and step become the distances themselves, the last one included."""
    if len(bounds_m) != 3 or bounds_m[2] <= 0.0 or bounds_m[1] < bounds_m[0]:
        raise asked.unreadable("is not from:to:step with a step above zero", "Write all three")
    start_m, stop_m, step_m = bounds_m
    steps = floor(min((stop_m - start_m) / step_m, MOST_DISTANCES) + 1e-9)
    return [start_m + index * step_m for index in range(steps + 1)]


def unit_in(text: str) -> str:
    """Unit at the end of a text as it was typed, empty for none."""
    unit = _UNIT_AT_END.search(text.translate(TIDY))
    return unit.group().strip() if unit else ""


def length_in(text: str) -> Literal["sight", "distance", ""]:
    """Which a typed length is by its unit: one of a sight, or a distance; empty without a unit.

    On a tape a bare number or a distance is one of its numbers; mm, cm and inches lie under it.
    """
    unit = unit_name(unit_in(text), "length")
    if unit is None or UNITS[unit].kind != "length":
        return ""
    return "sight" if UNITS[unit].factor < UNITS["ft"].factor else "distance"


def parted_size(
    text: str, place: str, mend: str, shape: str = "a width and a height"
) -> tuple[str, str]:
    """Width and height as texts of their own, each with its unit if one was typed at all."""
    parts = _TIMES.split(text.strip())
    if len(parts) != 2:
        raise BadInput(place, f"{quoted(text)} is not {shape}", mend)
    wide, high = parts
    unit = unit_in(high)
    return (f"{wide} {unit}" if unit and not unit_in(wide) else wide), high


def read_size(text: str, place: str, example: str = "40x40 cm") -> tuple[float, float]:
    """Width and height. [m]"""
    wide, high = parted_size(text, place, f"Write such as {example}")
    wide_m, high_m = (read_quantity(one, "length", place, "40 cm") for one in (wide, high))
    return wide_m, high_m


def read_corner(text: str, place: str) -> tuple[float, float]:
    """A place in a picture, right and down. [px]"""
    parts = text.split(",")
    if len(parts) != 2:
        wrong = f"{quoted(text)} is no place in the picture" if text else "this corner is missing"
        raise BadInput(place, wrong, "Tap it, or write pixels right and down, as 120,80")
    x, y = (read_number(part, place, "120") for part in parts)
    return x, y


def read_corners(text: str, place: str) -> tuple[tuple[float, float], ...]:
    """The four corners of a rectangle in a picture, a blank between two of them. [px]"""
    parts = text.split()
    if len(parts) != 4:
        wrong = f"{len(parts)} places are given and four are needed"
        mend = "Give upper left, upper right, lower right, lower left"
        raise BadInput(place, wrong, mend)
    return tuple(read_corner(part, f"{place}, {number}") for number, part in enumerate(parts, 1))


def _split(part: str, asked: _Asked) -> _Amount:
    """One number and the unit behind it, which may be missing."""
    tidy = part.translate(TIDY).strip()
    if len(tidy) > LONGEST_TEXT:
        raise asked.unreadable("is too long for one number")
    if fraction := _FRACTION.match(tidy):
        sign, units, top, bottom = fraction.groups()
        if float(bottom) == 0.0:
            raise asked.unreadable("divides by zero")
        number = float(sign + "1") * (float(units or 0) + float(top) / float(bottom))
        end = fraction.end()
    elif plain := _NUMBER.match(tidy):
        number = float(plain.group().replace(" ", "").replace(",", "."))
        end = plain.end()
    else:
        raise asked.unreadable("does not start with a number that can be read")
    unit = tidy[end:].strip()
    if unit and not _UNIT.fullmatch(unit):
        raise asked.unreadable(f"has {quoted(unit)} where a unit would stand")
    return _Amount(number, unit)


def _si(amount: _Amount, unit: Unit, asked: _Asked) -> float:
    """Value of an amount in SI, finite."""
    value = amount.number * unit.factor + unit.offset
    if not isfinite(value):
        raise asked.unreadable("is too large for a number")
    return value


def _digits(number: float, decimals: int | None) -> str:
    """Digits of a number; as many as are needed where none are asked for."""
    if decimals is not None:
        return told(number, decimals)
    text = f"{number + 0.0:.12g}"  # no minus zero
    return f"−{text[1:]}" if text.startswith("-") else text
