"""Air: how heavy and how sticky the air is.

Holds:  the Air record; density, viscosity, the standard atmosphere, station pressure.
Never:  arrows; the weather of any particular place.
Source: docs/physics.md §2; docs/sources.md [CIPM07], [ISO2533].
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.ground.checks import Amount, check_amounts
from tapewright.ground.constants import (
    EARTH_RADIUS_M,
    ISA_GAS_CONSTANT_J_KG_K,
    ISA_LAPSE_K_PER_M,
    ISA_PRESSURE_PA,
    ISA_TEMPERATURE_K,
    STANDARD_GRAVITY_MPS2,
)
from tapewright.ground.errors import OutsideValidRange
from tapewright.ground.units import ZERO_CELSIUS_K

Floats = NDArray[np.float64]

TEMPERATURE_RANGE_K = (233.15, 328.15)  # −40 to 55 °C: beyond, nobody shoots
PRESSURE_RANGE_PA = (50_000.0, 110_000.0)
_ISA_EXPONENT = STANDARD_GRAVITY_MPS2 / (ISA_LAPSE_K_PER_M * ISA_GAS_CONSTANT_J_KG_K)


def saturation_pressure(temperature_k: ArrayLike) -> Floats:
    """Vapour pressure of water over a wet surface.

    Parameters
    ----------
    temperature_k : float or (n,) array
        Temperature. [K]

    Returns
    -------
    (n,) array
        Saturation vapour pressure, shape of the input. [Pa]

    Valid for
    ---------
    273–323 K within 0.02 % of the ASHRAE table; below freezing it is that of supercooled
    water, which changes the density by under 0.02 %.

    Source
    ------
    docs/physics.md eq. (2.2); [CIPM07] eq. (A1.1).
    """
    t = np.asarray(temperature_k, dtype=np.float64)
    exponent = 1.2378847e-5 * t * t - 1.9121316e-2 * t + 33.93711047 - 6.3431645e3 / t
    return np.asarray(np.exp(exponent), dtype=np.float64)


def air_density(
    temperature_k: ArrayLike, pressure_pa: ArrayLike, relative_humidity: ArrayLike = 0.0
) -> Floats:
    """Density of moist air.

    Drag is proportional to it: a hot day at altitude shifts a far mark by several
    millimetres, so calibration and printing must speak of the same Air.

    Parameters
    ----------
    temperature_k : float or (n,) array
        Air temperature. [K]
    pressure_pa : float or (n,) array
        Pressure at the shooting line, not reduced to sea level. [Pa]
    relative_humidity : float or (n,) array, default 0
        Fraction of saturation, 0 to 1. [-]

    Returns
    -------
    (n,) array
        Density, shape of the inputs after broadcasting. [kg/m³]

    Valid for
    ---------
    Published for 288–300 K and 60–110 kPa; used here for 233–328 K and 50–110 kPa, where it is
    smooth and stays above the ideal gas law with vapour by at most 0.14 % (at −40 °C; 0.05 % at
    10 °C): a hundredth of a millimetre on a far mark.

    Example
    -------
    >>> round(float(air_density(293.15, 101325.0, 0.5)), 4)
    1.1993

    Source
    ------
    docs/physics.md eq. (2.1); [CIPM07] eq. (1) and appendix A1.
    """
    t = np.asarray(temperature_k, dtype=np.float64)
    p = np.asarray(pressure_pa, dtype=np.float64)
    c = t - ZERO_CELSIUS_K
    enhancement = 1.00062 + 3.14e-8 * p + 5.6e-7 * c * c
    xv = np.asarray(relative_humidity) * enhancement * saturation_pressure(t) / p
    series = (
        1.58123e-6
        - 2.9331e-8 * c
        + 1.1043e-10 * c * c
        + (5.707e-6 - 2.051e-8 * c) * xv
        + (1.9898e-4 - 2.376e-6 * c) * xv * xv
    )
    ratio = p / t
    compressibility = 1.0 - ratio * series + ratio * ratio * (1.83e-11 - 0.765e-8 * xv * xv)
    dry_kg_mol, vapour_kg_mol = 28.96546e-3, 18.01528e-3  # [CIPM07], 400 ppm CO₂
    dry = p * dry_kg_mol / (compressibility * 8.314472 * t)
    return np.asarray(dry * (1.0 - xv * (1.0 - vapour_kg_mol / dry_kg_mol)), dtype=np.float64)


def air_viscosity(temperature_k: ArrayLike) -> Floats:
    """Dynamic viscosity of air.

    Parameters
    ----------
    temperature_k : float or (n,) array
        Air temperature. [K]

    Returns
    -------
    (n,) array
        Viscosity, shape of the input. [Pa·s]

    Valid for
    ---------
    100–1500 K. [ISO2533]

    Source
    ------
    docs/physics.md eq. (2.4); Sutherland's formula as in [ISO2533].
    """
    t = np.asarray(temperature_k, dtype=np.float64)
    return np.asarray(1.458e-6 * t**1.5 / (t + 110.4), dtype=np.float64)


def geopotential_altitude(altitude_m: float) -> float:
    """Altitude as the standard atmosphere counts it.

    Parameters
    ----------
    altitude_m : float
        Altitude above mean sea level, up positive. [m]

    Returns
    -------
    float
        Geopotential altitude. [m]

    Source
    ------
    docs/physics.md eq. (2.3); [ISO2533].
    """
    return EARTH_RADIUS_M * altitude_m / (EARTH_RADIUS_M + altitude_m)


def standard_temperature(altitude_m: float) -> float:
    """Temperature of the standard atmosphere.

    Parameters
    ----------
    altitude_m : float
        Altitude above mean sea level, up positive. [m]

    Returns
    -------
    float
        Temperature. [K]

    Valid for
    ---------
    −5000 to 11 000 m.

    Source
    ------
    docs/physics.md eq. (2.3); [ISO2533].
    """
    return ISA_TEMPERATURE_K - ISA_LAPSE_K_PER_M * geopotential_altitude(altitude_m)


def standard_pressure(altitude_m: float) -> float:
    """Pressure of the standard atmosphere.

    Parameters
    ----------
    altitude_m : float
        Altitude above mean sea level, up positive. [m]

    Returns
    -------
    float
        Pressure. [Pa]

    Valid for
    ---------
    −5000 to 11 000 m.

    Source
    ------
    docs/physics.md eq. (2.3); [ISO2533].
    """
    ratio = standard_temperature(altitude_m) / ISA_TEMPERATURE_K
    return float(ISA_PRESSURE_PA * ratio**_ISA_EXPONENT)


def station_pressure(sea_level_pressure_pa: float, altitude_m: float) -> float:
    """Pressure at the shooting line from a weather report's sea-level pressure.

    A report at 1500 m altitude that says 1013 hPa means about 845 hPa on the spot: taking the
    report's figure as it is makes the air 20 % too dense.

    Parameters
    ----------
    sea_level_pressure_pa : float
        Pressure reduced to sea level by the standard atmosphere. [Pa]
    altitude_m : float
        Altitude of the shooting line, up positive. [m]

    Returns
    -------
    float
        Pressure at the shooting line. [Pa]

    Source
    ------
    docs/physics.md eq. (2.5): the standard atmosphere's own column, shifted to start at the
    reported pressure.
    """
    base_k = ISA_TEMPERATURE_K * (sea_level_pressure_pa / ISA_PRESSURE_PA) ** (1.0 / _ISA_EXPONENT)
    fallen_k = base_k - ISA_LAPSE_K_PER_M * geopotential_altitude(altitude_m)
    return float(ISA_PRESSURE_PA * (fallen_k / ISA_TEMPERATURE_K) ** _ISA_EXPONENT)


_NUMBERS = {  # a wrong unit; what is only unheard of is told by the range itself
    "temperature_k": Amount(150.0, 1000.0, "kelvins", "288.15"),
    "pressure_pa": Amount(1e4, 2e5, "pascals", "101325.0"),
    "relative_humidity": Amount(-1.0, 2.0, "", "0.5"),
}


def refuse_no_place(temperature_k: float, pressure_pa: float, relative_humidity: float) -> None:
    """Refuse the air of a place where nobody shoots.

    Parameters
    ----------
    temperature_k, pressure_pa, relative_humidity : float
        As those of Air. [K, Pa, 1]

    Raises
    ------
    OutsideValidRange
        Naming what is too much or too little, in °C, hPa and per cent.

    Example
    -------
    >>> refuse_no_place(288.15, 2e3, 0.5)
    Traceback (most recent call last):
    tapewright.ground.errors.OutsideValidRange: Air pressure 20 hPa is outside 500 to 1100 hPa, ...
    """
    shift = ZERO_CELSIUS_K
    low_k, high_k = TEMPERATURE_RANGE_K
    low_pa, high_pa = PRESSURE_RANGE_PA
    for what, value, low, high, unit in (
        ("Air temperature", temperature_k - shift, low_k - shift, high_k - shift, "°C"),
        ("Air pressure", pressure_pa / 100, low_pa / 100, high_pa / 100, "hPa"),
        ("Humidity", relative_humidity * 100, 0.0, 100.0, "%"),
    ):
        if not low <= value <= high:
            raise OutsideValidRange(what, value, low, high, unit)


@dataclass(frozen=True)
class Air:
    """The air at the shooting line.

    Parameters
    ----------
    temperature_k : float
        Air temperature. [K]
    pressure_pa : float
        Pressure on the spot, not reduced to sea level. [Pa]
    relative_humidity : float, default 0.5
        Fraction of saturation, 0 to 1. [-]

    Raises
    ------
    OutsideValidRange
        If temperature, pressure or humidity are not those of any place where people shoot.

    Example
    -------
    >>> round(Air(288.15, 101325.0, 0.0).density_kg_m3, 2)
    1.23
    """

    temperature_k: float
    pressure_pa: float
    relative_humidity: float = 0.5

    def __post_init__(self) -> None:
        check_amounts(self, _NUMBERS)
        refuse_no_place(self.temperature_k, self.pressure_pa, self.relative_humidity)

    @cached_property
    def density_kg_m3(self) -> float:
        """Density of this air. [kg/m³]"""
        return float(air_density(self.temperature_k, self.pressure_pa, self.relative_humidity))

    @cached_property
    def viscosity_pa_s(self) -> float:
        """Dynamic viscosity of this air. [Pa·s]"""
        return float(air_viscosity(self.temperature_k))


STANDARD_AIR = Air(ISA_TEMPERATURE_K, ISA_PRESSURE_PA, 0.0)


def air_from_altitude(altitude_m: float, temperature_k: float | None = None) -> Air:
    """Air at an altitude when nobody read a barometer.

    Parameters
    ----------
    altitude_m : float
        Altitude above mean sea level, up positive. [m]
    temperature_k : float, optional
        Temperature read on the spot; absent: the standard atmosphere's. [K]

    Returns
    -------
    Air
        With the standard pressure of the altitude and half-saturated.

    Raises
    ------
    OutsideValidRange
        If nobody shoots that high.

    Source
    ------
    docs/physics.md eq. (2.3).
    """
    known_k = standard_temperature(altitude_m) if temperature_k is None else temperature_k
    return Air(known_k, standard_pressure(altitude_m))
