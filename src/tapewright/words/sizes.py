"""Sizes: reads "60x90 cm", a width and a height whose unit may stand once for both; places.

Holds:  a size parted into its two texts; a size in metres; the corners of one in a picture.
Never:  which sizes make sense for what.
"""

import re

from tapewright.ground.errors import BadInput
from tapewright.words.quantities import read_number, read_quantity
from tapewright.words.unit_names import quoted

_TIMES = re.compile(r"\s*(?:[x×]|\bby\b)\s*", re.IGNORECASE)
_UNIT = re.compile(r"[^\d.,\s]+\s*$")


def unit_in(text: str) -> str:
    """Unit at the end of a text as it was typed, empty for none."""
    unit = _UNIT.search(text)
    return unit.group().strip() if unit else ""


def parted_size(text: str, place: str, mend: str) -> tuple[str, str]:
    """Width and height as texts of their own, each with its unit if one was typed at all."""
    parts = _TIMES.split(text.strip())
    if len(parts) != 2:
        raise BadInput(place, f"{quoted(text)} is not a width and a height", mend)
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
