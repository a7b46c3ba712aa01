"""Stops in every command: told first, nothing planned, printed or called trusted, status 2.

Every command of the program has a line here; a new one without one fails. The calibration is
that of the sample; a stop hangs on the sheet alone.
"""

import csv
import json
import re
from dataclasses import replace
from functools import cache

import pdfplumber
import pytest
from every_command import every_command
from screen import trusted_in as told
from set_ups import HERON, ODD, STOPPED
from set_ups import SHOTS as ARROWS

from tapewright.faces.cli import input_files
from tapewright.reading.rig_sheet import read_rig_sheet
from tapewright.reading.shots_reader import read_shots
from tapewright.services import calibrate as calibrating
from tapewright.services import calibrate_kept
from tapewright.services.stops import stops

TRUSTED = re.compile(r"[Tt]rusted to \d")
RIG, SHOTS = "rig.toml", "shots.csv"
# Plans, prints and what leads to a shot: withheld, status 2, and no new file.
WITHHELD = {
    "plan": [RIG, SHOTS],
    "tape": [RIG, SHOTS],
    "broadheads": [RIG, SHOTS],
    "pocket": [RIG, SHOTS],
    "strips": [RIG, SHOTS],
    "prove": [RIG, SHOTS, "proof.csv"],
    "change": ["sound.toml", SHOTS, RIG],
    "family": [RIG],
    "picture": ["marks", RIG, SHOTS],
    "handover": [RIG, SHOTS],
    "cold": [RIG, SHOTS, "--temperature", "-10 °C"],
    "large": [RIG, SHOTS],
    "card": [RIG, SHOTS, "--print", "page", "--csv", "card.csv"],
}
# Answers that stand under the stop.
TOLD = {
    "fit": [RIG, SHOTS],
    "group": [RIG, SHOTS],
    "arrows": [RIG, "season.csv"],
    "drift": [RIG, "season.csv"],
    "clicks": [RIG, SHOTS],
    "card": [RIG, SHOTS],
    "slopes": [RIG, SHOTS],
    "weather": [RIG, SHOTS, "--temperature", "5 °C"],
    "wind": [RIG, SHOTS],
    "compare": ["sound.toml", SHOTS, RIG, SHOTS],
    "budget": [RIG, SHOTS],
    "hold": [RIG, SHOTS],
    "next": [RIG, SHOTS],
    "limits": [RIG, SHOTS],
    "bolt": [RIG, SHOTS, "--travel", "0,80mm"],
    "peep": [RIG, SHOTS],
    "setup": [RIG, SHOTS, "--record", "bow.toml"],
    "level": [RIG, SHOTS],
    "rules": [RIG, SHOTS],
}
# Sheets to measure with, which carry the stop on paper.
CARRIED = {"gauge": [RIG], "target": [RIG]}
# What tells nothing of one rig, or is looked at below; ``stuck`` writes down what the sight has on,
# ``add`` (test_add.py) what was shot; a sheet that is given away asks its taker anew.
APART = {
    "demo", "new", "photo", "serve", "export", "backup", "restore", "import", "rigs", "batch",
    "check", "house", "stuck", "add", "give", "erase",
}  # fmt: skip


@cache
def base():
    """The sample's calibration, made once."""
    rig, _ = read_rig_sheet(HERON)
    observations, _ = read_shots(ARROWS, "shots.csv", rig)
    yards = [0.9144 * step for step in range(10, 121, 10)]
    grid = [0.9144 * step for step in range(9, 126)]
    return MADE(rig, observations, yards, grid)


MADE = calibrating.calibrate


@pytest.fixture
def bench_of(bench, monkeypatch):
    """Writes the files of a set-up; whatever is calibrated is the sample with its sheet."""

    def borrowed(rig, observations, distance_m, *_more, **_wish):
        one = calibrating.answer_at(base(), distance_m)
        none = tuple(0.0 for _ in one.trusted_m)
        held = {"trusted_m": none, "once_zeroed_m": none} if stops(rig) else {}
        return replace(one, rig=rig, observations=tuple(observations), **held)

    for room in (calibrating, calibrate_kept, input_files):
        monkeypatch.setattr(room, "calibrate", borrowed)

    def write(sheet):
        (bench / RIG).write_text(sheet, encoding="utf-8")
        (bench / "sound.toml").write_text(HERON, encoding="utf-8")
        (bench / "bow.toml").write_text('[limbs]\ntiller = "3 mm"\n', encoding="utf-8")
        rows = (bench / SHOTS).read_text(encoding="utf-8").splitlines()
        moved = [rows[0], *(row.replace(",16.1,", ",16.2,") for row in rows[1:7])]
        (bench / "proof.csv").write_text("\n".join(moved) + "\n", encoding="utf-8")
        days = (f"2026-0{1 + (at > 21)}-01" for at in range(len(rows)))
        shots = (f"{row},{at % 3},{day}" for at, (row, day) in enumerate(zip(rows[1:], days)))  # noqa: B905
        season = [f"{rows[0]},arrow,date", *shots]
        (bench / "season.csv").write_text("\n".join(season) + "\n", encoding="utf-8")
        return bench

    return write


