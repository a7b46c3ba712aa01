"""What to set at an event's distances: from what is typed to the words read back from the PDF."""

import io
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pdfplumber
import pytest
from exact_units import YARD_M
from written_out import IMPERIAL, METRIC

from tapewright.ground.errors import BadInput, Withheld
from tapewright.printing import large
from tapewright.printing.large import PRINT
from tapewright.printing.print_record import Wish
from tapewright.questions.question import Said, option
from tapewright.services.look_up_marks import bands_at
from tapewright.services.print_handover import marks_to_show
from tapewright.sight.tape import Tape, Ticks
from tapewright.words.answer_blocks import Mind


def made(answer, units=IMPERIAL, **texts):
    return PRINT.made_of(answer, Wish(Said(texts, option), units), "2031-04-05")


def words_of(made):
    ((ending, content),) = PRINT.files(made, ("pdf",))
    assert ending == ".pdf"
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        return "\n".join(page.extract_text() for page in pdf.pages)


def mark_mm(answer, yards, pin=1):
    return 1e3 * float(bands_at(answer, np.array([yards * YARD_M]), pin).reading_m[0])


def set_mm(line):
    return float(line.partition(": set ")[2].split(" ")[0])


def test_a_round_is_told_in_the_order_of_its_targets_and_each_line_alone(answer):
    found = made(answer, distances="33,18,41,18 yd", order="targets", event="Club  field")
    title, *lines, safe = PRINT.tell(found)
    assert (title, safe) == ("Club field, pin 1:", "Safe stop, or no shot.")
    assert [one.partition(":")[0] for one in lines] == [
        "Target 1, 33 yd", "Target 2, 18 yd", "Target 3, 41 yd", "Target 4, 18 yd",
    ]  # fmt: skip
    wanted = [mark_mm(answer, yards) for yards in (33, 18, 41, 18)]
    assert [set_mm(one) for one in lines] == pytest.approx(wanted, abs=0.2)
    assert lines[1].endswith(" mm.")


def test_the_page_holds_the_same_and_nothing_else(answer):
    found = made(answer, distances="33,18,41,18 yd", event="Club field")
    rows = PRINT.tell(found)[1:-1]
    assert len(rows) == 3  # each distance once, the nearest first
    shown = [one.removesuffix(".").replace(" yd: set", "").replace(" mm", "") for one in rows]
    page = ["Club field, pin 1", "yd mm", *(one.replace(", guess", " guess") for one in shown),
            "Safe stop, or no shot."]  # fmt: skip
    assert words_of(found).splitlines() == page


def test_a_guess_says_so_and_nothing_is_told_past_a_limit_or_out_of_reach(answer, monkeypatch):
    trusted_yd = answer.trusted_m[0] / YARD_M
    near, far = int(trusted_yd), int(trusted_yd) + 1
    lines = PRINT.tell(made(answer, distances=f"{near},{far} yd"))
    assert "guess" not in lines[1]
    assert lines[2].endswith(" mm, guess.")
    limited = made(answer, METRIC, distances="20,60 m")
    only_to = SimpleNamespace(
        allows=lambda readings: np.asarray(readings) <= limited.targets[0].reading_m + 1e-9
    )
    stopped = replace(answer, trust=replace(answer.trust, limits=only_to))
    near_two = lambda answer, wanted_m, pin: marks_to_show(answer, wanted_m[:2], pin)  # noqa: E731
    monkeypatch.setattr(large, "marks_to_show", near_two)
    found = made(stopped, METRIC, distances="20,60,90 m")
    assert PRINT.tell(found)[2:4] == ("60 m: do not shoot.", "90 m: no reach.")
    sent = PRINT.write(found)["targets"]
    assert [one["reading_mm"] is None for one in sent] == [False, True, True]
    told = words_of(found)
    assert "60 do not shoot" in told
    assert "90 no reach" in told


