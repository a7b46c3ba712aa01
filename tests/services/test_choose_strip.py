import numpy as np
import pytest
from exact_units import FOOT_M, YARD_M
from sessions import bare, groups, rig, truth_near

from tapewright.calibration.rig import Belief
from tapewright.ground.errors import LaunchUnreachable
from tapewright.services.calibrate import calibrate
from tapewright.services.choose_strip import ReadyStrip, farthest_tick, find_neighbours, rank_set

GRID_M = np.arange(10, 126) * YARD_M
TICKS_M = np.arange(20, 81, 10) * YARD_M
ENDS_M = (20 * YARD_M, 60 * YARD_M)


@pytest.fixture(scope="module")
def session():
    sheet = rig()
    truth = truth_near(sheet)
    shots = groups(sheet, truth, (20, 40, 60, 80), arrows=6)
    return truth, calibrate(sheet, shots, TICKS_M, GRID_M)


def strip(truth, factor=1.0, name="a"):
    marks = truth.marks(TICKS_M)
    return ReadyStrip(name, TICKS_M, (marks - marks[0]) * factor)


def test_neighbours_differ_by_the_step_asked_for(session):
    found = find_neighbours(session[1], TICKS_M, ENDS_M, 0.4e-3)
    less, same, more = found.strips
    assert more.span_m - same.span_m == pytest.approx(0.4e-3)
    assert same.reading_m[0] == pytest.approx(session[1].bands.reading_m)
    assert found.impact_m.shape == (3, len(TICKS_M))
    # arrows high far out: the shorter strip brings them down
    assert found.impact_m[0][-1] < 0 < found.impact_m[2][-1]
    assert less.span_m < same.span_m


def test_a_set_is_ranked_and_judged(session):
    truth, answer = session
    strips = (strip(truth, 1.2, "long"), strip(truth))
    chosen = rank_set(answer, strips, farthest_tick(strips))
    assert chosen.farthest_m == TICKS_M[-1]
    assert chosen.ranked[0].strip.name == "a"
    assert chosen.best_is_good
    assert not rank_set(answer, strips[:1], TICKS_M[-1]).best_is_good


def test_two_bare_marks_choose_too(session):
    truth, _ = session
    sheet = rig()
    marks = tuple(bare(one, 3) for one in groups(sheet, truth, (20, 60)))
    answer = calibrate(sheet, marks, TICKS_M, GRID_M)
    strips = tuple(strip(truth, factor, f"{factor}") for factor in (0.8, 1.0, 1.2))
    assert rank_set(answer, strips, TICKS_M[-1]).ranked[0].strip.name == "1.0"


def test_a_set_for_farther_than_the_arrow_flies_is_refused(session):
    from dataclasses import replace

    slow = rig()
    slow = replace(slow, bow=replace(slow.bow, launch_speed_mps=Belief(70 * FOOT_M, 1 * FOOT_M)))
    answer = calibrate(slow, (), [10.0, 15.0], np.arange(9, 18) * YARD_M)
    with pytest.raises(LaunchUnreachable):
        rank_set(answer, (strip(session[0]),), TICKS_M[-1])
