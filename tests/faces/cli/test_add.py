"""Arrows typed in: a plain file of shots, on the disk arrow by arrow, and what to turn."""

import os
import pty
import random
import re
import signal
import subprocess
import sys
import time

import pytest
from click.testing import CliRunner

from tapewright.faces.cli.commands import main
from tapewright.reading.shots_reader import read_shots

# As a person's shell starts it: what is started in the background has Ctrl-C taken away.
HEARS_CTRL_C = (
    "import runpy, signal; signal.signal(signal.SIGINT, signal.default_int_handler);"
    "runpy.run_module('tapewright', run_name='__main__')"
)
BEGUN = "group,distance_yd,reading_mm,right_in,up_in\n"


@pytest.fixture
def type_in(bench):
    assert bench.exists()

    def typed(lines, *words):
        return CliRunner().invoke(main, ["add", *words], input="".join(f"{one}\n" for one in lines))

    return typed


def test_a_file_is_begun_group_by_group_and_the_correction_follows_each(type_in, bench):
    lines = ["40 yd", "29.4", "5 low", "4 low 1 left", "5 low 1 right", "", "60", "46.1", "1 1"]
    done = type_in(lines, "rig.toml", "new.csv")
    assert done.exit_code == 0, done.output
    rows = "1,40,29.4,,-5\n1,40,29.4,-1,-4\n1,40,29.4,1,-5\n2,60,46.1,1,1\n"
    assert (bench / "new.csv").read_text(encoding="utf-8") == BEGUN + rows
    first, second = done.stdout.split("Group 2: 1 arrow.")
    assert first.startswith("Group 1: 3 arrows.\nThe centre lies 4.67 in low")
    assert "Elevation:" in first
    assert "leave it" not in first.split("Elevation:")[1].splitlines()[0]
    assert "Kept 2 groups in new.csv." in second
    assert second.endswith("Next: tapewright next rig.toml new.csv\n")


def test_the_columns_that_are_there_are_kept(type_in, bench):
    text = "# spring\r\ndistance_m;up_cm;right_cm;reading_mm;group\r\n18;1,5;0;15,9;near\r\n"
    (bench / "mine.csv").write_bytes(text.encode())
    said = '55 yd pin=2 temperature="50 °F" group=far'
    done = type_in([said, "27.4", "1 2", "missed"], "rig.toml", "mine.csv")
    assert done.exit_code == 0, done.output
    kept = (bench / "mine.csv").read_bytes().decode().split("\r\n")
    assert kept[:2] == [
        "# spring",
        "distance_m;up_cm;right_cm;reading_mm;group;pin;temperature_c;note",
    ]
    assert kept[2] == "18;1,5;0;15,9;near;;;"
    assert kept[3:] == [
        "50.292;2;1;27.4;far;2;10;", "50.292;;;27.4;far;2;10;missed", "",
    ]  # fmt: skip


def test_a_file_without_an_end_of_line_or_a_group_goes_on(type_in, bench):
    (bench / "mine.csv").write_text("distance_yd,reading_mm,right_in,up_in\n20,16,0,0")
    type_in(["20", "16", "hit"], "rig.toml", "mine.csv")
    text = (bench / "mine.csv").read_text(encoding="utf-8")
    assert text.splitlines()[1:] == ["20,16,0,0,", "20,16,0,0,2"]
    groups, _ = read_shots(text)
    assert len(groups) == 2


def test_the_last_arrow_is_taken_back(type_in, bench):
    type_in(["40", "29.4", "1 1", "2 2", "undo", "3 3"], "rig.toml", "new.csv")
    rows = (bench / "new.csv").read_text(encoding="utf-8").splitlines()[1:]
    assert rows == ["1,40,29.4,1,1", "1,40,29.4,3,3"]


