"""Every command, in this process and, a few, in one of their own."""

import json
import os
import subprocess
import sys
from types import SimpleNamespace

import pytest
from exact_units import YARD_M
from screen import answered_json as said

from tapewright import __version__
from tapewright.faces.cli import input_files
from tapewright.faces.cli.commands import main
from tapewright.words.quantity_parser import read_distances

FIT_KEYS = {
    "slips",  # the first line is promised by the design, the second added by docs/command-line.md
    "schema", "unknowns", "dispersion_mrad", "wobble_mrad", "effective_draws", "groups", "marks",
    "cautions", "rig", "fingerprint", "band", "tail_shape", "method", "pins", "stop", "kind",
    "assumed",
}  # fmt: skip


def refused(done):
    """One paragraph on standard error, status 2, nothing on standard output."""
    assert done.exit_code == 2, done.output
    assert "Traceback" not in done.output
    assert done.stdout == ""
    assert done.exception is None or isinstance(done.exception, SystemExit)
    return " ".join(done.stderr.split())


def in_a_process(*typed, **how):
    return subprocess.run(
        [sys.executable, "-m", "tapewright", *typed],
        capture_output=True, text=True, check=False, timeout=60, **how,
    )  # fmt: skip


# the whole program


@pytest.mark.parametrize("typed", [[], ["fit"], ["tape"], ["gauge"], ["new"], ["demo"]])
def test_help_explains_each_command(run, typed):
    done = run(*typed, "--help")
    assert done.exit_code == 0
    assert len(done.output) > 100
    assert run(*typed, "-h").output == done.output


def test_the_version_is_told(run):
    assert run("--version").output.strip() == f"tapewright, version {__version__}"


