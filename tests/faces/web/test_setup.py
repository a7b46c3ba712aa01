"""Set up as before, in the notebook: record, picture, measured again, taken apart, near group."""

import io
from base64 import b64decode, b64encode
from datetime import UTC, datetime

import numpy as np
import pdfplumber
import pytest
from PIL import Image

from tapewright.faces.kept_setup import set_up_kept
from tapewright.services.keep import KeptSetup

NOW = datetime(2026, 11, 30, 9, 30, tzinfo=UTC)
RECORD = {"limbs.brace_height": "6.5 in ± 0.04", "string.peep_height": "140 mm ± 1",
          "sight.hole": "2", "string.shots": "900", "measured_on": "2026-11-20"}  # fmt: skip


@pytest.fixture
def here(client, rig_id):
    """A rig with a record."""
    address = f"/rigs/{rig_id}/setup"
    assert client.post(f"{address}/record", data=RECORD | {"seen": "0"}).status_code == 303
    return address


def jpeg(wide=2400, high=1200):
    buffer = io.BytesIO()
    picture = Image.fromarray(np.full((high, wide, 3), (200, 40, 10), np.uint8))
    exif = picture.getexif()
    exif[0x010E] = "Reed Lane 7"
    picture.save(buffer, "JPEG", exif=exif)
    return buffer.getvalue()


def test_without_a_record_the_page_offers_one_for_this_kind_of_bow(client, rig_id):
    page = client.get(f"/rigs/{rig_id}/setup").text
    assert "Write the record" in page
    assert "Measure it again" not in page
    form = client.get(f"/rigs/{rig_id}/setup/record").text
    assert 'name="string.peep_height"' in form
    assert client.get(f"/rigs/{rig_id}/setup/again").headers["location"].endswith("/record")
    assert client.get(f"/rigs/{rig_id}/setup/card.pdf").status_code == 404
    assert client.get(f"/rigs/{rig_id}/setup/photo.jpg").status_code == 404


def test_a_fault_stands_beside_its_field_and_nothing_is_lost(client, rig_id, notebook):
    sent = RECORD | {"limbs.brace_height": "six"}
    answer = client.post(f"/rigs/{rig_id}/setup/record", data=sent)
    assert answer.status_code == 422
    assert "does not start with a number" in answer.text
    assert 'value="140 mm ± 1"' in answer.text
    assert notebook.entries("setup", rig_id) == ()


def test_measured_again_is_held_against_the_record(client, here, notebook, rig_id):
    ticks = client.get(f"{here}/again").text
    assert "Recorded: 140 mm ± 1" in ticks
    assert 'name="limbs.tiller"' not in ticks
    sent = {"limbs.brace_height": "6.5 in", "string.peep_height": "132 mm", "sight.hole": "2"}
    useless = client.post(f"{here}/again", data={"string.shots": "950"})
    assert (useless.status_code, "on the record, too" in useless.text) == (422, True)
    for _ in "12":  # the same form sent twice is kept once
        answer = client.post(f"{here}/again", data=sent | {"fresh": "5e7" * 6 + "ab"})
        assert answer.status_code == 303
    page = client.get(here).text
    assert "Moved: Peep above the nocking point" in page
    told = client.get(f"/api/rigs/{rig_id}/ask/setup").json()
    assert told["moved"] == ["string.peep_height"]
    assert told["recorded_on"] == "2026-11-20"
    assert [one.body.is_again for one in notebook.entries("setup", rig_id)] == [False, True]
    # A new record makes what was measured against the old one history.
    assert client.post(f"{here}/record", data=RECORD | {"seen": "1", "sight.hole": "3"})
    assert "nothing measured again yet" in client.get(here).text


def test_a_record_kept_meanwhile_is_not_written_over(client, here):
    answer = client.post(f"{here}/record", data=RECORD | {"seen": "7", "sight.hole": "5"})
    assert answer.status_code == 409
    assert "Somebody else kept a record" in answer.text


