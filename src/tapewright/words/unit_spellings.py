"""Unit spellings: every spelling of a unit that people use, and which kind of number it makes.

Holds:  kinds in words, spellings, the nearest known unit to a mistyped one.
Never:  factors (ground/units.py), numbers (quantity_parser.py).
Source: spellings are common practice, no source.
"""

from difflib import get_close_matches
from typing import Literal

from tapewright.ground.errors import UnknownUnit
from tapewright.ground.units import UNITS, Unit

Kind = Literal[
    "length",
    "mass",
    "speed",
    "force",
    "angle",
    "temperature",
    "pressure",
    "fraction",
    "number",
]

# kind → what it is called, units worth offering
KIND_WORDS: dict[str, tuple[str, str]] = {
    "length": ("a length", "mm, cm, m, in, ft or yd"),
    "mass": ("a mass", "gr, g, oz or kg"),
    "speed": ("a speed", "ft/s, m/s, km/h or mph"),
    "force": ("a force", "lbf, N or kgf"),
    "angle": ("an angle", "mrad, moa or deg"),
    "temperature": ("a temperature", "°C, °F or K"),
    "pressure": ("a pressure", "hPa, mbar, kPa, inHg or mmHg"),
    "energy": ("an energy", "J or ft·lbf"),
    "momentum": ("a momentum", "kg·m/s or slug·ft/s"),
    "fraction": ("a percentage", "%"),
    "number": ("a plain number", "no unit at all"),
}

# other spellings → the one in ground/units.py
_SPELLINGS = {
    "inch": "in", "inches": "in", "ins": "in", "in.": "in", "″": "in", "”": "in", "''": "in",
    "foot": "ft", "feet": "ft", "ft.": "ft", "'": "ft", "′": "ft", "’": "ft",
    "yard": "yd", "yards": "yd", "yds": "yd", "yd.": "yd",
    "metre": "m", "metres": "m", "meter": "m", "meters": "m",
    "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "gram": "g", "grams": "g", "gramme": "g", "grammes": "g", "gn": "gr", "gr.": "gr",
    "ounce": "oz", "ounces": "oz", "pound": "lb", "pounds": "lb", "lb.": "lb",
    "lbs.": "lbs", "newton": "N", "newtons": "N", "kp": "kgf",
    "ms": "m/s", "kmh": "km/h", "kph": "km/h", "fts": "ft/s", "ft/sec": "ft/s",
    "m/sec": "m/s", "knot": "kn", "knots": "kn", "kt": "kn",
    "degree": "deg", "degrees": "deg", "arcmin": "moa",
    "degc": "°C", "celsius": "°C", "℃": "°C", "degf": "°F", "fahrenheit": "°F", "℉": "°F",
    "kelvin": "K", "mb": "mbar", "millibar": "mbar", "percent": "%",
}  # fmt: skip
# what a spelling means to an archer where this kind is wanted
_MEANT = {("force", "lb"): "lbf", ("mass", "lbs"): "lb"}
_FOLDED = {name.casefold(): name for name in UNITS}

TIDY = str.maketrans(
    {
        "\u00a0": " ", "\u2007": " ", "\u2009": " ", "\u200a": " ", "\u202f": " ", "\t": " ",
        "\u2212": "-", "\u2013": "-", "º": "°",
        "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
    }
)  # fmt: skip


def quoted(text: object) -> str:
    """Words of a person in quotes, clear and short enough for a sentence."""
    words = " ".join(str(text).split())
    clear = "".join(letter if letter.isprintable() else "�" for letter in words)
    return f'"{clear}"' if len(clear) <= 40 else f'"{clear[:37]}..."'


def find_unit(name: str, kind: Kind, place: str, example: str = "", text: str = "") -> Unit:
    """Find the unit that a person means by a spelling, of the kind wanted."""
    words, offers = KIND_WORDS[kind]
    such = f", such as {quoted(example)}" if example else ""
    mend = f"Write {words} in {offers}{such}"
    if kind == "number":
        if name:
            wrong = f"{quoted(text)} carries {quoted(name)}, where a plain number is wanted"
            raise UnknownUnit(place, wrong, f"Write the number alone{such}")
        return Unit("number", 1.0)
    if not name:
        raise UnknownUnit(place, f"{quoted(text)} has no unit", mend)
    known = unit_name(name, kind)
    if known is None:
        wrong = f"{quoted(name)} is not a unit that Tapewright knows"
        raise UnknownUnit(place, wrong, _nearest_unit(name, kind) + mend)
    unit = UNITS[known]
    if unit.kind != kind:
        wrong = f"{quoted(text or name)} is {KIND_WORDS[unit.kind][0]}, where {words} is wanted"
        raise UnknownUnit(place, wrong, mend)
    return unit


def unit_name(name: str, kind: Kind) -> str | None:
    """Spelling of a unit in ground/units.py, or None if nobody knows it."""
    tight = name.translate(TIDY).replace(" ", "")
    known = tight if tight in UNITS else None
    if known is None:
        folded = tight.casefold()
        known = _SPELLINGS.get(tight) or _SPELLINGS.get(folded) or _FOLDED.get(folded)
    return known and _MEANT.get((kind, known), known)


def _nearest_unit(name: str, kind: str) -> str:
    """Start of a mend: the unit that may have been meant."""
    spellings = [*UNITS, *_SPELLINGS]
    wanted = [one for one in spellings if UNITS[_SPELLINGS.get(one, one)].kind == kind]
    near = get_close_matches(name, wanted, 1, 0.7) or get_close_matches(name, spellings, 1, 0.6)
    return f'Did you mean "{_SPELLINGS.get(near[0], near[0])}"? ' if near else ""
