"""The command budget as a person types it."""

import json

import pytest
from screen import answered, refused


def test_a_budget_on_screen_and_in_json_agrees(run):
    typed = ("budget", "rig.toml", "shots.csv", "--at", "60 yd")
    said = answered(run(*typed))
    found = json.loads(answered(run(*typed, "--json")))
    assert found["schema"] == "tapewright.budget/1"
    by_name = {one["error"]: one for one in found["errors"]}
    assert f"{by_name['distance']['up_in'] + 1e-6:.2f}" in said  # half a unit goes up on screen
    assert sum(one["share"] for one in found["errors"][:-1]) == pytest.approx(1.0, abs=1e-3)
    assert found["errors"][-1]["error"] == "together"
    assert "First improve: " in said
    assert "one arrow in three misses by more than" in said


def test_a_budget_takes_the_archers_own_errors(run):
    typed = (
        "budget", "rig.toml", "shots.csv", "--metric", "--distance", "6 m", "--cant", "2 deg",
        "--peep", "1 mm", "--wind", "2 m/s", "--slope", "5 deg", "--temperature", "14.4 °F",
        "--speed", "0 m/s", "--json",
    )  # fmt: skip
    found = json.loads(answered(run(*typed)))
    by_name = {one["error"]: one for one in found["errors"]}
    assert found["errors"][0]["error"] == "distance"
    assert by_name["arrow speed"]["up_cm"] == 0.0
    usual = json.loads(answered(run("budget", "rig.toml", "shots.csv", "--metric", "--json")))
    same = {one["error"]: one for one in usual["errors"]}
    assert by_name["temperature"]["up_cm"] == pytest.approx(same["temperature"]["up_cm"], abs=2e-3)
    assert by_name["cant"]["right_cm"] > 3 * same["cant"]["right_cm"]


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (["--at", "20,30 yd"], "is not one distance"),
        (["--at", "60"], "no unit"),
        (["--cant", "90 deg"], "more than anybody errs"),
        (["--temperature", "-8 K"], "less than nothing"),
        (["--temperature", "warm"], "--temperature"),
        (["--wind", "3"], "no unit"),
    ],
)
def test_a_wrong_budget_is_refused(run, typed, words):
    assert words in refused(run("budget", "rig.toml", "shots.csv", *typed))


def test_a_distance_out_of_reach_is_told_by_its_own_option(run):
    assert refused(run("budget", "rig.toml", "shots.csv", "--at", "300 yd")).startswith(
        "tapewright: --at: "
    )
