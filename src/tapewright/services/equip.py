"""Equip: put bow, arrow, sight, archer and air together into a rig.

Holds:  the rig's records for the floors above, house values in it, and the air from what a person
        can read off.
Never:  text with units (faces), formulas (flight/air.py).
"""

from tapewright.calibration.house_values import same_kind, unknown_kinds, with_house
from tapewright.calibration.kinds import kind_of
from tapewright.calibration.rig import (
    Archer,
    Arrow,
    Belief,
    Bow,
    Chronograph,
    HouseValue,
    HouseValues,
    Kind,
    Rating,
    Rig,
    Sight,
)
from tapewright.flight.air import (
    STANDARD_AIR,
    Air,
    refuse_no_place,
    standard_pressure,
    standard_temperature,
    station_pressure,
)

__all__ = [
    "STANDARD_AIR",
    "Air",
    "Archer",
    "Arrow",
    "Belief",
    "Bow",
    "Chronograph",
    "HouseValue",
    "HouseValues",
    "Kind",
    "Rating",
    "Rig",
    "Sight",
    "air_from_weather",
    "kind_of",
    "same_kind",
    "unknown_kinds",
    "usual_pressure",
    "with_house",
]


def air_from_weather(
    temperature_k: float | None = None,
    pressure_pa: float | None = None,
    sea_level_pressure_pa: float | None = None,
    altitude_m: float | None = None,
    relative_humidity: float | None = None,
) -> Air:
    """Air at the shooting line from whatever was read off; what is absent is the standard's."""
    height_m = 0.0 if altitude_m is None else altitude_m
    if temperature_k is None:
        temperature_k = standard_temperature(height_m)
    if pressure_pa is None:
        if sea_level_pressure_pa is None:
            pressure_pa = standard_pressure(height_m)
        else:
            pressure_pa = station_pressure(sea_level_pressure_pa, height_m)
    humidity = 0.5 if relative_humidity is None else relative_humidity
    refuse_no_place(temperature_k, pressure_pa, humidity)
    return Air(temperature_k, pressure_pa, humidity)


def usual_pressure(altitude_m: float) -> float:
    """Pressure that a barometer shows at an altitude on an average day."""
    return standard_pressure(altitude_m)
