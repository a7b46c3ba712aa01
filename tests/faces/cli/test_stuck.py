"""A tape on the sight at the command line: printed, stuck on, dialled, proved, without a mm."""

import json

HEAD = "group,distance_yd,dialled_yd,right_in,up_in\n"
PROOF = HEAD + "".join(
    f"p{yards},{yards},{yards},{right},{up}\n"
    for yards in (20, 40, 60)
    for right, up in ((0.2, 0.1), (-0.3, -0.2), (0.1, 0.3), (0.0, -0.2))
)


def test_from_the_print_to_its_proof_without_a_reading(run, bench):
    (bench / "proof.csv").write_text(PROOF, encoding="utf-8")
    refused = run("prove", "rig.toml", "shots.csv", "proof.csv")
    assert refused.exit_code == 2
    assert "proof.csv, line 2, column dialled_yd: nobody can tell" in refused.stderr
    assert run("tape", "rig.toml", "shots.csv").exit_code == 0
    found = run(
        "prove", "rig.toml", "shots.csv", "proof.csv", "--tape", "rig-tape.tape.json", "--json"
    )
    assert found.exit_code == 0, found.output
    assert json.loads(found.stdout)["families"][0]["family"] == "nothing"


def test_another_strip_laid_elsewhere_is_another_record(run, bench):
    assert run("tape", "rig.toml", "shots.csv").exit_code == 0
    typed = ("--of", "rig-tape.tape.json", "--strip", "3", "--ticks", "20 yd 15.9 mm")
    told = run("stuck", "rig.toml", "shots.csv", *typed, "--out", "second.tape.json")
    assert told.exit_code == 0, told.output
    assert "as second" in told.stdout
    assert told.stdout.endswith("tapewright next rig.toml shots.csv --tape second.tape.json\n")
    record = json.loads((bench / "second.tape.json").read_text(encoding="utf-8"))
    assert record["stuck"] == {
        "strip": 3, "name": "second", "sticking_mm": 0.3, "tick": 20, "at_mm": 15.9
    }  # fmt: skip
    again = run("stuck", "rig.toml", "shots.csv", *typed, "--out", "second.tape.json")
    assert "is there already, the record of another tape" in again.stderr
    shot = run(
        "stuck", "rig.toml", "--of", "rig-tape.tape.json", "--by-shooting", "a, b", "--out", "shot"
    )
    assert shot.exit_code == 0, shot.output
    laid = json.loads((bench / "shot.tape.json").read_text(encoding="utf-8"))["stuck"]
    assert laid["aligned_on"] == [{"name": "shot before", "sticking_mm": 50.0}]
    assert laid["aligned_by"] == ["a", "b"]
    wrong = run("stuck", "rig.toml", "--of", "rig-tape.tape.json", "--strip", "4", "--out", "x")
    assert "there is no strip 4 on this print" in wrong.stderr


def test_a_starting_strip_lies_anywhere_until_a_reading_tells_where(run, bench):
    """0.3 mm of sticking and, since the reading was taken besides, 0.1 mm of that: 0.316 mm."""
    assert run("tape", "rig.toml").exit_code == 0  # before the first arrow
    printed = json.loads((bench / "rig-tape.tape.json").read_text(encoding="utf-8"))["stuck"]
    assert printed["sticking_mm"] == 50.0
    for typed, sticking_mm in (((), 50.0), (("--ticks", "20 yd 15.6 mm"), 0.3162)):
        out = f"laid{len(typed)}"
        told = run("stuck", "rig.toml", "--of", "rig-tape.tape.json", *typed, "--out", out)
        assert told.exit_code == 0, told.output
        laid = json.loads((bench / f"{out}.tape.json").read_text(encoding="utf-8"))["stuck"]
        assert laid["sticking_mm"] == sticking_mm


def test_a_tape_whose_record_is_lost_is_told_by_two_ticks(run, bench):
    ticks = ("--ticks", "20=15.6, 60=46.6")
    told = run("stuck", "rig.toml", "shots.csv", *ticks, "--sticking", "0.5 mm", "--out", "old")
    assert told.exit_code == 0, told.output
    record = json.loads((bench / "old.tape.json").read_text(encoding="utf-8"))
    pin = record["strips"][0]["pins"][0]
    marks = dict(zip(pin["distances"], pin["readings_mm"], strict=True))
    assert (marks[20], marks[60]) == (15.6, 46.6)
    assert 28.9 < marks[40] < 29.5  # of 29.0 on the calibration's own strip, a bit drawn out
    assert record["stuck"]["sticking_mm"] == 0.5
    for typed, why in (
        (("--ticks", "20=15.6, 60=16.4"), "these ticks cannot stand so"),
        (("--ticks", "20=15.6"), "neither a record nor two ticks"),
        (("--ticks", "20, 60"), '"20" is no tick with its reading'),
    ):
        wrong = run("stuck", "rig.toml", "shots.csv", *typed, "--out", "x")
        assert wrong.exit_code == 2
        assert why in wrong.stderr


def test_a_record_among_the_shots_is_told_for_what_it_is(run):
    assert run("tape", "rig.toml", "shots.csv").exit_code == 0
    for words in (("fit", "rig.toml"), ("change", "rig.toml", "shots.csv", "rig.toml", "--tape")):
        wrong = run(*words, "rig-tape.tape.json")
        assert wrong.exit_code == 2
        assert "the record of a tape, and no file of shots" in wrong.stderr
