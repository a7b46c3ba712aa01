"""Misses and causes, told from numbers written by hand: each table by its whole cells."""

from types import SimpleNamespace

import numpy as np
import pytest
from told_by_hand import proving, tape_on
from written_out import IMPERIAL, METRIC

from tapewright.confidence.diagnosis import Cause
from tapewright.confidence.mending import Mend
from tapewright.questions.prove import accepted_blocks, causes_table, misses_table
from tapewright.words.answer_blocks import Table
from tapewright.words.first_proof_caution import first_words
from tapewright.words.miss_causes import (
    accepted_words,
    dispersion_words,
    mend_words,
    proof_cautions,
    proof_needs_words,
    size_words,
    verdict_words,
)

SAFE = (
    "Shoot only at a safe stop with clear ground behind it; a first far arrow needs a larger butt.",
    "Distances to people and boundaries: club's and national body's rules, and local law.",
)


def test_misses_stand_with_their_doubt_and_sign():
    assert misses_table(proving(), IMPERIAL) == Table(
        "Misses against the tape",
        ("group", "yd", "up in", "± up", "right in", "± right"),
        (
            ("a", "20", "+2.0", "0.5", "−3.0", "1.0"),
            ("b", "60", "–", "–", "+4.0", "1.0"),
            ("c", "50", "−6.0", "0.5", "–", "–"),
        ),
    )


def test_causes_stand_with_odds_and_sizes():
    causes = (
        Cause("one distance", 0.71, 1.8288, 0.9144, 3.6576, 1),
        Cause("drag or air", 0.2, -0.1, -0.2, 0.05),
        Cause("nothing", 0.06),
        Cause("zero", 0.004, 1e-3, 0.0, 2e-3),
    )
    assert causes_table(proving(None, causes), IMPERIAL) == Table(
        "What may be wrong",
        ("cause", "odds", "size if so"),
        (
            ("one wrong distance at 50", "71 %", "2.0 yd farther (1.0 to 4.0)"),
            ("drag or air", "20 %", "10 % less (−4 to 20)"),
            ("nothing wrong", "6 %", ""),
        ),
    )


@pytest.mark.parametrize(
    ("name", "more", "less"),
    [
        ("zero", "2.0 mrad high (1.0 to 4.0)", "2.0 mrad low (1.0 to 4.0)"),
        ("height", "0.2 cm high (0.1 to 0.4)", "0.2 cm low (0.1 to 0.4)"),
        ("span", "2.0 mm longer (1.0 to 4.0)", "2.0 mm shorter (1.0 to 4.0)"),
        ("windage", "2.0 mrad right (1.0 to 4.0)", "2.0 mrad left (1.0 to 4.0)"),
        ("sideways", "0.2 cm right (0.1 to 0.4)", "0.2 cm left (0.1 to 0.4)"),
        ("speed", "0.2 % faster (0.1 to 0.4)", "0.2 % slower (0.1 to 0.4)"),
        ("wind or cant", "0.1 deg right (0.1 to 0.2)", "0.1 deg left (0.1 to 0.2)"),
        ("third axis", "0.1 deg with the right end ahead (0.1 to 0.2)",
         "0.1 deg with the left end ahead (0.1 to 0.2)"),
    ],
)  # fmt: skip
def test_every_size_has_its_unit_and_its_side(name, more, less):
    assert size_words(Cause(name, 1, 2e-3, 1e-3, 4e-3), METRIC) == more
    assert size_words(Cause(name, 1, -2e-3, -4e-3, -1e-3), METRIC) == less


@pytest.mark.parametrize(
    ("reading_m", "pin_up", "clicks", "words"),
    [
        (2.9e-3, -1, 29, "pin down, 2.9 mm toward larger numbers, 29 clicks."),
        (-2.9e-3, 1, -29, "pin up, 2.9 mm toward smaller numbers, 29 clicks."),
        (2.9e-3, 1, None, "pin up, 2.9 mm toward larger numbers."),
    ],
)
def test_a_moved_zero_is_mended_the_way_of_the_arrows(reading_m, pin_up, clicks, words):
    told = proving(Cause("zero", 1.0), mend=Mend(reading_m=reading_m, pin_up=pin_up),
                   clicks=clicks, right_clicks=7)  # fmt: skip
    assert mend_words(told, IMPERIAL) == (
        f"The sight follows the arrows: {words} Then move tape or pointer back so that it shows "
        "the distance again, and see what came loose."
    )


@pytest.mark.parametrize(
    ("right_m", "clicks", "words"),
    [
        (0.48e-3, 5, "pin right by 0.5 mm, 5 clicks."),
        (-0.48e-3, -1, "pin left by 0.5 mm, 1 click."),
    ],
)
def test_moved_windage_is_mended_the_way_of_the_arrows(right_m, clicks, words):
    told = proving(Cause("windage", 1.0), mend=Mend(pin_right_m=right_m), clicks=29,
                   right_clicks=clicks)  # fmt: skip
    assert mend_words(told, IMPERIAL) == f"The sight follows the arrows: {words}"


