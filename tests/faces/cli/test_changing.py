"""The commands change, compare, budget and picture as a person types them."""

import builtins
import json

import pytest


def answered(result):
    assert result.exit_code == 0, result.output
    return result.stdout


def refused(result):
    assert result.exit_code == 2, result.output
    assert result.stderr.count("\n") == 1
    return result.stderr


@pytest.fixture
def heavy(bench):
    """Another arrow on the same bow."""
    text = (bench / "rig.toml").read_text(encoding="utf-8")
    text = text.replace('"Heron"', '"Heron heavy"').replace("420 gr", "500 gr")
    (bench / "heavy.toml").write_text(text, encoding="utf-8")
    return "heavy.toml"


def test_a_change_on_screen_and_in_json_agrees(run, heavy):
    typed = ("change", "rig.toml", "shots.csv", heavy)
    said = answered(run(*typed))
    found = json.loads(answered(run(*typed, "--json")))
    assert found["schema"] == "tapewright.change/1"
    assert found["method"] == "carried"
    assert found["trusted_distance_yd"] is None
    assert 0 < found["once_zeroed_distance_yd"] < found["old_trusted_distance_yd"] == 91
    assert "Trusted before the change: 91 yd; now: nothing, until a group" in said
    assert f"The bands alone would carry {found['once_zeroed_distance_yd']:.0f} yd" in said
    assert found["confirm_arrows"] == sum(one["arrows"] for one in found["confirm"])
    assert 3 <= found["confirm_arrows"] <= 12
    assert (
        f"{found['confirm'][0]['arrows']} arrows at {found['confirm'][0]['distance_yd']:g}" in said
    )
    assert f"{found['marks'][0]['reading_mm']:.2f}" in said
    assert "No arrow was shot since the change" in said
    assert "lighter than the bow maker allows" in said
    assert found["gets_there"] is True


def test_new_arrows_and_a_tape_at_once(run, bench, heavy):
    (bench / "new.csv").write_text(
        "distance_yd,reading_mm,right_in,up_in\n90,86.8,0.4,0.9\n90,86.8,-1,-1.5\n90,86.8,1,0\n",
        encoding="utf-8",
    )
    said = answered(run("change", "rig.toml", "shots.csv", heavy, "new.csv", "--tape"))
    assert "No arrow was shot since" not in said
    assert "Wrote heavy-tape.pdf" in said
    assert (bench / "heavy-tape.svg").exists()
    found = json.loads(
        answered(run("change", "rig.toml", "shots.csv", heavy, "--out", "later", "--json"))
    )
    assert found["files"] == ["later.pdf", "later.svg"]
    sheet = (bench / "later.svg").read_text(encoding="utf-8")
    assert sheet.startswith("<svg")


def test_no_change_loses_nothing(run):
    said = answered(run("change", "rig.toml", "shots.csv", "rig.toml", "--metric"))
    assert "two sheets tell no difference" in said
    assert " m; now:" in said


def test_a_butt_too_small_for_any_group_is_told(run, bench, heavy):
    answered(run("change", "rig.toml", "shots.csv", heavy, "--butt", "5 cm", "--new-string"))
    text = (bench / heavy).read_text(encoding="utf-8")
    text = text.replace("[sight]", '[sight]\ntravel_ends = ["1 mm", "5 mm"]')
    (bench / heavy).write_text(text, encoding="utf-8")
    said = answered(run("change", "rig.toml", "shots.csv", heavy))
    assert "No safe group can be planned" in said


def test_a_plan_that_falls_short_says_so(run, bench, heavy):
    text = (bench / heavy).read_text(encoding="utf-8")
    text = text.replace('tolerance = "3 in"', 'tolerance = "0.3 in"')
    (bench / heavy).write_text(text, encoding="utf-8")
    said = answered(run("change", "rig.toml", "shots.csv", heavy))
    assert "arrows would hardly restore 91 yd" in said
    assert "now: nothing, until a group with the new set-up fits" in said
    assert "The bands alone would carry no distance" in said


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (["--butt", "x"], "--butt"),
        (["--butt", "30 m"], '--butt: "30 m" is too much. Write 5 to 2000 cm'),
        (["--distances", "20"], "no unit"),
    ],
)
def test_a_wrong_change_is_refused(run, heavy, typed, words):
    assert words in refused(run("change", "rig.toml", "shots.csv", heavy, *typed))


def test_another_sight_is_refused(run, bench, heavy):
    text = (bench / heavy).read_text(encoding="utf-8").replace("1.60 ± 0.05", "2.00 ± 0.05")
    (bench / heavy).write_text(text, encoding="utf-8")
    said = refused(run("change", "rig.toml", "shots.csv", heavy))
    assert "heavy.toml: reading_per_travel differs" in said
    assert "no old reading carries over" in said
    text = text.replace('hand = "right"', 'hand = "left"')
    (bench / heavy).write_text(text, encoding="utf-8")
    said = refused(run("change", "rig.toml", "shots.csv", heavy))
    assert "hand and reading_per_travel differ" in said
    assert "missing.toml" in refused(run("change", "rig.toml", "shots.csv", "missing.toml"))


