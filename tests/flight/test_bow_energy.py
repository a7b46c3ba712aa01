import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tapewright.flight.bow_energy import (
    kinetic_energy,
    launch_speed,
    least_arrow_mass,
    least_draw_weight,
    power_stroke,
    stored_energy,
    virtual_mass,
)

LAW = settings(deadline=None, derandomize=True, max_examples=80)
masses = st.floats(0.015, 0.045)
energies = st.floats(30.0, 140.0)
virtuals = st.floats(0.001, 0.012)


@LAW
@given(energies, masses, virtuals)
def test_energy_returns_from_its_own_speed(energy, mass, virtual):
    speed = launch_speed(energy, mass, virtual)
    assert stored_energy(speed, mass, virtual) == pytest.approx(energy, rel=1e-12)


@LAW
@given(energies, masses, virtuals)
def test_a_heavier_arrow_is_slower_and_carries_more_energy(energy, mass, virtual):
    light, heavy = launch_speed(energy, mass, virtual), launch_speed(energy, 1.2 * mass, virtual)
    assert heavy < light
    assert kinetic_energy(light, mass) < kinetic_energy(heavy, 1.2 * mass) < energy


@LAW
@given(energies, masses, virtuals)
def test_virtual_mass_returns_from_two_speeds(energy, mass, virtual):
    light, heavy = launch_speed(energy, mass, virtual), launch_speed(energy, 1.3 * mass, virtual)
    assert virtual_mass(mass, light, 1.3 * mass, heavy) == pytest.approx(virtual, rel=1e-9)


def test_power_stroke_is_what_draw_adds_to_brace():
    assert power_stroke(0.74, 0.17) - power_stroke(0.73, 0.17) == pytest.approx(0.01, abs=1e-12)
    assert power_stroke(0.74, 0.17) == pytest.approx(0.74 - 0.04445 - 0.17, abs=1e-12)


def test_five_grains_a_pound_or_what_the_maker_says_whichever_is_more():
    seventy_lbf_n, grain_kg = 311.37551, 64.79891e-6
    assert least_arrow_mass(seventy_lbf_n) == pytest.approx(350.0 * grain_kg, rel=1e-6)
    assert least_arrow_mass(seventy_lbf_n, 420 * grain_kg) == pytest.approx(420 * grain_kg)
    assert least_arrow_mass(seventy_lbf_n, 300 * grain_kg) == pytest.approx(350 * grain_kg)


def test_an_energy_tells_the_least_draw_weight_that_stores_it():
    # 0.95 of the peak force times half a metre
    assert least_draw_weight(95.0, 0.5) == pytest.approx(200.0)
    assert least_draw_weight(95.0, 0.4) == pytest.approx(250.0)
