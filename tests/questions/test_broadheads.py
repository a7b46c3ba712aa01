"""Broadheads: sentences and numbers written out by hand from what was found."""

import numpy as np
import pytest
from written_out import IMPERIAL, METRIC

from tapewright.confidence.checks import GroupCheck
from tapewright.confidence.ladder import Ladder
from tapewright.ground.errors import BadInput
from tapewright.questions.broadheads import QUESTION as BROADHEADS
from tapewright.questions.question import Said
from tapewright.services.calibrate import Bands
from tapewright.services.compare_points import Compared, Lies, NextGroup
from tapewright.words.answer_blocks import Mind

YD, INCH = 0.9144, 0.0254
BUTTS = (
    "Shoot broadheads only into butts made for them, where the range allows it, with clear ground "
    "behind them; one arrow a spot, for blades cut shafts; a first far arrow needs a larger butt."
)


def marks(*mm):
    reading_m = 1e-3 * np.array(mm)
    ends = (reading_m - 2e-4, reading_m + 2e-4)
    return Bands(0.9, YD * np.array([20.0, 40.0]), reading_m, *ends, reading_m, reading_m)


def lies(up, right, half=0.4):
    up_m, right_m = INCH * np.array(up), INCH * np.array(right)
    return Lies(up_m, right_m, np.full(len(up), INCH * half), np.full(len(up), INCH * half))


def check(*, is_odd=False):
    return GroupCheck("b1", 15 * YD, 0.0141, 4, INCH * 0.5, INCH * -1.5, 2.0, is_odd)


def told(quiet, verdict, **said):
    usual = {
        "answer": quiet, "wanted_m": 40 * YD, "checks": (check(),),
        "ladder": Ladder(20 * YD, broadheads=True),
        "trusted_m": 20 * YD, "field": marks(15.6, 29.0), "own": marks(17.9, 31.8),
        "there": lies((-1.3, -2.9), (0.1, 0.2)), "at_wanted": lies((-2.9,), (0.2,), 0.5),
        "alone": (), "elsewhere": (), "next": NextGroup(30 * YD, 0.0215, 1e-4, 4, 3), "more": 0,
        "asks_blades": False,
    }  # fmt: skip
    return Compared(verdict=verdict, **(usual | said))


def texts(found, units=IMPERIAL):
    return [one.text if isinstance(one, Mind) else one for one in BROADHEADS.tell(found, units)]


def test_same_marks_are_told_with_how_far_and_what_comes_next(quiet):
    verdict, trust, following, _, rows, stop, *_ = texts(told(quiet, "same"))
    assert verdict == (
        "Same marks, as far as these groups tell: with those of field points broadheads miss by "
        "less than 3 in up to 40 yd (at 40 yd they hit 2.90 in low and 0.20 in right, ± 0.50 in)."
    )
    assert trust == (
        "Trusted with broadheads: 20 yd, no farther than a fitting group of them has hit; with "
        "field points: 60 yd."
    )
    assert following == (
        "Next: 4 broadheads and 3 field points at 30 yd, all with the mark of field points: dial "
        "21.50 mm."
    )
    assert rows.heads == ("yd", "field mm", "up in", "right in")
    assert rows.rows[1] == ("40", "29.00", "−2.9 ±0.4", "+0.2 ±0.4")
    assert rows.faint == frozenset({1})
    assert stop == BUTTS
    whole = told(quiet, "same", trusted_m=40 * YD, next=None)
    assert texts(whole)[0].startswith("Same marks: with those")
    assert "Next" not in str(texts(whole))


def test_own_marks_are_told_as_far_as_broadheads_hit(quiet):
    verdict, *_, rows = [one for one in texts(told(quiet, "own")) if one != BUTTS][:5]
    assert verdict.startswith("Own marks: with those of field points at 40 yd they hit 2.90 in low")
    assert rows.heads == ("yd", "field mm", "broadhead mm", "up in", "right in")
    assert [row[2] for row in rows.rows] == ["17.90", "–"]


