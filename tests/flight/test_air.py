import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from written_out import STANDARD_AIR

from tapewright.flight.air import (
    Air,
    air_density,
    air_from_altitude,
    air_viscosity,
    geopotential_altitude,
    saturation_pressure,
    standard_pressure,
    standard_temperature,
    station_pressure,
)
from tapewright.ground.errors import BadInput, OutsideValidRange

LAW = settings(deadline=None, derandomize=True, max_examples=80)
kelvins = st.floats(235.0, 325.0)
pascals = st.floats(55_000.0, 108_000.0)
shares = st.floats(0.0, 1.0)


@LAW
@given(kelvins, pascals, shares)
def test_warm_air_is_thinner(kelvin, pascal, share):
    assert air_density(kelvin + 2.0, pascal, share) < air_density(kelvin, pascal, share)


@LAW
@given(kelvins, pascals, shares)
def test_air_under_more_pressure_is_denser(kelvin, pascal, share):
    assert air_density(kelvin, pascal + 500.0, share) > air_density(kelvin, pascal, share)


@LAW
@given(kelvins, pascals, st.floats(0.0, 0.9))
def test_moist_air_is_lighter_than_dry(kelvin, pascal, share):
    assert air_density(kelvin, pascal, share + 0.1) < air_density(kelvin, pascal, share)


@LAW
@given(kelvins)
def test_warm_air_is_stickier_and_holds_more_water(kelvin):
    assert air_viscosity(kelvin + 1.0) > air_viscosity(kelvin)
    assert saturation_pressure(kelvin + 1.0) > saturation_pressure(kelvin)


@LAW
@given(st.floats(-400.0, 5000.0))
def test_density_falls_with_altitude(altitude):
    above, here = air_from_altitude(altitude + 100.0), air_from_altitude(altitude)
    assert above.density_kg_m3 < here.density_kg_m3


def test_density_broadcasts():
    grid = air_density(np.array([[270.0], [290.0]]), np.array([9e4, 1e5, 1.1e5]))
    assert grid.shape == (2, 3)


def test_sea_level_is_sea_level():
    assert geopotential_altitude(0.0) == 0.0
    assert standard_temperature(0.0) == STANDARD_AIR.temperature_k
    assert standard_pressure(0.0) == STANDARD_AIR.pressure_pa


@LAW
@given(st.floats(0.0, 5000.0))
def test_the_standard_report_gives_the_standard_pressure(altitude):
    there = station_pressure(101325.0, altitude)
    assert there == pytest.approx(standard_pressure(altitude), abs=0.01)  # Pa, rounding only


@LAW
@given(st.floats(97_000.0, 105_000.0))
def test_at_sea_level_a_report_is_the_pressure_on_the_spot(reported):
    assert station_pressure(reported, 0.0) == pytest.approx(reported, abs=0.01)


def test_a_report_taken_for_the_pressure_on_the_spot_makes_the_air_a_fifth_too_dense():
    assert 101325.0 / station_pressure(101325.0, 1500.0) == pytest.approx(1.2, abs=0.01)


def test_air_knows_its_own_density_and_viscosity():
    air = Air(293.15, 101325.0, 0.5)
    assert air.density_kg_m3 == float(air_density(293.15, 101325.0, 0.5))
    assert air.viscosity_pa_s == float(air_viscosity(293.15))


def test_air_from_altitude_takes_the_temperature_on_the_spot():
    air = air_from_altitude(1500.0, 300.0)
    assert air.temperature_k == 300.0
    assert air.pressure_pa == standard_pressure(1500.0)


@pytest.mark.parametrize(
    ("kelvin", "pascal", "share", "words"),
    [
        (360.0, 101325.0, 0.5, "Air temperature"),
        (288.15, 120000.0, 0.5, "Air pressure 1200 hPa"),
        (288.15, 101325.0, -0.1, "Humidity -10 %"),
    ],
)
def test_air_of_no_place_on_earth_is_refused(kelvin, pascal, share, words):
    with pytest.raises(OutsideValidRange, match=words):
        Air(kelvin, pascal, share)


@pytest.mark.parametrize(
    ("said", "told"),
    [
        (
            (15.0, 101325.0),
            r"Air\.temperature_k: 15 is outside 150 to 400 kelvins\. Give it in kelv",
        ),
        ((288.15, 1013.25), r"Air\.pressure_pa: 1013.25 is outside 10000 to 200000 pascals\. Give"),
        ((288.15, 101325.0, 50), r"Air\.relative_humidity: 50 is outside -1 to 2\. Give it bare"),
        (("15 °C", 101325.0), r"Air\.temperature_k: '15 °C' is no number"),
    ],
)
def test_air_in_another_unit_is_told_which_is_meant(said, told):
    with pytest.raises(BadInput, match=told):
        Air(*said)


def test_nobody_shoots_at_seven_thousand_metres():
    with pytest.raises(OutsideValidRange, match="Air pressure"):
        air_from_altitude(7000.0)
