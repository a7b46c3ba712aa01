"""The list of commands by what people do, and what they type next."""

import pytest
from click.testing import CliRunner
from every_command import every_command

from tapewright.faces.cli.command_list import in_sections
from tapewright.faces.cli.commands import main


def test_every_command_has_its_place_and_a_line_that_ends():
    help_text = CliRunner().invoke(main, ["-h", "--more"], env={"COLUMNS": "60"}).output
    rows = help_text.partition("Your first tape:")[2].splitlines()
    told = [row for row in rows if row.startswith("  ")]
    assert sorted(row.split()[0] for row in told) == sorted(every_command())
    assert all(row.endswith(".") for row in told)
    assert max(map(len, rows)) <= 60
    assert "More:" not in rows


def test_a_command_that_nobody_placed_is_listed_all_the_same():
    (first, ((_, line),)), *rest = in_sections(["fit", "moon"])
    assert first == "Your first tape"
    assert line.startswith("Marks, ")
    assert rest == [("More", [("moon", "")])]


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (("new", "my bow.toml"), "Next: tapewright next 'my bow.toml'"),
        (("gauge", "rig.toml"), "Next: tapewright next rig.toml"),
        (("fit", "rig.toml", "shots.csv"), "Next: tapewright next rig.toml shots.csv"),
        (("group", "rig.toml", "shots.csv"), "Next: tapewright next rig.toml shots.csv"),
        (("plan", "rig.toml"), "Next: tapewright add rig.toml shots.csv"),
        (
            ("next", "rig.toml", "shots.csv", "--to", "30 yd"),
            "Next: tapewright tape rig.toml shots.csv",
        ),
    ],
)
def test_the_next_thing_to_type_is_said_last(run, words, line):
    assert run(*words).stdout.splitlines()[-1] == line


@pytest.mark.parametrize(
    "words",
    [("gauge",), ("group", "shots.csv"), ("fit", "rig.toml", "--json"), ("limits", "rig.toml")],
)
def test_nobody_is_sent_on_from_elsewhere(run, words):
    assert "Next:" not in run(*words).output


def test_in_a_clone_people_are_told_to_type_what_they_typed(run, monkeypatch, capsys):
    monkeypatch.setenv("TAPEWRIGHT_CALLED", "./run")
    assert run("fit", "rig.toml", "shots.csv").stdout.endswith(
        "Next: ./run next rig.toml shots.csv\n"
    )
    assert "$ ./run fit tapewright-demo/heron.toml" in run("demo").stdout
    main.main(["tape", "-h"], standalone_mode=False)
    help_text = capsys.readouterr().out
    assert help_text.startswith("Usage: ./run tape")
    assert "./run tape --help --more tells of them" in help_text


def test_what_now_names_the_files_that_were_typed(run):
    lines = run("next", "rig.toml", "shots.csv").stdout.splitlines()
    assert lines[-1] == "Next: tapewright add rig.toml shots.csv"
    assert "Write it into the rig sheet, then ask again." in run("next", "rig.toml").stdout


@pytest.mark.parametrize("words", [("help", "tape"), ("-h", "tape"), ("--help", "tape")])
def test_help_is_found_either_way_round(run, words):
    assert "Print the sight tape" in run(*words).stdout


def test_a_command_that_is_none_is_told_its_neighbour(run):
    refused = run("taps")
    assert refused.exit_code == 2
    assert 'There is no command "taps". Perhaps tape or strips?' in refused.output
    assert "tapewright --help lists them all" in run("xyzzy").output
    assert "No such option" in run("--taps").output


def test_what_follows_a_print_is_told_with_its_record_and_a_proof_has_a_file_of_its_own(run, bench):
    printed = run("tape", "rig.toml", "shots.csv")
    on = "--tape rig-tape.tape.json"
    told = f"Next, once it is stuck on: tapewright next rig.toml shots.csv {on}"
    assert printed.stdout.splitlines()[-1] == told
    (bench / "proof.csv").write_text("group,distance_yd,dialled_yd\n", encoding="utf-8")
    words = ("next", "rig.toml", "shots.csv", "--to", "30 yd", *on.split())
    lines = run(*words).stdout.splitlines()
    assert lines[0] == "Heron: Prove the tape."
    assert lines[-1] == f"Next: tapewright add rig.toml proof-2.csv {on}"
    words = ["add", "rig.toml", "proof.csv", *on.split()]
    typed = CliRunner().invoke(main, words, input="20\n20\n0 0\n")
    *_, last, proves = typed.stdout.splitlines()
    assert last == f"Next: tapewright next rig.toml proof.csv {on}"
    assert proves.startswith("Or, where SHOTS.csv holds what the tape was made from")
    assert proves.endswith(f": tapewright prove rig.toml SHOTS.csv proof.csv {on}")


def test_a_record_that_groups_may_hang_on_is_not_printed_over_unsaid(run, bench):
    assert run("tape", "rig.toml", "shots.csv").exit_code == 0
    before = (bench / "rig-tape.tape.json").read_bytes()
    again = run("tape", "rig.toml", "shots.csv", "--step", "0.4 mm")
    assert again.exit_code == 2
    assert "groups that were dialled on that tape need its record" in again.stderr
    assert (bench / "rig-tape.tape.json").read_bytes() == before