def test_numbers_of_the_tape_are_dialled(type_in, run, bench):
    assert run("tape", "rig.toml", "shots.csv", "--out", "on").exit_code == 0
    lines = ["20", "16.1 mm", "hit", "", "40", "40.5", "1 1"]
    done = type_in(lines, "rig.toml", "new.csv", "--tape", "on.tape.json")
    assert done.exit_code == 0, done.output
    assert (bench / "new.csv").read_text(encoding="utf-8").splitlines() == [
        "group,distance_yd,reading_mm,right_in,up_in,dialled_yd,tape",
        "1,20,16.1,0,0,,",
        "2,40,,1,1,40.5,on",
    ]
    again = type_in(["60", "59", "here"], "rig.toml", "new.csv")  # the file names its tape
    assert again.exit_code == 0, again.output
    assert "a mark, it hits here" in again.stdout
    assert (bench / "new.csv").read_text(encoding="utf-8").splitlines()[-1] == "3,60,,,,59,on"
    assert run("fit", "rig.toml", "new.csv", "--json").exit_code == 0


def test_a_pipe_ends_at_what_is_wrong_and_says_what_is_kept(type_in, bench):
    done = type_in(["40", "29.4", "1 1", "", "60", "46.1", "1 1", "soso"], "rig.toml", "new.csv")
    assert done.exit_code == 2
    assert "input, line 8: " in done.stderr
    assert "soso" in done.stderr
    assert "Group 2 was not ended; kept so far: 1 arrow.\nKept 2 groups" in done.stdout
    assert len((bench / "new.csv").read_text(encoding="utf-8").splitlines()) == 3


def test_rows_go_to_standard_output_and_words_beside_it(type_in, bench):
    done = type_in(["40", "29.4", "1 1"], "rig.toml", "-")
    assert done.stdout == f"{BEGUN}1,40,29.4,1,1\n"
    assert "The centre lies" in done.stderr
    assert sorted(one.name for one in bench.iterdir()) == ["rig.toml", "shots.csv"]


@pytest.mark.parametrize(
    ("lines", "why"),
    [
        (["400", "29.4"], "above the limit"),
        (["40 moon=2", "29.4"], "nothing that is said of a group"),
        (["40 group=1", "29.4"], 'group "1" is there already'),
        (["40 pin=3", "29.4"], "pin 3 is aimed with"),
        (["40", "29.4 yd"], "no tape is known to be on the sight"),
        (["40", "undo", "40", "29.4", "undo"], "no arrow of this group"),
        (["40", "29.4", "1 1", "here"], 'Write "hit"'),
    ],
)
def test_what_no_command_would_read_is_not_written(type_in, bench, lines, why):
    before = (bench / "shots.csv").read_bytes()
    done = type_in(lines, "rig.toml", "shots.csv")
    assert done.exit_code == 2
    assert why in done.stderr
    assert "Traceback" not in done.output
    assert (bench / "shots.csv").read_bytes().startswith(before)


def test_a_stop_is_told_first_and_no_arrow_is_lost(type_in, bench):
    sheet = (bench / "rig.toml").read_text(encoding="utf-8").replace("420 gr", "250 gr")
    (bench / "light.toml").write_text(sheet, encoding="utf-8")
    done = type_in(["40", "29.4", "5 low", "4 low", "5 low", ""], "light.toml", "new.csv")
    assert done.stdout.startswith("STOP: an arrow of 250 gr")
    assert len((bench / "new.csv").read_text(encoding="utf-8").splitlines()) == 4
    told = done.stdout.split("Group 1: 3 arrows.")[1]  # and what to turn is told to nobody
    assert "What to turn cannot be told: STOP: an arrow of 250 gr" in told
    assert "Elevation" not in told


