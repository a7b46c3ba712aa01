import pytest
from written_out import STANDARD_AIR

from tapewright.ground.errors import OutsideValidRange
from tapewright.services.equip import air_from_weather, usual_pressure


def test_nothing_said_is_the_standard_air():
    silent = air_from_weather()
    assert silent.temperature_k == pytest.approx(288.15)  # [ISA76]
    assert silent.pressure_pa == pytest.approx(101_325)
    assert silent.density_kg_m3 == pytest.approx(STANDARD_AIR.density_kg_m3, rel=0.01)


def test_altitude_alone_gives_colder_and_thinner_air():
    high = air_from_weather(altitude_m=2000.0)
    # [ISA76], table of properties: 275.15 K and 79 501 Pa at 2 000 m of geopotential altitude;
    # a geometric altitude is 0.03 % more of it
    assert high.temperature_k == pytest.approx(275.15, abs=0.05)
    assert high.pressure_pa == pytest.approx(79_501, abs=30)


def test_a_barometer_on_the_spot_overrules_altitude_and_report():
    air = air_from_weather(pressure_pa=90_000.0, sea_level_pressure_pa=103_000.0, altitude_m=2000.0)
    assert air.pressure_pa == 90_000.0


def test_a_weather_report_is_brought_up_to_the_line():
    air = air_from_weather(sea_level_pressure_pa=101_325.0, altitude_m=1000.0)
    assert air.pressure_pa == pytest.approx(usual_pressure(1000.0), rel=2e-3)
    at_sea = air_from_weather(sea_level_pressure_pa=100_000.0)
    assert at_sea.pressure_pa == pytest.approx(100_000.0)


def test_humidity_is_half_unless_said():
    assert air_from_weather().relative_humidity == 0.5
    assert air_from_weather(relative_humidity=0.0).relative_humidity == 0.0


def test_air_that_nobody_breathes_is_refused():
    with pytest.raises(OutsideValidRange):
        air_from_weather(temperature_k=400.0)
