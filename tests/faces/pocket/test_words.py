import re
from importlib.resources import files
from types import SimpleNamespace

from tapewright.faces.pocket.words import (
    about_lines,
    card_words,
    list_caption,
    list_cautions,
    list_notes,
)
from tapewright.faces.wording import IMPERIAL, METRIC
from tapewright.services.equip import STANDARD_AIR

ARCHER = SimpleNamespace(tolerance_m=0.0762)


def card(far=None, trusted_m=80.0, cautions=()):
    rig = SimpleNamespace(name="Heron", air=STANDARD_AIR, archer=ARCHER)
    answer = SimpleNamespace(
        rig=rig, bands=SimpleNamespace(probability=0.9), trusted_m=(trusted_m,),
        groups=(SimpleNamespace(arrows=4, is_odd=False),), fingerprint="0123abcd",
        cautions=tuple(SimpleNamespace(kind=one, numbers=(3.0,)) for one in cautions),
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
