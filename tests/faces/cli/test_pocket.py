"""The command pocket as a person types it."""

import json

from screen import answered


def test_pocket_writes_one_file_beside_the_rig(run, bench):
    said = answered(run("pocket", "rig.toml", "shots.csv"))
    page = (bench / "rig-pocket.html").read_text(encoding="utf-8")
    assert "<h1>Heron</h1>" in page
    assert "Wrote rig-pocket.html" in said
    assert "Trusted to" in said
    assert "within 0.001 mm" in said
    assert not list(bench.glob("*.part"))


def test_json_and_the_file_tell_the_same(run, bench):
    found = json.loads(
        answered(
            run("pocket", "rig.toml", "shots.csv", "--out", "heron.html", "--metric", "--json")
        )
    )
    assert found["schema"] == "tapewright.pocket/1"
    page = (bench / "heron.html").read_bytes()
    assert found["file"] == "heron.html"
    assert found["bytes"] == len(page) < 300_000
    assert found["fingerprint"] in page.decode()
    assert found["farthest_m"] == 110.0
    assert found["worst_difference_mm"] <= 0.01
    assert [one["pin"] for one in found["pins"]] == [1, 2]
    assert b"Marks each 5 m" in page


def test_before_the_first_arrow_there_is_a_card_too(run, bench):
    said = answered(run("pocket", "rig.toml", "--out", "start"))
    assert (bench / "start.html").exists()
    assert "trusted" in said.casefold()


def test_a_wrong_sheet_is_refused_in_one_paragraph(run, bench):
    (bench / "rig.toml").write_text("schema = 2\n", encoding="utf-8")
    result = run("pocket", "rig.toml", "shots.csv")
    assert result.exit_code == 2
    assert not (bench / "rig-pocket.html").exists()


def test_a_folder_is_no_file_name(run, bench):
    (bench / "here").mkdir()
    result = run("pocket", "rig.toml", "shots.csv", "--out", "..")
    assert result.exit_code == 2
