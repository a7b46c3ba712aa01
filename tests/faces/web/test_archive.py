"""Everything as one file and back; the files of one rig."""

import csv
import io
import json
import tomllib
from hashlib import sha256

import pytest
from starlette.testclient import TestClient

from tapewright.faces.web.app import build_app
from tapewright.faces.web.server.security import Rules
from tapewright.services.keep import open_notebook
from tapewright.services.move_notebook import archive_text
from tapewright.storage.plain import canonical


@pytest.fixture
def away(tmp_path):
    """A browser at another, empty notebook."""
    notebook = open_notebook(f"sqlite:///{tmp_path}/away.db")
    app = build_app(notebook, Rules(frozenset({"127.0.0.1"})))
    yield TestClient(app, base_url="http://127.0.0.1", follow_redirects=False)
    notebook.close()


def sent(client, text):
    return client.post("/archive", files={"file": ("a.json", text)})


def test_an_archive_goes_to_another_notebook_whole(client, rig_id, away):
    file = client.get("/archive/download")
    assert file.headers["content-disposition"].startswith(
        "attachment; filename*=UTF-8''tapewright-"
    )
    told = sent(away, file.text)
    assert told.status_code == 200
    assert "Taken in: 11 new" in told.text
    assert "Heron (invented)" in away.get("/rigs").text
    assert away.get("/archive/download").text == file.text
    assert "Nothing new: all 11" in sent(away, file.text).text
    assert away.get(f"/rigs/{rig_id}/marks").status_code == 200


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda text: text[: len(text) // 2], "ends too early"),
        (lambda text: text.replace("420 gr", "421 gr"), "changed after it was exported"),
        (lambda text: text.replace("tapewright.archive/1", "tapewright.archive/9"), "another kind"),
        (lambda _: '{"rigs": []}', "no archive of Tapewright"),
        (lambda _: b"\xff\xfe\x00", "it is no text"),
        (lambda _: "", "no archive of Tapewright"),
        (lambda text: text.replace('"entries"', '"entry"', 1), "missing or too many"),
    ],
)  # fmt: skip
def test_what_is_spoilt_changes_nothing_and_says_why(client, rig_id, away, notebook, spoil, words):
    spoilt = spoil(client.get("/archive/download").text)
    told = sent(away, spoilt)
    assert told.status_code == 422
    assert words in told.text
    assert "Nothing was changed" in told.text
    assert "Describe my rig" in away.get("/rigs").text
    before = archive_text(notebook)
    again = client.post(
        "/api/archive", content=spoilt, headers={"content-type": "application/json"}
    )
    assert again.status_code == 422
    assert words in again.json()["title"]
    assert archive_text(notebook) == before
    assert rig_id


def test_two_ways_of_one_rig_are_not_mixed(client, rig_id, away):
    sent(away, client.get("/archive/download").text)
    for browser, mass in ((client, "430 gr"), (away, "440 gr")):
        sheet = browser.get(f"/api/rigs/{rig_id}").json()["sheet"].replace("420 gr", mass)
        assert browser.put(f"/api/rigs/{rig_id}", json={"sheet": sheet, "seen": 1}).is_success
    told = sent(away, client.get("/archive/download").text)
    assert told.status_code == 422
    assert "another one here than in the archive" in told.text
    assert "440 gr" in away.get(f"/api/rigs/{rig_id}").json()["sheet"]


def test_no_file_is_asked_for(client):
    told = client.post("/archive", files={"other": ("", b"")})
    assert told.status_code == 422
    assert "no file was chosen" in told.text


def test_the_files_of_a_rig_are_those_of_the_command_line(client, rig_id, notebook):
    here = f"/rigs/{rig_id}/files"
    page = client.get(here).text
    for name in ("sheet.toml", "shots.csv", "calibration.json", "archive.json"):
        assert f"{here}/{name}" in page
    sheet = client.get(f"{here}/sheet.toml")
    assert sheet.text == notebook.entry(rig_id).body.sheet
    assert tomllib.loads(sheet.text)["name"] == "Heron"
    rows = list(csv.DictReader(io.StringIO(client.get(f"{here}/shots.csv").text)))
    assert len(rows) == 40
    told = json.loads(client.get(f"{here}/calibration.json").text)
    assert told["schema"] == "tapewright.calibration/1"
    entries = json.loads(client.get(f"{here}/archive.json").text)["entries"]
    assert {one["rig_id"] for one in entries if one["kind"] != "rig"} == {rig_id}


