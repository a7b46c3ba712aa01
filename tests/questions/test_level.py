"""Sentences about tilts: the side that is named is the side that mends, for every hand."""

from itertools import product
from types import SimpleNamespace

import numpy as np
import pytest
from told_by_hand import MISSES, TILTS, quiet_answer
from written_out import IMPERIAL, METRIC

from tapewright.confidence.levelling import Levelling, Tilt
from tapewright.questions.level import (
    QUESTION,
    level_cautions,
    levelling_notes,
    mend_words,
    misses_table,
    tilt_words,
)
from tapewright.questions.question import Said
from tapewright.services.level import Tilts
from tapewright.words.answer_blocks import Mind, Table

SLOPE_SAFETY = (
    "Uphill and downhill shots only with a safe stop behind them: a miss uphill flies far."
)

RIGHT = {"right": "left", "left": "right"}


def tilt(name="travel lean", degrees=1.5, verdict="tilted"):
    angle = np.radians(degrees)
    return Tilt(
        name, angle, angle - 0.01, angle + 0.01, verdict, at_m=54.864, miss_m=0.0381,
        hidden_m=0.0508,
    )  # fmt: skip


def turned(side):
    return {"right": "clockwise", "left": "counterclockwise"}[side]


@pytest.mark.parametrize(("hand", "side"), [*product(("right", "left"), ("right", "left"))])
def test_a_swung_level_comes_back_by_its_forward_end(hand, side):
    """Right end ahead: it must come toward the archer, which from above is clockwise."""
    said = mend_words(tilt("level swing", 2.0 if side == "right" else -2.0), hand)
    assert f"its {side} end" in said
    assert "toward you" in said
    assert f": {turned(side)} seen from above" in said
    assert "by 2.0°" in said
    assert ("at the sight's bar" in said) is (hand == side)
    assert ("away from the sight's bar" in said) is (hand != side)


@pytest.mark.parametrize(("hand", "side"), [*product(("right", "left"), ("right", "left"))])
def test_a_lean_is_mended_at_the_level_or_at_the_travel_the_other_way(hand, side):
    """Top to the right with the bubble in the middle: the level's right end is too high."""
    said = mend_words(tilt(degrees=1.5 if side == "right" else -1.5), hand)
    level, travel = said.split("If it is plumb")
    assert f"its {side} end" in level
    assert f"goes down: {turned(side)} as you see it" in level
    assert f"lower end goes {side}: {turned(RIGHT[side])} as you see it" in travel
    assert ("at the sight's bar" in level) is (hand == side)


@pytest.mark.parametrize("verdict", ["none seen", "not told"])
def test_nothing_is_turned_unless_a_tilt_was_found(verdict):
    assert mend_words(tilt(verdict=verdict), "right") == ""


def test_a_found_tilt_is_told_with_its_band_and_its_cost():
    said = tilt_words(tilt(degrees=1.5), IMPERIAL)
    assert "top to the right by 1.5° (+0.9° to +2.1°)" in said
    assert "1.50 in at 60 yd" in said
    assert "top to the left by 1.5°" in tilt_words(tilt(degrees=-1.5), IMPERIAL)
    swing = tilt_words(tilt("level swing", -2.0), METRIC)
    assert "its left end points ahead by 2.0°" in swing
    assert "3.8 cm at 55 m" in swing
    assert "its right end points ahead" in tilt_words(tilt("level swing", 2.0), METRIC)


@pytest.mark.parametrize("name", ["travel lean", "level swing"])
def test_what_was_not_seen_or_not_told_is_said_so(name):
    for degrees in (0.2, -0.2):
        seen = tilt_words(tilt(name, degrees, "none seen"), IMPERIAL)
        assert "seen; up to 0.8° could hide" in seen
    assert "2.00 in at 60 yd" in seen
    told = tilt_words(tilt(name, 0.0, "not told"), IMPERIAL)
    assert "do not tell" in told
    assert "Shoot" in told


def test_notes_tell_windage_and_odd_scatter():
    pair = (tilt(verdict="none seen"), tilt("level swing", verdict="none seen"))
    assert levelling_notes(Levelling(pair, 0.0, 0.0, 0.5)) == ()
    (right,) = levelling_notes(Levelling(pair, 3e-4, 0.0, 0.5))
    assert right == "Besides, arrows fly 0.30 mrad to the right: move the pin to the right."
    left, odd = levelling_notes(Levelling(pair, -3e-4, 0.0, 4.0))
    assert "to the left" in left
    assert "scatter" in odd


def test_slopes_are_shot_only_with_a_stop_behind():
    flat = Tilts(0.01, 0.01, 0.01, 1e-3, 0.0, 18.0)
    assert level_cautions(flat, None) == ()
    hilly = Tilts(0.01, 0.01, 0.01, 1e-3, 0.3, 18.0)
    assert level_cautions(hilly, None) == (SLOPE_SAFETY,)
    found = Levelling((tilt(), tilt("level swing", verdict="not told")), 0.0, 0.0, 0.5)
    assert len(level_cautions(flat, found)) == 2


