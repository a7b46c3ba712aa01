from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import group, groups, rig, truth_near
from written_out import IMPERIAL, METRIC

from tapewright.confidence.diagnosis import Cause
from tapewright.confidence.mending import Mend
from tapewright.ground.errors import BadInput, TapewrightError
from tapewright.questions.prove import QUESTION
from tapewright.questions.question import Said
from tapewright.services.calibrate import calibrate
from tapewright.services.prove import accept_proof, prove_tape
from tapewright.target.group import Impact
from tapewright.words.miss_causes import (
    dispersion_words,
    mend_words,
    proof_cautions,
    size_words,
    telling_words,
    verdict_words,
)
from tapewright.words.unit_system import distance_words

ASKED_M = np.arange(20, 81, 20) * YARD_M


@pytest.fixture(scope="module")
def proving():
    sheet = rig()
    truth = truth_near(sheet)
    answer = calibrate(sheet, groups(sheet, truth), ASKED_M, np.arange(10, 126) * YARD_M)
    shot = tuple(
        group(sheet, truth, distance_m, 6, float(reading_m), str(place))
        for place, (distance_m, reading_m) in enumerate(
            zip(ASKED_M, answer.bands.reading_m, strict=True)
        )
    )
    return prove_tape(answer, shot, ASKED_M, (20 * YARD_M, 60 * YARD_M))


def with_causes(proving, *causes, **changes):
    told = {"telling_m": changes.pop("telling_m", None), "told_from": changes.pop("told_from", "")}
    verdict = replace(proving.verdict, causes=causes, **told)
    cause = None if causes[0].name == "nothing" else causes[0]
    return replace(proving, verdict=verdict, cause=cause, **changes)


@pytest.mark.parametrize(
    ("odds", "words"),
    [(0.95, "Found: windage (95 %)"), (0.6, "Most likely"), (0.4, "No clear answer")],
)
def test_a_verdict_is_as_sure_as_its_odds(proving, odds, words):
    rest = tuple(Cause(name, (1 - odds) / 4) for name in ("zero", "height", "sideways", "nothing"))
    told = with_causes(proving, Cause("windage", odds, 1e-3, 0.5e-3, 1.5e-3), *rest)
    assert words in verdict_words(told, IMPERIAL)
    assert "1.0 mrad right (0.5 to 1.5)" in verdict_words(told, IMPERIAL)


@pytest.mark.parametrize(("odds", "words"), [(0.9, "tape is right"), (0.6, "if anything, zero")])
def test_nothing_wrong_is_as_sure_as_its_odds(proving, odds, words):
    told = with_causes(proving, Cause("nothing", odds), Cause("zero", 1 - odds, 1e-3))
    assert words in verdict_words(told, IMPERIAL)
    assert mend_words(told, IMPERIAL) == ""


def test_what_stays_possible_beside_nothing_is_named_with_the_shot_that_tells(proving):
    causes = (
        Cause("nothing", 0.6),
        Cause("speed", 0.2, 0.01),
        Cause("span", 0.12),
        Cause("zero", 0.04),
    )
    told = with_causes(proving, *causes, telling_m=73.152, told_from="speed")
    assert verdict_words(told, IMPERIAL) == (
        "Nothing is clearly wrong (60 %); if anything, arrow speed or far marks (length of the "
        "strip, or drag and air). One more group at 80 yd would tell."
    )


def test_another_speed_is_told_with_its_arrow_and_leads_to_change(proving):
    speed = Cause("speed", 0.93, -0.05, -0.061, -0.039)
    told = with_causes(proving, speed, Cause("zero", 0.07), mend=Mend(heavier_kg=3.3e-3))
    assert verdict_words(told, IMPERIAL) == (
        "Found: arrow speed (93 %): 5.0 % slower (4.0 to 6.0)."
    )
    assert mend_words(told, IMPERIAL).startswith("An arrow 51 gr heavier would do as much. See ")
    lighter = replace(told, mend=Mend(heavier_kg=-3.3e-3))
    assert mend_words(lighter, METRIC).startswith("An arrow 3.3 g lighter would do as much. See ")
    assert "goes through change" in mend_words(told, METRIC)
    assert "belong to a changed set-up" in " ".join(proof_cautions(told, IMPERIAL))
    assert not told.may_accept


@pytest.mark.parametrize(
    ("causes", "may"),
    [
        ((Cause("nothing", 0.51), Cause("zero", 0.49)), True),
        ((Cause("nothing", 0.48), Cause("zero", 0.47), Cause("span", 0.05)), True),
        ((Cause("nothing", 0.48), Cause("zero", 0.47), Cause("speed", 0.05)), False),
        ((Cause("span", 0.91), Cause("zero", 0.09)), True),
        ((Cause("span", 0.87), Cause("drag or air", 0.13)), False),
        ((Cause("zero", 0.96), Cause("nothing", 0.04)), False),
        ((Cause("one distance", 0.96), Cause("nothing", 0.04)), False),
    ],
)
def test_arrows_are_taken_in_when_odds_say_the_tape_and_not_the_equipment(proving, causes, may):
    told = with_causes(proving, *causes)
    assert told.may_accept is may
    told_so = "these arrows are not taken in" in " ".join(proof_cautions(told, IMPERIAL))
    assert told_so is (not may and causes[0].name in ("nothing", "span"))
    if not may:
        with pytest.raises(BadInput, match="Taking the proof in"):
            accept_proof(told, np.arange(10, 126) * YARD_M)


