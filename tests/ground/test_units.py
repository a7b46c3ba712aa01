from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tapewright.ground.units import (
    DEGREE_RAD,
    FOOT_M,
    FOOT_POUND_J,
    GRAIN_KG,
    INCH_M,
    MOA_RAD,
    POUND_KG,
    UNITS,
    YARD_M,
)

KINDS = {"length", "mass", "speed", "force", "angle", "temperature", "pressure", "fraction"}
LAW = settings(deadline=None, derandomize=True, max_examples=60)


def test_lengths_nest():
    assert pytest.approx(3 * FOOT_M, rel=1e-15) == YARD_M
    assert pytest.approx(12 * INCH_M, rel=1e-15) == FOOT_M


def test_seven_thousand_grains_are_a_pound():
    assert pytest.approx(POUND_KG, rel=1e-15) == 7000 * GRAIN_KG


def test_a_foot_pound_is_a_pound_force_over_a_foot():
    assert pytest.approx(0.3048 * 0.45359237 * 9.80665, rel=1e-15) == FOOT_POUND_J


def test_half_a_turn_has_180_degrees_of_60_minutes():
    assert pytest.approx(pi, rel=1e-15) == 180 * DEGREE_RAD
    assert pytest.approx(DEGREE_RAD, rel=1e-15) == 60 * MOA_RAD


def test_every_unit_has_a_kind_the_house_knows_and_a_positive_factor():
    assert {unit.kind for unit in UNITS.values()} == KINDS
    assert all(unit.factor > 0 for unit in UNITS.values())


def test_only_temperatures_have_an_offset():
    assert {u.kind for u in UNITS.values() if u.offset} == {"temperature"}


def test_every_kind_has_a_unit_that_is_si_itself():
    si = {unit.kind for unit in UNITS.values() if unit.factor == 1.0 and unit.offset == 0.0}
    assert si == KINDS - {"fraction"}


@LAW
@given(st.sampled_from(sorted(UNITS)), st.floats(-1e4, 1e4))
def test_there_and_back_returns_the_number(name, number):
    unit = UNITS[name]
    si = number * unit.factor + unit.offset
    # double precision against an offset of some hundreds of kelvin
    assert (si - unit.offset) / unit.factor == pytest.approx(number, rel=1e-12, abs=1e-9)
