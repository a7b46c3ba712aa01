from dataclasses import replace

import numpy as np
import pytest
from exact_units import GRAIN_KG, YARD_M
from sessions import group, groups, rig, truth_near

from tapewright.calibration.rig import Belief
from tapewright.ground.errors import Withheld
from tapewright.services.calibrate import calibrate
from tapewright.services.carry import carry

GRID_M = np.arange(10, 126) * YARD_M


def answer_for(sheet, shots):
    return calibrate(sheet, shots, (18.0,), GRID_M)


def test_a_sound_session_goes_along_with_its_ladder_and_its_own_scatter():
    sheet = rig()
    carried = carry(answer_for(sheet, groups(sheet, truth_near(sheet))), YARD_M)
    assert carried.hit_m == pytest.approx(70 * YARD_M)
    assert carried.ladder.hit_m == pytest.approx(70 * YARD_M)
    assert carried.known.source == "arrows"
    assert carried.most_m is None
    assert carried.wanted_m / YARD_M == pytest.approx(round(carried.wanted_m / YARD_M))
    assert len(carried.draws.mark_score) == 2000


def test_where_a_group_is_doubtful_no_new_one_earns_more_trust_than_now():
    sheet = rig()
    truth = truth_near(sheet)
    shots = list(groups(sheet, truth))
    low = group(sheet, truth, 40 * YARD_M, name="low")
    moved = tuple(replace(one, up_m=one.up_m - 0.3) for one in low.group.impacts)
    shots.append(replace(low, group=replace(low.group, impacts=moved)))
    answer = answer_for(sheet, tuple(shots))
    assert answer.doubt.slips or answer.doubt.without
    assert carry(answer, YARD_M).most_m == answer.once_zeroed_m


def test_what_must_not_be_shot_does_not_go_along():
    sheet = rig()
    light = replace(
        sheet,
        arrow=replace(sheet.arrow, mass_kg=Belief(250 * GRAIN_KG, GRAIN_KG)),
        bow=replace(sheet.bow, draw_weight_n=310.0),
    )
    with pytest.raises(Withheld):
        carry(answer_for(light, ()), YARD_M)
