"""A proving session from its beginning to the calibration that took it in."""

import re

import pytest

from tapewright.services.keep import KeptSession, kept_as


def proof_of(client, rig_id, miss_mm=0.0, metres=(20, 40, 60)):
    """Groups of a proof, dialled by the tape and a little off."""
    begun = client.post(f"/rigs/{rig_id}/prove").headers["location"]
    session = begun.rpartition("session=")[2]
    assert begun.startswith(f"/rigs/{rig_id}/groups/new")
    asked = ",".join(map(str, metres))
    told = client.get(f"/api/rigs/{rig_id}/calibration?units=metric&distances={asked} m").json()
    for mark in told["marks"]:
        impacts = [{"right_mm": x, "up_mm": y} for x, y in ((9, 5), (-12, -8), (3, 14), (0, -11))]
        body = {"name": f"p{mark['distance_m']:g}", "distance_m": mark["distance_m"],
                "reading_mm": mark["reading_mm"] + miss_mm, "impacts": impacts}  # fmt: skip
        sent = client.post(f"/api/rigs/{rig_id}/sessions/{session}/groups", json=body)
        assert sent.status_code == 201, sent.text
    return session


def test_it_begins_with_what_to_do(client, rig_id):
    page = client.get(f"/rigs/{rig_id}/prove").text
    assert "one group at each of three distances" in page
    assert "Begin a proving session" in page
    assert "Take these arrows" not in page


def test_beginning_twice_takes_up_the_empty_session(client, rig_id, notebook):
    first, second = (client.post(f"/rigs/{rig_id}/prove").headers["location"] for _ in range(2))
    assert first == second
    sessions = [kept_as(one, KeptSession) for one in notebook.entries("session", rig_id)]
    assert [one.purpose for one in sessions] == ["sighting", "proving"]


def test_a_session_keeps_its_groups_says_what_it_needs_and_ends_in_the_answer(client, rig_id):
    """The sample's groups hit from 20 to 70 yd, so nothing farther is asked for."""
    address = client.post(f"/rigs/{rig_id}/prove").headers["location"]
    session = address.rpartition("session=")[2]
    arrows = {"right-1": "0.2", "up-1": "0.1", "right-2": "-0.3", "up-2": "0.4"}
    asked = []
    for reading in ("15.7", "29.1", "55.2"):
        form = client.get(address).text
        assert "For the proof begun" in form
        asked.append(int(re.search(r'name="distance" type="text" value="(\d+)"', form)[1]))
        sent = arrows | {"distance": f"{asked[-1]} yd", "reading": reading, "session": session}
        there = client.post(f"/rigs/{rig_id}/groups/new", data=sent).headers["location"]
        page = client.get(there).text
        next_one = re.search(r'href="([^"]*groups/new\?[^"]*)">Next: \d+ yd<', page)
        address = next_one[1].replace("&amp;", "&") if next_one else ""
        if next_one:
            assert f"session={session}" in address
            assert "print the tape" not in page.casefold()
            assert next_one[1] in client.get(f"/rigs/{rig_id}/shoot").text
    assert there == f"/rigs/{rig_id}/prove?session={session}"
    assert "Misses against the tape" in page
    assert not address
    assert sorted(asked) == asked
    assert asked[0] <= 30
    assert asked[-1] == 70


def test_a_proof_questions_the_calibration_and_is_no_part_of_it(client, rig_id):
    before = client.get(f"/api/rigs/{rig_id}/calibration").json()["fingerprint"]
    proof_of(client, rig_id, 0.0)
    page = client.get(f"/rigs/{rig_id}/prove").text
    assert "Misses against the tape" in page
    assert "What may be wrong" in page
    assert client.get(f"/api/rigs/{rig_id}/calibration").json()["fingerprint"] == before


def test_a_moved_zero_is_mended_in_clicks_or_mm(client, rig_id):
    """Every reading dialled 3 mm off, as if the pointer had slipped."""
    proof_of(client, rig_id, 3.0)
    page = client.get(f"/rigs/{rig_id}/prove").text
    assert "zero moved" in page
    clicks = int(re.search(r"toward larger numbers, (\d+) clicks", page)[1])
    assert abs(clicks - 30) <= 4  # a click is 0.1 mm; the arrows' own luck is some 0.2 mm


def test_arrows_that_the_equipment_sent_elsewhere_are_not_taken_in(client, rig_id, notebook):
    session = proof_of(client, rig_id, 3.0)
    page = client.get(f"/rigs/{rig_id}/prove").text
    assert "These arrows are not taken in" in page
    assert "Take these arrows" not in page
    told = client.post(f"/rigs/{rig_id}/prove/{session}/accept", data={"seen": "1"})
    assert told.status_code == 422
    assert "between two bows" in told.text
    body = {"shot_on": "2026-11-25", "purpose": "sighting", "seen": 1}
    sent = client.put(f"/api/rigs/{rig_id}/sessions/{session}", json=body)
    assert sent.status_code == 422
    assert "between two bows" in sent.text
    assert kept_as(notebook.entry(session), KeptSession).purpose == "proving"


