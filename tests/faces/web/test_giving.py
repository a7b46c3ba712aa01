"""A bow given away: begun anew for its taker, by page and by program."""

import tomllib

from tapewright.services.keep import RigsAsked


def test_a_pupil_s_copy_has_neither_zero_nor_trust_nor_the_giver(client, rig_id, notebook):
    asked = client.get(f"/rigs/{rig_id}/give").text
    assert "rule of the first arrows" in asked
    told = client.post(f"/rigs/{rig_id}/give", data={"name": "Pupil", "as": "rig"})
    assert "a rig of its own now" in told.text
    assert "With the giver it was" in told.text
    copy = next(one for one in notebook.rigs(RigsAsked("Pupil")).rigs)
    assert "Heron" not in copy.body.sheet
    assert copy.sources == ()
    for kind in ("session", "group", "tape", "print", "calibration", "change"):
        assert notebook.entries(kind, copy.id) == (), kind
    line = client.get("/api/rigs", params={"search": "Pupil"}).json()[0]
    assert line["trusted_distance_m"] is None
    fit = client.get(f"/api/rigs/{copy.id}/calibration").json()
    assert fit["trusted_distance_yd"] is None
    assert client.get(f"/api/rigs/{rig_id}/calibration").json()["trusted_distance_yd"] > 60
    plan = client.get(f"/api/rigs/{copy.id}/ask/plan")
    assert plan.status_code == 422
    assert "draw_length" in plan.text


def test_its_sheet_is_handed_on_as_a_file(client, rig_id):
    sent = client.post(f"/rigs/{rig_id}/give", data={"name": "Bow 7", "as": "file"})
    assert "Bow%207.toml" in sent.headers["content-disposition"]
    assert tomllib.loads(sent.text)["name"] == "Bow 7"
    assert "archer" not in tomllib.loads(sent.text)


def test_by_program_too_and_never_under_the_giver_s_name(client, rig_id):
    address = f"/api/rigs/{rig_id}/give"
    sent = client.post(address, json={"name": "Pupil"})
    assert sent.status_code == 201
    assert sent.json()["name"] == "Pupil"
    assert client.post(address, json={"name": "heron"}).status_code == 422
    assert client.post(f"/rigs/{rig_id}/give", data={"name": "Heron"}).status_code == 422


def test_its_set_up_record_goes_along_to_the_pupil(client, rig_id, notebook):
    assert "No set-up record goes along" in client.get(f"/rigs/{rig_id}/give").text
    sheet = '[limbs]\nbrace_height = "165 mm"\n[string]\nstring = "of the Giver"\n'
    body = {"sheet": sheet, "measured_on": "2026-11-20"}
    assert client.post(f"/api/rigs/{rig_id}/setups", json=body).status_code == 201
    asked = client.get(f"/rigs/{rig_id}/give").text
    assert "Its set-up record goes along" in asked
    assert "Taken as a file it is the sheet alone" in asked
    client.post(f"/rigs/{rig_id}/give", data={"name": "Pupil", "as": "rig"})
    sent = client.post(f"/api/rigs/{rig_id}/give", json={"name": "Other"}).json()
    by_page = next(one for one in notebook.rigs(RigsAsked("Pupil")).rigs).id
    for taker in (by_page, sent["id"]):
        (kept,) = notebook.entries("setup", taker)
        assert 'brace_height = "165 mm"' in kept.body.sheet
        assert "Giver" not in kept.body.sheet
