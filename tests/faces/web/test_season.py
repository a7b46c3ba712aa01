"""The season of a kept rig: sessions have days, proofs are watched, changes are marked."""

import re
from datetime import UTC, datetime

from tapewright.services.keep import KeptSession, kept_as

NOW = datetime(2027, 3, 1, tzinfo=UTC)
ROWS = "group,distance_yd,reading_mm,right_in,up_in,arrow\n"


def shot(name, up_in):
    """A file's group of four numbered arrows at 20 yd."""
    places = ((0.2, 0.1), (-0.2, 0.2), (0.1, -0.2), (-0.1, -0.1))
    return "".join(
        f"{name},20,16.1,{right},{up + up_in:.2f},{arrow}\n"
        for arrow, (right, up) in enumerate(places, 1)
    )


def keep_session(client, rig_id, day, text):
    form = {"rows": ROWS + text, "shot_on": day, "anyway": "yes"}
    assert client.post(f"/rigs/{rig_id}/shots", data=form).status_code == 303


def test_a_season_is_watched_by_the_days_of_its_sessions(client, notebook, rig_id, monkeypatch):
    monkeypatch.setattr("tapewright.faces.web.page_request.today", lambda: "2027-03-01")
    first = client.get(f"/rigs/{rig_id}/ask/drift")  # nothing was asked amiss: no fault is told
    assert first.status_code == 200
    assert 'class="lead">The groups up to' in first.text
    assert "Something is not right" not in first.text
    asked = client.get(f"/rigs/{rig_id}/ask/drift?since=2030-01-01")
    assert asked.status_code == 422
    for week in range(1, 5):
        day, off = f"2027-02-{7 * week:02d}", -0.4 * week
        keep_session(client, rig_id, day, shot(f"w{week}", off))
    sent = client.get(f"/api/rigs/{rig_id}/ask/drift").json()
    assert [one["date"] for one in sent["groups"]][-4:] == [
        "2027-02-07", "2027-02-14", "2027-02-21", "2027-02-28",
    ]  # fmt: skip
    assert sent["is_drifting"]
    page = client.get(f"/rigs/{rig_id}/ask/drift").text
    assert re.search(
        r'<figure class="to-scale" role="img" aria-label="[^"]+"><div aria-hidden="true"><svg', page
    )
    arrows = client.get(f"/api/rigs/{rig_id}/ask/arrows").json()
    assert [one["arrow"] for one in arrows["arrows"]] == ["1", "2", "3", "4"]
    exported = client.get(f"/rigs/{rig_id}/files/shots.csv").text
    assert "2027-02-28" in exported
    # those of a proof are watched, and calibrate nothing
    (last,) = [
        one for one in notebook.entries("session", rig_id)
        if kept_as(one, KeptSession).shot_on == "2027-02-28"
    ]  # fmt: skip
    body = kept_as(last, KeptSession)
    proof = KeptSession(body.shot_on, "proving", "", body.setup)
    notebook.save(last.id, proof, seen=last.number, now=NOW)
    again = client.get(f"/api/rigs/{rig_id}/ask/drift").json()
    assert again["groups"][-1]["date"] == "2027-02-28"


def test_broadheads_move_no_mark_and_are_told_beside_field_points(client, rig_id):
    groups = f"/rigs/{rig_id}/groups"
    trusted = client.get(f"/api/rigs/{rig_id}/ask/marks").json()["trusted_distance_yd"]
    page = client.get(f"/rigs/{rig_id}/ask/broadheads?blades=30+mm&wanted=40").text
    assert "No broadhead was shot yet" in page
    assert "only into butts made for them" in page
    (broad, field) = re.findall(r'href="(/rigs/[^"]+/groups/new\?[^"]+)"', page)
    assert ("head=broadhead" in broad, "head=field" in field) == (True, True)
    form = client.get(broad.replace("&amp;", "&")).text
    assert '<option value="broadhead" selected>' in form
    shot = {"distance": "10 yd", "reading": "15.6 mm", "entry": "", "session": "", "seen": "0"}
    hits = {f"{side}-{row}": f"{row - 2}.{row}" for row in (1, 2, 3) for side in ("right", "up")}
    kept = client.post(f"{groups}/new", data=shot | hits | {"head": "broadhead", "name": "b1"})
    assert kept.status_code == 303
    told = client.get(kept.headers["location"]).text
    assert "On with broadheads" in told
    assert "What to shoot next" not in told
    assert "Shot with another point than the rig sheet" in told
    assert "broadhead, 3 arrows" in told
    again = client.get(f"/api/rigs/{rig_id}/ask/marks").json()
    assert again["trusted_distance_yd"] == trusted
    assert "b1" not in [one["group"] for one in again["groups"]]
    sent = client.get(f"/api/rigs/{rig_id}/ask/broadheads?blades=30+mm&wanted=40").json()
    assert [one["group"] for one in sent["groups"]] == ["b1"]
    assert sent["trusted_distance_yd"] in (None, 10.0)
    assert sent["next"]["broadheads"] == 0  # field points first, beside them
    assert (sent["next"]["distance_yd"], sent["next"]["reading_mm"]) == (10.0, 15.6)
    so_far = client.post(
        f"{groups}/so-far", data=shot | {"right-1": "0.1", "up-1": "0.2", "head": "broadhead"}
    )
    assert "another point" in so_far.text
