from dataclasses import replace

import numpy as np
import pytest
from exact_units import GRAIN_KG, YARD_M
from sessions import bare, groups, rig, truth_near

from tapewright.calibration.rig import Belief
from tapewright.confidence.bands import drawn_marks
from tapewright.ground.errors import BadInput
from tapewright.services.calibrate import calibrate
from tapewright.services.change_rig import Butt, change_rig, confirming_steps
from tapewright.services.meet_weather import before_arrows_in

OLD = rig()
HEAVY = replace(OLD, arrow=replace(OLD.arrow, mass_kg=Belief(500 * GRAIN_KG, 2 * GRAIN_KG)))
AT_M = np.array([20, 40, 60, 80]) * YARD_M
GRID_M = np.arange(9, 126) * YARD_M
BUTT = Butt(0.9, 0.9)


@pytest.fixture(scope="module")
def old():
    return calibrate(OLD, groups(OLD, truth_near(OLD)), AT_M, GRID_M)


@pytest.fixture(scope="module")
def heavy(old):
    return change_rig(old, HEAVY, (), GRID_M, BUTT)


def test_a_heavier_arrow_needs_farther_marks_and_costs_trust(old, heavy):
    assert heavy.new.posterior.method == "carried"
    assert (heavy.new.bands.reading_m > old.bands.reading_m).all()
    width = [one.high_m - one.low_m for one in (old.bands, heavy.new.bands)]
    assert (width[1] > width[0]).all()
    assert heavy.new.trusted_m[0] == 0.0  # nothing, until a group with the new arrow fits
    assert 0 < heavy.new.once_zeroed_m[0] < old.trusted_m[0]
    assert heavy.wanted_m == old.trusted_m[0]
    assert not heavy.is_restored


def test_confirming_groups_bring_the_trust_back(heavy):
    assert heavy.gets_there
    assert 2 <= len(heavy.steps) == len(heavy.readings_m) <= 5
    dialled = drawn_marks(heavy.new.posterior, [step.distance_m for step in heavy.steps])
    assert heavy.readings_m == pytest.approx(np.median(dialled, axis=0))
    halves = 0.5 * (np.quantile(dialled, 0.95, axis=0) - np.quantile(dialled, 0.05, axis=0))
    assert heavy.half_bands_m == pytest.approx(halves, rel=0.05)
    assert heavy.steps[0].distance_m <= 9.144 + 1e-6  # one near arrow first
    assert heavy.steps[0].arrows == 2
    # then no farther than the old arrows had hit: 70 yd
    assert heavy.steps[1].distance_m <= 70 * YARD_M + 1e-6
    assert all(step.is_safe for step in heavy.steps)
    assert all(step.distance_m <= heavy.wanted_m + 1e-6 for step in heavy.steps)


def test_nobody_is_sent_farther_than_the_sheet_says_they_shoot(old, heavy):
    near = replace(HEAVY, archer=replace(HEAVY.archer, farthest_m=50 * YARD_M))
    found = change_rig(old, near, (), GRID_M, BUTT)
    assert heavy.wanted_m > found.wanted_m == 50 * YARD_M
    assert found.gets_there
    assert max(step.distance_m for step in found.steps) <= 50 * YARD_M + 1e-6


def test_cold_lets_the_steps_begin_anew(old, heavy):
    cold = before_arrows_in(heavy.new, 250.0)
    assert (cold.ladder.hit_m, cold.ladder.before_m) == (0.0, pytest.approx(70 * YARD_M))
    assert [one.kind for one in cold.cautions] == ["carried"]  # no arrow was shot in any air yet
    shot = before_arrows_in(old, 250.0)
    assert (shot.ladder.hit_m, shot.ladder.before_m) == (0.0, pytest.approx(10 * YARD_M))
    assert [(one.kind, one.subject) for one in shot.cautions][-1] == ("other air", "today")
    usual = before_arrows_in(old, OLD.air.temperature_k)
    assert (usual.ladder, usual.cautions) == (old.ladder, old.cautions)


def test_the_new_strip_says_that_no_arrow_was_shot_since(heavy):
    assert [one.kind for one in heavy.new.cautions] == ["carried"]
    assert heavy.new.posterior.calibration.evidence.prior.assumed == ()


def test_new_arrows_are_weighed_in(old, heavy):
    truth = truth_near(HEAVY, log_speed=float(np.log(77.0)))
    shot = groups(HEAVY, truth, (40, 60))
    found = change_rig(old, HEAVY, shot, GRID_M, BUTT)
    assert found.new.posterior.method == "importance sampling"
    assert found.new.trusted_m[0] > heavy.new.trusted_m[0]
    assert found.new.fingerprint != heavy.new.fingerprint
    assert "few arrows" not in [one.kind for one in found.new.cautions]


