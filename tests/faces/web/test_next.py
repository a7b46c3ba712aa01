"""What is next, on a rig's page and for programs, from the first group to the card."""

import re
from datetime import UTC, datetime

from written_out import IMPERIAL

from tapewright.faces.kept_rigs import kept_answer, kept_rig
from tapewright.faces.rig_progress import done_of
from tapewright.services.keep import KeptPrint, KeptSession
from tapewright.services.what_now import Done


def next_of(client, rig_id, **asked):
    """What is next for programs, once the plan's page has said the same of the next group."""
    told = client.get(f"/api/rigs/{rig_id}/ask/next", params=asked).json()
    if told["shot"]:
        plan = client.get(f"/api/rigs/{rig_id}/ask/plan", params=asked).json()
        assert told["shot"] == plan["plan"][0]
    return told


def test_the_rig_page_and_programs_say_the_same(client, rig_id):
    told = next_of(client, rig_id)
    assert told["step"] == "shoot"
    page = client.get(f"/rigs/{rig_id}").text
    assert f"{told['do']}</strong>" in page
    shot = told["shot"]
    link = re.search(rf'/rigs/{rig_id}/groups/new\?([^"]+)"', page)[1].replace("&amp;", "&")
    assert f"distance={shot['distance_yd']:g}+yd" in link
    assert f"rows={shot['arrows']}" in link


def test_from_print_to_card_each_deed_moves_it_on(client, rig_id):
    wish = {"wanted": "60 yd"}
    assert next_of(client, rig_id, **wish)["step"] == "tape"
    client.post(f"/rigs/{rig_id}/tape", data={"distances": "15:90:1 yd"})
    told = next_of(client, rig_id, **wish)
    assert told["step"] == "stick"
    assert "Is it on the sight?" in client.get(f"/rigs/{rig_id}").text
    client.post(f"/rigs/{rig_id}/on-sight", data={"strip": "2"})
    assert next_of(client, rig_id, **wish)["step"] == "prove"
    session = client.post(f"/rigs/{rig_id}/prove").headers["location"].rpartition("session=")[2]
    marks = client.get(f"/api/rigs/{rig_id}/calibration?units=metric&distances=20,35,50 m").json()
    for place, mark in enumerate(marks["marks"]):
        impacts = [{"right_mm": x, "up_mm": y} for x, y in ((9, 5), (-12, -8), (3, 14), (0, -11))]
        body = {"name": f"p{place}", "distance_m": mark["distance_m"], "impacts": impacts,
                "reading_mm": mark["reading_mm"]}  # fmt: skip
        client.post(f"/api/rigs/{rig_id}/sessions/{session}/groups", json=body)
        expected = "prove" if place < 2 else "card"
        assert next_of(client, rig_id, **wish)["step"] == expected
    client.post(f"/rigs/{rig_id}/pocket")
    assert next_of(client, rig_id, **wish)["step"] == "done"


def test_what_was_done_before_the_tape_was_stuck_on_counts_for_nothing(client, rig_id, notebook):
    old = KeptSession("2026-11-01", "proving", "", 0)
    session = notebook.add(old, rig_id=rig_id, now=datetime.now(UTC), entry_id=f"{1:020x}")
    card = KeptPrint("card", "", None, {}, "2026-11-01")
    notebook.add(card, rig_id=rig_id, now=datetime.now(UTC), entry_id=f"{2:020x}")
    client.post(f"/rigs/{rig_id}/tape", data={"distances": "15:90:1 yd"})
    client.post(f"/rigs/{rig_id}/on-sight", data={"strip": "2", "stuck_on": "2026-11-20"})
    again = KeptSession("2026-11-01", "proving", "windy", 0, proved=True)  # a note, written anew
    notebook.save(session.id, again, seen=session.number, now=datetime.now(UTC))
    kept = kept_rig(notebook, rig_id)
    answer, last = kept_answer(kept, IMPERIAL), KeptSession("2031-01-05", "sighting", "", 0)
    notebook.add(last, rig_id=rig_id, now=datetime.now(UTC), entry_id=f"{3:020x}")
    done = done_of(notebook, rig_id, answer, "2031-04-06")
    assert done == Done(is_kept=True, quiet_days=91)


def test_a_rig_that_was_kept_opens_at_once_and_says_what_is_next_when_asked(client, rig_id):
    page = client.get(f"/rigs/{rig_id}").text
    assert f'data-hx-get="/rigs/{rig_id}?now=1" data-hx-trigger="load"' in page
    assert f'href="/rigs/{rig_id}?now=1">Say what is next' in page  # without a script
    assert '<svg class="tape-line"' in page
    asked = client.get(f"/rigs/{rig_id}?now=1").text
    assert "Shoot this group" in asked
    assert re.findall(r"<li><span>(\d+ yd)</span>", asked) == [
        "20 yd", "30 yd", "40 yd", "50 yd", "60 yd", "80 yd",
    ]  # fmt: skip
    assert "Shoot this group" in client.get(f"/rigs/{rig_id}").text  # looked at lately
