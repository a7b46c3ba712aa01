"""Marks looked up anywhere are the calibration's own, and groups stand beside them."""

from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import groups, rig, truth_near

from tapewright.calibration.rig import Belief
from tapewright.services.calibrate import calibrate, fixed_pins, pin_bands
from tapewright.services.look_up_marks import bands_at, look_up_marks, seen_groups

YARDS_M = np.arange(10.0, 81.0, 10.0) * YARD_M
GRID_M = np.arange(10, 100) * YARD_M
WITHIN_M = 1e-9  # the same sums in another order


@pytest.fixture(scope="module")
def shot():
    sheet = rig({"pins_below_first_m": (Belief(9e-3, 0.2e-3),)})
    return calibrate(sheet, groups(sheet, truth_near(sheet)), YARDS_M, GRID_M)


def test_marks_asked_for_again_are_the_answer_s_own(shot):
    some = bands_at(shot, YARDS_M[2:4])
    np.testing.assert_allclose(some.reading_m, shot.bands.reading_m[2:4], atol=WITHIN_M)
    np.testing.assert_allclose(some.impact_high_m, shot.bands.impact_high_m[2:4], atol=WITHIN_M)


def test_marks_in_between_and_beyond_are_computed(shot):
    between = bands_at(shot, [0.5 * (YARDS_M[2] + YARDS_M[3])]).reading_m
    assert shot.bands.reading_m[2] < between[0] < shot.bands.reading_m[3]
    assert bands_at(shot, [YARDS_M[-1] + 5.0]).reading_m[0] > shot.bands.reading_m[-1]
    assert bands_at(shot, []).reading_m.shape == (0,)


def test_every_pin_is_looked_up(shot):
    found = look_up_marks(shot, YARDS_M)
    assert found.answer is shot
    assert found.fixed == ()
    first, second = found.pins
    np.testing.assert_allclose(second.reading_m, pin_bands(shot, 2).reading_m, atol=WITHIN_M)
    assert (second.reading_m < first.reading_m).all()  # a lower pin needs less travel


def test_fixed_pins_stand_in_their_order(shot):
    wanted_m = tuple(YARDS_M[1:4])
    found = look_up_marks(shot, YARDS_M, wanted_m).fixed
    assert [one.distance_m for one in found] == list(wanted_m)
    assert found[0].below_m == 0.0
    assert found[1].low_m <= found[1].below_m <= found[1].high_m < found[2].low_m
    middle, _, _ = fixed_pins(shot, wanted_m)
    assert [one.below_m for one in found] == pytest.approx(list(middle))


def test_groups_stand_beside_the_marks_with_how_far_they_may_stray(shot):
    seen = seen_groups(shot)
    assert [one.check for one in seen] == list(shot.groups)
    assert [one.pin for one in seen] == [one.pin for one in shot.observations]
    half_m = [one.half_up_m for one in sorted(seen, key=lambda one: one.check.distance_m)]
    assert half_m[0] > 0.0
    assert half_m[-1] > half_m[0]  # the same dispersion is larger far away


def test_most_sound_groups_lie_within_their_reach(shot):
    inside = [abs(one.check.miss_up_m) <= one.half_up_m for one in seen_groups(shot)]
    assert sum(inside) >= len(inside) - 1  # nine in ten


def test_before_the_first_arrow_there_are_no_groups(shot):
    assert seen_groups(replace(shot, groups=())) == ()
