"""Unit system: those that one person reads, and values told in them.

Holds:  the Units record, in yards and in metres; a value in a unit as people read it.
Never:  factors (ground/units.py), reading what was typed (quantity_parser.py).
"""

from dataclasses import dataclass

from tapewright.words.number_format import plain
from tapewright.words.quantity_parser import format_quantity, in_unit


@dataclass(frozen=True, slots=True)
class Units:
    """The units one person reads."""

    distance: str  # names as in ground/units.py
    miss: str
    speed: str
    length: str
    wind: str
    energy: str
    momentum: str
    reading: str = "mm"
    angle: str = "mrad"

    def own(self, unit: str) -> str:
        """The person's own unit of "distance", "miss" and so on; any other as it is."""
        return str(getattr(self, unit, unit))


IMPERIAL = Units("yd", "in", "ft/s", "in", "mph", "ft·lbf", "slug·ft/s")
METRIC = Units("m", "cm", "m/s", "mm", "m/s", "J", "kg·m/s")
BY_DISTANCE = {"yd": IMPERIAL, "m": METRIC}  # which of them a typed unit asks for

DECIMALS = {"ft/s": 1, "m/s": 2, "in": 2, "cm": 1, "mm": 1, "mrad": 2, "": 2, "yd": 0, "m": 0}


def amount(value: float, unit: str) -> str:
    """A value in a unit, with as many decimals as the unit deserves."""
    return format_quantity(value, unit, DECIMALS[unit])


def round_amount(value: float, unit: str) -> str:
    """A value that a person chose, without zeros that nobody wrote."""
    return f"{plain(in_unit(value, unit), DECIMALS[unit])} {unit}"


def far(distance_m: float, units: Units) -> str:
    """A distance as a bare number in a person's unit: no finer than anybody measures it."""
    return plain(in_unit(distance_m, units.distance), 1)


def distance_words(distance_m: float, units: Units) -> str:
    """A distance with its unit: no finer than anybody measures it."""
    return f"{far(distance_m, units)} {units.distance}"


def trusted_words(trusted_m: float, units: Units) -> str:
    """How far something is trusted: a distance, or none."""
    return distance_words(trusted_m, units) if trusted_m else "no distance"
