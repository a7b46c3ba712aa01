"""The command setup: record, measured again, near group, card, as a traveller types them."""

import json
import re

import pdfplumber
import pytest
from click.testing import CliRunner
from screen import answered, refused

from tapewright.faces.cli.commands import main

RECORD = """name = "Heron"
measured_on = "2026-11-20"
photo = "heron.jpg"
[limbs]
upper_bolt = "3.5 ± 0.06"
brace_height = "6.5 in ± 0.04"
tiller = "0 mm"
[string]
string = "24 strands, May"
shots = 900
loop_height = "12 mm"
peep_height = "140 mm ± 1"
[sight]
hole = 2
"""


@pytest.fixture
def bow(bench):
    (bench / "bow.toml").write_text(RECORD, encoding="utf-8")
    return bench


def again(bench, *changes):
    text = RECORD.replace('photo = "heron.jpg"\n', "")
    for was, now in changes:
        assert was in text
        text = text.replace(was, now)
    (bench / "again.toml").write_text(text, encoding="utf-8")
    return ("setup", "rig.toml", "shots.csv", "--record", "bow.toml", "--again", "again.toml")


def near(bench, up):
    hits = ((0.2, 0.3), (0.4, 0.1), (0.3, 0.5), (0.1, 0.2))
    rows = "".join(f"near,20,16.1,{right},{up + by}\n" for right, by in hits)
    head = "group,distance_yd,reading_mm,right_in,up_in\n"
    (bench / "near.csv").write_text(head + rows, encoding="utf-8")
    return ("--near", "near.csv")


def test_before_a_journey_it_tells_what_each_thing_would_cost(run, bow):
    said = answered(run("setup", "rig.toml", "shots.csv", "--record", "bow.toml"))
    assert "6 things recorded; nothing measured again yet." in said
    assert "What each would cost, just far enough off to be called moved" in said
    assert "Upper knot of the loop" in said
    assert "nobody can tell" in said
    assert "heron.jpg" in said
    assert "one near group" not in said
    assert bow.exists()


def test_one_thing_wrong_is_named_with_what_it_costs(run, bow):
    typed = again(bow, ("140 mm ± 1", "132 mm"), ("= 900", "= 960"), ("6.5 in ± 0.04", "6.52 in"))
    said = answered(run(*typed, "--metric"))
    assert "Moved: Peep above the nocking point; the others are as before." in said
    assert "8.0 mm less than recorded (5.7 of its errors). Mend: slide the peep back" in said
    assert "one near group, from 9.1 m or nearer" in said
    assert "has shot 60 more" in said
    assert "the usual one is taken (common practice, no source): Tiller, Upper knot" in said
    found = json.loads(answered(run(*typed, "--json")))
    assert found["schema"] == "tapewright.setup/1"
    assert (found["is_as_before"], found["moved"]) == (False, ["string.peep_height"])
    assert found["at_risk"][0]["by"] == pytest.approx(-8.0)
    assert found["at_risk"][0]["marks"][2]["distance_yd"] == 60
    assert found["near"]["verdict"] == "shoot"


def test_another_hole_another_string_and_what_was_not_measured_are_told(run, bow):
    typed = again(bow, ("hole = 2", "hole = 3"), ("24 strands, May", "20 strands"),
                  ('upper_bolt = "3.5 ± 0.06"\n', ""))  # fmt: skip
    said = answered(run(*typed))
    assert "Hole of the sight: 1 more than recorded. Mend: bolt the sight back" in said
    assert "Another string is a change" in said
    assert "On the record and not measured again: Upper limb bolt." in said


def test_a_near_group_says_as_before_or_what_would_do_it(run, bow):
    said = answered(run(*again(bow), *near(bow, 0.2)))
    assert "6 things measured again: all as before." in said
    assert "As before: at 20 yd the group lies" in said
    said = answered(run(*again(bow), *near(bow, 6.0)))
    assert "Not as before: at 20 yd the group lies" in said
    assert "look there first: Peep above the nocking point by +" in said


def test_a_near_group_that_fits_vouches_for_no_far_mark_of_a_bow_that_is_not_as_recorded(run, bow):
    slower = again(bow, ("3.5 ± 0.06", "5"))
    said = answered(run(*slower, *near(bow, 0.2)))
    assert "Mind: The near group fits: at 20 yd" in said
    assert "hold no farther than it was shot" in said
    assert "hold as far as they did" not in said