def test_misses_of_tilts_stand_under_what_makes_them():
    assert misses_table(MISSES, TILTS, IMPERIAL) == Table(
        "Misses to the right, in; windage set at 20 yd for always and travel",
        ("distance yd", "cant 1.0°", "always", "third axis 2.0°, 20.0° up", "20.0° down",
         "travel 0.5°", "eye 1.5 mm off"),
        (
            ("20", "+0.20", "0.00", "−0.40", "+0.30", "0.00", "+1.20"),
            ("60", "+1.00", "+0.50", "−2.00", "+3.00", "−0.70", "+4.00"),
        ),
    )  # fmt: skip


def of_a(kind):
    return SimpleNamespace(rig=SimpleNamespace(bow=SimpleNamespace(kind=kind)))


def test_without_a_peep_the_eye_is_off_the_string():
    found = SimpleNamespace(test=None, misses=MISSES, tilts=TILTS, answer=of_a("longbow"))
    told = QUESTION.tell(found, IMPERIAL)
    assert "Eye off: the eye looks beside the string; the miss is to the eye's side." in told
    assert "peep" not in " ".join(str(one) for one in told)


def test_what_tilts_mean_is_told_below_the_table():
    found = SimpleNamespace(test=None, misses=MISSES, tilts=TILTS, answer=of_a(None))
    told = QUESTION.tell(found, IMPERIAL)
    assert told[1:] == (
        (
            "Cant: the bow leans, top to the right; a level turned in its housing (second axis) "
            "does "
            "it."
        ),
        (
            "Level swung (third axis): the right end of the level points ahead; the bow leans on "
            "slopes."
        ),
        "Travel leaning: the line on which the pin moves is not plumb, its lower end to the left.",
        "Eye off: the eye looks past the middle of the peep; the miss is to the eye's side.",
        Mind(
            "Uphill and downhill shots only with a safe stop behind them: a miss uphill flies far."
        ),
    )


def test_a_test_is_told_by_line_and_by_key():
    found = SimpleNamespace(
        answer=quiet_answer(),
        tilts=TILTS,
        misses=SimpleNamespace(**vars(MISSES), cant_up_m=np.array([-0.0025, -0.0127])),
        test=Levelling(
            (tilt(degrees=-1.5), tilt("level swing", 0.2, "none seen")), -3e-4, 0.0, 4.0
        ),
    )
    told = QUESTION.write(found, IMPERIAL)["test"]
    assert told["tilts"][0] | {"mend": ""} == {
        "name": "travel lean", "angle_deg": -1.5, "low_deg": -2.073, "high_deg": -0.927,
        "verdict": "tilted", "shown_most_at_yd": 60.0, "costs_in": 1.5, "could_cost_in": 2.0,
        "mend": "",
    }  # fmt: skip
    assert "the end at the sight's bar" in told["tilts"][0]["mend"]  # a left hand, a left end
    assert told["tilts"][1]["mend"] == ""
    assert (told["windage_mrad"], told["surprise"], len(told["notes"])) == (-0.3, 4.0, 2)
    head, lean, mend, swing, blank, *rest = QUESTION.tell(found, IMPERIAL)
    assert head == "Heron: what the test tells, seen by you at full draw"
    assert lean == (
        "\nTravel against plumb: top to the left by 1.5° (−2.1° to −0.9°); it costs 1.50 in at "
        "60 yd."
    )
    assert mend == told["tilts"][0]["mend"]
    assert swing.startswith("\nLevel (third axis): no swing seen; up to 0.8°")
    assert blank == ""
    assert [str(one)[:7] for one in rest[:2]] == ["Besides", "The gro"]
    assert rest[2:] == [
        Mind(SLOPE_SAFETY), Mind("Turn one thing at a time, and shoot the test again."),
    ]  # fmt: skip


def test_each_tilt_is_read_from_its_own_field(answer):
    said = {
        "cant": "2 deg", "third_axis": "-1 deg", "travel_axis": "0.5 deg", "peep": "3 mm",
        "slope": "30 deg", "zeroed": "30 yd", "distances": "20,50 yd",
    }  # fmt: skip
    tilts = QUESTION.ask(answer, Said(said), IMPERIAL).tilts
    assert (tilts.cant_rad, tilts.swing_rad) == pytest.approx((0.0349066, -0.0174533))
    assert (tilts.travel_rad, tilts.slope_rad) == pytest.approx((0.00872665, 0.523599))
    assert (tilts.peep_m, tilts.zeroed_m) == pytest.approx((0.003, 27.432))
