"""What happened to a rig, and the way back."""

from tapewright.services.keep import KeptRig, kept_as


def saved(client, rig_id, change, seen):
    sheet = client.get(f"/api/rigs/{rig_id}").json()["sheet"]
    told = client.put(f"/api/rigs/{rig_id}", json={"sheet": change(sheet), "seen": seen})
    assert told.status_code == 200, told.text


def heavier(sheet):
    assert "420 gr" in sheet
    return sheet.replace("420 gr", "440 gr")


def one_pin(sheet):
    lines = [line for line in sheet.splitlines() if not line.startswith("pins_below_first")]
    assert len(lines) < len(sheet.splitlines())
    return "\n".join(lines)


def test_everything_stands_in_one_list_the_newest_first(client, rig_id):
    saved(client, rig_id, heavier, 1)
    client.post(f"/api/rigs/{rig_id}/prints", json={"what": "tape", "printed_on": "2026-11-25"})
    page = client.get(f"/rigs/{rig_id}/history").text
    for words in ("Rig described", "Rig sheet saved, version 2", "sighting in, 8 groups, 40 arrows",
                  "Printed 2026-11-25: sight tape", "How trust grew", "trusted to"):  # fmt: skip
        assert words in page
    assert page.index("Printed 2026") < page.index("version 2") < page.index("Rig described")
    told = client.get(f"/api/rigs/{rig_id}/history?units=metric").json()
    assert [one["when"] for one in told] == sorted((one["when"] for one in told), reverse=True)
    assert {one["kind"] for one in told} == {"rig", "session", "calibration", "print"}


def test_an_older_sheet_is_shown_with_what_changed(client, rig_id):
    saved(client, rig_id, heavier, 1)
    old = client.get(f"/rigs/{rig_id}/history/sheet/1").text
    assert "What changed since" in old
    assert "420 gr" in old
    assert "440 gr" in old
    new = client.get(f"/rigs/{rig_id}/history/sheet/2").text
    assert "What it changed" in new
    assert "Go back to this sheet" not in new
    for number in ("0", "3", "x", "9" * 30):
        assert client.get(f"/rigs/{rig_id}/history/sheet/{number}").status_code == 404


def test_going_back_overwrites_nothing(client, rig_id, notebook):
    saved(client, rig_id, heavier, 1)
    told = client.post(f"/rigs/{rig_id}/history/sheet/1/back", data={"seen": "2"})
    assert told.status_code == 303
    sheets = [kept_as(one, KeptRig).sheet for one in notebook.history(rig_id)]
    assert len(sheets) == 3
    assert sheets[0] == sheets[2] != sheets[1]
    late = client.post(f"/rigs/{rig_id}/history/sheet/1/back", data={"seen": "2"})
    assert late.status_code == 409
    assert len(notebook.history(rig_id)) == 3


def test_what_is_put_aside_counts_no_more_until_it_is_taken_back(client, rig_id):
    session = client.get(f"/api/rigs/{rig_id}/sessions").json()[0]["id"]
    groups = len(client.get(f"/api/rigs/{rig_id}/calibration").json()["groups"])
    aside = client.post(f"/rigs/{rig_id}/history/{session}/withdraw", data={"seen": "1"})
    assert aside.status_code == 303
    assert "put aside" in client.get(f"/rigs/{rig_id}/history").text
    assert client.get(f"/api/rigs/{rig_id}/calibration").json()["groups"] == []
    client.post(f"/rigs/{rig_id}/history/{session}/restore", data={"seen": "1"})
    assert len(client.get(f"/api/rigs/{rig_id}/calibration").json()["groups"]) == groups


def test_calibrations_and_other_rigs_things_cannot_be_put_aside(client, rig_id):
    calibration = client.get(f"/api/rigs/{rig_id}/calibrations").json()[0]["id"]
    other = client.post("/sample").headers["location"].rpartition("/")[2]
    session = client.get(f"/api/rigs/{other}/sessions").json()[0]["id"]
    for one in (calibration, session, rig_id):
        told = client.post(f"/rigs/{rig_id}/history/{one}/withdraw", data={"seen": "1"})
        assert told.status_code == 404


def test_rigs_put_aside_can_be_taken_back(client, rig_id):
    assert "No rig is put aside" in client.get("/aside").text
    client.post(f"/rigs/{rig_id}/withdraw", data={"seen": "1"})
    assert "Heron (invented)" in client.get("/aside").text
    client.post(f"/rigs/{rig_id}/restore", data={"seen": "1"})
    assert "No rig is put aside" in client.get("/aside").text


def test_a_group_of_a_pin_that_the_sheet_lost_is_named(client, rig_id):
    """Nothing can be calibrated then, and nothing breaks."""
    saved(client, rig_id, one_pin, 1)
    told = client.get(f"/api/rigs/{rig_id}/calibration")
    assert told.status_code == 422
    assert "pin 2 is aimed with, and the rig sheet has 1" in told.json()["title"]
    for page in ("", "/history", "/shoot", "/marks", "/prove"):
        assert client.get(f"/rigs/{rig_id}{page}").status_code in (200, 422)