def test_every_command_has_its_line_here():
    assert {*WITHHELD, *TOLD, *CARRIED, *APART} == set(every_command())


def check_withheld(run, bench, name):
    before = sorted(bench.iterdir())
    done = run(name, *WITHHELD[name])
    assert done.exit_code == 2, done.output
    assert done.stdout.startswith("STOP: ")
    assert "nothing is planned, printed or trusted" in done.stderr
    if any("--json" in one.opts for one in every_command()[name].params):
        done = run(name, *WITHHELD[name], "--json")
        assert done.exit_code == 2, done.output
        assert json.loads(done.stdout)["stop"][0].startswith("STOP: ")
    assert not TRUSTED.search(done.output)
    assert sorted(bench.iterdir()) == before


def check_told(run, name):
    done = run(name, *TOLD[name])
    assert done.exit_code == 0, done.output
    assert done.stdout.startswith("STOP: ")
    answer = json.loads(run(name, *TOLD[name], "--json").stdout)
    assert answer["stop"][0].startswith("STOP: ")
    if name != "compare":  # of which one rig is sound
        assert not TRUSTED.search(done.output)
        assert not any(told(answer))


def check_carried(run, bench, name):
    done = run(name, *CARRIED[name], "--format", "pdf")
    assert done.exit_code == 0, done.output
    assert done.stdout.startswith("STOP: ")
    with pdfplumber.open(bench / f"rig-{name}.pdf") as document:
        words = " ".join(page.extract_text() for page in document.pages)
    assert words.count("STOP") >= 2, words  # in the title and among the notes


CHECKS = [
    *((check_withheld, name) for name in WITHHELD),
    *((check_told, name) for name in TOLD),
    *((check_carried, name) for name in CARRIED),
]


@pytest.mark.parametrize("place", range(len(STOPPED)))
def test_each_set_up_in_some_commands(run, bench_of, place):
    """Twenty set-ups share all commands among them; the long test takes all with each."""
    bench = bench_of(list(STOPPED.values())[place][1])
    for check, name in CHECKS[place % len(CHECKS) :: len(STOPPED)]:
        check(run, name) if check is check_told else check(run, bench, name)


@pytest.mark.long
@pytest.mark.parametrize("name", STOPPED)
def test_each_set_up_in_every_command(run, bench_of, name):
    bench = bench_of(STOPPED[name][1])
    for check, command in CHECKS:
        check(run, command) if check is check_told else check(run, bench, command)


@pytest.mark.parametrize("place", range(0, len(ODD), 7))
def test_an_odd_set_up_is_printed_with_its_caution(run, bench_of, place):
    words, sheet = list(ODD.values())[place]
    bench_of(sheet)
    done = run("tape", RIG, SHOTS)
    assert done.exit_code == 0, done.output
    assert words in done.stderr
    assert "STOP" not in done.output


