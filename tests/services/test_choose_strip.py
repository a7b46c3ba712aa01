from dataclasses import replace

import numpy as np
import pytest
from exact_units import FOOT_M, YARD_M
from sessions import bare, groups, rig, truth_near

from tapewright.calibration.rig import Belief
from tapewright.ground.errors import LaunchUnreachable
from tapewright.services.calibrate import calibrate
from tapewright.services.choose_strip import (
    ReadyStrip,
    farthest_tick,
    find_neighbours,
    rank_set,
    ticks_between,
    usual_ends,
)

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
    assert more.length_m - same.length_m == pytest.approx(0.4e-3)
    assert same.reading_m[0] == pytest.approx(session[1].bands.reading_m)
    assert found.impact_m.shape == (3, len(TICKS_M))
    # arrows high far out: the shorter strip brings them down
    assert found.impact_m[0][-1] < 0 < found.impact_m[2][-1]
    assert less.length_m < same.length_m


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


@pytest.mark.parametrize(
    ("ticks", "least", "most", "ends"),
    [
        (range(5, 121), 20.0, 92.3, (20, 90)),
        (range(5, 121), 20.0, 0.0, (20, 60)),  # thrice the near one, where nothing is carried
        (range(5, 121), 21.3, 40.0, (30, 90)),
        (range(5, 51), 20.0, 92.3, (20, 50)),
        ((15, 25, 35, 45, 75), 20.0, 50.0, (25, 75)),  # no tens: any tick
        (range(5, 19), 20.0, 92.3, (18, 38)),  # no tick past the near one
    ],
)
def test_strips_are_measured_between_two_of_their_tens(ticks, least, most, ends):
    assert ticks_between(tuple(map(float, ticks)), (least, most)) == ends


def test_strips_are_measured_as_far_as_the_bands_carry_and_the_sight_goes(session):
    known = session[1]
    near, far = usual_ends(known, YARD_M)
    assert near == 20
    carried = known.once_zeroed_m[0] / YARD_M
    assert far <= max(carried, 60) < far + 10
    assert usual_ends(known, YARD_M, tuple(range(10, 46))) == (20, 40)
    # a sight that ends where 50 yd are dialled: nothing past it
    stop_m = float(known.bands.reading_m[3])
    ended = replace(rig(), sight=replace(rig().sight, travel_ends_m=(0.0, stop_m)))
    short = calibrate(ended, known.observations, TICKS_M, GRID_M)
    assert usual_ends(short, YARD_M)[1] in (40, 50)
