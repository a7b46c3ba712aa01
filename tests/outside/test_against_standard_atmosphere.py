"""Standard atmosphere: the printed ICAO table, and an independent package.

Source: ICAO Doc 7488 / ISO 2533:1975 as kept in data/icao_atmosphere/table.csv; the package
``ambiance`` (ICAO 1993) computes with its own code.
"""

import csv
import pathlib

import ambiance
import numpy as np
import pytest

from tapewright.flight.air import (
    air_density,
    air_viscosity,
    geopotential_altitude,
    standard_pressure,
    standard_temperature,
    station_pressure,
)

TABLE = pathlib.Path(__file__).parent / "data" / "icao_atmosphere" / "table.csv"
ALTITUDES_M = np.arange(-500.0, 5501.0, 250.0)  # where people shoot

# ISO 2533 densities by geopotential altitude, recomputed from its constants and rounded; the
# sea-level and the 1000 m figures are in every printed excerpt.
BY_GEOPOTENTIAL = {
    0.0: 1.22500,
    500.0: 1.16727,
    1000.0: 1.11164,
    1500.0: 1.05807,
    2000.0: 1.00649,
    2500.0: 0.95686,
    3000.0: 0.90912,
}
EARTH_RADIUS_M = 6_356_766.0  # ISO 2533
GAS_CONSTANT = 287.05287  # ISO 2533, J/(kg K)


def printed():
    lines = [line for line in TABLE.read_text("utf-8").splitlines() if not line.startswith("#")]
    return [{key: float(cell) for key, cell in row.items()} for row in csv.DictReader(lines)]


def test_temperature_and_pressure_are_those_of_the_table(ledger):
    rows = printed()
    warmer = [abs(standard_temperature(r["altitude_m"]) - r["temperature_k"]) for r in rows]
    heavier = [abs(standard_pressure(r["altitude_m"]) - r["pressure_pa"]) / 100 for r in rows]
    # The table is printed to 0.001 K and to six figures: half a step, plus the rounding of g and R.
    ledger("Standard temperature", "ICAO table, printed", len(rows), max(warmer), 0.001, "K")
    ledger("Standard pressure", "ICAO table, printed", len(rows), max(heavier), 0.01, "hPa")


def test_viscosity_is_that_of_the_table(ledger):
    rows = printed()
    off = [air_viscosity(r["temperature_k"]) / r["viscosity_pa_s"] - 1 for r in rows]
    # five printed figures: 3e-5 of the value
    ledger("Viscosity", "ICAO table, printed", len(rows), 100 * np.abs(off).max(), 0.004, "%")


def test_density_is_that_of_the_table_but_for_the_ideal_gas(ledger):
    rows = printed()
    ours = air_density([r["temperature_k"] for r in rows], [r["pressure_pa"] for r in rows])
    off = ours / np.array([r["density_kg_m3"] for r in rows]) - 1
    assert np.all(off > 0)  # real air is a little denser than the ideal gas of the standard
    # The standard takes air for an ideal gas: 0.04 % at sea level, 0.2 mm at 80 yd.
    worst = 100 * np.abs(off).max()
    ledger("Density of dry air", "ICAO table (ideal gas)", len(rows), worst, 0.05, "%")


def test_geopotential_and_geometric_altitude_are_kept_apart(ledger):
    off = []
    for geopotential_m, density in BY_GEOPOTENTIAL.items():
        altitude_m = EARTH_RADIUS_M * geopotential_m / (EARTH_RADIUS_M - geopotential_m)
        assert geopotential_altitude(altitude_m) == pytest.approx(geopotential_m, abs=1e-6)
        pressure, temperature = standard_pressure(altitude_m), standard_temperature(altitude_m)
        off.append(abs(pressure / GAS_CONSTANT / temperature / density - 1))
    # Taking one altitude for the other would be 2e-5 at 1000 m and 2e-4 at 3000 m.
    worst = 100 * max(off)
    ledger("Density by geopotential altitude", "ISO 2533", len(off), worst, 0.001, "%")


def test_atmosphere_agrees_with_an_independent_package(ledger):
    theirs = ambiance.Atmosphere(ALTITUDES_M)
    pressure = np.array([standard_pressure(altitude) for altitude in ALTITUDES_M])
    temperature = np.array([standard_temperature(altitude) for altitude in ALTITUDES_M])
    cases = len(ALTITUDES_M)
    hpa = np.abs(pressure - theirs.pressure).max() / 100
    ledger("Standard pressure, −500 to 5500 m", "ambiance (package)", cases, hpa, 0.001, "hPa")
    kelvin = np.abs(temperature - theirs.temperature).max()
    ledger("Standard temperature, −500 to 5500 m", "ambiance (package)", cases, kelvin, 1e-4, "K")
    off = 100 * np.abs(air_viscosity(temperature) / theirs.dynamic_viscosity - 1).max()
    ledger("Viscosity, −500 to 5500 m", "ambiance (package)", cases, off, 0.001, "%")


def test_station_pressure_is_the_standard_column_moved_up_or_down(ledger):
    """An altimeter set to the report's pressure shows the altitude (ICAO Doc 7488; altimetry)."""
    off = []
    for altitude_m in (0.0, 300.0, 1500.0, 2500.0):
        for shift_m in (-250.0, 0.0, 250.0):
            reported = ambiance.Atmosphere(float(shift_m)).pressure[0]
            base = geopotential_altitude(shift_m) + geopotential_altitude(altitude_m)
            geometric = EARTH_RADIUS_M * base / (EARTH_RADIUS_M - base)
            there = ambiance.Atmosphere(geometric).pressure[0]
            off.append(abs(station_pressure(reported, altitude_m) - there) / 100)
    ledger("Station pressure from a report", "ambiance (package)", len(off), max(off), 0.001, "hPa")
