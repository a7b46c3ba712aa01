import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tapewright.ground import units
from tapewright.ground.units import UNITS

KINDS = {"length", "mass", "speed", "force", "angle", "temperature", "pressure", "energy",
         "momentum", "fraction"}  # fmt: skip
LAW = settings(deadline=None, derandomize=True, max_examples=60)


# In SI, written out to the digits of NIST SP 811 Appendix B; angles from a circle's 2π.
DEFINED = {
    "INCH_M": 0.0254, "FOOT_M": 0.3048, "YARD_M": 0.9144,
    "POUND_KG": 0.45359237, "GRAIN_KG": 64.79891e-6, "OUNCE_KG": 28.349523125e-3,
    "POUND_FORCE_N": 4.4482216152605, "FOOT_POUND_J": 1.3558179483314,
    "INCH_OF_MERCURY_PA": 3386.389, "MM_OF_MERCURY_PA": 133.322387415, "HPA_PA": 100.0,
    "KMH_MPS": 0.2777777777777778, "MPH_MPS": 0.44704, "KNOT_MPS": 0.5144444444444445,
    "DEGREE_RAD": 0.017453292519943295, "MOA_RAD": 2.908882086657216e-4, "MRAD": 0.001,
    "MM_M": 0.001, "CM_M": 0.01, "ZERO_CELSIUS_K": 273.15,
}  # fmt: skip


def test_every_factor_is_the_defined_one():
    named = {
        key: one for key, one in vars(units).items() if isinstance(one, float) and key.isupper()
    }
    assert named == pytest.approx(DEFINED, rel=1e-13)  # as many digits as are written above


def test_seven_thousand_grains_are_a_pound():
    assert 7000 * DEFINED["GRAIN_KG"] == pytest.approx(0.45359237, rel=1e-15)


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
