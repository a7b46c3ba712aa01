"""The screen of ``group`` and ``clicks``: the numbers of the JSON where people look."""

import json
import re

import pytest


def rows_of(screen, title):
    lines = screen[screen.index(title) :].split("\n\n")[0].splitlines()[2:]
    return [line.replace("−", "-").split() for line in lines]


@pytest.fixture
def screen(run):
    return run("group", "rig.toml", "shots.csv").stdout


@pytest.fixture
def answer(run):
    return json.loads(run("group", "rig.toml", "shots.csv", "--json").stdout)


def test_centres_on_the_screen_are_those_of_the_json(screen, answer):
    for row, one in zip(rows_of(screen, "Centres"), answer["groups"], strict=True):
        assert row[0] == one["group"]
        assert float(row[4]) == pytest.approx(one["centre_up_in"], abs=0.0051)
        assert float(row[6]) == pytest.approx(one["region_up_in"], abs=0.0051)
        assert float(row[7]) == pytest.approx(one["chance"], abs=0.00051)


def test_spreads_on_the_screen_are_those_of_the_json(screen, answer):
    rows = rows_of(screen, "Spread")
    for row, one in zip(rows, [*answer["groups"], answer["together"]], strict=True):
        assert float(row[1]) == pytest.approx(one["dispersion_mrad"], abs=0.0051)
        assert float(row[4]) == pytest.approx(one["dispersion_high_mrad"], abs=0.0051)
    assert rows[-1][0] == "together"


def test_every_group_has_its_sentence(screen, answer):
    said = re.findall(r"^Group (\S+), \S+ yd: centre", screen, re.MULTILINE)
    assert said == [one["group"] for one in answer["groups"]]


def test_groups_of_one_have_no_spread_and_no_flyer(run, bench):
    (bench / "one.csv").write_text("distance_yd,reading_mm,right_in,up_in\n20,16,0,0\n")
    said = run("group", "rig.toml", "one.csv").stdout
    assert "Spread" not in said
    assert "Flyers" not in said
    assert "–" in said


def test_flyers_and_bad_shots_are_told(run, bench):
    rows = ["0.1,0", "0,0.1", "-0.1,0", "0,-0.1", "0.1,0.1", "2,-3"]
    lines = [f"a,20,16,{row}," for row in rows] + ["a,20,16,1,1,bad", "a,20,16,,,bad"]
    lines += [f"b,20,16,{row}," for row in ("0.5,", "0.4,", "0.2,", "0.3,", "0.7,")]
    lines += [f"c,20,16,{row}," for row in ("1,1", "2,1", "1,3")]
    header = "group,distance_yd,reading_mm,right_in,up_in,note\n"
    (bench / "wild.csv").write_text(header + "\n".join(lines))
    said = run("group", "rig.toml", "wild.csv").stdout
    assert "Group a: 2 arrows called bad, left out." in said
    assert "the arrow at 3.00 in low and 2.00 in right does not belong" in said
    assert "Of three or four arrows nobody can tell which does not belong" in said
    assert [row[0] for row in rows_of(said, "Flyers")] == ["a", "b"]


def test_nothing_to_move_says_so_arrow_by_arrow(run, bench):
    (bench / "one.csv").write_text("distance_yd,reading_mm,right_in,up_in\n20,16,0,0\n")
    said = run("group", "rig.toml", "one.csv", "--arrow-by-arrow").stdout
    assert "\nBefore arrow 2: elevation: leave it; windage: leave it.\nNext: " in said


def test_clicks_without_figures_on_the_sheet(run, bench):
    sheet = (bench / "rig.toml").read_text(encoding="utf-8")
    without = sheet.replace('elevation_click = "0.10 mm"\n', "")
    (bench / "rig.toml").write_text(without, encoding="utf-8")
    said = run("clicks", "rig.toml").stdout
    assert "elevation_click is not on the rig sheet" in said
    assert all(row[-1] == row[-2] == "–" for row in rows_of(said, "What a click does"))