@pytest.mark.parametrize(
    ("length_m", "words"),
    [
        (0.1e-3, ("low: the strip wants to be 0.4 % longer, from 20 to 60 yd 26.1 mm, not 26.0 mm. "
                 "That is nearer to the strip you have than to a neighbour: keep it for now.")),
        (0.6e-3, ("low: the strip wants to be 2.3 % longer, from 20 to 60 yd 26.6 mm, not 26.0 mm. "
                 "Take the strip +2.7 %, 26.7 mm.")),
        (-0.6e-3, ("high: the strip wants to be 2.3 % shorter, from 20 to 60 yd 25.4 mm, not 26.0 "
                  "mm. Take the strip −1.9 %, 25.5 mm.")),
        (1.9e-3, ("low: the strip wants to be 7.3 % longer, from 20 to 60 yd 27.9 mm, not 26.0 mm. "
                 "Take the strip +2.7 %, 26.7 mm; it goes only part of the way: accept the proof "
                 "and print anew.")),
    ],
)  # fmt: skip
def test_the_strip_to_take_is_told_by_length(length_m, words):
    told = proving(Cause("span", 1.0), mend=Mend(longer_m=length_m), answer=of_a(None),
                   may_accept=True, lengths_m=(25.5e-3, 26.0e-3, 26.7e-3),
                   ends_m=(18.288, 54.864))  # fmt: skip
    assert mend_words(told, IMPERIAL) == f"Far arrows land {words}"
    told.may_accept = False
    rest = words.replace("accept the proof", "shoot more groups for the proof")
    assert mend_words(told, IMPERIAL) == f"Far arrows land {rest}"


def of_a(kind):
    return SimpleNamespace(rig=SimpleNamespace(bow=SimpleNamespace(kind=kind)))


@pytest.mark.parametrize(
    ("kind", "look"),
    [
        ("compound", ("look whether peep, nocking point, rest or anchor moved, and whether impacts "
                     "were measured from the spot that was aimed at. Moving a peep is press work "
                     "for a qualified technician.")),
        ("recurve", ("look whether nocking point, rest or anchor moved, and whether impacts were "
                    "measured from the spot that was aimed at.")),
    ],
)  # fmt: skip
def test_what_to_look_at_is_what_the_bow_has(kind, look):
    told = proving(Cause("height", 1.0), mend=Mend(), answer=of_a(kind))
    assert mend_words(told, IMPERIAL) == f"The same length at every distance: {look}"


def test_with_a_tape_on_a_strip_is_longer_by_per_cent_of_it():
    """0.9 mm of 36 mm."""
    longer = Cause("span", 1.0, 0.9e-3, 0.36e-3, 1.44e-3)
    assert size_words(longer, IMPERIAL, 0.036) == "2.5 % longer (1.0 to 4.0)"
    assert size_words(longer, IMPERIAL) == "0.9 mm longer (0.4 to 1.4)"


@pytest.mark.parametrize(
    ("scales", "may", "words"),
    [
        ((), True, "Take these arrows in; from then on a proof can tell."),
        ((), False, "cannot be told yet from a zero that moved as little."),
        (tape_on().scales, True, ""),
    ],
)
def test_a_first_proof_on_a_tape_says_what_its_sticking_hides(scales, may, words):
    """0.3 mm are 0.6 yd of this tape."""
    answer = SimpleNamespace(tape=tape_on(), observations=(SimpleNamespace(scales=scales),))
    shot = (SimpleNamespace(distance_m=54.864, reading_m=0.035, pin=1),)
    told = first_words(SimpleNamespace(answer=answer, shot=shot, may_accept=may), IMPERIAL)
    assert told.endswith(words)
    assert ("0.3 mm (0.6 yd of it at 60 yd)" in told) is (words != "")
    answer.tape = None
    assert first_words(SimpleNamespace(answer=answer, shot=shot, may_accept=may), IMPERIAL) == ""


def test_what_was_moved_is_told_before_and_now():
    accepted = SimpleNamespace(
        distance_m=np.array([18.288, 54.864]),
        moved_m=np.array([0.1e-3, -0.47e-3]),
        answer=SimpleNamespace(
            tape=None,
            bands=SimpleNamespace(
                reading_m=np.array([0.0161, 0.03953]),
                low_m=np.array([0.0158, 0.0390]),
                high_m=np.array([0.0164, 0.0401]),
            ),
            trusted_m=(64.008,),
            rig=SimpleNamespace(sight=SimpleNamespace(elevation_click_m=None)),
        ),
        before=SimpleNamespace(
            bands=SimpleNamespace(
                low_m=np.array([0.0155, 0.0384]), high_m=np.array([0.0165, 0.0416])
            ),
            trusted_m=(54.864,),
        ),
    )
    assert accepted_blocks(accepted, IMPERIAL)[1] == Table(
        "Marks",
        ("yd", "before mm", "now mm", "moved mm"),
        (("20", "16.0", "16.1", "+0.10"), ("60", "40.0", "39.5", "−0.47")),
    )
    assert accepted_words(accepted, IMPERIAL) == (
        "With the proof taken in the tape is trusted to 70 yd (before: 60 yd). Marks moved by at "
        "most 0.5 mm."
    )
    accepted.answer.tape = tape_on()  # 16.1 and 39.53 mm are 22.2 and 69.06 yd of it
    moved = accepted_blocks(accepted, IMPERIAL)[1]
    assert moved.heads == ("yd", "before dial yd", "now dial yd", "mm")
    assert moved.rows == (("20", "22.0", "22.2", "16.1"), ("60", "70", "69.0", "39.5"))
    assert "Marks moved by at most 0.9 yd." in accepted_words(accepted, IMPERIAL)
    accepted.answer.tape = None
    accepted.answer.rig.sight.elevation_click_m = 1.0e-3
    assert accepted_blocks(accepted, IMPERIAL)[1].rows[0][1:] == ("16", "16", "+0.10")
    accepted.before.trusted_m = (0.0,)
    assert "trusted to 70 yd (before: no distance)" in accepted_words(accepted, IMPERIAL)