def test_a_side_is_tuned_first_and_said_aloud(quiet):
    found = told(quiet, "tune", trusted_m=0.0, next=None)
    first, trust, look, tuned, *_ = BROADHEADS.tell(found, METRIC)
    assert isinstance(first, Mind)
    assert first.text.startswith("Tune first: ")
    assert trust.startswith("Trusted with broadheads: no distance, not yet; ")
    assert "rest and nocking point" in look
    assert "near group first" in tuned


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"more": 16},
         "If a nearer distance will do, say so (Broadheads wanted to): it is answered sooner."),
        ({"more": 17}, "17 more broadheads, and as many field points, will likely tell."),
        ({"more": None}, "even sixty more broadheads would hardly tell."),
        ({"checks": ()}, "No broadhead was shot yet, so nothing is trusted of them."),
        ({"next": None}, "No next group is safe: "),
        ({"next": NextGroup(20 * YD, 0.0156, 0.0, 0, 4)},
         "Next: 4 field points beside the last broadheads, at 20 yd, as they were dialled: 15.60"),
        ({"asks_blades": True}, "Measure the blades before the next broadhead"),
        ({"checks": (check(is_odd=True),)},
         "does not fit the others: it lies 1.50 in low and 0.50 in right of"),
        ({"alone": ("b2", "b3")}, "No field points were shot beside b2, b3, "),
    ],
)  # fmt: skip
def test_what_is_missing_is_named(quiet, said, words):
    found = told(quiet, "more", trusted_m=0.0, **said)
    assert any(words in one for one in texts(found) if isinstance(one, str))
    assert any(words in one for one in BROADHEADS.write(found, IMPERIAL)["cautions"])


def test_programs_get_the_same(quiet):
    sent = BROADHEADS.write(told(quiet, "own"), IMPERIAL)
    assert (sent["schema"], sent["verdict"]) == ("tapewright.broadheads/1", "own")
    assert (sent["trusted_distance_yd"], sent["field_trusted_distance_yd"]) == (20.0, 60.0)
    assert sent["next"] == {
        "distance_yd": 30.0, "reading_mm": 21.5, "broadheads": 4, "field_points": 3,
    }  # fmt: skip
    near, far = sent["at"]
    assert (near["field_reading_mm"], near["broadhead_reading_mm"]) == (15.6, 17.9)
    assert (near["is_trusted"], far["is_trusted"], far["broadhead_reading_mm"]) == (
        True,
        False,
        None,
    )
    assert (far["up_in"], far["right_half_in"]) == (-2.9, 0.4)
    assert sent["groups"][0] == {
        "group": "b1", "distance_yd": 15.0, "up_in": -1.5, "right_in": 0.5, "arrows": 4,
        "is_odd": False,
    }  # fmt: skip
    assert BUTTS in sent["cautions"]
    none = BROADHEADS.write(told(quiet, "more", trusted_m=0.0, next=None), METRIC)
    assert (none["trusted_distance_m"], none["next"]) == (None, None)


def test_what_was_typed_reaches_the_errand(answer):
    found = BROADHEADS.ask(
        answer, Said({"wanted": "40", "blades": "30 mm", "distances": "20,30yd"}), IMPERIAL
    )
    assert found.wanted_m == pytest.approx(min(40 * YD, answer.trusted_m[0]))
    assert (found.asks_blades, len(found.field.distance_m)) == (False, 2)
    assert BROADHEADS.ask(answer, Said({}), IMPERIAL).asks_blades
    with pytest.raises(BadInput, match="too much"):
        BROADHEADS.ask(answer, Said({"blades": "30 cm"}), IMPERIAL)


def test_broadheads_of_other_air_are_named_and_tell_nothing(quiet):
    lines = texts(told(quiet, "same", elsewhere=("C1", "C2")))
    assert (
        "Broadheads shot far colder or warmer than the calibration's own arrows fly otherwise for "
        "two reasons at once, and tell nothing here: C1, C2."
    ) in lines