def test_two_rigs_side_by_side(run, heavy):
    typed = ("compare", "rig.toml", "shots.csv", heavy, "shots.csv")
    said = answered(run(*typed))
    found = json.loads(answered(run(*typed, "--json")))
    assert found["schema"] == "tapewright.compare/1"
    first, other = found["rigs"]
    assert (first["rig"], other["rig"]) == ("Heron", "Heron heavy")
    assert first["card"][0]["distance_yd"] == other["card"][0]["distance_yd"] == 20.0
    assert "A: Heron; B: Heron heavy" in said
    assert f"{other['card'][0]['energy_ftlbf']:.1f}" in said
    assert "B, Heron heavy: Trusted" in said


def test_a_budget_on_screen_and_in_json_agrees(run):
    typed = ("budget", "rig.toml", "shots.csv", "--at", "60 yd")
    said = answered(run(*typed))
    found = json.loads(answered(run(*typed, "--json")))
    assert found["schema"] == "tapewright.budget/1"
    by_name = {one["error"]: one for one in found["errors"]}
    assert f"{by_name['distance']['up_in']:.2f}" in said
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


@pytest.mark.parametrize("what", ["flight", "marks", "slopes", "budget"])
def test_a_picture_is_drawn_the_same_twice(run, bench, what):
    pytest.importorskip("matplotlib")
    answered(run("picture", what, "rig.toml", "shots.csv", "--out", "one.svg"))
    answered(run("picture", what, "rig.toml", "shots.csv", "--out", "two.svg"))
    one, two = ((bench / name).read_bytes() for name in ("one.svg", "two.svg"))
    assert one == two
    assert b"<svg" in one
    said = answered(run("picture", what, "rig.toml", "shots.csv", "--metric", "--out", "a.png"))
    assert "Wrote a.png" in said
    assert (bench / "a.png").read_bytes().startswith(b"\x89PNG")


def test_a_picture_of_a_starting_strip_has_no_trusted_distance(run, bench):
    pytest.importorskip("matplotlib")
    text = (bench / "rig.toml").read_text(encoding="utf-8").replace('"3 in"', '"0.2 in"')
    (bench / "rig.toml").write_text(text, encoding="utf-8")
    assert "Wrote rig-marks.svg" in answered(run("picture", "marks", "rig.toml"))


def test_a_slow_arrow_is_drawn_as_far_as_it_climbs(run, bench):
    pytest.importorskip("matplotlib")
    text = (bench / "rig.toml").read_text(encoding="utf-8")
    for speed in ("150 ft/s ± 2", "100 ft/s ± 2"):
        slow = text.replace("278 ft/s ± 3", speed)
        (bench / "rig.toml").write_text(slow, encoding="utf-8")
        answered(run("picture", "slopes", "rig.toml"))


def test_without_the_library_the_mend_is_told(run, monkeypatch):
    def gone(name, *rest):
        if name.startswith("matplotlib"):
            raise ImportError(name)
        return builtins.__import__(name, *rest)

    monkeypatch.setattr("tapewright.faces.pictures.import_module", gone)
    said = refused(run("picture", "marks", "rig.toml", "shots.csv"))
    assert "/run --with pictures" in said


def test_a_picture_of_no_kind_is_refused(run):
    assert ".svg nor .png" in refused(
        run("picture", "marks", "rig.toml", "shots.csv", "--out", "a.gif")
    )


def test_confirming_groups_stand_at_whole_fives_of_the_readers_unit(run, heavy):
    for more, unit in ((["--metric"], "m"), ([], "yd")):
        found = json.loads(answered(run("change", "rig.toml", "shots.csv", heavy, *more, "--json")))
        assert found["confirm"]
        near, *others = (one[f"distance_{unit}"] for one in found["confirm"])
        assert near == {"m": 9, "yd": 10}[unit]  # one near arrow first
        assert others
        assert all(one % 5 == 0 for one in others)


def test_every_pin_is_shown_and_a_new_one_has_no_past(run, bench):
    text = (bench / "rig.toml").read_text(encoding="utf-8")
    text = text.replace('pins_below_first = ["9 mm"]', 'pins_below_first = ["9 mm", "20 mm"]')
    (bench / "three.toml").write_text(text, encoding="utf-8")
    said = answered(run("change", "rig.toml", "shots.csv", "three.toml"))
    assert "now: nothing, until a group with the new set-up fits" in said
    assert "Marks of pin 3 before and after" in said
    assert "Pin 3 is trusted to" in said
    found = json.loads(answered(run("change", "rig.toml", "shots.csv", "three.toml", "--json")))
    assert [one["pin"] for one in found["pins"]] == [2, 3]
    assert found["pins"][0]["old_marks"] == found["pins"][0]["marks"]
    assert found["pins"][1]["old_marks"] is None


def test_a_distance_out_of_reach_is_told_by_its_own_option(run):
    assert refused(run("budget", "rig.toml", "shots.csv", "--at", "300 yd")).startswith(
        "tapewright: --at: "
    )


def test_a_folder_like_the_pictures_name_is_no_hindrance(run, bench):
    pytest.importorskip("matplotlib")
    (bench / "fan").mkdir()
    answered(run("picture", "marks", "rig.toml", "shots.csv", "--out", "fan.svg"))
    assert (bench / "fan.svg").exists()