def test_the_shots_file_makes_the_same_calibration(client, rig_id, tmp_path):
    from click.testing import CliRunner

    from tapewright.faces.cli.commands import main

    here = f"/rigs/{rig_id}/files"
    for name in ("sheet.toml", "shots.csv"):
        (tmp_path / name).write_text(client.get(f"{here}/{name}").text, encoding="utf-8")
    typed = ["fit", str(tmp_path / "sheet.toml"), str(tmp_path / "shots.csv"), "--json"]
    fitted = json.loads(CliRunner().invoke(main, typed).stdout)["marks"]
    kept = client.get(f"/api/rigs/{rig_id}/calibration").json()["marks"]
    for one, other in zip(fitted, kept, strict=True):
        # ten digits of each arrow are written: the marks agree to a thousandth of a millimetre
        assert one["reading_mm"] == pytest.approx(other["reading_mm"], abs=0.002)


def test_without_groups_there_is_no_file_of_shots(client, rig_id):
    sheet = client.get(f"/api/rigs/{rig_id}").json()["sheet"]
    bare = client.post("/api/rigs", json={"sheet": sheet}).json()["id"]
    told = client.get(f"/rigs/{bare}/files/shots.csv")
    assert told.status_code == 422
    assert "no group calibrates" in told.text


@pytest.mark.parametrize(
    ("sheet", "shown"),
    [
        ("name = 'x", "name = &#39;x"),
        (".".join(["a"] * 2000) + "=1", "a.a.a.a.a"),
        ("[t]\n" + "".join(f"[t.t{one}]\n" for one in range(20_000)), "[t.t19999]"),
        ("a = " + "[" * 90_000, "[[[["),
        ("x" * 2_000_000, "xxxx"),
    ],
    ids=["an open quote", "dots", "tables", "lists", "length"],
)
def test_a_sheet_that_cannot_be_read_is_taken_in_and_can_be_mended(
    client, rig_id, away, sheet, shown
):
    """Somebody edits an archive and knows its check: nothing breaks, and the text can be mended."""
    whole = json.loads(client.get("/archive/download").text)
    for one in whole["entries"]:
        if one["kind"] == "rig":
            one["versions"][0]["body"]["sheet"] = sheet
    whole["check"] = sha256(canonical(whole["entries"]).encode()).hexdigest()
    assert sent(away, json.dumps(whole)).status_code == 200
    for page in ("", "/history", "/history/sheet/1", "/shoot", "/marks", "/change", "/prove"):
        told = away.get(f"/rigs/{rig_id}{page}")
        assert told.status_code in (200, 422), page
    page = away.get(f"/rigs/{rig_id}/sheet")
    assert shown in page.text
    assert away.get(f"/api/rigs/{rig_id}/calibration").status_code == 422
    mended = client.get(f"/api/rigs/{rig_id}").json()["sheet"]
    told = away.post(
        f"/rigs/{rig_id}/sheet", data={"text": mended, "why": "corrected", "seen": "1"}
    )
    assert told.status_code == 303
    assert away.get(f"/rigs/{rig_id}/history/sheet/1").status_code == 200


def test_a_sheet_larger_than_any_is_refused_at_every_door(client, rig_id):
    dots = ".".join(["a"] * 2000) + "=1"
    for told in (
        client.post("/rigs/new", data={"text": dots}),
        client.post("/rigs/new/file", files={"sheet": ("dot.toml", dots)}),
        client.post(f"/rigs/{rig_id}/sheet", data={"text": dots, "why": "corrected", "seen": "1"}),
        client.post("/api/rigs", json={"sheet": dots}),
        client.put(f"/api/rigs/{rig_id}", json={"sheet": dots, "seen": 1}),
    ):
        assert told.status_code == 422
        assert "a key has more than 8 parts" in told.text


def test_the_whole_notebook_is_checked(client, rig_id, notebook):
    assert "All of it is as it was written." in client.get("/archive/check").text
    assert client.get("/api/check").json()["is_sound"] is True
    with notebook.writing() as connection:
        connection.exec_driver_sql(
            f"UPDATE version SET body = '{{}}' WHERE entry_id = '{rig_id}'"  # noqa: S608
        )
    told = client.get("/archive/check")
    assert told.status_code == 200
    assert f"rig {rig_id}, version 1: what is there is not what was written" in told.text
    (fault,) = client.get("/api/check").json()["faults"]
    assert fault["where"] == f"rig {rig_id}, version 1"
    refused = client.get(f"/rigs/{rig_id}/marks")
    assert refused.status_code == 503
    assert "is not what was written" in refused.text
