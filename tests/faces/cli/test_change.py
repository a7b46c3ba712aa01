"""The command change as a person types it."""

import json

import pytest
from screen import answered, refused, rows_under


def test_a_change_on_screen_and_in_json_agrees(run, heavy):
    typed = ("change", "rig.toml", "shots.csv", heavy)
    said = answered(run(*typed))
    found = json.loads(answered(run(*typed, "--json")))
    assert found["schema"] == "tapewright.change/1"
    assert found["method"] == "carried"
    assert found["trusted_distance_yd"] is None
    assert 0 < found["once_zeroed_distance_yd"] < found["old_trusted_distance_yd"] == 92
    assert "Trusted before the change: 92 yd; now: nothing, until a group" in said
    assert f"The bands alone would carry {found['once_zeroed_distance_yd']:.0f} yd" in said
    assert found["confirm_arrows"] == sum(one["arrows"] for one in found["confirm"])
    assert 3 <= found["confirm_arrows"] <= 12
    assert (
        f"{found['confirm'][0]['arrows']} arrows at {found['confirm'][0]['distance_yd']:g}" in said
    )
    rows = rows_under(said, "Marks before and after")
    for old, new, row in zip(found["old_marks"], found["marks"], rows, strict=True):
        for mark, cell in ((old, row[1]), (new, row[3])):
            within = (mark["high_mm"] - mark["low_mm"]) / 12
            assert cell == pytest.approx(mark["reading_mm"], abs=within)
        assert row[5] == pytest.approx(new["reading_mm"] - old["reading_mm"], abs=0.0051)
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
    assert found["files"] == ["later.pdf", "later.svg", "later.tape.json"]
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
    assert "arrows would hardly restore 92 yd" in said
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


def test_a_change_back_to_a_sheet_with_shots_of_its_own_offers_its_calibration(run, bench, heavy):
    typed = ("change", heavy, "shots.csv", "rig.toml")
    (bench / "rig-shots.csv").write_bytes((bench / "shots.csv").read_bytes())
    said = answered(run(*typed))
    assert "This set-up was calibrated before: 8 groups, 40 arrows" in said
    assert "tapewright fit rig.toml rig-shots.csv. Whatever was taken off" in said
    found = json.loads(answered(run(*typed, "--json")))
    kept = found["calibrated_before"]
    alone = json.loads(answered(run("fit", "rig.toml", "rig-shots.csv", "--json")))
    assert kept["fingerprint"] == alone["fingerprint"]
    assert kept["was_trusted_distance_yd"] == alone["trusted_distance_yd"] == 92
    assert kept["arrows"] == 40
    wide = [one["high_mm"] - one["low_mm"] for one in found["marks"]]
    narrow = [one["high_mm"] - one["low_mm"] for one in kept["marks"]]
    assert all(ours < theirs for ours, theirs in zip(narrow[1:], wide[1:], strict=True))
    assert narrow[4] == pytest.approx(alone["marks"][4]["high_mm"] - alone["marks"][4]["low_mm"])


def test_no_way_back_is_offered_with_a_new_string_or_without_such_shots(run, bench, heavy):
    typed = ("change", heavy, "shots.csv", "rig.toml")
    assert "calibrated before" not in answered(run(*typed))
    assert json.loads(answered(run(*typed, "--json")))["calibrated_before"] is None
    (bench / "rig.csv").write_bytes((bench / "shots.csv").read_bytes())
    assert "calibrated before" in answered(run(*typed))
    assert "calibrated before" not in answered(run(*typed, "--new-string"))
    assert "rig.toml shots.csv." in answered(run(*typed, "--kept", "shots.csv"))


def test_shots_beside_a_sheet_that_cannot_be_read_are_told_and_those_named_are_refused(
    run, bench, heavy
):
    (bench / "rig.csv").write_text("group,distance_yd\na,20\n", encoding="utf-8")
    typed = ("change", heavy, "shots.csv", "rig.toml")
    done = run(*typed)
    assert done.exit_code == 0
    assert "rig.csv lies beside rig.toml and cannot be used" in done.stderr
    assert "rig.csv" in refused(run(*typed, "--kept", "rig.csv"))
