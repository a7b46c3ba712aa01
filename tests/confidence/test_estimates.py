from dataclasses import replace

import numpy as np
import pytest
from exact_units import FOOT_M
from sessions import groups, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.calibration.rig import Belief, Bow
from tapewright.confidence.estimates import estimates
from tapewright.confidence.posterior import draw_posterior

FPS = FOOT_M


def found(sheet, shots, probability=0.9):
    posterior = draw_posterior(fit_bow(sheet, shots), np.random.default_rng(1))
    return {one.name: one for one in estimates(posterior, probability)}


def test_without_arrows_the_sheet_is_repeated_and_nothing_is_learnt():
    # 2,000 draws tell a spread to 1.6 %
    said = found(rig(), ())
    speed = said["launch_speed"]
    assert speed.sheet / FPS == pytest.approx(278)
    assert speed.median / FPS == pytest.approx(278, abs=0.3)
    # "± 3" is one deviation; 90 % lie within 1.645 of them
    assert speed.low / FPS == pytest.approx(278 - 4.93, abs=0.5)
    # 3 ft/s, and half of what the archer's yards may be off: 0.25 % of 278 is 0.695
    assert speed.sheet_low / FPS == pytest.approx(272.98, abs=0.02)
    assert speed.learnt == pytest.approx(0, abs=0.08)
    assert all(abs(one.conflict) < 0.5 for name, one in said.items() if name != "zero_reading")


def test_what_the_sheet_says_comes_back_in_its_own_quantities():
    sheet = rig({"pins_below_first_m": (Belief(9e-3, 0.3e-3),)})
    said = found(sheet, ())
    assert said["peep_height"].sheet == pytest.approx(4.6 * 0.0254)
    assert said["reading_per_travel"].sheet == pytest.approx(1.6)
    assert said["drag_coefficient"].sheet == pytest.approx(2.1)
    assert said["pin_2_below_first"].sheet == pytest.approx(9e-3)
    assert said["launch_speed"].kind == "speed"
    assert said["windage_offset"].kind == "angle"


@pytest.mark.parametrize("farther", ["increases", "decreases"])
def test_arrows_teach_and_the_truth_lies_in_the_bands(farther):
    sheet = rig({"farther": farther})
    true = truth_near(sheet, {"log_speed": 1.0}, zero_reading=-0.006, windage=8e-4)
    said = found(sheet, groups(sheet, true, arrows=6))
    truth = {
        "launch_speed": np.exp(true.vector[true.unknowns.place("log_speed")]),
        "zero_reading": -0.006,
        "windage_offset": 8e-4,
        "reading_per_travel": 1.6,
        "peep_height": 4.6 * 0.0254,
    }
    for name, value in truth.items():
        assert said[name].low < value < said[name].high, name
        assert said[name].low < said[name].median < said[name].high
    assert said["zero_reading"].learnt > 0.99
    assert said["windage_offset"].learnt > 0.9
    assert said["launch_speed"].learnt > 0.05
    assert said["dispersion_up"].median == pytest.approx(0.6e-3, rel=0.2)


def test_arrows_that_say_next_to_nothing_have_no_word_of_their_own():
    """Its logarithm would be the doubt of the draws over nothing: no number can hold it."""
    for one in found(rig(), ()).values():
        assert (one.alone, one.alone_sd) == (None, None) or one.learnt > 0.05, one.name


def test_learnt_is_a_share():
    sheet = rig()
    said = found(sheet, groups(sheet, truth_near(sheet), arrows=6))
    assert all(0 <= one.learnt <= 1 for one in said.values())


def test_arrows_that_agree_with_the_sheet_leave_no_conflict():
    sheet = rig()
    said = found(sheet, groups(sheet, truth_near(sheet), arrows=6))
    assert all(abs(one.conflict) < 1.5 for one in said.values() if one.name != "zero_reading")


@pytest.mark.parametrize("side", [-1, 1])
def test_a_sheet_speed_that_is_wrong_shows_as_conflict_with_its_sign(side):
    sheet = rig(bow=Bow(launch_speed_mps=Belief(278 * FPS, 3 * FPS)))
    true = truth_near(sheet, {"log_speed": 6.0 * side})
    said = found(sheet, groups(sheet, true, (20, 30, 40, 50, 60, 70, 80), arrows=12))
    assert side * said["launch_speed"].conflict > 2.6


def test_a_surer_band_is_wider():
    sheet = rig()
    shots = groups(sheet, truth_near(sheet))
    half, sure = found(sheet, shots, 0.5), found(sheet, shots, 0.99)
    for name in half:
        assert sure[name].low < half[name].low
        assert half[name].high < sure[name].high


def test_every_unknown_of_a_bow_is_named_once():
    names = list(found(rig({"pins_below_first_m": (Belief(9e-3),)}), ()))
    assert names == [
        "launch_speed", "drag_coefficient", "peep_height", "zero_reading", "reading_per_travel",
        "launch_point", "pin_2_below_first", "windage_offset", "sideways_offset",
        "dispersion_up", "dispersion_right", "wobble",
    ]  # fmt: skip


def test_a_broadhead_is_expected_to_drag_more():
    sheet = rig()
    broad = replace(sheet, arrow=replace(sheet.arrow, point="broadhead"))
    assert found(broad, ())["drag_coefficient"].sheet > found(sheet, ())["drag_coefficient"].sheet