@pytest.mark.usefixtures("in_this_process")
def test_a_batch_withholds_the_tape_of_one_and_prints_the_rest(run, bench):
    (bench / "many").mkdir()
    sheets = {"heron": HERON, "light": STOPPED["light: 250 gr at 60 lbf"][1]}
    for name, sheet in sheets.items():
        (bench / "many" / f"{name}.toml").write_text(sheet, encoding="utf-8")
        rows = (bench / SHOTS).read_text(encoding="utf-8").splitlines()[:9]
        (bench / "many" / f"{name}.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    done = run("batch", "many", "--workers", 1)
    assert done.exit_code == 2, done.output
    assert "light: STOP: an arrow of 250 gr" in done.stderr
    out = bench / "tapewright-batch"
    assert sorted(one.name for one in (out / "tapes").iterdir()) == ["heron.pdf"]
    with (out / "summary.csv").open(encoding="utf-8-sig") as file:
        rows = {row["rig"]: row for row in csv.DictReader(file)}
    assert rows["light"]["stop"].startswith("STOP: an arrow of 250 gr")
    assert rows["light"]["next"] == "STOP: correct the rig sheet first"
    assert float(rows["light"]["trusted_yd"] or 0) == 0
    assert rows["heron"]["stop"] == ""
    record = json.loads((out / "calibrations" / "light.json").read_text(encoding="utf-8"))
    assert record["stop"][0].startswith("STOP")
    assert not any(one for one in told(record) if one)
    again = run("batch", "many", "--workers", 1)
    assert again.exit_code == 2


def test_a_kept_rig_is_listed_with_its_stop(run, bench, monkeypatch):
    monkeypatch.setenv("TAPEWRIGHT_NOTEBOOK", str(bench / "notebook.db"))
    (bench / RIG).write_text(STOPPED["damaged: bow"][1], encoding="utf-8")
    assert run("import", RIG, SHOTS).stdout.startswith("STOP: damaged")
    listed = run("rigs").stdout
    assert "STOP: damaged, by the check list: bow, limbs, string, cables" in listed
    (row,) = json.loads(run("rigs", "--json").stdout)["rigs"]
    assert row["stop"][0].startswith("STOP: damaged")
    assert row["trusted_distance_yd"] is None


def test_a_plan_that_is_withheld_keeps_its_keys(run, bench):
    whole = json.loads(run("plan", RIG, SHOTS, "--json").stdout)
    (bench / RIG).write_text(STOPPED["damaged: bow"][1], encoding="utf-8")
    held = json.loads(run("plan", RIG, SHOTS, "--json").stdout)
    assert set(held) == set(whole)
    assert held["plan"] == []
    assert held["trusted_distance_yd"] is None
    assert held["checks"]["bow"] == "damaged"
    assert whole["checks"]["bow"] == "open"
    assert whole["stop"] == []


def test_before_the_first_arrow_a_plan_asks(run, bench):
    (bench / RIG).write_text(HERON.replace('rest = "5 mm"\n', ""), encoding="utf-8")
    done = run("plan", RIG)
    assert done.exit_code == 2
    assert done.stdout == ""
    assert 'where the arrow lies: write rest = "5 mm" under [bow]' in done.stderr
    asked = json.loads(run("plan", RIG, "--json").stdout)
    assert [one["key"] for one in asked["questions"]] == ["bow.rest"]
    shot = run("plan", RIG, SHOTS)  # arrows have hit: a caution, no stop
    assert shot.exit_code == 0
    assert (
        "nobody can judge whether this set-up is safe to shoot: where the arrow lies"
        in " ".join(shot.stdout.split())
    )


def test_the_check_list_stands_in_the_plan_before_the_first_arrow_only(run):
    assert "centre shot" in run("plan", RIG).stdout
    assert "centre shot" not in run("plan", RIG, SHOTS).stdout


def test_a_check_list_that_is_ticked_sound_throughout_is_one_line(run, bench):
    parts = ("bow", "shafts", "rest", "centre_shot", "nock", "timing", "peep", "screws")
    sheet = (bench / RIG).read_text(encoding="utf-8")
    sheet = sheet.partition("[checks]")[0]
    sheet += "[checks]\n" + "".join(f'{one} = "sound"\n' for one in parts)
    (bench / "sound.toml").write_text(sheet, encoding="utf-8")
    told = run("plan", "sound.toml").stdout
    assert "all of the check list is ticked sound" in told
    assert "bend each shaft" not in told.casefold()


@pytest.mark.parametrize(
    "typed",
    [
        ["prove", RIG, SHOTS, SHOTS, "--accept", "all.csv"],
        ["change", RIG, SHOTS, "heavy.toml", SHOTS],
    ],
)
def test_the_same_arrows_are_not_taken_in_twice(run, bench, typed):
    (bench / "heavy.toml").write_text(HERON.replace("420 gr", "450 gr"), encoding="utf-8")
    done = run(*typed)
    assert done.exit_code == 2
    assert "these arrows count already: 1, 2" in done.stderr
    assert not (bench / "all.csv").exists()


COLD = '"-15 °C"'
FAR_AIR = "is 35 °C colder than where arrows were shot"


def test_a_sheet_far_colder_than_its_arrows_is_warned_of_in_every_command(run, bench):
    (bench / RIG).write_text(HERON.replace('"15 °C"', COLD), encoding="utf-8")
    head, *rows = ARROWS.splitlines()
    warm = [f"{head},temperature_c", *(f"{row},20" for row in rows)]
    (bench / SHOTS).write_text("\n".join(warm) + "\n", encoding="utf-8")
    shorter = ("--distances", "20,40 yd")
    for name, *more in (
        ("fit",), ("card", *shorter), ("slopes", *shorter), ("wind", *shorter), ("budget",),
        ("plan",),
    ):  # fmt: skip
        for ending in ((), ("--json",)):
            done = run(name, RIG, SHOTS, *more, *ending)
            assert done.exit_code == 0, done.output
            assert FAR_AIR in " ".join(done.stdout.split()), (name, ending)
    plan = json.loads(run("plan", RIG, SHOTS, "--json").stdout)
    assert plan["plan"][0]["distance_yd"] <= 10.0  # one near arrow first
    for name, out in (("tape", "rig-tape"), ("card", "rig-card")):
        more = ("--print", "page", "--out", out) if name == "card" else ("--out", out)
        assert run(name, RIG, SHOTS, *more, "--format", "pdf").exit_code == 0
        (made,) = bench.glob(f"{out}*.pdf")
        with pdfplumber.open(made) as document:
            printed = " ".join(" ".join(page.extract_text() for page in document.pages).split())
        assert "colder than where arrows were shot" in printed, name
    assert run("pocket", RIG, SHOTS, "--out", "pocket.html").exit_code == 0
    assert FAR_AIR in (bench / "pocket.html").read_text(encoding="utf-8")


def test_arrows_under_two_names_in_one_file_are_warned_of_or_refused(run, bench):
    rows = ARROWS.splitlines()
    copied = [f"x{row}" for row in rows[1:5]]
    (bench / SHOTS).write_text("\n".join([*rows, *copied]) + "\n", encoding="utf-8")
    same = "Groups x1 and 1 hold the same arrows"
    assert same in " ".join(run("fit", RIG, SHOTS).stdout.split())
    assert any(
        same in one for one in json.loads(run("fit", RIG, SHOTS, "--json").stdout)["cautions"]
    )
    (bench / "whole.csv").write_text(ARROWS, encoding="utf-8")
    twice = [rows[0], *(f"n{row}".replace(",16.1,", ",16.3,") for row in rows[1:5]),
             *(f"m{row}".replace(",16.1,", ",16.3,") for row in rows[1:5])]  # fmt: skip
    (bench / "new.csv").write_text("\n".join(twice) + "\n", encoding="utf-8")
    done = run("prove", RIG, "whole.csv", "new.csv", "--accept", "all.csv")
    assert done.exit_code == 2
    assert "these arrows count already: m1 (there as n1)" in done.stderr
    assert not (bench / "all.csv").exists()


def test_a_proof_that_shares_rows_with_the_calibration_is_refused(run, bench):
    rows = ARROWS.splitlines()
    grown = [
        rows[0],
        *(f"grown,{row.partition(',')[2]}" for row in rows[1:5]),
        "grown,20,16.1,1,1,1",
    ]
    (bench / "new.csv").write_text("\n".join(grown) + "\n", encoding="utf-8")
    done = run("prove", RIG, SHOTS, "new.csv")
    assert done.exit_code == 2
    assert "these arrows count already: grown (there as 1)" in done.stderr


@pytest.mark.parametrize(
    "typed",
    [
        ["prove", RIG, SHOTS, "new.csv", "--accept", "all.csv"],
        ["change", RIG, SHOTS, "heavy.toml", "new.csv"],
    ],
)
def test_arrows_of_which_some_are_new_are_named(run, bench, typed):
    (bench / "heavy.toml").write_text(HERON.replace("420 gr", "450 gr"), encoding="utf-8")
    head, *rows = ARROWS.splitlines()
    late = [rows[0], "1,20,16.1,0.33,-0.21,1", rows[2], "1,20,16.1,-0.07,0.12,1"]
    (bench / "new.csv").write_text(
        "\n".join([head, *(f"late{row[1:]}" for row in late)]) + "\n", encoding="utf-8"
    )
    done = run(*typed)
    assert done.exit_code == 2
    told = " ".join(done.stderr.split())
    assert "these arrows count already: late (there as 1), arrows 1, 3 of its 4" in told
    assert "leave these arrows out" in told
    assert not (bench / "all.csv").exists()


@pytest.mark.parametrize(
    ("speed", "key"),
    [
        ('launch_speed = "370 ft/s ± 3"', "launch_speed"),
        ('chronograph = [{ speed = "370 ft/s ± 3" }]', "the speeds under [[bow.chronograph]]"),
    ],
)
def test_shots_of_another_speed_than_the_sheets_end_with_what_to_look_at(run, bench, speed, key):
    light = HERON.replace("420 gr ± 2", "250 gr ± 2")
    sheet = light.replace('launch_speed = "278 ft/s ± 3"', speed)
    (bench / RIG).write_text(sheet, encoding="utf-8")
    for ending in ((), ("--json",)):
        done = run("slopes", RIG, SHOTS, *ending)
        assert done.exit_code == 2
        assert "STOP" in done.output
        told = " ".join(done.stderr.split())
        assert "The rig sheet and the shots do not belong together" in told
        assert f"Look first at {key} and the arrow's mass on the sheet" in told
        assert "Your sheet says" in told
        assert "No launch angle" not in told