def test_arrows_of_another_speed_lead_to_the_change(client, rig_id):
    session = client.post(f"/rigs/{rig_id}/prove").headers["location"].rpartition("session=")[2]
    asked = "20,35,50,65"
    told = client.get(f"/api/rigs/{rig_id}/calibration?units=metric&distances={asked} m").json()
    for mark in told["marks"]:
        metres = mark["distance_m"]
        low = -0.065 * metres**2  # mm: in angle as the distance, some 6 % slower
        impacts = [{"right_mm": x, "up_mm": y + low}
                   for x, y in ((9, 5), (-12, -8), (3, 14), (0, -11))]  # fmt: skip
        body = {"name": f"p{metres:g}", "distance_m": metres, "reading_mm": mark["reading_mm"],
                "impacts": impacts}  # fmt: skip
        assert client.post(f"/api/rigs/{rig_id}/sessions/{session}/groups", json=body).is_success
    page = client.get(f"/rigs/{rig_id}/prove").text
    assert "arrow speed" in page
    assert f'href="/rigs/{rig_id}/change">Something was changed' in page
    assert "Take these arrows" not in page


def test_few_distances_are_said_to_be_few(client, rig_id):
    proof_of(client, rig_id, metres=(30,))
    assert "Fewer than three distances" in client.get(f"/rigs/{rig_id}/prove").text


def test_another_group_is_offered_where_it_would_tell_most(client, rig_id):
    session = proof_of(client, rig_id)
    page = client.get(f"/rigs/{rig_id}/prove?session={session}").text
    told = re.search(r"One more group at (\d+) yd would tell", page)
    assert told, page
    assert f'href="/rigs/{rig_id}/groups/new?distance={told[1]}+yd&amp;session={session}"' in page
    assert f">One more at {told[1]} yd<" in page
    assert "That is enough" not in page  # beside "would tell"
    assert f"/prove?session={session}&amp;look=accept#taking" in page


def test_what_taking_it_in_would_move_is_shown_before(client, rig_id):
    session = proof_of(client, rig_id)
    page = client.get(f"/rigs/{rig_id}/prove?session={session}&look=accept").text
    assert "moved mm" in page
    assert "With the proof taken in" in page


def test_taken_in_the_arrows_calibrate(client, rig_id, notebook):
    session = proof_of(client, rig_id)
    told = client.post(f"/rigs/{rig_id}/prove/{session}/accept", data={"seen": "1"})
    assert told.headers["location"] == f"/rigs/{rig_id}/prove?session={session}"
    page = client.get(told.headers["location"]).text
    assert "This proof was taken into the calibration" in page
    assert f'<a class="button main" href="/rigs/{rig_id}">What now?</a>' in page
    taken = kept_as(notebook.entry(session), KeptSession)
    assert (taken.purpose, taken.proved) == ("sighting", True)
    assert client.get(f"/api/rigs/{rig_id}/sessions/{session}").json()["proved"] is True
    groups = client.get(f"/api/rigs/{rig_id}/calibration").json()["groups"]
    assert len(groups) == 11
    again = client.post(f"/rigs/{rig_id}/prove/{session}/accept", data={"seen": "1"})
    assert again.status_code == 303  # the button pressed twice
    assert len(notebook.history(session)) == 2
    assert (
        "sighting in, taken in from a proof, 3 groups" in client.get(f"/rigs/{rig_id}/history").text
    )
    page = client.get(f"/rigs/{rig_id}/prove?session={session}").text
    assert "was taken into the calibration" in page
    assert "What the arrows say" not in page


def test_what_was_seen_must_be_the_newest(client, rig_id, notebook):
    session = proof_of(client, rig_id)
    body = {"shot_on": "2026-11-25", "purpose": "proving", "note": "windy", "seen": 1}
    assert client.put(f"/api/rigs/{rig_id}/sessions/{session}", json=body).status_code == 200
    told = client.post(f"/rigs/{rig_id}/prove/{session}/accept", data={"seen": "1"})
    assert told.status_code == 409
    assert "somebody else" in told.text
    assert kept_as(notebook.entry(session), KeptSession).purpose == "proving"


@pytest.mark.parametrize("ends", ["20", "x", "20,60,80", "60 parsec,3"])
@pytest.mark.parametrize("name", ["between", "span"])
def test_wrong_ends_are_told_beside_their_field(client, rig_id, name, ends):
    proof_of(client, rig_id)
    told = client.get(f"/rigs/{rig_id}/prove", params={name: ends})
    assert told.status_code == 422
    assert "is not right yet" in told.text


