"""The commands limits and level as a person types them."""

import json

import pytest
from screen import answered

TEST = """distance_yd,slope_deg,right_in,arrows
20,0,0.1,12
40,0,1.2,12
60,0,3.9,12
40,25,1.9,12
40,-25,-0.2,12
"""


def with_sight(bench, *lines):
    sheet = bench / "rig.toml"
    text = sheet.read_text(encoding="utf-8")
    sheet.write_text(text.replace("[sight]\n", "\n".join(["[sight]", *lines, ""])), "utf-8")


def test_limits_of_the_sample_are_computed_and_say_so(run):
    said = answered(run("limits", "rig.toml", "shots.csv"))
    assert "housing comes too near to the arrow (computed: measure it)" in said
    assert "Do not shoot past the limit" in said
    assert "qualified technician" in said
    assert "pin  nearest yd  farthest yd" in said


def test_a_measured_limit_overrules_and_the_screen_agrees_with_the_json(run, bench):
    with_sight(bench, 'clearance_reading = "88 mm"', 'travel_ends = ["95 mm", "0 mm"]')
    said = answered(run("limits", "rig.toml", "shots.csv", "--distances", "60,90 yd"))
    assert "Do not set the sight past 88.0 mm: there the housing meets the arrow." in said
    found = json.loads(
        answered(run("limits", "rig.toml", "shots.csv", "--distances", "60,90 yd", "--json"))
    )
    assert found["schema"] == "tapewright.limits/1"
    assert {one["kind"]: one["role"] for one in found["limits"]} == {
        "housing": "overruled", "measured clearance": "binds", "far end": "beyond",
        "near end": "binds",
    }  # fmt: skip
    first, second = found["pins"]
    assert first["farthest_yd"] < second["farthest_yd"]
    assert f"{first['farthest_yd']:.0f}" in said
    left = found["travel_left"][1]["pins"][0]
    assert f"{left['left_mm']:.1f} ({left['low_mm']:.1f})" in said
    assert first["reaches_farther"] is False


def test_a_sheet_without_limits_is_told_what_to_measure(run, bench):
    sheet = bench / "rig.toml"
    text = sheet.read_text(encoding="utf-8").replace("housing_below_pin", "#housing_below_pin")
    sheet.write_text(text, encoding="utf-8")
    said = answered(run("limits", "rig.toml", "shots.csv", "--metric"))
    assert "clearance_reading" in said
    assert "Pin travel left" not in said
    found = json.loads(answered(run("limits", "rig.toml", "shots.csv", "--json")))
    assert found["limits"] == []
    assert found["travel_left"][0]["pins"][0]["left_mm"] is None
    assert found["pins"][0]["reaches_farther"] is True


def test_a_long_travel_reaches_past_what_is_looked_for(run, bench):
    sheet = bench / "rig.toml"
    text = sheet.read_text(encoding="utf-8").replace("housing_below_pin", "#housing_below_pin")
    sheet.write_text(text, encoding="utf-8")
    with_sight(bench, 'travel_ends = ["10 mm", "300 mm"]')
    said = answered(run("limits", "rig.toml", "shots.csv"))
    assert "131 or more" in said


def test_before_the_first_arrow_readings_of_the_sight_are_not_used(run, bench):
    with_sight(bench, 'clearance_reading = "88 mm"')
    said = answered(run("limits", "rig.toml"))
    assert "the readings measured on the sight cannot be used" in said
    assert "computed: measure it" in said


def test_an_unmeasured_vane_is_told(run, bench):
    sheet = bench / "rig.toml"
    text = sheet.read_text(encoding="utf-8").replace("vane_height", "#vane_height")
    sheet.write_text(text, encoding="utf-8")
    assert "Vanes are taken to be 0.50 in high." in answered(run("limits", "rig.toml", "shots.csv"))