def test_a_recurve_is_not_asked_for_a_peep(run, bow):
    text = (bow / "rig.toml").read_text(encoding="utf-8")
    text = text.replace("[bow]\n", '[bow]\nkind = "recurve"\n').replace("peep_height", "eye_height")
    (bow / "rig.toml").write_text(text, encoding="utf-8")
    said = answered(run("setup", "rig.toml", "--record", "bow.toml", "--distances", "10,20yd"))
    assert "4 things recorded" in said
    assert "Left out, since a recurve has none: Upper knot of the loop, Peep above" in said


def test_the_card_stands_on_one_page(run, bow):
    typed = ("setup", "rig.toml", "shots.csv", "--record", "bow.toml", "--card", "card.pdf")
    assert "Wrote card.pdf" in answered(run(*typed))
    with pdfplumber.open(bow / "card.pdf") as pdf:
        (page,) = pdf.pages
        said = page.extract_text()
    for words in ("Heron: set-up card", "Recorded 2026-11-20", "3.50 turns", "5.51 in", "counted",
                  "24 strands, May, 900 shots", "One near group"):  # fmt: skip
        assert words in said, words


@pytest.mark.parametrize(
    ("record", "words"),
    [
        ('[limbs]\nbrace = "7 in"\n', "bow.toml, line 2, limbs.brace"),
        ("[string]\nshots = 90\n", "nothing in it is of this kind of bow"),
    ],
)
def test_a_record_that_cannot_be_used_is_refused(run, bow, record, words):
    (bow / "bow.toml").write_text(record, encoding="utf-8")
    assert words in refused(run("setup", "rig.toml", "--record", "bow.toml"))
    assert "there is no set-up record yet" in refused(run("setup", "rig.toml"))


def test_measured_again_must_hold_something_of_the_record(run, bow):
    again(bow)
    (bow / "again.toml").write_text('[rest]\nside = "20 mm"\n', encoding="utf-8")
    said = refused(run("setup", "rig.toml", "--record", "bow.toml", "--again", "again.toml"))
    assert "again.toml: nothing in it is on the record, too" in said


def test_a_record_to_fill_in_is_written_for_a_kind_of_bow(run, bench):
    assert "how to measure it." in answered(run("new", "b.toml", "--setup", "--kind", "longbow"))
    text = (bench / "b.toml").read_text(encoding="utf-8")
    assert "#brace_height" in text
    assert "peep_height" not in text


def test_a_near_group_may_be_dialled_on_the_tape_as_add_writes_it(run, bow):
    assert run("tape", "rig.toml", "shots.csv").exit_code == 0
    on = ("--tape", "rig-tape.tape.json")
    typed = ["add", "rig.toml", "since.csv", *on]
    lines = "20\n20\n0.2 0.3\n0.4 0.1\n0.3 0.5\n"
    assert CliRunner().invoke(main, typed, input=lines).exit_code == 0
    assert "rig-tape" in (bow / "since.csv").read_text(encoding="utf-8")
    said = answered(run(*again(bow), *on, "--near", "since.csv"))
    assert "As before: " in said


def test_a_mark_typed_alone_is_no_near_group_and_that_is_said(run, bow):
    (bow / "mark.csv").write_text("distance_yd,reading_mm\n10,16.1\n", encoding="utf-8")
    said = answered(run(*again(bow), "--near", "mark.csv"))
    why = "tells nothing of it: it is a mark somebody wrote down, and no arrow of it was seen"
    assert why in said
    assert "Then one near group, from 10 yd or nearer" in said
    found = json.loads(run(*again(bow), "--near", "mark.csv", "--json").stdout)
    assert (found["near"]["verdict"], found["near"]["up_in"]) == ("shoot", None)
    (bow / "none.csv").write_text("distance_yd,reading_mm\n", encoding="utf-8")
    assert "no arrows in it" in run(*again(bow), "--near", "none.csv").stderr


def test_house_values_and_a_record_are_two_files(run, bow):
    assert "Write one of them" in refused(run("new", "x.toml", "--house", "--setup"))
    assert not (bow / "x.toml").exists()


def test_with_a_tape_on_marks_at_risk_are_told_in_what_is_dialled(run, bow):
    """A brace height of 0.4 in more: an arrow that lands low needs a larger number."""
    assert run("tape", "rig.toml", "shots.csv").exit_code == 0
    words = again(bow, ("6.5 in", "6.9 in"))
    plain = answered(run(*words))
    told = answered(run(*words, "--tape", "rig-tape.tape.json"))
    assert "mark mm" in plain
    assert "mark dial yd" in told
    assert "mark mm" not in told
    far = next(one for one in told.splitlines() if one.strip().startswith("60 yd"))
    more, mm = re.search(r"\+([0-9.]+) \(\+([0-9.]+) mm\)", far).groups()
    assert f"+{mm}" in plain
    assert 0.5 < float(more) < 4.0