def test_a_bow_taken_apart_asks_for_one_near_arrow_and_the_group_tells(client, here, rig_id):
    page = client.get(here).text
    assert "Write down the near group" not in page
    assert client.post(f"{here}/apart", data={"seen": "9"}).status_code == 409
    assert client.post(f"{here}/apart", data={"seen": "1"}).status_code == 303
    assert "Write down the near group" in client.get(here).text
    plan = client.get(f"/api/rigs/{rig_id}/ask/plan").json()
    assert plan["near_arrow_first"]
    session = {"shot_on": "2026-11-30", "purpose": "sighting", "note": ""}
    session = client.post(f"/api/rigs/{rig_id}/sessions", json=session).json()
    assert session["setup"] == 1
    hits = [{"right_mm": 8.0, "up_mm": 4.0 + by} for by in (160.0, 165.0, 155.0, 158.0)]
    group = {"name": "near", "distance_m": 18.288, "reading_mm": 16.1, "impacts": hits, "note": ""}
    address = f"/api/rigs/{rig_id}/sessions/{session['id']}/groups"
    kept = client.post(address, json=group).json()
    near = client.get(f"/api/rigs/{rig_id}/ask/setup").json()["near"]
    assert (near["verdict"], near["group"]) == ("moved", "near")
    assert near["up_in"] > 5.0
    # Mended and put together anew: the group that did not fit is left behind.
    assert client.post(f"{here}/apart", data={"seen": "2"}).status_code == 303
    told = client.get(f"/api/rigs/{rig_id}/ask/setup").json()["near"]
    assert (told["verdict"], kept["number"]) == ("shoot", 1)


def test_a_photograph_is_kept_small_and_without_where_it_was_taken(client, here, notebook, rig_id):
    sent = {"picture": ("bow.jpg", jpeg(), "image/jpeg")}
    assert client.post(f"{here}/photo", files=sent).status_code == 303
    kept = client.get(f"{here}/photo.jpg")
    assert kept.headers["content-type"] == "image/jpeg"
    picture = Image.open(io.BytesIO(kept.content))
    assert picture.size == (1280, 640)
    assert b"Reed Lane" not in kept.content
    assert f"{here}/photo.jpg" in client.get(here).text
    assert set_up_kept(notebook, rig_id).record is not None
    assert "no picture was sent" in client.post(f"{here}/photo", files={}).text
    bad = client.post(f"{here}/photo", files={"picture": ("a.txt", b"hello" * 100, "text/plain")})
    assert bad.status_code == 422
    assert "no picture that can be read" in bad.text


def test_the_card_and_the_history_tell_it(client, here, rig_id):
    answer = client.get(f"{here}/card.pdf")
    with pdfplumber.open(io.BytesIO(answer.content)) as pdf:
        said = pdf.pages[0].extract_text()
    assert "Heron: set-up card" in said
    assert "5.51 in" in said
    words = [one["words"] for one in client.get(f"/api/rigs/{rig_id}/history").json()]
    assert "Set-up recorded 2026-11-20" in words


def test_programs_keep_read_and_put_aside_records(client, rig_id):
    address = f"/api/rigs/{rig_id}/setups"
    sent = {"sheet": '[limbs]\ntiller = "3 mm"\n', "measured_on": "2026-11-20"}
    kept = client.post(address, json=sent).json()
    assert (kept["is_again"], kept["picture"]) == (False, "")
    saved = client.put(f"{address}/{kept['id']}", json=sent | {"seen": 1, "is_again": True})
    assert saved.json()["number"] == 2
    assert client.post(address, json=sent | {"sheet": "[limbs]\nbow = 1\n"}).status_code == 422
    empty = client.post(address, json={"measured_on": "2026-11-20"})
    assert "a record or a photograph is wanted" in empty.text
    picture = {"measured_on": "2026-11-20", "picture": b64encode(jpeg(640, 480)).decode()}
    first = client.post(address, json=picture).json()
    assert (first["sheet"], first["measured_on"]) == ("", "2026-11-20")
    assert b"Reed Lane" in b64decode(picture["picture"])
    assert b"Reed Lane" not in b64decode(first["picture"])
    damaged = client.post(address, json=picture | {"picture": "/9j/4A=="})
    assert (damaged.status_code, "picture" in damaged.text) == (422, True)
    again = client.put(f"{address}/{first['id']}", json=picture | {"seen": 1})
    assert "has one version" in again.text
    client.post(f"{address}/{first['id']}/withdraw", json={"seen": 1})
    client.post(f"{address}/{kept['id']}/withdraw", json={"seen": 2})
    assert client.get(address).json() == []


def test_a_record_that_an_archive_brought_and_nobody_can_read_is_told(client, rig_id, notebook):
    body = KeptSetup("[limbs]\nbow = 1\n", "2026-11-20")
    notebook.add(body, entry_id="0" * 19 + "a", now=NOW, rig_id=rig_id)
    page = client.get(f"/rigs/{rig_id}/setup")
    assert page.status_code == 422
    assert "no such key" in page.text
    assert client.get(f"/rigs/{rig_id}/setup/record").status_code == 200