def test_a_bow_never_shot_is_a_guess_and_says_from_where_it_counts(unshot):
    lines = PRINT.tell(made(unshot, distances="30,40 yd"))
    assert all(one.endswith(" mm, guess.") for one in lines[1:3])
    assert lines[3] == "Counted from your 20 yd mark."


def test_what_the_tape_on_the_sight_shows_is_told(answer):
    ticks = Ticks(
        (20 * YARD_M, 60 * YARD_M), tuple(1e-3 * mark_mm(answer, one) for one in (20, 60))
    )
    tape = Tape("on", "yd", (ticks,))
    sight = replace(answer.rig.sight, tape=tape)
    on = replace(answer, rig=replace(answer.rig, sight=sight))
    found = made(on, distances="20,60 yd")
    assert PRINT.tell(found)[1].startswith("20 yd: set 20 on the tape")
    assert "yd tape yd" in words_of(found)
    second = made(on, distances="20 yd", pin="2")  # a pin without a column of the tape
    by_mm = abs(mark_mm(answer, 20, 2) - mark_mm(answer, 20))
    assert set_mm(PRINT.tell(second)[1]) == pytest.approx(by_mm, abs=0.06)  # told to 0.1 mm
    assert " mm past 20 on the tape" in PRINT.tell(second)[1]


def test_a_comma_that_may_be_a_decimal_one_is_asked_about(answer):
    for typed in ("16,5 m, 40 m", "16,5 m", "16,50 m, 40 m", "33, 18,5 yd"):
        with pytest.raises(BadInput, match="may part two distances or stand for a decimal point"):
            made(answer, distances=typed)
    for typed in ("16.5 m, 40 m", "40,16.5 m", "16.5; 40 m"):
        found = made(answer, distances=typed)
        assert [one.distance_m for one in found.targets] == pytest.approx([16.5, 40.0])


def test_a_list_kept_in_a_file_stands_in_place_of_distances_typed(answer):
    found = made(answer, list="# the wood\n33 m\n\n18,5 m\n", distances="20 yd", order="targets")
    assert [one.distance_m for one in found.targets] == pytest.approx([33.0, 18.5])
    assert found.order.units == METRIC


def test_ticks_of_a_class_are_kept_to(answer):
    told = PRINT.tell(made(answer, rules="one pin, paper only"))[-1]
    assert isinstance(told, Mind)
    assert "“paper only, one pin”" in told.text
    assert told.text.endswith("ask the organiser.")
    page = words_of(made(answer, rules="paper only"))
    assert "Rules: ask the organiser." in page.replace("\n", " ")
    ticked = replace(answer, rig=replace(answer.rig, rules=("no_notes",)))
    with pytest.raises(BadInput, match="a list of what to set is a note"):
        made(ticked)
    assert made(ticked, rules="none").order.rules == ()


@pytest.mark.parametrize(
    ("said", "place", "wrong"),
    [
        ({"distances": "30 km"}, "--distances", "km"),
        ({"distances": "2:130:1m"}, "--distances", "too many"),
        ({"list": " \n# nothing\n"}, "--list", "no distance"),
        ({"list": "20 yd\nfar"}, "--list", "far"),
        ({"list": "33,18 yd\n41 yd"}, "--list", "one distance or two"),
        ({"event": "水"}, "--event", "cannot hold"),
        ({"event": "x" * 41}, "--event", "cannot hold"),
        ({"pin": "3"}, "--pin", "2 pins"),
        ({"pin": "2", "rules": "one pin"}, "pin", "one pin"),
        ({"rules": "no pins"}, "--rules", "no tick"),
        ({"letters": "red"}, "--letters", "red"),
    ],
)
def test_a_fault_names_its_place(answer, said, place, wrong):
    with pytest.raises(BadInput, match=wrong) as refused:
        made(answer, **said)
    assert refused.value.place == place


def test_a_rig_that_must_not_be_shot_gets_none(answer):
    with pytest.raises(Withheld):
        made(replace(answer, rig=replace(answer.rig, damaged=("shafts",))))
