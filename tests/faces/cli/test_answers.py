"""The screen of ``fit``: the numbers of the JSON in the places where people look."""

import json
import re
from types import SimpleNamespace

import pytest

from tapewright.faces.cli import terminal_output

SECTIONS = (
    "Marks", "Marks of pin 2", "Groups: centre against the fit", "Bow and archer", "Calibration ",
)  # fmt: skip


@pytest.fixture
def screen(run):
    return run("fit", "rig.toml", "shots.csv").stdout


@pytest.fixture
def answer(run):
    return json.loads(
        run("fit", "rig.toml", "shots.csv", "--json", "--distances", "10:120:10yd").stdout
    )


def test_everything_is_there_in_order(screen):
    places = [screen.index(section) for section in SECTIONS]
    assert places == sorted(places)
    assert screen.startswith("Heron: 8 groups, 40 arrows\nTrusted to ")


def test_piped_text_is_plain(screen):
    assert "\x1b" not in screen
    assert not re.search("[─━│┃┏└]", screen)


def test_a_terminal_gets_tables_with_rules(run, monkeypatch):
    terminal = SimpleNamespace(stdout=SimpleNamespace(isatty=lambda: True))
    monkeypatch.setattr(terminal_output, "sys", terminal)
    shown = run("fit", "rig.toml", "shots.csv").stdout
    assert re.search("[─━│┃]", shown)
    assert all(section in shown for section in SECTIONS)


def test_marks_on_the_screen_are_those_of_the_json(screen, answer):
    rows = re.findall(r"^(\d+) +([-\d.]+) +([-\d.]+) to ([-\d.]+)", screen, re.MULTILINE)
    first = rows[: len(answer["marks"])]
    for row, one in zip(first, answer["marks"], strict=True):
        assert float(row[0]) == one["distance_yd"]
        # to half a step, which is at most a third of half the band, but no finer than a click
        half_step = max(0.05, (one["high_mm"] - one["low_mm"]) / 12) + 1e-4
        assert float(row[1]) == pytest.approx(one["reading_mm"], abs=half_step)
        assert float(row[2]) == pytest.approx(one["low_mm"], abs=half_step)
        assert float(row[3]) == pytest.approx(one["high_mm"], abs=half_step)
        assert "." in row[1]
        assert len(row[1].partition(".")[2]) == 1  # a click is 0.1 mm


def test_the_trusted_distance_is_told_first(screen, answer):
    assert f"Trusted to {answer['trusted_distance_yd']:.0f} yd" in screen.splitlines()[1]


def test_cautions_and_assumptions_are_told(run):
    screen = run("fit", "rig.toml").stdout
    assert "Mind: No arrow was shot yet" in screen
    assert "Not on the sheet, usual values taken: a compound bow; drag coefficient" in screen
    assert "Groups" not in screen


def test_a_whole_sheet_needs_no_assumptions(run, bench):
    sheet = (bench / "rig.toml").read_text(encoding="utf-8")
    whole = sheet.replace('point = "field"', 'point = "field"\ndrag_coefficient = "2.1 ± 20 %"')
    whole = whole.replace("[bow]", '[bow]\nkind = "compound"')
    (bench / "whole.toml").write_text(whole, encoding="utf-8")
    assert "usual values" not in run("fit", "whole.toml", "shots.csv").stdout


def test_an_axis_not_measured_is_a_dash(run, bench):
    (bench / "up.csv").write_text(
        "group,distance_yd,reading_mm,right_in,up_in\n"
        "1,20,15.6,,0.2\n1,20,15.6,,-0.3\n2,60,46.1,,1.0\n2,60,46.1,,-1.2\n",
        encoding="utf-8",
    )
    screen = run("fit", "rig.toml", "up.csv").stdout
    groups = screen[screen.index("Groups") :].splitlines()[2]
    assert "–" in groups
    answer = json.loads(run("fit", "rig.toml", "up.csv", "--json").stdout)
    assert answer["groups"][0]["miss_right_in"] is None


def test_an_odd_group_is_called_odd(run, bench):
    rows = (bench / "shots.csv").read_text(encoding="utf-8").replace("50,37.1", "50,43.1")
    (bench / "odd.csv").write_text(rows, encoding="utf-8")
    screen = run("fit", "rig.toml", "odd.csv").stdout
    assert re.search(r"^5 .* odd$", screen, re.MULTILINE)
    assert "Mind: Group 5 at 50 yd does not fit the others: it lies" in screen
    caution = screen[screen.index("Mind: Group 5") :]
    assert "in low" in caution.splitlines()[0]  # dialled nearer than written down


def test_metric_screens_are_metric(run):
    screen = run("fit", "rig.toml", "shots.csv", "--metric").stdout
    assert "distance m" in screen
    assert "impact cm" in screen
    assert " ft/s" not in screen
    assert "yd" not in screen
