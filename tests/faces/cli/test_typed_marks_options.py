"""A strip from marks that somebody knows."""

import json

import pytest

MARKS = ("--mark", "20 yd = 17.2", "--mark", "60 yd = 48.5")


def test_two_marks_make_a_strip_and_what_is_assumed_is_said(run, bench):
    done = run("tape", *MARKS)
    assert done.exit_code == 0, done.output
    assert (bench / "tape.pdf").read_bytes().startswith(b"%PDF")
    record = json.loads((bench / "tape.tape.json").read_text(encoding="utf-8"))
    pin = record["strips"][1]["pins"][0]
    printed = dict(zip(pin["distances"], pin["readings_mm"], strict=True))
    assert printed[20] == pytest.approx(17.2, abs=0.3)  # the marks' own bands are wider
    assert printed[60] == pytest.approx(48.5, abs=0.3)
    assert "usual values are taken: readings in mm that get larger for far" in done.stdout
    assert "arrow mass 420 gr ± 40" in done.stdout
    assert "The arrow's least mass was not checked" in done.stdout
    assert "Trusted to " in done.stdout


def test_marks_count_as_the_same_marks_in_a_file(run, bench):
    rows = "group,distance_yd,reading_mm,right_in,up_in\nmark 1,20,15.7,,\nmark 2,60,46,,\n"
    (bench / "marks.csv").write_text(rows, encoding="utf-8")
    typed = ("--mark", "60 yd 46 mm", "--mark", "20=15.7", "--json", "--out")
    as_marks = json.loads(run("tape", "rig.toml", *typed, "one").stdout)
    as_file = json.loads(run("tape", "rig.toml", "marks.csv", "--json", "--out", "two").stdout)
    assert as_marks["strips"] == as_file["strips"]
    assert as_marks["fingerprint"] == as_file["fingerprint"]
    assert as_marks["assumed"] == as_marks["not_checked"] == []  # the sheet tells the draw weight


def test_metres_and_another_kind_are_heard(run):
    typed = ("--mark", "20 m = 48,5", "--mark", "60 = 17", "--kind", "recurve", "--json")
    told = json.loads(run("tape", *typed, "--metric").stdout)
    assert told["unit"] == "m"
    assert told["not_checked"] == ["arrow.mass"]
    assert any("smaller" in one for one in told["assumed"])
    assert not any("compound" in one for one in told["assumed"])


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ((), "neither a rig sheet nor a mark"),
        (("--mark", "20"), "no mark with its reading"),
        (("--mark", "20=17", "--mark", "20 yd = 18"), "the same distance"),
        (("rig.toml", "--mark", "20=40", "--mark", "60=10"), "run against"),
        (("rig.toml", "--mark", "20=40", "--kind", "longbow"), "tells the kind"),
    ],
)
def test_what_makes_no_strip_is_said(run, typed, why):
    done = run("tape", *typed)
    assert done.exit_code == 2
    assert why in done.stderr
