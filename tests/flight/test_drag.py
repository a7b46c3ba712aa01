import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tapewright.flight.drag import (
    TransitionDrag,
    constant_drag,
    drag_per_metre,
    reynolds_number,
)

LAW = settings(deadline=None, derandomize=True, max_examples=60)


def test_no_air_no_drag():
    assert drag_per_metre(0.0, 2.0, 6e-3, 0.023) == 0.0


@LAW
@given(st.floats(0.9, 1.4), st.floats(1.3, 3.0), st.floats(4e-3, 10e-3), st.floats(0.015, 0.04))
def test_drag_answers_to_each_of_its_causes(density, coefficient, diameter, mass):
    usual = drag_per_metre(density, coefficient, diameter, mass)
    assert drag_per_metre(2 * density, coefficient, diameter, mass) == pytest.approx(2 * usual)
    assert drag_per_metre(density, 2 * coefficient, diameter, mass) == pytest.approx(2 * usual)
    assert drag_per_metre(density, coefficient, 2 * diameter, mass) == pytest.approx(4 * usual)
    assert drag_per_metre(density, coefficient, diameter, 2 * mass) == pytest.approx(usual / 2)


def test_reynolds_number_is_speed_times_diameter_over_kinematic_viscosity():
    number = reynolds_number(np.array([50.0, 60.0]), 6e-3, 1.2, 1.8e-5)
    assert number == pytest.approx([20000.0, 24000.0], rel=1e-12)


def test_constant_drag_is_the_same_at_every_speed():
    assert np.all(constant_drag(1.9)(np.array([1e3, 1e4, 1e5])) == 1.9)


@LAW
@given(st.floats(5e3, 4e4), st.floats(5e3, 4e4))
def test_transition_rises_with_speed_between_its_ends(one, other):
    law = TransitionDrag(1.6e4, laminar=1.4, turbulent=2.5)
    slow, fast = law(np.array(sorted([one, other])))
    assert 1.4 <= slow <= fast <= 2.5


def test_transition_is_half_done_in_the_middle():
    assert TransitionDrag(1.6e4, 1.4, 2.6)(np.array(1.6e4)) == pytest.approx(2.0, abs=1e-12)
