import re
from importlib.resources import files
from types import SimpleNamespace

from written_out import IMPERIAL, METRIC, STANDARD_AIR

from tapewright.faces.pocket.sentences import (
    about_lines,
    card_words,
    list_caption,
    list_cautions,
    list_notes,
)
from tapewright.services.calibrate import Caution

ARCHER = SimpleNamespace(tolerance_m=0.0762)


def card(far=None, trusted_m=80.0, cautions=()):
    rig = SimpleNamespace(name="Heron", air=STANDARD_AIR, archer=ARCHER)
    answer = SimpleNamespace(
        tape=None,
        rig=rig, bands=SimpleNamespace(probability=0.9), trusted_m=(trusted_m,),
        once_zeroed_m=(trusted_m,), is_earned=True, slips=(),
        doubt=SimpleNamespace(without=()),
        groups=(SimpleNamespace(arrows=4, is_odd=False),), fingerprint="0123abcd",
        cautions=tuple(Caution(one, "", (3.0,)) for one in cautions),
        posterior=SimpleNamespace(method="arrows"), stops=(),
    )  # fmt: skip
    limits = SimpleNamespace(far=far and SimpleNamespace(kind=far))
    table = SimpleNamespace(farthest_m=110.0, error_m=2e-8, checked=3000)
    return SimpleNamespace(answer=answer, limits=limits, table=table)


def test_the_limit_says_what_stops():
    assert "housing meets the arrow" in card_words(card("measured clearance"))["far"]
    assert "travel ends" in card_words(card("far end"))["far"]
    assert card_words(card())["far"].endswith("pin: .")  # never shown: nothing stops


def test_the_script_asks_for_no_word_that_is_not_there():
    script = (files("tapewright.faces.pocket") / "card.js").read_text(encoding="utf-8")
    assert set(re.findall(r"\bwords\.(\w+)", script)) == set(card_words(card()))


def test_each_person_reads_their_own_units():
    words = card_words(card())
    assert words["hold_yd"].endswith("3.0 in")
    assert words["hold_m"].endswith("7.6 cm")
    assert "59 °F" in list_caption(card(), IMPERIAL)
    assert "15 °C" in list_caption(card(), METRIC)
    assert "Hold" not in list_caption(card(), METRIC, has_hold=False)
    assert "To 120 yd" in about_lines(card(), IMPERIAL, "2026-11-25")[2]
    assert "To 110 m" in about_lines(card(), METRIC, "2026-11-25")[2]


def test_notes_explain_the_signs_that_occur():
    assert list_notes(card(), set()) == ("± is half the 90 % band.",)
    assert "↩" in " ".join(list_notes(card(), {"close"}))


def test_a_worst_difference_is_never_said_to_be_nothing():
    assert "within 0.001 mm" in about_lines(card(), METRIC, "2026-11-25")[2]


def test_marks_that_no_arrow_confirmed_are_told_of_on_the_card():
    assert card_words(card())["unshot_yd"] == ""
    start = card_words(card(cautions=("no arrows",)))
    assert start["unshot_yd"] == "Not shot yet: counts from 20.0 yd."
    assert start["unshot_m"] == "Not shot yet: counts from 18.3 m."
    assert "since the change" in card_words(card(cautions=("carried",)))["unshot_m"]
    told = list_cautions(card(cautions=("few arrows", "unusual drag")), METRIC)
    assert len(told) == 1
    assert "Only 3 arrows" in told[0]


def test_every_word_of_the_card_is_as_written_here():
    assert card_words(card("measured clearance")) == {
        "arm": "Do not shoot: the sight's arm does not reach this mark.",
        "far": "Do not shoot with this pin: there the housing meets the arrow.",
        "near": "Do not dial: before the near end of the sight's travel.",
        "untrusted": "Trusted at no distance yet: a guess.",
        "trusted": "Past the trusted {d} {unit}: a guess.",
        "unshot_yd": "",
        "unshot_m": "",
        "turning": "Close: under {turn} {unit} marks run back.",
        "far_air": "Far colder or warmer than when shot: limbs change, too. One near arrow first.",
        "steep": "Steep: upright, full draw, safe stop.",
        "uphill": "Uphill a miss flies far: mind the stop.",
        "none": "none on the tape",
        "past": "past {d} {unit}",
        "bow": "bow",
        "between": "Write a number from {from} to {to}.",
        "reading": "reading",
        "guess": "a guess",
        "spoken": "Reading {mm} millimetres. Tape mark {dial}.",
        "spoken_tape": "Dial {shown}. Reading {mm} millimetres.",
        "spoken_guess_tape": "A guess: dial about {shown}. Reading about {mm} millimetres.",
        "dial": "Tape mark to dial",
        "in_mm": "Reading",
        "shows": "dial",
        "off_tape": "past the tape",
        "spoken_guess": "A guess: about {mm} millimetres. Tape mark about {dial}.",
        "units": "Units: {unit}. Press to change.",
        "sun": "Sun",
        "dark": "Dark",
        "band": "90 % band",
        "hold_yd": "Hold window, ±3.0 in",
        "hold_m": "Hold window, ±7.6 cm",
    }


def test_captions_and_signs_are_as_written_here():
    assert list_caption(card(), IMPERIAL) == (
        "Level ground, 59 °F; mm on the scale. Hold: nearest and farthest yd that a mark serves "
        "within 3 in."
    )
    assert list_caption(card(), METRIC, has_hold=False) == "Level ground, 15 °C; mm on the scale."
    assert list_notes(card(), {"guess", "close", "stopped"}) == (
        "± is half the 90 % band.",
        "Grey, with ≈ and ?: past the trusted distance, a guess.",
        "↩ close: marks run back there.",
        "Struck through: do not shoot, the sight may not go there.",
    )
    what, air, far, _ = about_lines(card(trusted_m=73.152), IMPERIAL, "2026-11-25")
    assert what.startswith("Heron, made 2026-11-25 from 1 ")
    assert what.endswith(
        ", 4 arrows. Trusted to 80 yd: up to there a mark misses by less than 3 in with 90 % "
        "chance."
    )
    assert air == (
        "Air at 1013 hPa and 0 % humidity, any temperature: for another altitude make another card."
    )
    assert far == (
        "To 120 yd, 60° up and down, its readings are within 0.001 mm of the program's own (3000 "
        "places compared). “Tape mark to dial” is the level distance with the same reading in the "
        "air of the sheet."
    )
