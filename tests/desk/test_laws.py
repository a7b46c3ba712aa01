"""Laws of drag and own beliefs, asked through the front door."""

from dataclasses import replace

import numpy as np
import pytest

import tapewright.api as tw
from tapewright.flight.drag import DragShape
from tapewright.flight.steps import shaped_crossing

AT_M = np.array([18.288, 54.864, 91.44])


def with_law(bench, law):
    arrow = replace(bench.rig.arrow, drag_law=law)
    return tw.calibrate(replace(bench.rig, arrow=arrow), bench.shots, AT_M)


def test_a_law_that_does_not_change_gives_the_marks_of_constant_drag(bench):
    # two ways to fly, one by quadrature and one by steps, under one calibration
    flat = with_law(bench, tw.TabulatedDrag((1e3, 1e6), (2.1, 2.1)))
    for name in ("reading_m", "low_m", "high_m"):
        ours, theirs = (getattr(one.bands, name) for one in (flat, bench.answer))
        assert ours == pytest.approx(theirs, abs=1e-8)  # 0.00001 mm
    assert flat.fingerprint != bench.answer.fingerprint


def test_a_law_that_changes_moves_marks_where_arrows_are_few(bench):
    step = with_law(bench, tw.TransitionDrag(2.2e4)).bands.reading_m
    off_m = np.abs(step - bench.answer.bands.reading_m)
    assert off_m.max() < 1e-3  # arrows tell most of it
    assert off_m.max() > 2e-5


@pytest.mark.parametrize(
    ("law", "near_mm"),
    [
        (tw.TransitionDrag(2.2e4), 0.001),
        (tw.TabulatedDrag((1e4, 2e4, 2.3e4, 4e4), (1.5, 1.6, 2.5, 2.6)), 0.15),
    ],
)
def test_the_steps_of_a_calibration_are_fine_enough(law, near_mm, monkeypatch):
    shape, speed = DragShape(law, 410.0), np.array([45.0, 60.0, 90.0])
    ours = shaped_crossing(shape, speed, 0.08, 0.0019, 114.3).across_m
    monkeypatch.setattr("tapewright.flight.steps.SHAPED_STEPS", 3000)
    finer = shaped_crossing(shape, speed, 0.08, 0.0019, 114.3).across_m
    assert 1e3 * np.abs(ours - finer).max() < near_mm


def test_own_beliefs_change_what_is_told_of_them(bench):
    own = tw.Beliefs(wobble_rad=tw.Belief(1.5e-3, 0.05e-3))
    wide = tw.calibrate(replace(bench.rig, beliefs=own), bench.shots, AT_M)
    told = next(one for one in wide.estimates if one.name == "wobble")
    assert told.sheet == pytest.approx(1.5e-3)
    width, usual = ((one.bands.high_m - one.bands.low_m)[2] for one in (wide, bench.answer))
    assert width > 1.5 * usual
