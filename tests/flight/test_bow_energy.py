import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tapewright.flight.bow_energy import (
    kinetic_energy,
    launch_speed,
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