def test_help_and_version_need_none_of_the_slow_libraries():
    code = (
        "import sys; from tapewright.faces.cli.commands import main\n"
        "try: main(['--help'])\nexcept SystemExit: pass\n"
        "print(sorted(set(sys.modules) & {'numpy', 'scipy', 'rich', 'reportlab', 'pydantic'}))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.splitlines()[-1] == "[]"


def test_the_program_runs_as_a_module():
    done = in_a_process("--version")
    assert done.returncode == 0
    assert __version__ in done.stdout


def test_a_closed_pipe_is_no_traceback(bench):
    reader, writer = os.pipe()
    os.close(reader)
    with os.fdopen(writer, "wb") as closed:
        done = subprocess.run(
            [sys.executable, "-m", "tapewright", "fit", "rig.toml", "shots.csv", "--json"],
            stdout=closed, stderr=subprocess.PIPE, text=True, check=False, timeout=60, cwd=bench,
        )  # fmt: skip
    assert "Traceback" not in done.stderr


# fit


def test_fit_json_has_the_documented_keys_and_no_other(run):
    answer = said(run("fit", "rig.toml", "shots.csv", "--json", "--distances", "10:125:5yd"))
    assert set(answer) == FIT_KEYS | {"trusted_distance_yd", "once_zeroed_distance_yd"}
    assert answer["schema"] == "tapewright.calibration/1"
    assert answer["band"] == 0.9
    for one in answer["unknowns"].values():
        assert set(one) == {"median", "low", "high", "unit"}
    for one in answer["groups"]:
        assert set(one) == {"group", "miss_up_in", "miss_right_in", "surprise"}
    mark_keys = {
        "distance_yd", "reading_mm", "low_mm", "high_mm", "impact_low_in", "impact_high_in",
    }  # fmt: skip
    for one in [*answer["marks"], *answer["pins"][0]["marks"]]:
        assert set(one) == mark_keys
    assert [one["distance_yd"] for one in answer["marks"]] == [*range(10, 130, 5)]
    assert set(answer["pins"][0]) == {
        "pin", "trusted_distance_yd", "once_zeroed_distance_yd", "marks",
    }  # fmt: skip


def test_metric_keys_carry_metric_units(run):
    answer = said(run("fit", "rig.toml", "shots.csv", "--json", "--metric"))
    assert "trusted_distance_m" in answer
    assert {"distance_m", "impact_low_cm"} <= set(answer["marks"][0])
    assert "miss_up_cm" in answer["groups"][0]
    assert answer["unknowns"]["launch_speed"]["unit"] == "m/s"


def test_metres_in_distances_make_the_answer_metric(run):
    answer = said(run("fit", "rig.toml", "shots.csv", "--json", "--distances", "18,30 m"))
    assert [one["distance_m"] for one in answer["marks"]] == [18, 30]


def test_the_marks_of_a_place_do_not_depend_on_the_unit(run):
    yards = said(run("fit", "rig.toml", "shots.csv", "--json", "--distances", "30,60 yd"))
    metres = f"{30 * YARD_M},{60 * YARD_M} m"
    as_metres = said(run("fit", "rig.toml", "shots.csv", "--json", "--distances", metres))
    for one, other in zip(yards["marks"], as_metres["marks"], strict=True):
        assert one["reading_mm"] == pytest.approx(other["reading_mm"], abs=2e-4)
        assert one["impact_low_in"] * 2.54 == pytest.approx(other["impact_low_cm"], abs=2e-3)


def test_shots_measured_in_metres_and_centimetres_say_the_same(run, bench):
    rows = (bench / "shots.csv").read_text(encoding="utf-8").splitlines()
    metric = ["group,distance_m,reading_cm,right_cm,up_cm,pin"]
    for row in rows[1:]:
        name, yards, reading, right, up, pin = row.split(",")
        metric.append(
            f"{name},{float(yards) * 0.9144:.6f},{float(reading) / 10:.3f},"
            f"{float(right) * 2.54:.5f},{float(up) * 2.54:.5f},{pin}"
        )
    (bench / "metric.csv").write_text("\n".join(metric), encoding="utf-8")
    one, other = (
        said(run("fit", "rig.toml", name, "--json")) for name in ("shots.csv", "metric.csv")
    )
    for here, there in zip(one["marks"], other["marks"], strict=True):
        assert here["reading_mm"] == pytest.approx(there["reading_mm"], abs=2e-3)


def test_the_same_seed_answers_the_same_to_the_letter(run):
    typed = ("fit", "rig.toml", "shots.csv", "--json", "--seed", "7")
    assert run(*typed).stdout == run(*typed).stdout
    other = run(*typed[:-1], "8").stdout
    assert said(run(*typed))["fingerprint"] != json.loads(other)["fingerprint"]


def test_a_surer_band_is_wider(run):
    half, sure = (
        said(run("fit", "rig.toml", "shots.csv", "--json", "--band", band)) for band in (50, 99)
    )
    assert (half["band"], sure["band"]) == (0.5, 0.99)
    for one, other in zip(half["marks"], sure["marks"], strict=True):
        assert other["low_mm"] < one["low_mm"]
        assert one["high_mm"] < other["high_mm"]


def test_a_sheet_alone_makes_a_starting_strip(run):
    answer = said(run("fit", "rig.toml", "--json", "--distances", "20,60 yd"))
    assert answer["marks"][0]["reading_mm"] == pytest.approx(0, abs=1e-3)
    assert answer["method"] == "prior"
    assert answer["tail_shape"] is None
    assert answer["groups"] == []
    assert "starting strip" in answer["cautions"][0]


def test_fixed_pins_are_told_both_ways(run):
    done = run("fit", "rig.toml", "shots.csv", "--fixed-pins", "20,40,60 yd")
    assert "Fixed pins" in done.stdout
    answer = said(run("fit", "rig.toml", "shots.csv", "--json", "--fixed-pins", "20,40,60 yd"))
    pins = answer["fixed_pins"]
    assert [one["distance_yd"] for one in pins] == [20, 40, 60]
    assert pins[0]["below_first_mm"] == 0
    assert pins[1]["low_mm"] < pins[1]["below_first_mm"] < pins[1]["high_mm"]


def test_json_is_json_even_where_an_arm_does_not_reach(run, bench):
    sheet = (bench / "rig.toml").read_text(encoding="utf-8")
    (bench / "arm.toml").write_text(
        sheet.replace("farther =", 'arm_length = "25 mm"\nfarther ='), encoding="utf-8"
    )
    done = run("fit", "arm.toml", "--json", "--distances", "10:120:10yd")
    assert said(done)["marks"][-1]["reading_mm"] is None
    assert "NaN" not in done.stdout


def test_notes_go_to_standard_error_and_leave_json_alone(run, bench):
    sheet = (bench / "rig.toml").read_text(encoding="utf-8")
    (bench / "light.toml").write_text(sheet.replace("420 gr", "280 gr"), encoding="utf-8")
    done = run("fit", "light.toml", "shots.csv", "--json")
    assert said(done)["stop"][0].startswith("STOP: an arrow of 280 gr")
    assert "STOP" in done.stderr


def test_a_slow_bow_is_answered_as_far_as_it_shoots(run, bench):
    sheet = (bench / "rig.toml").read_text(encoding="utf-8")
    (bench / "slow.toml").write_text(sheet.replace("278 ft/s", "120 ft/s"), encoding="utf-8")
    answer = said(run("fit", "slow.toml", "--json", "--distances", "10,20 m"))
    assert len(answer["marks"]) == 2
    assert "shorter distance" in refused_after_notes(
        run("fit", "slow.toml", "--distances", "150 m")
    )


def refused_after_notes(done):
    assert done.exit_code == 2
    assert "Traceback" not in done.output
    return done.stderr


@pytest.mark.parametrize("terminal", [True, False])
def test_long_work_is_announced_to_a_person_only(run, monkeypatch, terminal):
    standing = SimpleNamespace(stderr=SimpleNamespace(isatty=lambda: terminal))
    monkeypatch.setattr(input_files, "sys", standing)
    monkeypatch.setattr(input_files, "LONG_WORK_ARROWS", 40)
    done = run("fit", "rig.toml", "shots.csv")
    assert ("Weighing 40 arrows" in done.stderr) is terminal


# tape


def test_tape_writes_a_pdf_and_an_svg_beside_the_sheet(run, bench):
    done = run("tape", "rig.toml", "shots.csv")
    assert done.exit_code == 0, done.output
    assert (bench / "rig-tape.pdf").read_bytes().startswith(b"%PDF")
    assert b"<svg" in (bench / "rig-tape.svg").read_bytes()
    assert "Wrote rig-tape.pdf" in done.stdout
    assert not list(bench.glob("*.part"))


def test_tape_tells_trust_what_speaks_against_it_and_its_strips(run):
    told = run("tape", "rig.toml", "shots.csv", "--step", "0.01 mm").stdout.splitlines()
    assert told[0].startswith("Trusted to 91 yd: up to there a mark misses by less than 3 in")
    assert told[1].startswith("Mind: From 20 to 90 yd the true strip is ")
    names, _, check = told[2].partition(". ")
    assert names == "Strips: −0.02 %; start here; +0.02 %"
    assert check.startswith(
        "Check lengths of pin 1, strip by strip, from the tick 20 to the tick 90: "
    )
    assert "Set the pointer to 15.6 mm" in told[2]
    assert told[3] == (  # as the sheet says it
        "Where ticks of pin 1 and pin 2 would run together they stand 5 yd apart nearer than 20 "
        "yd: read no finer there."
    )
    assert told[4:] == [
        "Wrote rig-tape.pdf", "Wrote rig-tape.svg", "Wrote rig-tape.tape.json",
        "Next, once it is stuck on: tapewright next rig.toml shots.csv --tape rig-tape.tape.json",
    ]  # fmt: skip


def test_the_same_seed_prints_the_same_tape(run, bench):
    run("tape", "rig.toml", "shots.csv", "--format", "svg", "--out", "one")
    run("tape", "rig.toml", "shots.csv", "--format", "svg", "--out", "two")
    assert (bench / "one.svg").read_bytes() == (bench / "two.svg").read_bytes()


def test_tape_json_names_what_was_written(run, bench):
    answer = said(run("tape", "rig.toml", "shots.csv", "--json", "--out", "mine"))
    assert set(answer) == {
        "schema", "stop", "rig", "fingerprint", "made", "unit", "white_mm", "strips", "stuck",
        "between_yd", "strip_names", "check_lengths_mm", "spans_mm", "align_at_mm", "files",
        "notches_yd", "not_notched", "rules",
    }  # fmt: skip
    assert answer["between_yd"] == [20, 90]  # trusted to 91
    assert answer["spans_mm"] == answer["check_lengths_mm"]
    assert answer["files"] == ["mine.pdf", "mine.svg", "mine.tape.json"]
    record = json.loads((bench / "mine.tape.json").read_text(encoding="utf-8"))
    assert record == {key: answer[key] for key in record}  # what is told is the record, and more
    assert all((bench / name).exists() for name in answer["files"])
    assert answer["spans_mm"] == sorted(answer["spans_mm"])
    fit = said(run("fit", "rig.toml", "shots.csv", "--json", "--distances", "20,90 yd"))
    assert fit["fingerprint"] == answer["fingerprint"]
    assert answer["align_at_mm"] == pytest.approx(fit["marks"][0]["reading_mm"], abs=2e-3)
    length = fit["marks"][1]["reading_mm"] - fit["marks"][0]["reading_mm"]
    assert answer["spans_mm"][1] == pytest.approx(length, abs=0.05)  # medians of a difference


@pytest.mark.parametrize(
    "look",
    [
        ["--pointer", "left", "--far-end", "up", "--number-every", "10"],
        ["--paper", "Letter", "--width", "20 mm"],
        ["--metric"],
        ["--distances", "10:50:5m"],
        ["--between", "30,50", "--step", "0.3 mm"],
        ["--span", "30,50"],
        ["--wheel", "50 mm", "--thickness", "0.2 mm"],
        ["--proof", "99.6,100.2 mm"],
        ["--proof", "99,6;100,2"],
        ["--length", "200 mm"],
        ["--format", "dxf"],
    ],
)
def test_every_look_prints(run, bench, look):
    done = run("tape", "rig.toml", "shots.csv", "--out", "x", *look)
    assert done.exit_code == 0, done.output
    assert list(bench.glob("x*"))


def test_an_ending_typed_is_not_doubled(run, bench):
    run("tape", "rig.toml", "shots.csv", "--out", "mine.pdf", "--format", "pdf")
    assert (bench / "mine.pdf").exists()


def test_a_tape_is_aligned_at_one_of_its_ticks(run):
    for distances, near in (("30:60:1yd", "30 yd"), ("5:18:1yd", "18 yd"), ("20yd", "20 yd")):
        done = run(
            "tape", "rig.toml", "shots.csv", "--distances", distances, "--out", "x", "--force"
        )
        assert f"the {near} tick" in done.stdout, done.output


# gauge, new, demo


def test_gauge_needs_no_rig(run, bench):
    assert run("gauge").exit_code == 0
    assert (bench / "gauge.pdf").exists()
    assert run("gauge", "rig.toml", "--start", "10", "--reach", "60").exit_code == 0
    assert (bench / "rig-gauge.svg").exists()


@pytest.mark.parametrize("flags", [[], ["--metric"], ["--hand", "left", "--name", "Wren"]])
def test_a_new_sheet_can_be_fitted_as_it_stands(run, bench, flags):
    done = run("new", "fresh.toml", *flags)
    assert done.exit_code == 0
    assert "Wrote fresh.toml" in done.stdout
    fit = run("fit", "fresh.toml", "--json")
    assert said(fit)["rig"] == ("Wren" if "--name" in flags else "fresh")
    assert (bench / "fresh.toml").read_text(encoding="utf-8").count('hand = "left"') == (
        "--hand" in flags
    )


def test_new_never_overwrites(run, bench):
    before = (bench / "rig.toml").read_text(encoding="utf-8")
    assert "there already" in refused(run("new", "rig.toml"))
    assert (bench / "rig.toml").read_text(encoding="utf-8") == before


# refusals

WRONG = {
    "no such rig": (["fit", "none.toml"], "none.toml"),
    "no such shots": (["fit", "rig.toml", "none.csv"], "none.csv"),
    "a folder for a rig": (["fit", "."], "folder"),
    "shots for a rig": (["fit", "shots.csv"], "shots.csv"),
    "a rig for shots": (["fit", "rig.toml", "rig.toml"], "rig.toml"),
    "distances in words": (["fit", "rig.toml", "--distances", "ten"], "--distances"),
    "distances in pounds": (["fit", "rig.toml", "--distances", "20 lb"], "--distances"),
    "too many distances": (["fit", "rig.toml", "--distances", "1:200:0.01m"], "2000"),
    "fixed pins without a unit": (["fit", "rig.toml", "--fixed-pins", "20,30"], "--fixed-pins"),
    "a band of certainty": (["fit", "rig.toml", "--band", "100"], "--band"),
    "a seed below zero": (["fit", "rig.toml", "--seed", "-1"], "--seed"),
    "a seed in words": (["fit", "rig.toml", "--seed", "x"], "--seed"),
    "no such command": (["shoot"], "shoot"),
    "no such option": (["fit", "rig.toml", "--fast"], "--fast"),
    "no rig": (["fit"], "RIG.toml"),
    "a strip too narrow": (["tape", "rig.toml", "--width", "2 mm"], "width"),
    "a strip too short": (["tape", "rig.toml", "--length", "20 mm"], "20.0 mm"),
    "a step of nothing": (["tape", "rig.toml", "--step", "0 mm"], "--step"),
    "a step backward": (["tape", "rig.toml", "--step", "-1 mm"], "--step"),
    "strips apart at one end": (["tape", "rig.toml", "--between", "20"], "--between"),
    "ends backward": (["tape", "rig.toml", "--between", "60,20"], "--between"),
    "ends at close marks": (["tape", "rig.toml", "--between", "5,12"], "--between"),
    "one proof ruler": (["tape", "rig.toml", "--proof", "99.6"], "--proof"),
    "proof rulers of nothing": (["tape", "rig.toml", "--proof", "0,0"], "ruler"),
    "proof rulers in words": (["tape", "rig.toml", "--proof", "a,b"], "--proof"),
    "a wheel of nothing": (["tape", "rig.toml", "--wheel", "0 mm"], "wheel"),
    "no such paper": (["tape", "rig.toml", "--paper", "A3"], "--paper"),
    "no such format": (["tape", "rig.toml", "--format", "png"], "--format"),
    "no such folder": (["tape", "rig.toml", "--out", "none/x"], "none"),
    "a folder for a name": (["tape", "rig.toml", "--out", "."], "--out"),
    "a gauge engraved": (["gauge", "--format", "dxf"], "--format"),
    "a gauge backward": (["gauge", "--reach", "-5"], "-5"),
    "a gauge too long": (["gauge", "--reach", "5000"], "5000"),
    "a sheet in no folder": (["new", "none/x.toml"], "none"),
    "a sheet without a name": (["new", "x.toml", "--name", " "], "name"),
    "a demo in a file": (["demo", "rig.toml"], "rig.toml"),
}


@pytest.mark.parametrize("wrong", WRONG)
def test_refused_in_one_paragraph(run, bench, wrong):
    typed, word = WRONG[wrong]
    before = sorted(bench.rglob("*"))
    assert word in refused(run(*typed))
    assert sorted(bench.rglob("*")) == before


def test_too_many_pins_are_refused(run, bench):
    sheet = (bench / "rig.toml").read_text(encoding="utf-8")
    many = ", ".join(f'"{5 * pin} mm"' for pin in range(1, 8))
    (bench / "many.toml").write_text(
        sheet.replace('pins_below_first = ["9 mm"]', f"pins_below_first = [{many}]"),
        encoding="utf-8",
    )
    assert run("fit", "many.toml", "shots.csv").exit_code == 0
    assert "columns" in refused(run("tape", "many.toml", "shots.csv"))


def test_an_unwritable_place_is_refused(run, bench):
    (bench / "rig-tape.pdf").mkdir()
    assert "rig-tape.pdf" in refused(run("tape", "rig.toml", "shots.csv"))


def test_a_refusal_in_a_process_of_its_own_has_status_2(bench):
    done = in_a_process("fit", "none.toml", cwd=bench)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.startswith("tapewright: none.toml")
    assert done.stderr.count("\n") == 1


def test_every_command_of_the_program_is_tested_here():
    assert set(main.list_commands(None)) >= {"demo", "new", "gauge", "fit", "tape"}


def test_distances_are_read_the_way_the_help_shows():
    assert len(read_distances("10:125:5yd", "here").distances_m) == 24


@pytest.mark.parametrize("command", ["fit", "tape", "prove", "wind", "budget"])
def test_a_band_that_is_no_number_is_refused(run, command):
    told = run(command, "rig.toml", "shots.csv", "--band", "nan")
    assert told.exit_code == 2
    assert "nan is no number" in told.output