def test_arrows_that_contradict_the_change_are_told(old):
    truth = truth_near(HEAVY, log_speed=float(np.log(70.0)))
    found = change_rig(old, HEAVY, groups(HEAVY, truth, (20, 30, 40, 50, 60, 70)), GRID_M, BUTT)
    kinds = {one.kind for one in found.new.cautions}
    assert "change contradicted" in kinds
    assert "sheet contradicted" not in kinds


def test_no_change_loses_nothing(old):
    found = change_rig(old, OLD, (), GRID_M, BUTT)
    assert found.new.bands.reading_m == pytest.approx(old.bands.reading_m)
    assert found.new.once_zeroed_m == old.once_zeroed_m
    assert not found.differs


def test_the_same_seed_gives_the_same_answer(old, heavy):
    again = change_rig(old, HEAVY, (), GRID_M, BUTT)
    assert again.new.fingerprint == heavy.new.fingerprint
    assert again.new.bands.reading_m == pytest.approx(heavy.new.bands.reading_m, abs=0)
    other = change_rig(old, HEAVY, (), GRID_M, BUTT, new_string=True)
    assert other.new.fingerprint != heavy.new.fingerprint


def test_another_sight_carries_nothing_over(old):
    sight = replace(OLD.sight, reading_per_travel=Belief(2.0, 0.05))
    with pytest.raises(BadInput, match="no old reading carries over"):
        change_rig(old, replace(OLD, sight=sight), (), GRID_M, BUTT)


def test_a_gain_in_trust_asks_for_no_arrow(old, heavy):
    speed = float(np.median(heavy.new.posterior.vectors[:, 0]))
    shot = groups(HEAVY, truth_near(HEAVY, log_speed=speed), (60, 80))
    back = change_rig(heavy.new, HEAVY, shot, GRID_M, BUTT)
    assert back.wanted_m == heavy.new.once_zeroed_m[0]
    assert back.is_restored
    assert back.steps == ()
    assert not back.gets_there
    assert old.trusted_m[0] > 0


def test_no_groups_are_asked_for_where_the_sight_does_not_reach(heavy):
    assert confirming_steps(heavy.new, 2.0, BUTT) == ()  # not one distance to shoot at
    rig_ = replace(HEAVY, sight=replace(HEAVY.sight, travel_ends_m=(-0.5, -0.4)))
    stopped = calibrate(
        rig_, (), AT_M, GRID_M, carried=heavy.new.posterior.calibration.evidence.prior
    )
    assert confirming_steps(stopped, 60 * YARD_M, BUTT) == ()


@pytest.fixture(scope="module")
def typed():
    """Marks that somebody typed, a measured clearance, and no arrow measured."""
    marked = replace(OLD, sight=replace(OLD.sight, clearance_reading_m=0.09))
    marks = tuple(bare(one, 3) for one in groups(marked, truth_near(marked), (20, 40, 60)))
    return calibrate(marked, marks, AT_M, GRID_M)


def test_marks_typed_before_a_change_tie_the_scale_as_arrows_do(typed):
    heavy = replace(typed.rig, arrow=HEAVY.arrow)
    found = change_rig(typed, heavy, (), GRID_M, BUTT)
    assert found.new.posterior.method == "carried"
    assert not found.new.posterior.is_set_by_eye
    assert found.new.ladder.before_m == 0.0  # they raise nothing
    assert found.steps[0].distance_m <= 9.144 + 1e-6
    assert found.new.questions == ()  # a caution, as for arrows
    kinds = [one.kind for one in found.new.limits.found]
    assert "measured clearance" in kinds  # it may be used: readings are known
    again = change_rig(found.new, typed.rig, (), GRID_M, BUTT)
    assert not again.new.posterior.is_set_by_eye


def test_a_change_of_a_rig_that_was_never_shot_knows_no_reading():
    measured = replace(OLD, sight=replace(OLD.sight, clearance_reading_m=0.09))
    never = calibrate(measured, (), AT_M, GRID_M)
    found = change_rig(never, replace(measured, arrow=HEAVY.arrow), (), GRID_M, BUTT)
    assert found.new.posterior.is_set_by_eye
    assert [one.kind for one in found.new.limits.found] == []
    assert found.new.questions[0] == "bow.draw_weight"
