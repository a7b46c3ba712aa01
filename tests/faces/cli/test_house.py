"""The command house, and house values with every command that calibrates."""

import json
import re

import pytest
from screen import answered, refused

HOUSE = """name = "Reed Lane"
[[sight]]
kind = "slider"
reading_per_travel = "1.573 ± 0.010"
[[archer]]
dispersion = "0.9 mrad ± 0.3"
"""


@pytest.fixture
def house(bench):
    """The sample's sheet without reading per travel, its sight named; and what the house knows."""
    text = (bench / "rig.toml").read_text(encoding="utf-8")
    text = re.sub(r"reading_per_travel = .*", 'kind = "Slider"', text)
    (bench / "rig.toml").write_text(text, encoding="utf-8")
    (bench / "house.toml").write_text(HOUSE, encoding="utf-8")
    return bench / "house.toml"


def fingerprint(said):
    return re.search(r"Calibration ([0-9a-f]{8})", said)[1]


def test_a_file_nobody_filled_in_says_so(run):
    run("new", "--house", "fresh.toml")
    said = answered(run("house", "fresh.toml"))
    assert "none is filled in yet" in said
    assert "[[head]]" in said


def test_what_stands_in_a_file_is_told(run, house):
    said = answered(run("house", "house.toml"))
    assert "House values of Reed Lane" in said
    assert re.search(r"reading per travel +slider +1.573 +0.01", said)
    assert re.search(r"dispersion +any +0.9 mrad +0.3 mrad", said)
    found = json.loads(answered(run("house", "house.toml", "--json")))
    assert found["schema"] == "tapewright.house/1"
    assert found["kept"] is False
    assert [one["kind"] for one in found["values"]] == ["slider", None]
    assert "Write [[sight]]" not in said
    assert house.exists()


def test_a_bad_file_is_refused_with_its_line_by_every_command(run, house):
    house.write_text('name = "R"\n[[sight]]\nreading_per_travel = "1.6"\n', encoding="utf-8")
    for typed in (("house", "house.toml"), ("fit", "rig.toml", "--house", "house.toml")):
        said = refused(run(*typed))
        assert "house.toml, line 3, sight[1].reading_per_travel: no ± stands behind it" in said
    assert "there is no such file" in refused(run("fit", "rig.toml", "--house", "nowhere.toml"))


def test_a_silent_sheet_is_calibrated_with_them_and_they_are_named(run, house):
    typed = ("fit", "rig.toml", "shots.csv")
    bare, housed = answered(run(*typed)), answered(run(*typed, "--house", "house.toml"))
    assert "house values of" not in bare
    assert (
        "Not on the sheet, house values of Reed Lane taken: reading per travel 1.573 ± 0.01 "
        "(slider); dispersion 0.9 mrad ± 0.3." in housed
    )
    assert "reading per travel unknown" in bare
    assert "reading per travel unknown" not in housed
    assert fingerprint(bare) != fingerprint(housed)
    found = json.loads(answered(run(*typed, "--house", "house.toml", "--json")))
    assert found["house"]["name"] == "Reed Lane"
    assert found["fingerprint"] == fingerprint(housed)
    assert "house" not in json.loads(answered(run(*typed, "--json")))
    house.write_text(HOUSE.replace("1.573", "1.580"), encoding="utf-8")
    assert fingerprint(answered(run(*typed, "--house", "house.toml"))) != fingerprint(housed)


def test_the_environment_names_them_once(run, house, monkeypatch):
    monkeypatch.setenv("TAPEWRIGHT_HOUSE", str(house))
    assert "house values of Reed Lane taken" in answered(run("fit", "rig.toml", "shots.csv"))


def test_a_sheet_that_states_everything_is_not_touched(run, house, sample):
    sheet, shots = sample / "heron.toml", sample / "heron-shots.csv"
    house.write_text(HOUSE.partition("[[archer]]")[0].replace('kind = "slider"\n', ""), "utf-8")
    bare = answered(run("fit", sheet, shots))
    assert answered(run("fit", sheet, shots, "--house", "house.toml")) == bare


def test_a_kind_named_in_vain_is_told(run, house):
    house.write_text(HOUSE.replace('"slider"', '"arm"'), encoding="utf-8")
    done = run("fit", "rig.toml", "shots.csv", "--house", "house.toml")
    assert 'no reading per travel for a kind of sight called "Slider". They name "arm".' in (
        done.stderr
    )
    assert "reading per travel unknown" in done.stdout


def test_new_writes_a_file_to_fill_in(run, bench):
    answered(run("new", "mine.toml", "--house", "--name", "Mill End"))
    assert "House values of Mill End" in answered(run("house", "mine.toml"))
    assert "there already" in refused(run("new", "mine.toml", "--house"))
    assert (bench / "mine.toml").read_text(encoding="utf-8").count("#[[") == 4


def test_a_notebook_keeps_them_for_its_rigs(run, house, monkeypatch):
    monkeypatch.setenv("TAPEWRIGHT_NOTEBOOK", "kept.db")
    answered(run("import", "rig.toml", "shots.csv"))
    said = answered(run("house", "house.toml", "--keep"))
    assert "Kept for all rigs of the notebook. 1 rig to be calibrated anew" in said
    assert "Kept for all rigs of the notebook.\n" in answered(run("house", "house.toml", "--keep"))
    answered(run("batch", "--notebook", "--no-tapes", "--workers", "1"))
    (record,) = (house.parent / "tapewright-batch" / "calibrations").glob("*.json")
    assert json.loads(record.read_text(encoding="utf-8"))["house"]["name"] == "Reed Lane"
    said = refused(run("batch", "--notebook", "--house", "house.toml"))
    assert "a notebook or an archive holds house values of its own" in said


def test_archives_carry_them_and_another_notebook_lays_them_aside(run, house, monkeypatch):
    monkeypatch.setenv("TAPEWRIGHT_NOTEBOOK", "kept.db")
    answered(run("house", "house.toml", "--keep"))
    answered(run("import", "rig.toml", "shots.csv"))
    answered(run("export", "--rig", "Heron", "--out", "one.json"))
    kinds = [one["kind"] for one in json.loads((house.parent / "one.json").read_text())["entries"]]
    assert kinds.count("house") == 1
    restored = answered(run("restore", "one.json", "--notebook", "again.db"))
    assert "aside" not in restored
    monkeypatch.setenv("TAPEWRIGHT_NOTEBOOK", "other.db")
    answered(run("import", "rig.toml"))
    assert "Its house values lie aside" in answered(run("import", "one.json"))


@pytest.mark.usefixtures("in_this_process")
def test_a_batch_does_again_what_hangs_on_a_value_that_changed(run, house):
    folder = house.parent / "rigs"
    folder.mkdir()
    for name in ("rig.toml", "house.toml", "shots.csv"):
        text = (house.parent / name).read_text(encoding="utf-8")
        (folder / name.replace("shots", "rig")).write_text(text, encoding="utf-8")
    typed = ("batch", "rigs", "--house", "rigs/house.toml", "--no-tapes", "--workers", "1")
    assert "Calibrated: 1. Failed: 0." in answered(run(*typed))
    assert "1 of them done before" in answered(run(*typed))
    (folder / "house.toml").write_text(HOUSE.replace("1.573", "1.58"), encoding="utf-8")
    assert "done before" not in answered(run(*typed))
