"""Scales beyond the fit: carried draws, groups left out, a proof, and the next step."""

from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import group, groups, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.checks import group_checks
from tapewright.confidence.ladder import ladder_of
from tapewright.confidence.leaving_out import left_out
from tapewright.confidence.misses import misses_of
from tapewright.confidence.posterior import draw_posterior
from tapewright.field.change import carried_prior
from tapewright.sight.stickings import Sticking
from tapewright.sight.tape import Tape, Ticks

ENDS_M = (20 * YARD_M, 60 * YARD_M)
AT_M = np.array([40.0]) * YARD_M
STUCK = (Sticking("tape", 0.3e-3),)


def taped(sheet):
    tape = Tape("tape", "m", (Ticks((20.0, 60.0), (0.01, 0.03)),))
    return replace(sheet, sight=replace(sheet.sight, tape=tape))


@pytest.fixture(scope="module")
def sheet():
    return rig()


@pytest.fixture(scope="module")
def shots(sheet):
    return groups(sheet, truth_near(sheet), arrows=8)


def sd_mm(posterior):
    return 1e3 * float(np.std(drawn_marks(posterior, AT_M)))


@pytest.fixture(scope="module")
def known(sheet, shots):
    return draw_posterior(fit_bow(sheet, shots), np.random.default_rng(1))


def test_draws_of_a_tape_nobody_shot_hold_its_sticking(sheet, shots, known):
    stuck = draw_posterior(fit_bow(taped(sheet), shots), np.random.default_rng(1))
    assert sd_mm(stuck) ** 2 - sd_mm(known) ** 2 == pytest.approx(0.09, abs=0.03)


def test_a_tape_that_lies_anywhere_is_drawn_as_soon_and_its_length_known_as_well(sheet, shots):
    """50 mm: marks are anywhere together, and a strip is as long as on the gauge."""
    tape = replace(taped(sheet).sight.tape, sd_m=50e-3)
    anywhere = replace(sheet, sight=replace(sheet.sight, tape=tape))
    lost = draw_posterior(fit_bow(anywhere, shots), np.random.default_rng(1))
    known = draw_posterior(fit_bow(sheet, shots), np.random.default_rng(1))
    assert lost.method == known.method == "importance sampling"
    assert sd_mm(lost) == pytest.approx(50.0, rel=0.1)
    lengths_mm = [1e3 * np.diff(drawn_marks(one, ENDS_M)).std() for one in (lost, known)]
    assert lengths_mm[0] == pytest.approx(lengths_mm[1], rel=0.2)


def test_draws_carried_over_hold_the_sticking_since(sheet, known):
    prior = carried_prior(known.vectors, sheet, 60 * YARD_M, is_zeroed=True)
    same = draw_posterior(fit_bow(sheet, (), prior), np.random.default_rng(1))
    stuck = draw_posterior(fit_bow(taped(sheet), (), prior), np.random.default_rng(1))
    assert same.vectors is prior.cloud
    assert sd_mm(stuck) ** 2 - sd_mm(same) ** 2 == pytest.approx(0.09, abs=0.015)


def test_arrows_on_the_old_tape_do_not_tell_the_new_one_twice(sheet, known):
    """Carried and confirmed on the gauge, then stuck: the whole sticking stays, not a part."""
    prior = carried_prior(known.vectors, sheet, 60 * YARD_M, is_zeroed=True)
    more = groups(sheet, truth_near(sheet), (30, 50), 12)
    same = draw_posterior(fit_bow(sheet, more, prior), np.random.default_rng(1))
    stuck = draw_posterior(fit_bow(taped(sheet), more, prior), np.random.default_rng(1))
    assert sd_mm(stuck) ** 2 - sd_mm(same) ** 2 == pytest.approx(0.09, abs=0.02)


def test_a_group_left_out_is_judged_on_its_own_scale(sheet, shots):
    """The gauge's groups know each other's zero, however the tape that is on was stuck."""
    on_gauge = left_out(fit_bow(sheet, shots), 2)
    on_tape = left_out(fit_bow(taped(sheet), shots), 2)
    for left in (on_gauge, on_tape):
        _, doubt = left.offsets((left.written,))
        assert 1e3 * doubt[0] == pytest.approx(0.35, abs=0.1)
    assert on_gauge.told is on_gauge.posterior
    assert sd_mm(on_tape.told) > sd_mm(on_tape.posterior) + 0.05


def test_a_group_12_mm_off_on_the_gauge_is_odd_on_the_tape(sheet, shots):
    wrong = replace(shots[2], reading_m=shots[2].reading_m + 0.012)
    checks = group_checks(fit_bow(taped(sheet), (*shots[:2], wrong, *shots[3:])))
    assert [one.is_odd for one in checks] == [False, False, True, False, False, False]


def test_a_proof_on_another_scale_is_doubted_by_its_sticking(sheet, known):
    shot = groups(sheet, truth_near(sheet), (25, 55), 6)
    same = misses_of(known, shot, ENDS_M)
    other = misses_of(known, tuple(replace(one, scales=STUCK) for one in shot), ENDS_M)
    more = other.covariance - same.covariance
    # 0.3 mm of reading over a scale of 1.34 m: 0.224 mrad, the same for both groups
    assert 1e6 * more[:2, :2] == pytest.approx(np.full((2, 2), 0.0501), abs=0.004)
    assert np.all(more[2:, :] == 0.0)


def test_one_near_arrow_comes_first_on_a_tape_that_was_stuck_on(sheet, shots):
    checks = group_checks(fit_bow(sheet, shots))
    before = ladder_of(shots, checks, on=STUCK)
    assert (before.hit_m, before.before_m) == (0.0, pytest.approx(70 * YARD_M))
    assert before.farthest_m == pytest.approx(10 * YARD_M)
    near = replace(group(sheet, truth_near(sheet), 10 * YARD_M, 3, name="near"), scales=STUCK)
    both = (*shots, near)
    after = ladder_of(both, group_checks(fit_bow(taped(sheet), both)), on=STUCK)
    assert after.farthest_m == pytest.approx(70 * YARD_M)
