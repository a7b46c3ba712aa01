"""Flight by steps: a law that does not change gives what the quadrature gives."""

import numpy as np
import pytest

from tapewright.flight.air import STANDARD_AIR
from tapewright.flight.drag import DragShape, TabulatedDrag, TransitionDrag, drag_per_metre
from tapewright.flight.steps import crossing_by_steps, shaped_crossing, shaped_gradient
from tapewright.flight.trajectory import Wind, crossing, crossing_gradient

SPEED = np.array([48.0, 61.0, 85.0])
FLAT = DragShape(TabulatedDrag((1e3, 1e6), (2.1, 2.1)), 400.0)
STEP = DragShape(TransitionDrag(2.2e4), 410.0)


@pytest.mark.parametrize("slope", [0.0, -0.5, 0.4])
def test_a_law_that_does_not_change_is_constant_drag(slope):
    wind = Wind(-3.0, 5.0)
    ours = shaped_crossing(FLAT, SPEED, 0.06, 0.0019, 80.0, slope, wind)
    theirs = crossing(SPEED, 0.06, 0.0019, 80.0, slope, wind)
    for name in ("across_m", "right_m", "time_s", "speed_mps", "tilt"):
        # 0.001 mm; speed and tilt of the quadrature are good to 1e-3 and 1e-5
        near = 2e-5 if name in ("speed_mps", "tilt") else 1e-6
        assert getattr(ours, name) == pytest.approx(getattr(theirs, name), abs=near), name


def test_a_law_that_changes_flies_as_with_twice_the_steps():
    per_coefficient = drag_per_metre(STANDARD_AIR.density_kg_m3, 1.0, 6e-3, 0.024)
    reynolds = STANDARD_AIR.density_kg_m3 * 6e-3 / STANDARD_AIR.viscosity_pa_s
    shape = DragShape(TransitionDrag(2.2e4), reynolds)
    drag = per_coefficient * shape.at_reference
    ours = shaped_crossing(shape, SPEED, 0.05, drag, 100.0)
    twice = crossing_by_steps(SPEED, 0.05, 0.024, 6e-3, shape.law, STANDARD_AIR, 100.0)
    assert ours.across_m == pytest.approx(twice.across_m, abs=1e-6)
    constant = crossing(SPEED, 0.05, drag, 100.0)
    assert np.abs(ours.across_m - constant.across_m).max() > 0.02


def test_denser_air_moves_the_step_to_slower_arrows():
    thin, dense = (
        shaped_crossing(STEP, 52.0, 0.05, 0.0016, 60.0, density_ratio=ratio) for ratio in (0.9, 1.1)
    )
    assert dense.speed_mps < thin.speed_mps - 0.1  # of the same drag at 60 m/s


@pytest.mark.parametrize("slope", [0.0, 0.35])
def test_derivatives_of_a_law_that_does_not_change_are_those_by_hand(slope):
    ours = shaped_gradient(FLAT, SPEED, 0.04, 0.0019, 70.0, slope)
    by_hand = crossing_gradient(SPEED, 0.04, 0.0019, 70.0, slope)
    for name in ("across_m", "by_speed", "by_angle", "by_drag", "by_along"):
        told = getattr(by_hand, name)
        assert getattr(ours, name) == pytest.approx(told, rel=2e-5, abs=1e-6), name


def test_derivatives_foretell_a_small_change():
    here = shaped_gradient(STEP, SPEED, 0.04, 0.0019, 70.0)
    there = shaped_crossing(STEP, SPEED + 0.1, 0.041, 0.00195, 70.0).across_m
    told = 0.1 * here.by_speed + 0.001 * here.by_angle + 0.00005 * here.by_drag
    assert there - here.across_m == pytest.approx(told, abs=1.5e-3)


def test_an_arrow_that_does_not_arrive_says_so():
    assert np.isnan(shaped_crossing(STEP, 20.0, 1.2, 0.0019, 300.0).across_m)
