"""Units against their definitions and against a unit library that we did not write.

Sources: NIST SP 811 Appendix B and NIST Handbook 44 Appendix C for the exact factors (from
memory); the library is pint, whose own table of definitions is independent of ours.
"""

from fractions import Fraction

import pint
import pytest

from tapewright.ground.units import UNITS
from tapewright.words.quantity_parser import read_quantity

# text → exact SI value by the definitions
EXACT = {
    ("1 in", "length"): Fraction(254, 10000),
    ("1 ft", "length"): Fraction(3048, 10000),
    ("1 yd", "length"): Fraction(9144, 10000),
    ("7000 gr", "mass"): Fraction(45359237, 100000000),
    ("1 gr", "mass"): Fraction(6479891, 10**11),
    ("16 oz", "mass"): Fraction(45359237, 100000000),
    ("1 lbf", "force"): Fraction(44482216152605, 10**13),
    ("1 kgf", "force"): Fraction(980665, 100000),
    ("300 ft/s", "speed"): Fraction(9144, 100),
    ("3.6 km/h", "speed"): Fraction(1),
    ("1 mph", "speed"): Fraction(44704, 100000),
    ("3600 kn", "speed"): Fraction(1852),
    ("0 °C", "temperature"): Fraction(27315, 100),
    ("32 °F", "temperature"): Fraction(27315, 100),
    ("212 °F", "temperature"): Fraction(37315, 100),
    ("1 hPa", "pressure"): Fraction(100),
    ("1 inHg", "pressure"): Fraction(3386389, 1000),
    ("50 %", "fraction"): Fraction(1, 2),
}

PINT_NAMES = {
    '"': "inch",
    "gr": "grain",
    "grains": "grain",
    "oz": "avoirdupois_ounce",
    "lb": "pound",
    "mps": "m/s",
    "fps": "ft/s",
    "kn": "knot",
    "lbf": "pound_force",
    "lbs": "pound_force",
    "#": "pound_force",
    "kgf": "kilogram_force",
    "ft·lbf": "foot * pound_force",
    "slug·ft/s": "slug * foot / second",
    "kg·m/s": "kilogram * meter / second",
    "mrad": "milliradian",
    "deg": "degree",
    "°": "degree",
    "moa": "arcminute",
    "°C": "degC",
    "C": "degC",
    "°F": "degF",
    "F": "degF",
    "in": "inch",
    "%": "percent",
}
SI = {
    "length": "m",
    "mass": "kg",
    "speed": "m/s",
    "force": "N",
    "angle": "rad",
    "temperature": "K",
    "pressure": "Pa",
    "energy": "J",
    "momentum": "kg*m/s",
    "fraction": "",
}
ROUNDED = {"inHg"}  # conventional value rounded to seven figures in the handbook


def test_units_are_as_defined(ledger):
    worst = max(
        abs(float(Fraction(read_quantity(text, kind, "here")) / exact - 1))
        for (text, kind), exact in EXACT.items()
    )
    # floating point only
    ledger("units read", "NIST SP 811 and Handbook 44", len(EXACT), worst, 1e-15, "relative")


def test_units_agree_with_pint(ledger):
    registry = pint.UnitRegistry()
    worst = 0.0
    for name, unit in UNITS.items():
        theirs = registry.Quantity(37.5, PINT_NAMES.get(name, name)).to(SI[unit.kind]).magnitude
        ours = read_quantity(f"37.5 {name}", unit.kind, "here")
        difference = abs(ours / theirs - 1)
        if name in ROUNDED:
            assert difference < 5e-7, name  # a half in the seventh figure, and change
            continue
        worst = max(worst, difference)
    # floating point only; temperatures pass through an offset
    ledger("units read", "pint", len(UNITS) - len(ROUNDED), worst, 2e-15, "relative")


@pytest.mark.parametrize("name", sorted(UNITS))
def test_half_a_unit_is_half_of_one(name):
    unit = UNITS[name]
    one = read_quantity(f"1 {name}", unit.kind, "here") - unit.offset
    half = read_quantity(f"0.5 {name}", unit.kind, "here") - unit.offset
    assert half == pytest.approx(one / 2, rel=1e-12)  # difference of two temperatures in double