@pytest.mark.parametrize(
    ("cause", "words"),
    [
        (Cause("zero", 1, -2e-3, -3e-3, -1e-3), "2.0 mrad low (1.0 to 3.0)"),
        (Cause("zero", 1, 2.72e-3, 2.67e-3, 2.77e-3), "2.72 mrad high (2.67 to 2.77)"),
        (Cause("height", 1, 0.0254, -0.0254, 0.0762), "1.0 in high (−1.0 to 3.0)"),
        (Cause("span", 1, 1e-3, 0.5e-3, 1.5e-3), "1.0 mm longer (0.5 to 1.5)"),
        (Cause("drag or air", 1, -0.1, -0.2, -0.05), "10 % less (4 to 20)"),
        (Cause("one distance", 1, -0.9144, -1.8288, 0.0), "1.0 yd nearer"),
        (
            Cause("third axis", 1, 0.0349, 0.0174, 0.0524),
            "2.0 deg with the right end ahead (1.0 to 3.0)",
        ),
        (Cause("nothing", 1), ""),
    ],
)
def test_sizes_are_told_the_way_they_point(cause, words):
    assert size_words(cause, IMPERIAL).startswith(words)


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0.2, "keep it for now"),
        (1.0, "Take the strip +"),
        (-1.0, "Take the strip −"),
        (3.0, "only part of the way"),
    ],
)
def test_the_strip_to_take_is_the_nearest(proving, share, words):
    less, same, more = proving.lengths_m
    asked = Mend(longer_m=share * (more - same if share > 0 else same - less))
    told = with_causes(proving, Cause("span", 1.0, asked.longer_m), mend=asked)
    assert words in mend_words(told, IMPERIAL)


def test_one_click_is_one_click(proving):
    told = with_causes(
        proving, Cause("zero", 1.0, 1e-3), mend=Mend(reading_m=-1e-4, pin_up=1), clicks=-1
    )
    assert "1 click." in mend_words(told, IMPERIAL)
    bare = replace(told, clicks=None)
    assert "click" not in mend_words(bare, IMPERIAL)


def test_a_telling_shot_is_named_only_when_there_is_a_rival(proving):
    first, second = Cause("zero", 0.7, 1e-3), Cause("height", 0.3, 0.03)
    told = with_causes(proving, first, second, telling_m=9.144, told_from="height")
    assert telling_words(told, IMPERIAL) == (
        "Possible as well: height offset (30 %). To tell zero moved from height offset: shoot one "
        "more group at 10 yd."
    )
    bare = with_causes(proving, first, second)
    assert telling_words(bare, IMPERIAL) == "Possible as well: height offset (30 %)."
    sure = with_causes(
        proving, replace(first, odds=0.99), replace(second, odds=0.01), telling_m=9.0
    )
    assert telling_words(sure, IMPERIAL) == ""


def test_marks_alone_tell_no_dispersion(proving):
    marks = tuple(
        replace(one, group=replace(one.group, impacts=(Impact(0.0, 0.0, 3),)))
        for one in proving.shot
    )
    told = prove_tape(proving.answer, marks, ASKED_M, proving.ends_m)
    assert dispersion_words(told, IMPERIAL) == ""


def test_distances_have_decimals_only_when_they_need_them():
    assert distance_words(90 * YARD_M, IMPERIAL) == "90 yd"
    assert distance_words(18.5, METRIC) == "18.5 m"


ROWS = (
    "group,distance_yd,reading_mm,right_in,up_in\r\n"
    "x,20,{0:.2f},0.3,0.2\r\nx,20,{0:.2f},-0.4,-0.3\r\n"
    "y,60,{1:.2f},0.9,0.7\r\ny,60,{1:.2f},-0.8,-0.9\r\n"
)


def test_rows_of_a_proof_are_told_as_groups_are(proving):
    answer = proving.answer
    rows = ROWS.format(*(1e3 * answer.bands.reading_m[[0, 2]]))
    found = QUESTION.ask(answer, Said({"proof": rows, "between": "30,70"}), IMPERIAL)
    assert [one.name for one in found.proving.verdict.proofs] == ["x", "y"]
    assert found.proving.ends_m == pytest.approx((30 * YARD_M, 70 * YARD_M))
    told = QUESTION.tell(found, IMPERIAL)
    assert [one.title for one in told[:2]] == ["Misses against the tape", "What may be wrong"]
    assert QUESTION.write(found, METRIC)["groups"][1]["distance_m"] == 54.864


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("", "proof: the file of shots is empty"),
        ("group,distance_yd,reading_mm,right_in,up_in\n", "proof: there are no arrows in it"),
        ("group,distance_yd,reading_mm,right_in,up_in\na,20,x,1,1\n", "proof, line 2"),
    ],
)
def test_rows_that_tell_nothing_are_refused_with_their_place(proving, rows, words):
    with pytest.raises(TapewrightError) as refused:
        QUESTION.ask(proving.answer, Said({"proof": rows}), IMPERIAL)
    assert words in str(refused.value)


def test_without_a_tape_a_proof_is_refused(proving):
    bare = replace(proving.answer, observations=())
    rows = ROWS.format(15.0, 45.0)
    with pytest.raises(BadInput, match="nothing was shot to make a tape from yet"):
        QUESTION.ask(bare, Said({"proof": rows}), IMPERIAL)