@pytest.mark.long
def test_no_arrow_that_was_answered_is_lost_to_a_kill(bench):
    """Killed at random instants, 20 times: the next prompt acknowledges the arrow before it."""
    chance, acknowledged = random.Random(7), 0
    for number in range(20):
        ours, theirs = pty.openpty()
        file = bench / f"new{number}.csv"
        with subprocess.Popen(
            [sys.executable, "-m", "tapewright", "add", "rig.toml", file.name],
            stdin=theirs, stdout=theirs, stderr=theirs, cwd=bench, start_new_session=True,
        ) as asked:  # fmt: skip
            os.close(theirs)
            told = ""
            for line in ("40", "29.4", *["0.4 -0.9"] * chance.randint(1, 30)):
                while not told.endswith(("yd: ", "mm: ", "in: ")):
                    told += os.read(ours, 4096).decode()
                asked_for = re.search(r"arrow (\d+), right", told)
                seen = int(asked_for[1]) if asked_for else 1
                told = ""
                os.write(ours, f"{line}\n".encode())
            time.sleep(chance.uniform(0.0, 0.02))
            asked.kill()
        os.close(ours)
        rows = file.read_bytes().decode() if file.exists() else ""
        kept = rows.count("1,40,29.4,0.4,-0.9\n")
        assert kept >= seen - 1
        assert rows in ("", BEGUN + kept * "1,40,29.4,0.4,-0.9\n")  # whole rows only
        acknowledged += seen - 1
    assert acknowledged > 150


def test_a_person_is_asked_again_and_an_interrupted_group_is_kept(bench):
    """At a terminal of its own: prompts, help, a mistake, Ctrl-C amid a group."""
    ours, theirs = pty.openpty()
    env = os.environ | {"COLUMNS": "100", "TERM": "dumb"}
    with subprocess.Popen(
        [sys.executable, "-c", HEARS_CTRL_C, "add", "rig.toml", "new.csv"],
        stdin=theirs, stdout=theirs, stderr=theirs, cwd=bench, env=env, start_new_session=True,
    ) as asked:  # fmt: skip
        os.close(theirs)
        told, steps = "", [
            ("distance yd: ", "?"), ("distance yd: ", "40"), ("reading mm: ", "29.4 yd"),
            ("reading mm: ", "29.4"), ("arrow 1, right and up in in: ", "2 lft"),
            ("arrow 1, right and up in in: ", "2 left"),
            ("arrow 2, right and up in in: ", None),
        ]  # fmt: skip
        for prompt, line in steps:
            while not told.endswith(prompt):
                told += os.read(ours, 4096).decode().replace("\r\n", "\n")
            if line is not None:
                os.write(ours, f"{line}\n".encode())
                told += os.read(ours, 4096).decode().replace("\r\n", "\n")
        asked.send_signal(signal.SIGINT)
        try:
            assert asked.wait(60) == 130
        finally:
            asked.kill()
        told += os.read(ours, 4096).decode()
    os.close(ours)
    assert '"undo" takes the last one back' in told
    assert 'Did you mean "left"?' in told
    assert "kept so far: 1 arrow." in told
    assert (bench / "new.csv").read_text(encoding="utf-8") == f"{BEGUN}1,40,29.4,-2,\n"


def test_a_temperature_says_its_unit_unless_the_file_does(type_in, bench):
    refused = type_in(["10 temperature=14", "16"], "rig.toml", "new.csv")
    assert refused.exit_code == 2
    assert "14 °F is not 14 °C" in refused.output
    assert type_in(["10 temperature=14F", "16", "0 0"], "rig.toml", "new.csv").exit_code == 0
    assert type_in(["15 temperature=-9", "16", "0 0"], "rig.toml", "new.csv").exit_code == 0
    head, first, second = (bench / "new.csv").read_text(encoding="utf-8").splitlines()
    place = head.split(",").index("temperature_c")
    assert [one.split(",")[place] for one in (first, second)] == ["-10", "-9"]


def test_a_centre_in_the_middle_lies_to_no_side(type_in, bench):
    done = type_in(["20", "16.1", "0 -1", "0 -1"], "rig.toml", "new.csv")
    assert "The centre lies 1.00 in low and 0.00 in right or left." in done.stdout
    assert bench.exists()
