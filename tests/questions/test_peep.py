"""Peep and pin, told from numbers written by hand."""

from dataclasses import replace

import numpy as np
import pytest
from written_out import IMPERIAL, METRIC

from tapewright.questions.peep import QUESTION as PEEP
from tapewright.questions.question import Said
from tapewright.services.see_peep import FoundView, View
from tapewright.words.answer_blocks import Drawing, Mind, Table

VIEW = View(4.8e-3, 45e-3, 0.5e-3, 3e-3, 0.09, 5e-3, (4.8e-3, 5.6e-3), (41e-3, 45e-3))


@pytest.fixture
def found(quiet):
    return FoundView(
        answer=quiet, view=VIEW, has_peep=True, sight_radius_m=0.81,
        seen_rad=np.array([53.3e-3, 50e-3, 0.55e-3]), fills_m=np.array([48e-3, 56e-3]),
        soft_m=27e-3, distance_m=np.array([18.288, 54.864]),
        covered_m=np.array([10.16e-3, 30.48e-3]), framed_m=np.array([0.9144, 2.7432]),
        above_m=np.array([5e-3, -4e-3]), shift_m=np.array([0.5e-3, -0.4e-3]),
        cost_m=np.array([[10.16e-3, 33.02e-3], [-7.62e-3, -25.4e-3]]), drawing="<svg/>",
        drawn_from_m=0.5,
    )  # fmt: skip


def test_what_is_seen_covered_and_lost(found):
    fills, cost, reckoned, drawing, seen, choice, covers, *cautions = PEEP.tell(found, IMPERIAL)
    assert fills == (
        "The housing takes 94 % of the peep's width: a wide ring is left. A housing of 45 mm is "
        "filled by a peep of 4.5 mm. The peep's edge is soft: 27 mm wide at the housing for a "
        "pupil of 3 mm."
    )
    assert cost == (
        "Pin 1 stands 5 mm above the middle of the housing. Whoever made marks with this pin "
        "centred in the peep and then centres the housing looks 0.5 mm beside the peep's middle "
        "and hits 1.30 in high at 60 yd; the other way round as much to the other side."
    )
    assert reckoned == (
        "Told for: hole of the peep 4.8 mm, inside of the housing 45 mm, width of the pin 0.5 mm, "
        "pupil 3 mm. Where you said nothing that is usual; yours may differ."
    )
    assert isinstance(drawing, Drawing)
    assert "held 50 cm from the eye" in drawing.words
    assert seen == Table(
        "As the eye sees it",
        ("", "width mm", "seen mrad", "% of the peep"),
        (
            ("peep", "4.8", "53.3", "100"),
            ("housing", "45", "50.0", "94"),
            ("pin", "0.5", "0.6", "1"),
        ),
    )  # fmt: skip
    assert choice.heads == ("peep mm", "filled by mm", "41 mm", "45 mm")
    assert choice.rows == (("4.8", "48.0", "85 %", "94 %"), ("5.6", "56.0", "73 %", "80 %"))
    assert covers.heads == (
        "distance yd", "pin covers in", "housing frames in", "pin 1 high in", "pin 2 high in",
    )  # fmt: skip
    assert covers.rows == (
        ("20", "0.40", "36", "+0.40", "−0.30"), ("60", "1.20", "108", "+1.30", "−1.00"),
    )  # fmt: skip
    assert all(isinstance(one, Mind) for one in cautions)
    assert "qualified technician" in cautions[1].text


@pytest.mark.parametrize(
    ("seen_mrad", "said"),
    [(50.7, "fills the peep with a thin ring"), (64.0, "looks 20 % larger than the peep")],
)
def test_a_housing_fills_its_peep_or_is_cut_off(found, seen_mrad, said):
    one = replace(found, seen_rad=np.array([53.3e-3, 1e-3 * seen_mrad, 0.5e-3]))
    assert said in PEEP.tell(one, IMPERIAL)[0]


def test_a_pin_in_the_middle_costs_nothing_and_a_low_one_hits_low(found):
    middle = replace(found, shift_m=np.zeros(2))
    assert PEEP.tell(middle, IMPERIAL)[1].startswith("Pin and middle of the housing are one")
    low = replace(found, shift_m=np.array([0.1e-3, -0.4e-3]))
    said = PEEP.tell(low, METRIC)[1]
    assert said.startswith("Pin 2 stands 4 mm below the middle of the housing.")
    assert "hits 2.5 cm low at 55 m" in said


def test_without_a_peep_only_what_is_covered_is_told(found):
    bare = replace(found, has_peep=False, drawing="", fills_m=np.zeros(0))
    said, reckoned, seen, covers = PEEP.tell(bare, IMPERIAL)
    assert said.startswith("Without a peep")
    assert reckoned.startswith("Told for: inside of the housing 45 mm")
    assert seen.heads == ("", "width mm", "seen mrad")
    assert [row[0] for row in seen.rows] == ["housing", "pin"]
    assert covers.heads == ("distance yd", "pin covers in", "housing frames in")
    sent = PEEP.write(bare, IMPERIAL)
    assert (sent["peep_mm"], sent["peeps"], sent["drawing_svg"]) == (None, [], "")


def test_programs_get_the_same(found):
    sent = PEEP.write(found, IMPERIAL)
    assert sent["schema"] == "tapewright.peep/1"
    assert (sent["peep_mm"], sent["housing_mm"], sent["pin_mm"]) == (4.8, 45.0, 0.5)
    assert (sent["peep_seen_mrad"], sent["housing_seen_mrad"]) == (53.3, 50.0)
    assert sent["peeps"][1] == {"peep_mm": 5.6, "filled_by_mm": 56.0, "shares": [0.7321, 0.8036]}
    assert sent["eye_shift_mm"] == [0.5, -0.4]
    assert sent["at"][1] == {
        "distance_yd": 60.0, "pin_covers_in": 1.2, "housing_frames_in": 108.0,
        "pin_1_high_in": 1.3, "pin_2_high_in": -1.0,
    }  # fmt: skip
    assert sent["drawing_svg"] == "<svg/>"


def test_it_is_asked_of_a_calibration_in_any_unit(answer):
    found = PEEP.ask(answer, Said({"opening": "0.19 in", "above": "-3 mm"}), METRIC)
    assert found.view.peep_m == pytest.approx(4.826e-3)
    assert found.above_m == pytest.approx([-3e-3, -7e-3])
    assert found.distance_m == pytest.approx([20.0, 40.0, 60.0, 80.0])
