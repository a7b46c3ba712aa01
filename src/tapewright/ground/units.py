"""Units: conversion factors, and the table of units a person may type.

Holds:  exact factors to SI; each unit's kind.
Never:  reading of text (words/quantity_parser.py), unit objects.
Source: NIST SP 811 Appendix B, NIST Handbook 44 Appendix C; exact by definition unless said.
"""

from dataclasses import dataclass
from math import pi

INCH_M = 0.0254
FOOT_M = 0.3048
YARD_M = 0.9144
POUND_KG = 0.45359237
GRAIN_KG = POUND_KG / 7000.0
OUNCE_KG = POUND_KG / 16.0
POUND_FORCE_N = POUND_KG * 9.80665
FOOT_POUND_J = FOOT_M * POUND_FORCE_N
INCH_OF_MERCURY_PA = 3386.389  # conventional, at 0 °C; rounded
MM_OF_MERCURY_PA = 133.322387415  # conventional
KMH_MPS = 1.0 / 3.6
MPH_MPS = 1609.344 / 3600.0
KNOT_MPS = 1852.0 / 3600.0
DEGREE_RAD = pi / 180.0
MOA_RAD = DEGREE_RAD / 60.0
MRAD = 1e-3
MM_M = 1e-3
CM_M = 1e-2
HPA_PA = 100.0
ZERO_CELSIUS_K = 273.15


@dataclass(frozen=True, slots=True)
class Unit:
    """How a number in this unit becomes SI: ``si = number × factor + offset``.

    Parameters
    ----------
    kind : str
        Kind of quantity: length, mass, speed, force, angle, temperature, pressure, energy,
        momentum, fraction.
    factor : float
        SI units in one of this unit. [-]
    offset : float, default 0
        SI value of zero in this unit; not zero for temperatures only. [SI unit of the kind]
    """

    kind: str
    factor: float
    offset: float = 0.0


UNITS: dict[str, Unit] = {
    "mm": Unit("length", MM_M),
    "cm": Unit("length", CM_M),
    "m": Unit("length", 1.0),
    "km": Unit("length", 1000.0),
    "in": Unit("length", INCH_M),
    '"': Unit("length", INCH_M),
    "ft": Unit("length", FOOT_M),
    "yd": Unit("length", YARD_M),
    "kg": Unit("mass", 1.0),
    "g": Unit("mass", 1e-3),
    "gr": Unit("mass", GRAIN_KG),
    "grain": Unit("mass", GRAIN_KG),
    "grains": Unit("mass", GRAIN_KG),
    "oz": Unit("mass", OUNCE_KG),
    "lb": Unit("mass", POUND_KG),
    "m/s": Unit("speed", 1.0),
    "mps": Unit("speed", 1.0),
    "km/h": Unit("speed", KMH_MPS),
    "ft/s": Unit("speed", FOOT_M),
    "fps": Unit("speed", FOOT_M),
    "mph": Unit("speed", MPH_MPS),
    "kn": Unit("speed", KNOT_MPS),
    "N": Unit("force", 1.0),
    "lbf": Unit("force", POUND_FORCE_N),
    "lbs": Unit("force", POUND_FORCE_N),  # as archers write a draw weight
    "#": Unit("force", POUND_FORCE_N),  # the same
    "kgf": Unit("force", 9.80665),
    "J": Unit("energy", 1.0),
    "ft·lbf": Unit("energy", FOOT_POUND_J),
    "kg·m/s": Unit("momentum", 1.0),
    "slug·ft/s": Unit("momentum", POUND_FORCE_N),  # a pound-force for a second
    "rad": Unit("angle", 1.0),
    "mrad": Unit("angle", MRAD),
    "deg": Unit("angle", DEGREE_RAD),
    "°": Unit("angle", DEGREE_RAD),
    "moa": Unit("angle", MOA_RAD),
    "K": Unit("temperature", 1.0),
    "°C": Unit("temperature", 1.0, ZERO_CELSIUS_K),
    "C": Unit("temperature", 1.0, ZERO_CELSIUS_K),
    "°F": Unit("temperature", 5.0 / 9.0, ZERO_CELSIUS_K - 32.0 * 5.0 / 9.0),
    "F": Unit("temperature", 5.0 / 9.0, ZERO_CELSIUS_K - 32.0 * 5.0 / 9.0),
    "Pa": Unit("pressure", 1.0),
    "hPa": Unit("pressure", HPA_PA),
    "mbar": Unit("pressure", HPA_PA),
    "kPa": Unit("pressure", 1000.0),
    "inHg": Unit("pressure", INCH_OF_MERCURY_PA),
    "mmHg": Unit("pressure", MM_OF_MERCURY_PA),
    "%": Unit("fraction", 0.01),
}
