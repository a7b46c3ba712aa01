import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tapewright.flight.drag import (
    DragShape,
    TabulatedDrag,
    TransitionDrag,
    constant_drag,
    drag_per_metre,
    reynolds_number,
)
from tapewright.ground.errors import BadInput

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


def test_a_table_is_joined_over_the_logarithm_and_stays_beyond_its_ends():
    law = TabulatedDrag((1e4, 4e4), (1.5, 2.5))
    assert law(np.array([5e3, 1e4, 2e4, 4e4, 9e4])) == pytest.approx([1.5, 1.5, 2.0, 2.5, 2.5])
    assert TabulatedDrag(np.array([1e4, 4e4]), [1.5, 2.5]) == law


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (((1e4,), (1.5,)), "reynolds: 1 numbers for 1 coefficients"),
        (((1e4, 1e4), (1.5, 2.5)), "reynolds: they do not grow"),
        (((1e4, 4e4), (1.5, -2.5)), r"drag_coefficient\[1\]: -2.5 is outside 0.05 to 50"),
        (("1e4", (1.5, 2.5)), "reynolds: '1e4' is no row of numbers"),
        ((1e4, 1.5), "reynolds: 10000 is no row of numbers"),
    ],
)
def test_a_table_that_tells_no_law_is_refused(given, told):
    with pytest.raises(BadInput, match=told):
        TabulatedDrag(*given)


def test_a_shape_is_one_at_sixty_metres_a_second():
    shape = DragShape(TabulatedDrag((1e4, 4e4), (1.5, 2.5)), 400.0)
    assert shape.at_reference == pytest.approx(1.5 + np.log(2.4) / np.log(4.0))
    slow = 1.5 / shape.at_reference
    assert shape.share(np.array([60.0, 25.0]), 1.0) == pytest.approx([1.0, slow])
    # twice the air, twice the Reynolds number
    assert shape.share(np.array([30.0]), 2.0) == pytest.approx([1.0])
