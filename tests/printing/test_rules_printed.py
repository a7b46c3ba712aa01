"""Prints that keep to a class's ticks, read back from the PDF; notches on a tape."""

import io
from dataclasses import replace

import pdfplumber
import pytest
from told_by_hand import card_made, quiet_answer
from written_out import IMPERIAL

from tapewright.ground.errors import BadInput
from tapewright.printing.card import card_files
from tapewright.printing.print_record import Wish
from tapewright.printing.tape import PRINT, tape_record
from tapewright.questions.question import Said, option
from tapewright.reading.tape_files import load_record
from tapewright.words.answer_blocks import Mind
from tapewright.words.readings_on_tape import correction_words

ASK = "ask the organiser"


def made(answer, **texts):
    return PRINT.made_of(answer, Wish(Said(texts, option), IMPERIAL), "2031-04-05")


def page_of(content):
    """Words of the first page, and its small black squares: cells of a code."""
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        page = pdf.pages[0]
        text = " ".join(page.extract_text().split())
        return text, [one for one in page.rects if one["fill"] and one["width"] < 12.0]


def printed(found):
    return page_of(PRINT.files(found, ("pdf",))[0][1])


def test_a_tape_without_rules_has_its_code_its_notes_and_all_pins(answer):
    text, squares = printed(made(answer))
    assert len(squares) > 100
    for words in ("Notes", "pin 2", answer.fingerprint, "yd · 0 %"):
        assert words in text
    assert ASK not in text


def test_no_notes_leaves_ticks_and_numbers_and_what_safety_asks(answer):
    text, squares = printed(made(answer, rules="no notes"))
    assert len(squares) < 20
    for words in ("Notes", answer.fingerprint, "Scan for", "yd · 0 %"):
        assert words not in text
    assert ASK in text
    assert "Never shoot past the distance" in text
    assert "pin 2" in text


def test_no_electronics_leaves_the_code_out_alone(answer):
    text, squares = printed(made(answer, rules="no electronics"))
    assert len(squares) < 20
    assert "Notes" in text
    assert answer.fingerprint in text
    assert ASK in text


def test_one_pin_prints_the_first_alone(answer):
    found = made(answer, rules="one pin")
    text, _ = printed(found)
    assert "pin 2" not in text
    assert found.plan.order.width_mm == 12.0
    on = load_record(io.StringIO(tape_record(found))).tape()
    assert len(on.pins) == 1
    assert correction_words(on, 0.9, 0.8, pin=2).startswith("dial 100.0 mm toward smaller numbers")
    assert any(isinstance(one, Mind) and ASK in one.text for one in PRINT.tell(found))


def test_paper_only_makes_no_film_and_no_file_for_a_machine(answer):
    found = made(answer, rules="paper only")
    assert PRINT.files(found, ("pdf",))
    for ending in ("dxf", "cut.svg"):
        with pytest.raises(BadInput, match="file for a machine"):
            PRINT.files(found, (ending,))
    with pytest.raises(BadInput, match="film is none"):
        made(answer, rules="paper only", labels="yes")


def test_ticks_of_the_rig_sheet_bind_until_others_are_said(answer):
    ticked = replace(answer, rig=replace(answer.rig, rules=("no_electronics", "one_pin")))
    assert made(ticked).plan.order.rules == ("no_electronics", "one_pin")
    assert made(ticked, rules="none").plan.order.rules == ()
    assert made(ticked, rules="No  notes").plan.order.rules == ("no_notes",)


def test_a_card_is_a_note_and_shows_the_pin_allowed():
    card = card_made(quiet_answer())  # of pin 2
    with pytest.raises(BadInput, match="a range card is a note"):
        card_files(card, IMPERIAL, "2031-04-05", "A4", rules=("no_notes",))
    with pytest.raises(BadInput, match="this is pin 2"):
        card_files(card, IMPERIAL, "2031-04-05", "A4", rules=("one_pin",))


def test_notches_are_cut_where_arrows_have_earned_trust_and_a_finger_tells_them(answer):
    trusted = int(answer.trusted_m[0] / 0.9144)
    found = made(answer, notches=f"8,20,21,40,{trusted + 5} yd")
    why = dict(found.plan.notched)
    assert (why[20.0], why[40.0]) == ("", "")
    assert "close marks" in why[8.0]
    assert "too close for a finger" in why[21.0]
    assert why[trusted + 5.0] == "a guess"
    assert found.plan.order.width_mm == 18.0  # two pins, and 2 mm for the notches
    cut, left = PRINT.tell(found)[-2:]
    assert cut == "Notches at 20, 40 yd of pin 1, the nearest wide and flat."
    assert left.startswith("Not notched: 8 yd (among the close marks); 21 yd (too close for")
    sent = PRINT.write(found)
    assert sent["notches_yd"] == [20.0, 40.0]
    assert [one["distance_yd"] for one in sent["not_notched"]] == [8.0, 21.0, trusted + 5.0]


def test_a_machine_is_told_the_notches_on_the_layer_it_cuts(answer):
    def cuts(found):
        ((_, text),) = PRINT.files(found, ("cut.svg",))
        layer = text.decode().partition('<g id="cut">')[2].partition("</g>")[0]
        return layer.count("<line")

    assert cuts(made(answer)) == 0
    assert cuts(made(answer, notches="20,40 yd")) == 5  # three sides of the wide one, two


def test_a_bow_never_shot_has_no_notch(unshot):
    assert set(dict(made(unshot, notches="30,40 yd").plan.notched).values()) == {"a guess"}
    assert PRINT.tell(made(unshot, notches="30,40 yd"))[-2] == "No notch is cut."
