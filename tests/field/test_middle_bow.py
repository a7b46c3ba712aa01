from dataclasses import replace

import numpy as np
import pytest

from tapewright.field.middle_bow import middle_bow
from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import mark
from tapewright.sight.scale import Scale

BOW = SightedBow(84.0, 0.0014, 0.117, 1.17, Scale(-8e-3, 1.35, 0.838))
DISTANCE_M = np.linspace(4.0, 110.0, 30)


def test_a_bow_that_has_the_marks_already_stays_as_it_is():
    found = middle_bow(BOW, DISTANCE_M, mark(BOW, DISTANCE_M))
    assert found.speed_mps == pytest.approx(BOW.speed_mps, rel=1e-9)
    assert found.drag_per_m == pytest.approx(BOW.drag_per_m, rel=1e-7)
    assert found.scale.zero_reading_m == pytest.approx(BOW.scale.zero_reading_m, abs=1e-9)


@pytest.mark.parametrize("direction", [1.0, -1.0])
def test_marks_of_another_bow_are_met_to_a_hundredth_of_a_millimetre(direction):
    scale = replace(BOW.scale, reading_per_tangent_m=direction * 1.35)
    bow = replace(BOW, scale=scale)
    other = replace(
        bow, speed_mps=83.5, drag_per_m=0.00155, peep_height_m=0.1185,
        scale=replace(scale, zero_reading_m=-7.5e-3, reading_per_tangent_m=direction * 1.342),
    )  # fmt: skip
    wanted = mark(other, DISTANCE_M)
    assert np.abs(mark(bow, DISTANCE_M) - wanted).max() > 0.3e-3
    found = middle_bow(bow, DISTANCE_M, wanted)
    assert 1e3 * np.abs(mark(found, DISTANCE_M) - wanted).max() < 0.01


def test_marks_past_the_end_of_an_arm_do_not_count():
    reading = mark(BOW, DISTANCE_M)
    reading[-4:] = np.nan
    found = middle_bow(BOW, DISTANCE_M, reading)
    assert found.speed_mps == pytest.approx(BOW.speed_mps, rel=1e-9)
