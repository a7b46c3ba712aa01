"""A person's rig erased by page and by program, and what a phone hands over to it later."""

import json
from pathlib import Path

import pytest

from tapewright.services.move_notebook import check_notebook

NAME = "Heron (invented)"
PART = "5e55" * 5


def group(rig_id, **more):
    """A group as the script on a phone keeps it."""
    fields = {"distance": "43 yd", "reading": "33.1", "right-1": "1.25", "up-1": "-0.5"}
    return {
        "id": f"{1:020x}", "rig": rig_id, "rig_name": "Hedwig's Heron", "rig_number": 1, "tape": "",
        "units": "imperial", "shot_on": "2031-04-05", "kept_at": "2031-04-05T16:20:00Z",
        "part": PART, "session": "", "seen": 0, "fields": fields | more,
    }  # fmt: skip


def hand_over(client, rig_id, one):
    return client.put(f"/api/rigs/{rig_id}/hand-over/{PART}", json={"groups": [one]})


def erased(client, rig_id, **told):
    fields = {"seen": "1", "name": NAME, "also": ""} | told
    return client.post(f"/rigs/{rig_id}/erase", data=fields)


def test_a_rig_is_erased_with_its_name_and_the_rest_is_told(client, rig_id, notebook):
    client.post("/printers", data={"name": f"{NAME} den", "across": "99.4", "down": "100.1"})
    asked = client.get(f"/rigs/{rig_id}/erase").text
    for words in ("8 group", "no way back", "Backups and archives", "PostgreSQL", "Phones that"):
        assert words in asked, words
    told = erased(client, rig_id).text
    assert "Erased: 11 entries" in told
    assert "No byte of them is left" in told
    assert "still stands in printer" in told
    assert client.get(f"/rigs/{rig_id}").status_code == 404
    assert check_notebook(notebook).is_sound
    assert "11 rows are empty" in client.get("/erased").text
    assert NAME not in client.get("/rigs").text


@pytest.mark.parametrize(
    ("told", "status"), [({"name": "Heron"}, 422), ({"seen": "9"}, 409), ({"seen": ""}, 409)]
)
def test_a_slip_erases_nothing(client, rig_id, told, status):
    assert erased(client, rig_id, **told).status_code == status
    assert client.get(f"/rigs/{rig_id}").status_code == 200


def test_no_byte_of_it_is_left_in_the_file_while_it_is_served(client, rig_id, notebook):
    client.get(f"/rigs/{rig_id}/marks")
    files = [Path(notebook.place), Path(f"{notebook.place}-wal")]
    assert any(b"Heron" in one.read_bytes() for one in files)
    sent = {"seen": 1, "name": NAME, "also": ["Hedwig"]}
    told = client.post(f"/api/rigs/{rig_id}/erase", json=sent)
    assert told.status_code == 200
    assert told.json()["erased_entries"] == 11
    assert told.json()["is_swept"]
    assert told.json()["still_named"] == []
    assert not any(b"Heron" in one.read_bytes() for one in files)
    assert "Heron" not in client.get("/archive/download").text
    assert client.post(f"/api/rigs/{rig_id}/erase", json=sent).status_code == 404


def test_what_a_phone_hands_over_later_is_parked_without_a_name(client, rig_id, notebook):
    erased(client, rig_id)
    one = group(rig_id, note="gusty", name="H.")
    for status in (201, 200):
        answer = hand_over(client, rig_id, one)
        assert answer.status_code == status
        (told,) = answer.json()["groups"]
        assert told["state"] == "parked"
        assert "erased here" in told["why"]
    file = {"schema": "tapewright.hand-over/1", "groups": [one]}
    taken = client.post("/hand-over/take", data={"text": json.dumps(file)}).text
    assert 'href="/erased"' in taken
    page = client.get("/erased").text
    assert "43 yd" in page
    (parked,) = notebook.entries("parked")
    for gone in ("Hedwig", "gusty", "H."):
        assert gone not in parked.body.sent
    assert client.post(f"/erased/{parked.id}/erase").status_code == 200
    assert notebook.entries("parked") == ()
    assert client.post(f"/erased/{parked.id}/erase").status_code == 404
    assert check_notebook(notebook).is_sound
    assert hand_over(client, rig_id, one).status_code == 200  # it may forget the group


def test_sweeping_once_more_is_told(client):
    assert "No byte of them is left" in client.post("/erased/sweep").text
