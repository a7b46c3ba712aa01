import pytest

from tapewright.flight.air import Air
from tapewright.ground.errors import OutsideValidRange
from tapewright.services.record_groups import Impact, bare_mark, observe_group

MARK_ARROWS = 3  # what a bare mark is worth; common practice

HERE = Air(288.15, 95_000.0, 0.3)
PLACE = {"distance_m": 30.0, "reading_m": 0.03}


def test_a_bare_mark_hits_the_aim_and_stands_for_several():
    assert bare_mark() == Impact(0.0, 0.0, MARK_ARROWS)
    assert bare_mark(5).arrows == 5


def test_a_group_without_a_temperature_is_shot_in_the_rig_s_own_air():
    assert observe_group("1", [Impact(0.0, 0.0)], **PLACE, air=HERE).air is None


def test_another_temperature_keeps_pressure_and_humidity():
    cold = observe_group("1", [Impact(0.0, 0.0)], **PLACE, temperature_k=263.15, air=HERE).air
    assert (cold.temperature_k, cold.pressure_pa) == (263.15, 95_000.0)
    assert cold.relative_humidity == 0.3
    assert cold.density_kg_m3 > HERE.density_kg_m3


def test_everything_said_arrives():
    seen = observe_group(
        "far", [Impact(0.01, None), Impact(0.02, None)],
        **PLACE, pin=2, slope_rad=0.1, crosswind_mps=-2.0,
    )  # fmt: skip
    assert seen.group.name == "far"
    assert seen.group.arrows == 2
    assert (seen.pin, seen.slope_rad, seen.crosswind_mps) == (2, 0.1, -2.0)


def test_a_temperature_that_nobody_shoots_in_is_refused():
    with pytest.raises(OutsideValidRange):
        observe_group("1", [], **PLACE, temperature_k=500.0)


def test_a_pressure_overrules_an_altitude():
    def air_of(**said):
        return observe_group("1", [Impact(0.0, 0.0)], **PLACE, **said, air=HERE).air

    high = air_of(altitude_m=1500.0)
    assert high.pressure_pa == pytest.approx(84_560.0, abs=5.0)  # ISO 2533, table 1
    assert high.temperature_k == HERE.temperature_k
    read = air_of(altitude_m=1500.0, pressure_pa=90_000.0, temperature_k=280.0)
    assert (read.pressure_pa, read.temperature_k) == (90_000.0, 280.0)
    assert read.relative_humidity == HERE.relative_humidity