def test_two_bows_and_wrong_distances_are_warned_of():
    three = tuple(SimpleNamespace(distance_m=one) for one in (18.0, 36.0, 54.0))
    few = (
        "Causes are told apart by how misses change with distance: shoot three distances or more, "
        "far ones among them."
    )
    two = (
        "Something changed since the calibration: mend it and prove again before you accept these "
        "arrows, or the marks settle between two bows."
    )
    wrong = "Do not accept arrows from a distance that was wrong: write the true one."
    near = (
        "Something is not as it was: after the mend one arrow from 10 yd or nearer, then "
        "look, before any far one."
    )
    changed = (
        "Do not accept arrows of another speed: they belong to a changed set-up, and marks of both "
        "would be wrong for both."
    )
    not_yet = (
        "Nobody can tell yet whether tape or equipment missed: these arrows are not taken in. One "
        "more group would tell."
    )
    told = proving(None, may_accept=True)
    assert proof_cautions(told, IMPERIAL) == (few, *SAFE)
    told.shot = three
    assert proof_cautions(told, IMPERIAL) == SAFE
    told.may_accept = False
    assert proof_cautions(told, IMPERIAL) == (not_yet, *SAFE)
    equipment = ("zero", "height", "drag or air", "windage", "sideways", "wind or cant",
                 "third axis")  # fmt: skip
    for name in equipment:
        told.cause = Cause(name, 0.9)
        assert proof_cautions(told, IMPERIAL) == (near, two, *SAFE)
    told.cause = Cause("speed", 0.9)
    assert proof_cautions(told, IMPERIAL) == (near, changed, *SAFE)
    told.cause = Cause("one distance", 0.9)
    assert proof_cautions(told, IMPERIAL) == (wrong, *SAFE)
    told.cause = Cause("span", 0.9)
    assert proof_cautions(told, IMPERIAL) == (near, not_yet, *SAFE)
    told.may_accept = True
    assert proof_cautions(told, IMPERIAL) == (near, *SAFE)


def test_dispersion_is_told_in_the_digits_that_are_known():
    spread = SimpleNamespace(value=0.55e-3, low=0.41e-3, high=0.78e-3)
    told = proving(spread=SimpleNamespace(dispersion_rad=spread))
    assert dispersion_words(told, IMPERIAL) == (
        "Your dispersion: 0.55 mrad (0.40 to 0.80), 1.0 in at 50 yd."
    )
    assert dispersion_words(told, METRIC) == (
        "Your dispersion: 0.55 mrad (0.40 to 0.80), 2.6 cm at 45.7 m."
    )


def test_a_wrong_distance_is_told_with_its_place():
    told = proving(Cause("one distance", 0.71, 1.8288, 0.9144, 3.6576, 1))
    told.verdict.families = (("one distance", 0.71), ("nothing", 0.29))
    assert verdict_words(told, IMPERIAL) == (
        "Most likely: one wrong distance (71 %), likeliest that of 50 yd: 2.0 yd farther (1.0 to "
        "4.0)."
    )


SPARE = "Shot so far: 20, 50 and 90 yd. That is enough for an answer; more groups make it surer."
FIRST = "No group of it is shot yet. It needs a group at 3 distances"


@pytest.mark.parametrize(
    ("shot_m", "needed", "wanted_m", "words"),
    [
        ((), 3, (18.288, 45.72, 82.296), f"{FIRST}, such as 20, 50 and 90 yd."),
        ((), 3, (), f"{FIRST}, far ones among them."),
        ((18.288, 18.288), 2, (45.72, 82.296),
         "Shot so far: 20 yd. It needs a group at 2 more distances, such as 50 and 90 yd."),
        ((45.72, 18.288), 1, (82.296,),
         "Shot so far: 20 and 50 yd. It needs a group at one more distance, such as 90 yd."),
        ((45.72, 18.288, 82.296), 0, (), SPARE),
    ],
)  # fmt: skip
def test_what_a_proof_has_and_needs(shot_m, needed, wanted_m, words):
    shot = [SimpleNamespace(distance_m=one) for one in shot_m]
    assert proof_needs_words(shot, needed, wanted_m, IMPERIAL) == words
