"""Ticks of a class: what each leaves of what is printed and carried."""

from dataclasses import replace

import pytest
from written_out import IMPERIAL

from tapewright.ground.errors import BadInput
from tapewright.questions.question import Said, option
from tapewright.questions.rules import QUESTION as RULES
from tapewright.services.fingerprint import fingerprint_of
from tapewright.words.answer_blocks import Mind
from tapewright.words.rules import phone_words, rules_words

BARE = "no small print: on it are ticks, numbers, their unit, the pointer's edge and “close”"
ASK = "Your own ticks, for no body's rules are known here: ask the organiser."


def asked(answer, text=""):
    return RULES.ask(answer, Said({"rules": text}, option), IMPERIAL)


def test_nothing_ticked_leaves_all_as_usual_and_still_says_whom_to_ask(answer):
    assert RULES.tell(asked(answer), IMPERIAL) == (
        "Ticked: nothing.",
        "Sight tape: as usual.",
        "Large list: as usual.",
        "Range card: as usual.",
        "Pocket card and phone: as usual.",
        Mind(ASK),
    )
    assert (rules_words(()), phone_words(("one_pin",))) == ((), ())


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("one pin", ("the first pin alone", "the first pin alone", "as usual")),
        ("No_Electronics", ("no code to scan", "as usual", "to be left at home")),
        (
            "paper only",
            ("on paper only: no film, no file for a machine", "as usual", "to be left at home"),
        ),
        (
            "one pin, no notes",
            (
                f"the first pin alone; no code to scan; {BARE}",
                "not printed: it is a note",
                "to be left at home",
            ),
        ),
    ],
)
def test_each_tick_binds_what_it_names(answer, text, told):
    carried = RULES.write(asked(answer, text), IMPERIAL)["carried"]
    tape, card, phone = told
    assert carried == {
        "Sight tape": tape,
        "Large list": card,
        "Range card": card,
        "Pocket card and phone": phone,
    }


def test_ticks_of_the_sheet_count_until_others_are_said(answer):
    ticked = replace(answer, rig=replace(answer.rig, rules=("no_notes",)))
    sent = RULES.write(asked(ticked), IMPERIAL)
    assert sent["ticks"] == {
        "paper_only": False, "no_notes": True, "one_pin": False, "no_electronics": False,
    }  # fmt: skip
    assert sent["cautions"] == [ASK]
    assert asked(ticked, "None").rules == ()
    assert phone_words(ticked.rig.rules)[0].endswith("and ask the organiser.")


def test_a_word_that_is_no_tick_is_refused_with_those_there_are(answer):
    with pytest.raises(BadInput, match="two pins") as refused:
        asked(answer, "no notes, two pins")
    assert refused.value.place == "--rules"
    assert "paper only, no notes, one pin, no electronics" in refused.value.mend


def test_ticks_move_no_mark_and_keep_the_fingerprint(answer):
    ticked = replace(answer.rig, rules=("one_pin",))
    assert fingerprint_of(1, ticked, ()) == fingerprint_of(1, answer.rig, ())
