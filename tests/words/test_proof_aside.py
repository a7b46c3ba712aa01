"""What to turn to the side after a proof: the tape may be right while arrows lie aside."""

import re
from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import groups, moved, rig, truth_near
from written_out import IMPERIAL

from tapewright.services.calibrate import calibrate
from tapewright.services.prove import prove_tape
from tapewright.words.proof_aside import aside_words

ENDS_M = (20 * YARD_M, 60 * YARD_M)
GRID_M = np.arange(10, 91, 10) * YARD_M


def beside(shots, right_rad):
    """The same groups, so far to the right."""
    return moved(shots, [(right_rad * one.distance_m, 0.0) for one in shots])


@pytest.mark.parametrize(("right_rad", "side"), [(-3e-3, "left"), (3e-3, "right")])
def test_arrows_aside_are_told_though_they_lay_there_before(right_rad, side):
    sheet = rig({"windage_click_m": 0.05e-3})
    truth = truth_near(sheet)
    before = beside(groups(sheet, truth, (20, 40, 60), arrows=6), right_rad)
    answer = calibrate(sheet, before, GRID_M, GRID_M)
    shot = beside(groups(sheet, truth, (25, 45, 60), arrows=6, spread_rad=0.5e-3), right_rad)
    found = prove_tape(answer, shot, GRID_M, ENDS_M)
    assert found.cause is None  # nothing new: they flew aside before
    told = aside_words(found, IMPERIAL)
    # 3 mrad at 60 yd (54.9 m) are 6.5 in; at 33 in (838 mm) from the eye they are 2.5 mm
    off, pin = re.search(rf"from 60 yd, lie ([\d.]+) in {side} of .* pin {side} by ([\d.]+) mm",
                         told).groups()  # fmt: skip
    assert float(off) == pytest.approx(6.5, abs=0.3)
    assert float(pin) == pytest.approx(2.5, abs=0.2)


def test_arrows_in_the_middle_need_no_word():
    sheet = rig()
    truth = truth_near(sheet)
    answer = calibrate(sheet, groups(sheet, truth, (20, 40, 60), arrows=6), GRID_M, GRID_M)
    shot = groups(sheet, truth, (25, 45, 60), arrows=6, spread_rad=0.5e-3)
    assert aside_words(prove_tape(answer, shot, GRID_M, ENDS_M), IMPERIAL) == ""


def test_one_stray_at_the_farthest_distance_moves_nobody_s_pin():
    sheet = rig()
    truth = truth_near(sheet)
    answer = calibrate(sheet, groups(sheet, truth, (20, 40, 60), arrows=6), GRID_M, GRID_M)
    shot = groups(sheet, truth, (25, 45, 60), arrows=3, spread_rad=0.5e-3)
    *near, far = shot
    first, *others = far.group.impacts
    stray = replace(first, right_m=first.right_m + 0.2)
    strayed = replace(far, group=replace(far.group, impacts=(stray, *others)))
    assert aside_words(prove_tape(answer, (*near, strayed), GRID_M, ENDS_M), IMPERIAL) == ""


def test_near_arrows_far_aside_are_told_though_no_butt_is_so_wide_farther_out():
    sheet = rig()
    truth = truth_near(sheet)
    answer = calibrate(sheet, groups(sheet, truth, (20, 40, 60), arrows=6), GRID_M, GRID_M)
    near, *far = groups(sheet, truth, (5, 40, 60), arrows=3, spread_rad=0.5e-3)
    (wide,) = moved((near,), [(0.8, 0.0)])  # which would be 9.6 m at 60 yd
    told = aside_words(prove_tape(answer, (wide, *far), GRID_M, ENDS_M), IMPERIAL)
    assert re.search(r"from 60 yd, lie [\d.]+ in right of the aim", told), told
