"""Stickings between scales: against a dense integral, against what they must tell, and the law."""

from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from scipy.integrate import trapezoid
from scipy.stats import norm
from sessions import group, groups, rig, truth_near

from tapewright.calibration.evidence import evidence_from
from tapewright.calibration.fit import fit_bow
from tapewright.calibration.misfit import log_posterior, with_set_up_doubt
from tapewright.calibration.sticking import steps_between
from tapewright.sight.prediction import mark
from tapewright.sight.stickings import Sticking
from tapewright.sight.tape import Tape, Ticks

FIRST, SECOND = Sticking("first", 0.3e-3), Sticking("second", 0.5e-3)
ALONE = Sticking("alone", 50e-3)


def taped(sheet, *scales, sd_m=0.3e-3, name="tape"):
    """The sheet with a tape on whose scale marks are told."""
    ticks = Ticks((20.0, 60.0), (0.01, 0.03))
    tape = Tape(name, "m", (ticks,), sd_m, scales)
    return replace(sheet, sight=replace(sheet.sight, tape=tape))


def on(scales, shots, by_m=0.0):
    """The same groups, read on a scale that shows so much more."""
    return tuple(replace(one, scales=scales, reading_m=one.reading_m + by_m) for one in shots)


def test_which_stickings_lie_between():
    assert steps_between([(), ()], ()) is None
    assert steps_between([(FIRST,), (FIRST,)], (FIRST,)) is None
    found = steps_between([(), (FIRST,), (FIRST, SECOND), (ALONE,)], (FIRST, SECOND))
    assert found.sd_m.tolist() == [0.3e-3, 0.5e-3, 50e-3]
    assert found.of_groups.tolist() == [[1, 1, 0], [0, 1, 0], [0, 0, 0], [1, 1, -1]]
    assert found.of_prior.tolist() == [0, 0, 0]
    carried = steps_between([(FIRST,)], (FIRST,), ())
    assert carried.of_prior.tolist() == [-1]
    assert carried.of_groups.tolist() == [[0]]


@pytest.mark.parametrize("sd_m", [0.3e-3, 3e-3, 50e-3])
def test_likelihood_agrees_with_dense_integration(sd_m):
    """Three groups on the gauge, three on a tape that lies 0.4 mm off: one sticking."""
    sheet = taped(rig(), sd_m=sd_m)
    truth = truth_near(sheet, {"log_speed": 0.5})
    shots = groups(sheet, truth, (20, 40, 60, 25, 45, 65), 4, scales=sheet.sight.scales)
    some = (*on((), shots[:3], 0.4e-3), *shots[3:])
    evidence = with_set_up_doubt(evidence_from(sheet, some), truth.vector)
    rng = np.random.default_rng(3)
    vectors = truth.vector + 0.05 * evidence.prior.sd * rng.standard_normal((6, len(truth.vector)))
    vectors[:, evidence.prior.unknowns.place("zero_tangent")] = truth.vector[3]
    grid = np.linspace(-2.5e-3, 2.5e-3, 401)
    heights = []
    for step_m in grid:
        shifted = on(sheet.sight.scales, some[:3], step_m)
        moved = evidence_from(sheet, (*shifted, *some[3:]))
        assert moved.steps is None
        moved = replace(moved, set_up_sd_rad=evidence.set_up_sd_rad)
        heights.append(log_posterior(moved, vectors))
    dense = np.array(heights).T + norm.logpdf(grid, 0.0, sd_m)
    most = dense.max(axis=1, keepdims=True)
    exact = most[:, 0] + np.log(trapezoid(np.exp(dense - most), grid, axis=1))
    assert log_posterior(evidence, vectors) == pytest.approx(exact, abs=0.02)


def marks_mm(sheet, shots, **how):
    fitted = fit_bow(sheet, shots, **how)
    at_m = np.array([30.0, 50.0]) * YARD_M
    return 1e3 * mark(fitted.evidence.prior.unknowns.bow(fitted.best), at_m)


def test_marks_of_a_tape_nobody_shot_are_those_of_the_gauge():
    sheet = rig()
    shots = groups(sheet, truth_near(sheet))
    assert marks_mm(taped(sheet), shots) == pytest.approx(marks_mm(sheet, shots), abs=0.01)


def test_a_group_on_the_tape_tells_where_it_lies():
    """Stuck 0.5 mm off: after many arrows on it marks are those of the tape's own scale."""
    sheet = rig()
    truth = truth_near(sheet)
    shots = groups(sheet, truth)
    near = group(sheet, truth, 30 * YARD_M, 40, name="on it")
    tape = taped(sheet)
    seen = on(tape.sight.scales, (near,), 0.5e-3)
    moved = marks_mm(tape, (*shots, *seen)) - marks_mm(sheet, shots)
    assert (moved > 0.25).all()
    assert (moved < 0.5).all()


def test_aligned_by_shooting_the_group_is_all_that_tells():
    """Stuck anywhere, 7 mm off: the one group on it carries the whole of that."""
    sheet = rig()
    truth = truth_near(sheet)
    shots = groups(sheet, truth)
    tape = taped(sheet, sd_m=50e-3)
    seen = on(tape.sight.scales, (group(sheet, truth, 30 * YARD_M, 6, name="a"),), 7e-3)
    moved = marks_mm(tape, (*shots, *seen)) - marks_mm(sheet, shots)
    assert moved == pytest.approx([7.0, 7.0], abs=0.1)


def test_a_second_tape_keeps_what_the_first_was_told():
    """The gauge's and the first tape's arrows count on the second, the nearer one's more."""
    sheet = rig()
    truth = truth_near(sheet)
    shots = groups(sheet, truth)
    first, second = (FIRST,), (FIRST, SECOND)
    seen = on(first, groups(sheet, truth, (25, 45), 12), 0.4e-3)
    by_first, by_second = (
        marks_mm(sheet, (*shots, *seen), on=scales) for scales in (first, second)
    )
    assert by_second == pytest.approx(by_first, abs=0.01)


def test_sizes_of_doubt_add_up():
    """0.3 mm and 0.5 mm of sticking are 0.58 mm beside what the gauge's own groups leave open."""
    sheet = rig()
    shots = groups(sheet, truth_near(sheet), arrows=30)
    at_m = np.array([30.0]) * YARD_M

    def sd_mm(scales):
        fitted = fit_bow(sheet, shots, on=scales)
        unknowns = fitted.evidence.prior.unknowns
        steps = np.linalg.cholesky(fitted.covariance) @ np.random.default_rng(1).standard_normal(
            (len(fitted.best), 4000)
        )
        return 1e3 * np.std(mark(unknowns.bow(fitted.best + steps.T), at_m))

    none, one, two = sd_mm(()), sd_mm((FIRST,)), sd_mm((FIRST, SECOND))
    assert np.sqrt(one**2 - none**2) == pytest.approx(0.3, abs=0.02)
    assert np.sqrt(two**2 - none**2) == pytest.approx(0.583, abs=0.03)