def test_another_rigs_session_proves_nothing_here(client, rig_id):
    other = client.post("/sample").headers["location"].rpartition("/")[2]
    session = client.get(f"/api/rigs/{other}/sessions").json()[0]["id"]
    assert client.get(f"/rigs/{rig_id}/prove?session={session}").status_code == 404
    told = client.post(f"/rigs/{rig_id}/prove/{session}/accept", data={"seen": "1"})
    assert told.status_code == 404


def test_without_a_tape_there_is_nothing_to_prove(client, rig_id):
    sheet = client.get(f"/api/rigs/{rig_id}").json()["sheet"]
    bare = client.post("/api/rigs", json={"sheet": sheet}).json()["id"]
    session = client.post(f"/rigs/{bare}/prove").headers["location"].rpartition("=")[2]
    body = {"name": "a", "distance_m": 30.0, "reading_mm": 23.0, "impacts": [{"up_mm": 1.0}]}
    client.post(f"/api/rigs/{bare}/sessions/{session}/groups", json=body)
    told = client.get(f"/rigs/{bare}/prove")
    assert told.status_code == 422
    assert "nothing was shot to make a tape from yet" in told.text


def test_rows_of_a_proof_are_proved_by_page_and_api_alike(client, rig_id):
    rows = "group,distance_yd,reading_mm,up_in\na,20,15.6,2\nb,40,29,4\nc,60,46,6"
    page = client.get(f"/rigs/{rig_id}/ask/prove", params={"proof": rows})
    assert page.status_code == 200
    assert "Misses against the tape" in page.text
    told = client.get(f"/api/rigs/{rig_id}/ask/prove", params={"proof": rows}).json()
    assert told["schema"] == "tapewright.proof/1"
    assert [one["group"] for one in told["groups"]] == ["a", "b", "c"]
    assert client.get(f"/rigs/{rig_id}/ask/prove").status_code == 200
    wrong = client.get(f"/rigs/{rig_id}/ask/prove", params={"proof": "group\n1"})
    assert wrong.status_code == 422
    assert 'id="proof-fault"' in wrong.text


def test_a_table_of_ready_made_strips_is_ranked(client, rig_id):
    rows = ["strip,distance_yd,position_mm"]
    marks = client.get(f"/api/rigs/{rig_id}/calibration?distances=20,40,60yd").json()["marks"]
    for name, stretch in (("short", 0.95), ("right", 1.0), ("long", 1.05)):
        zero = marks[0]["reading_mm"]
        rows += [f"{name},{one['distance_yd']:g},{stretch * (one['reading_mm'] - zero):.3f}"
                 for one in marks]  # fmt: skip
    page = client.get(f"/rigs/{rig_id}/ask/strips", params={"set": "\r\n".join(rows)}).text
    assert "Ready-made strips, best first" in page
    ranked = client.get(f"/api/rigs/{rig_id}/ask/strips", params={"set": "\n".join(rows)}).json()
    assert ranked["set"]["ranked"][0]["strip"] == "right"
    wrong = client.get(f"/rigs/{rig_id}/ask/strips", params={"set": "strip\n1"})
    assert wrong.status_code == 422
    assert "no column for the distance" in wrong.text


def test_a_proof_taken_in_stays_known_as_one_until_it_proves_again(client, rig_id, notebook):
    session = proof_of(client, rig_id)
    body = {"shot_on": "2026-11-25", "note": "windy"}
    address = f"/api/rigs/{rig_id}/sessions/{session}"
    for seen, (purpose, proved) in enumerate(
        (("sighting", True), ("sighting", True), ("proving", False)), start=1
    ):
        sent = client.put(
            address, json=body | {"purpose": purpose, "seen": seen, "note": str(seen)}
        )
        assert sent.status_code == 200, sent.text
        assert kept_as(notebook.entry(session), KeptSession).proved is proved


def test_broadheads_shot_beside_count_for_no_distance_of_the_proof(client, rig_id):
    """The tape's own point was shot at 20 and 40 m, broadheads at 30: one distance is missing."""
    session = proof_of(client, rig_id, metres=(20, 40))
    body = {"name": "b", "distance_m": 30.0, "reading_mm": 20.0, "head": "broadhead",
            "impacts": [{"right_mm": 1.0, "up_mm": 2.0}]}  # fmt: skip
    sent = client.post(f"/api/rigs/{rig_id}/sessions/{session}/groups", json=body)
    assert sent.status_code == 201, sent.text
    assert (
        "It needs a group at one more distance"
        in client.get(f"/rigs/{rig_id}/groups/new?session={session}").text
    )
