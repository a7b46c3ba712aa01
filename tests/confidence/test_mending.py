from dataclasses import replace

import numpy as np
import pytest
from exact_units import GRAIN_KG, YARD_M
from sessions import groups, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.diagnosis import Cause
from tapewright.confidence.mending import Mend, mend
from tapewright.confidence.posterior import draw_posterior
from tapewright.sight.prediction import impact, mark

ENDS_M = (20 * YARD_M, 60 * YARD_M)


@pytest.fixture(scope="module", params=["increases", "decreases"])
def posterior(request):
    sheet = rig({"farther": request.param})
    shots = groups(sheet, truth_near(sheet))
    return draw_posterior(fit_bow(sheet, shots), np.random.default_rng(1))


def middle_bow(posterior):
    unknowns = posterior.calibration.evidence.prior.unknowns
    return unknowns.bow(np.median(posterior.vectors, axis=0)), unknowns


@pytest.mark.parametrize("size", [1.5e-3, -0.8e-3])
def test_a_moved_zero_is_undone(posterior, size):
    bow, _ = middle_bow(posterior)
    slid = bow.scale.zero_reading_m - bow.scale.reading_per_tangent_m * size
    moved = replace(bow, scale=replace(bow.scale, zero_reading_m=slid))
    asked = mend(posterior, Cause("zero", 1.0, size), 50 * YARD_M, ENDS_M)
    assert asked.pin_up == np.sign(size)
    for yards in (20, 50, 80):
        distance = np.array([yards * YARD_M])
        reading = np.median(drawn_marks(posterior, distance), axis=0)
        was, now = (impact(moved, distance, reading + by)[1][0] for by in (0.0, asked.reading_m))
        # the middle bow is not the bow of the median marks: 2 mm at 80 yd
        assert abs(now - impact(bow, distance, reading)[1][0]) < 0.03 * abs(was) + 0.002


def test_windage_follows_the_arrows(posterior):
    _, unknowns = middle_bow(posterior)
    asked = mend(posterior, Cause("windage", 1.0, 2e-3), 50 * YARD_M, ENDS_M)
    # a pin moved right by d turns the line of sight left of the arrow by d over the sight radius
    assert asked == Mend(pin_right_m=2e-3 * unknowns.sight_radius_m)


def test_a_strip_is_lengthened_by_what_it_lacks(posterior):
    assert mend(posterior, Cause("span", 1.0, 1e-3), 1.0, ENDS_M) == Mend(longer_m=1e-3)


@pytest.mark.parametrize("size", [0.3, -0.3])
def test_more_drag_wants_a_longer_strip(posterior, size):
    bow, unknowns = middle_bow(posterior)
    asked = mend(posterior, Cause("drag or air", 1.0, size), 1.0, ENDS_M)
    slower = replace(bow, drag_per_m=bow.drag_per_m * np.exp(size))
    lengths = [
        unknowns.direction * np.diff(mark(one, np.array(ENDS_M)))[0] for one in (slower, bow)
    ]
    assert asked.longer_m == pytest.approx(lengths[0] - lengths[1])
    assert np.sign(asked.longer_m) == np.sign(size)


@pytest.mark.parametrize("name", ["height", "sideways", "wind or cant", "third axis", "nothing"])
def test_what_neither_sight_nor_strip_can_mend_asks_for_neither(posterior, name):
    assert mend(posterior, Cause(name, 1.0, 0.03), 1.0, ENDS_M) == Mend()


@pytest.mark.parametrize(("size", "grains"), [(-0.05, 48.902), (0.02, -18.235)])
def test_another_speed_is_told_as_another_arrow_and_asks_for_no_turn(posterior, size, grains):
    asked = mend(posterior, Cause("speed", 1.0, size), 50 * YARD_M, ENDS_M)
    # v² is as 1 over arrow and virtual mass: (420 + 45) gr times exp(−2 size) − 1
    assert asked.heavier_kg / GRAIN_KG == pytest.approx(grains, abs=0.01)
    assert replace(asked, heavier_kg=None) == Mend()