def test_the_tape_ends_where_the_housing_meets_the_arrow_and_says_so(run, bench):
    with_sight(bench, 'clearance_reading = "62 mm"')
    said = answered(run("tape", "rig.toml", "shots.csv", "--distances", "10:110:1yd"))
    assert "No tick past 77 yd on pin 1, 9" in said
    assert "there the housing meets the arrow." in said


def test_misses_of_tilts_are_told_with_their_meaning(run):
    said = answered(run("level", "rig.toml", "shots.csv"))
    assert "cant 1.0°" in said
    assert "third axis" in said
    assert "the miss is to the eye's side" in said
    assert "safe stop" in said


def test_tilts_asked_for_are_those_answered(run):
    found = json.loads(
        answered(
            run(
                "level", "rig.toml", "shots.csv", "--cant", "2 deg", "--third-axis", "-1 deg",
                "--travel-axis", "0.5 deg", "--peep", "0.25 mm", "--slope", "30 deg", "--zeroed",
                "30 m", "--distances", "30,60 m", "--json",
            )
        )
    )  # fmt: skip
    assert found["schema"] == "tapewright.level/1"
    assert (found["cant_deg"], found["third_axis_deg"], found["travel_axis_deg"]) == (2, -1, 0.5)
    assert (found["peep_mm"], found["slope_deg"], found["zeroed_m"]) == (0.25, 30, 30)
    near, far = found["misses"]
    assert near["constant_cant_right_cm"] == near["travel_axis_right_cm"] == 0.0
    assert far["cant_right_cm"] > near["cant_right_cm"] > 0.0
    assert far["third_axis_uphill_right_cm"] < 0.0 < far["third_axis_downhill_right_cm"]
    assert "test" not in found


def test_a_test_is_turned_into_angles_and_a_mend(run, bench):
    (bench / "line.csv").write_text(TEST, encoding="utf-8")
    said = answered(run("level", "rig.toml", "shots.csv", "--test", "line.csv"))
    assert "Travel against plumb: top to the right by 3.6°" in said
    assert "in at 60 yd" in said
    assert "Swing the level by 3.2°" in said
    assert "shoot the test again" in said
    found = json.loads(
        answered(
            run("level", "rig.toml", "shots.csv", "--test", "line.csv", "--distances", "20 yd",
                "--json")
        )
    )  # fmt: skip
    lean, swing = found["test"]["tilts"]
    assert (lean["name"], lean["verdict"]) == ("travel lean", "tilted")
    assert lean["low_deg"] < lean["angle_deg"] < lean["high_deg"]
    assert (swing["shown_most_at_yd"], swing["verdict"]) == (40.0, "tilted")
    assert lean["mend"] in said
    assert len(found["misses"]) == 1


def test_a_test_that_tells_nothing_mends_nothing(run, bench):
    (bench / "line.csv").write_text("distance_yd,right_in\n20,0.2\n", encoding="utf-8")
    said = answered(run("level", "rig.toml", "--test", "line.csv"))
    assert said.count("do not tell") == 2
    assert "Turn one thing" not in said


@pytest.mark.parametrize(
    ("typed", "wrong"),
    [
        (("--cant", "60 deg"), '--cant: "60 deg" is too much. Write -45 to 45 deg'),
        (("--slope", "70 deg"), "--slope"),
        (("--third-axis", "1 mm"), "--third-axis"),
        (("--travel-axis", "x"), "--travel-axis"),
        (("--peep", "1 in"), '--peep: "1 in" is too much'),
        (("--zeroed", "20,30 yd"), '--zeroed: "20,30 yd" is not one distance'),
        (("--zeroed", "20"), "--zeroed"),
        (("--test", "none.csv"), "none.csv: there is no such file"),
    ],
)
def test_what_is_wrong_is_refused_in_a_sentence(run, typed, wrong):
    result = run("level", "rig.toml", "shots.csv", *typed)
    assert result.exit_code == 2
    assert result.stderr.startswith("tapewright: ")
    assert wrong in result.stderr
