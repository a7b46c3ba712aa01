"""What a phone kept comes into the notebook once, whole, or is parked for a person to settle."""

import base64
import html
import io
import json
import random
import re
import zlib
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from datetime import UTC, datetime

import pytest
import segno
from PIL import Image
from starlette.testclient import TestClient

from tapewright import __version__
from tapewright.faces.web.app import build_app
from tapewright.faces.web.page_request import PageRequest
from tapewright.faces.web.phone_sync import take_in as hand_over_module
from tapewright.faces.web.server.passcode import new_passcode
from tapewright.faces.web.server.security import Rules
from tapewright.services.keep import KeptGroup, KeptParked, KeptRig, KeptSession
from tapewright.storage import notebook as notebook_module

PART = "5e55" * 5
DAY = "2031-04-05"
NOW = datetime(2031, 4, 6, 8, 30, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _nobody_waits_for_marks(request, monkeypatch):
    if "calibrated" not in request.node.name:
        monkeypatch.setattr(PageRequest, "recalibrate", lambda *_: None)


def group(rig_id, number=1, part=PART, **more):
    """A group as the script on a phone keeps it."""
    fields = {
        "distance": "43 yd", "reading": f"33.{number}", "right-1": "1.25", "up-1": "-0.5",
        "right-2": f"0.{number}", "up-2": "2.75", "right-3": "-1", "up-3": "0.375", "note": "gusty",
    }  # fmt: skip
    return {
        "id": f"{number:020x}", "rig": rig_id, "rig_name": "Heron", "rig_number": 1, "tape": "",
        "units": "imperial", "shot_on": DAY, "kept_at": "2031-04-05T16:20:00Z", "part": part,
        "session": "", "seen": 0, "fields": fields,
    } | more  # fmt: skip


def with_fields(one, **fields):
    return one | {"fields": one["fields"] | fields}


def hand_over(client, rig_id, *groups, part=PART):
    return client.put(f"/api/rigs/{rig_id}/hand-over/{part}", json={"groups": list(groups)})


def states(answer):
    return [one["state"] for one in answer.json()["groups"]]


def standing(notebook, kind, rig_id):
    return {one.id: one.body for one in notebook.entries(kind, rig_id)}


def that_day(notebook, rig_id):
    """Id of the one session of the day on which the phone shot."""
    (found,) = [one.id for one in notebook.entries("session", rig_id) if one.body.shot_on == DAY]
    return found


def test_a_session_is_kept_and_calibrated_once_however_often_it_is_sent(client, notebook, rig_id):
    before = standing(notebook, "group", rig_id)
    first = hand_over(client, rig_id, group(rig_id, 1), group(rig_id, 2))
    assert (first.status_code, states(first)) == (201, ["kept", "kept"])
    assert first.json()["groups"][0]["id"] == f"{1:020x}"
    again = hand_over(client, rig_id, group(rig_id, 1), group(rig_id, 2))
    assert (again.status_code, states(again)) == (200, ["same", "same"])
    later = hand_over(client, rig_id, group(rig_id, 2), group(rig_id, 3))
    assert (later.status_code, states(later)) == (201, ["same", "kept"])
    kept = standing(notebook, "group", rig_id)
    assert kept.keys() - before.keys() == {f"{number:020x}" for number in (1, 2, 3)}
    one = kept[f"{1:020x}"]
    assert one.observation.distance_m == pytest.approx(43 * 0.9144)
    assert one.observation.reading_m == pytest.approx(0.0331)
    assert [hit.up_m for hit in one.observation.group.impacts] == pytest.approx(
        [-0.5 * 0.0254, 2.75 * 0.0254, 0.375 * 0.0254]
    )
    assert one.note == "gusty"
    assert {kept[f"{number:020x}"].session_id for number in (1, 2, 3)} == {
        that_day(notebook, rig_id)
    }
    assert notebook.entry(one.session_id).body == KeptSession(DAY, "sighting", "", 0)
    names = [body.observation.group.name for body in kept.values()]
    assert len(set(names)) == len(names)
    assert standing(notebook, "parked", rig_id) == {}
    assert notebook.newest("calibration", rig_id).body.groups == len(kept)


def test_crossed_and_repeated_hand_overs_double_nothing(client, notebook, rig_id):
    before = len(standing(notebook, "group", rig_id))
    sent = [group(rig_id, number) for number in range(1, 5)]
    with ThreadPoolExecutor(4) as many:
        answers = list(many.map(lambda _: hand_over(client, rig_id, *sent), range(4)))
    assert sorted(one.status_code for one in answers) == [200, 200, 200, 201]
    assert len(standing(notebook, "group", rig_id)) == before + 4
    assert that_day(notebook, rig_id)


def test_a_second_phone_of_the_day_joins_the_session(client, notebook, rig_id):
    hand_over(client, rig_id, group(rig_id, 1))
    other = "07e7" * 5
    answer = hand_over(client, rig_id, group(rig_id, 9, part=other), part=other)
    assert answer.status_code == 201
    assert notebook.entry(f"{9:020x}").body.session_id == that_day(notebook, rig_id)


def test_a_group_known_otherwise_is_told_and_both_versions_stand(client, notebook, rig_id):
    mine = group(rig_id, 1)
    hand_over(client, rig_id, mine)
    at_home = notebook.entry(f"{1:020x}")
    body = KeptGroup(at_home.body.session_id, at_home.body.observation, "mended at home")
    notebook.save(at_home.id, body, seen=1, now=NOW)
    assert states(hand_over(client, rig_id, mine)) == ["same"]  # its answer was lost; it is there
    other = with_fields(mine, reading="35.5", **{"arrow-1": "B7"})
    answer = hand_over(client, rig_id, other)
    assert (answer.status_code, states(answer)) == (409, ["parked"])
    assert "otherwise" in answer.json()["groups"][0]["why"]
    assert hand_over(client, rig_id, other).status_code == 409
    assert len(standing(notebook, "parked", rig_id)) == 1
    assert notebook.entry(at_home.id).body.note == "mended at home"
    page = client.get(f"/rigs/{rig_id}/parked").text
    assert "mended at home" in page
    assert "35.5" in page
    assert "1.25 right, -0.5 up, arrow B7;" in page
    (parked,) = notebook.entries("parked", rig_id)
    answer = client.post(f"/rigs/{rig_id}/parked/{parked.id}/take-in")
    assert answer.status_code == 303
    assert notebook.entry(at_home.id).body.observation.reading_m == pytest.approx(0.0355)
    assert [one.number for one in notebook.history(at_home.id)] == [3, 2, 1]
    assert standing(notebook, "parked", rig_id) == {}


def test_a_change_made_on_the_phone_goes_on_top_of_what_it_saw(client, notebook, rig_id):
    hand_over(client, rig_id, group(rig_id, 1))
    changed = with_fields(group(rig_id, 1, seen=1), note="pulled")
    assert states(hand_over(client, rig_id, changed)) == ["kept"]
    assert states(hand_over(client, rig_id, changed)) == ["same"]
    assert notebook.entry(f"{1:020x}").number == 2


REFUSED = {
    "impossible": ({"distance": "4000 yd"}, "distance"),
    "no arrow": (
        {f"{side}-{row}": "" for side in ("right", "up") for row in (1, 2, 3)},
        "no arrow",
    ),
    "name taken": ({"name": "n1"}, "called"),
}


@pytest.mark.parametrize("kind", REFUSED)
def test_what_cannot_be_kept_is_parked_and_the_rest_is_kept(kind, client, notebook, rig_id):
    taken = next(iter(standing(notebook, "group", rig_id).values())).observation.group.name
    fields, why = REFUSED[kind]
    fields = {key: taken if text == "n1" else text for key, text in fields.items()}
    bad = with_fields(group(rig_id, 1), **fields)
    answer = hand_over(client, rig_id, bad, group(rig_id, 2))
    assert (answer.status_code, states(answer)) == (201, ["parked", "kept"])
    assert why in answer.json()["groups"][0]["why"]
    again = hand_over(client, rig_id, bad, group(rig_id, 2))
    assert (again.status_code, states(again)) == (200, ["parked", "same"])
    (parked,) = notebook.entries("parked", rig_id)
    assert json.loads(parked.body.sent)["fields"] == bad["fields"]
    listed = client.get(f"/api/rigs/{rig_id}/parked").json()
    assert [(one["group_id"], one["why"]) for one in listed] == [(bad["id"], parked.body.why)]
    page = client.get(f"/rigs/{rig_id}/parked")
    assert page.status_code == 200
    assert why in page.text


def test_arrows_that_count_already_are_parked(client, rig_id):
    hand_over(client, rig_id, group(rig_id, 1))
    double = group(rig_id, 1) | {"id": f"{7:020x}"}
    answer = hand_over(client, rig_id, double)
    assert states(answer) == ["parked"]
    assert "these arrows count already" in answer.json()["groups"][0]["why"]
    twice = [with_fields(group(rig_id, 2), reading="40"), group(rig_id, 2) | {"id": f"{8:020x}"}]
    twice[1] = with_fields(twice[1], reading="40")
    assert states(hand_over(client, rig_id, *twice)) == ["kept", "parked"]


def test_groups_of_a_changed_rig_wait_and_go_where_they_were_shot(client, notebook, rig_id):
    rig = notebook.entry(rig_id)
    sheet = rig.body.sheet.replace("mass = ", "mass = ")  # saved again: corrected, not changed
    notebook.save(rig_id, KeptRig(f"{sheet}# looked over\n", rig.body.name), seen=1, now=NOW)
    assert states(hand_over(client, rig_id, group(rig_id, 1))) == ["kept"]
    changed = {
        "sheet": f"{sheet}# a new string\n",
        "seen": 2,
        "new_string": True,
        "words": "string",
    }
    assert client.post(f"/api/rigs/{rig_id}/changes", json=changed).status_code == 201
    before = hand_over(client, rig_id, with_fields(group(rig_id, 2), name="last of the old"))
    assert states(before) == ["parked"]
    assert "changed after this phone saw it" in before.json()["groups"][0]["why"]
    after = hand_over(client, rig_id, group(rig_id, 3, rig_number=3))
    assert states(after) == ["kept"]
    (parked,) = notebook.entries("parked", rig_id)
    client.post(f"/rigs/{rig_id}/parked/{parked.id}/take-in")
    group_2, group_3 = (notebook.entry(f"{number:020x}").body for number in (2, 3))
    assert group_2.observation.group.name == "last of the old"
    assert notebook.entry(group_2.session_id).body.setup == 0
    assert notebook.entry(group_3.session_id).body.setup == 1
    assert notebook.entries("parked", rig_id) == ()


def test_a_rig_put_aside_keeps_its_groups_parked_until_it_is_back(client, notebook, rig_id):
    client.post(f"/rigs/{rig_id}/withdraw", data={"seen": "1"})
    answer = hand_over(client, rig_id, group(rig_id, 1))
    assert "put aside" in answer.json()["groups"][0]["why"]
    (parked,) = notebook.entries("parked", rig_id)
    refused = client.post(f"/rigs/{rig_id}/parked/{parked.id}/take-in")
    assert refused.status_code == 422
    client.post(f"/rigs/{rig_id}/restore", data={"seen": "1"})
    assert "1 group" in client.get(f"/rigs/{rig_id}").text
    client.post(f"/rigs/{rig_id}/parked/{parked.id}/take-in")
    assert notebook.entry(f"{1:020x}").body.note == "gusty"


def test_a_parked_group_is_mended_in_its_form_or_thrown_away(client, notebook, rig_id):
    bad = with_fields(group(rig_id, 1), distance="4000 yd")
    worse = with_fields(group(rig_id, 2), reading="a lot")
    hand_over(client, rig_id, bad, worse)
    first, second = notebook.entries("parked", rig_id)
    to_form = client.post(f"/rigs/{rig_id}/parked/{first.id}/mend").headers["location"]
    assert to_form.startswith(f"/rigs/{rig_id}/groups/new?")
    form = client.get(to_form).text
    assert 'value="4000"' in form
    assert bad["id"] in form
    day = that_day(notebook, rig_id)
    mended = bad["fields"] | {"distance": "40 yd", "entry": bad["id"], "seen": "0", "session": day}
    assert client.post(f"/rigs/{rig_id}/groups/new", data=mended).status_code == 303
    assert notebook.entry(bad["id"]).body.session_id == day
    assert "1 group" in client.get(f"/rigs/{rig_id}").text  # the mended one is settled
    hand_over(client, rig_id, with_fields(bad, distance="41 yd"))  # and stays so
    assert "2 groups" in client.get(f"/rigs/{rig_id}").text
    (third,) = (one for one in notebook.entries("parked", rig_id) if "otherwise" in one.body.why)
    client.post(f"/rigs/{rig_id}/parked/{third.id}/withdraw", data={"seen": "1"})
    client.post(f"/rigs/{rig_id}/parked/{second.id}/withdraw", data={"seen": "1"})
    assert client.get(f"/rigs/{rig_id}/parked").text.count("Take it back") == 2
    assert states(hand_over(client, rig_id, worse)) == ["parked"]  # not parked a second time
    assert notebook.entries("parked", rig_id)[:1] == (notebook.entry(first.id),)


def opened_to_mend(client, rig_id, parked):
    """What the form holds that opens to mend a parked group: name to value."""
    address = client.post(f"/rigs/{rig_id}/parked/{parked.id}/mend").headers["location"]
    page = client.get(address).text
    form = page[page.index("<form", page.index('id="draft"')) :]
    inputs = [dict(re.findall(r'(\w+)="([^"]*)"', one)) for one in re.findall("<input[^>]*>", form)]
    return {
        one["name"]: one.get("value", "")
        for one in inputs
        if "name" in one and one.get("type") not in ("radio", "checkbox")
    }


@pytest.mark.parametrize("reader", ["imperial", "metric"])
def test_a_metric_phones_group_is_mended_in_the_readers_units(reader, client, notebook, rig_id):
    client.cookies.set("units", reader)
    bad = with_fields(
        group(rig_id, 1, units="metric"), **{"distance": "4000 yd", "right-1": "2,54"}
    )
    hand_over(client, rig_id, bad)
    (parked,) = notebook.entries("parked", rig_id)
    form = opened_to_mend(client, rig_id, parked)
    right, up = ("1", "1.082677165") if reader == "imperial" else ("2,54", "2.75")
    assert (form["right-1"], form["up-2"]) == (right, up)  # 2.54 cm are an inch
    assert client.post(f"/rigs/{rig_id}/groups/new", data=form | {"distance": "40 yd"}).is_redirect
    first, second, _ = notebook.entry(bad["id"]).body.observation.group.impacts
    assert (first.right_m, second.up_m) == pytest.approx((0.0254, 0.0275))


def test_a_number_of_a_tape_is_mended_as_what_it_meant(client, notebook, rig_id):
    client.post(f"/rigs/{rig_id}/tape", data={"distances": "15:90:1 yd"})
    (record,) = notebook.entries("print", rig_id)
    stuck = {"record_text": record.body.record_text, "strip": 1, "stuck_on": "2026-05-02"}
    assert client.post(f"/api/rigs/{rig_id}/tapes", json=stuck).status_code == 201
    on_it = with_fields(
        group(rig_id, 1, tape="tape 1"), reading="30", reading_in="tape", distance="4000 yd"
    )
    on_none = with_fields(
        group(rig_id, 2, tape="tape 9"), reading="30", reading_in="tape", distance="4000 yd"
    )
    hand_over(client, rig_id, on_it, on_none)
    (tape,) = notebook.entries("tape", rig_id)
    first, second = notebook.entries("parked", rig_id)
    assert opened_to_mend(client, rig_id, first)["reading"] == "30"
    assert opened_to_mend(client, rig_id, second)["reading"] == ""
    client.post(f"/api/rigs/{rig_id}/tapes/{tape.id}/withdraw", json={"seen": 1})
    assert opened_to_mend(client, rig_id, first)["reading"] == ""


def test_a_known_group_is_mended_to_what_the_phone_said_and_no_mixture(client, notebook, rig_id):
    mine = group(rig_id, 1)
    hand_over(client, rig_id, mine)
    fewer = with_fields(mine, reading="35.5", **{"right-3": "", "up-3": "", "note": ""})
    assert states(hand_over(client, rig_id, fewer)) == ["parked"]
    (parked,) = notebook.entries("parked", rig_id)
    form = opened_to_mend(client, rig_id, parked)
    assert (form["up-2"], form["up-3"], form["right-3"]) == ("2.75", "", "")
    address = f"/rigs/{rig_id}/groups/{mine['id']}"
    assert client.post(address, data=form | {"distance": "43 yd"}).is_redirect
    kept = notebook.entry(mine["id"]).body
    assert (len(kept.observation.group.impacts), kept.note) == (2, "")


def test_a_new_name_given_on_the_phone_is_a_change(client, notebook, rig_id):
    hand_over(client, rig_id, with_fields(group(rig_id, 1), name="last 2"))
    renamed = with_fields(group(rig_id, 1, seen=1), name="last")
    assert states(hand_over(client, rig_id, renamed)) == ["kept"]
    assert notebook.entry(f"{1:020x}").body.observation.group.name == "last"
    assert states(hand_over(client, rig_id, renamed)) == ["same"]
    assert states(hand_over(client, rig_id, with_fields(group(rig_id, 1), name="ls"))) == ["parked"]


def test_of_two_versions_that_wait_one_taken_in_settles_one(client, notebook, rig_id):
    one = with_fields(group(rig_id, 1), distance="4000 yd")
    other = with_fields(group(rig_id, 1), name="taken")
    hand_over(client, rig_id, with_fields(group(rig_id, 2), name="taken"))
    for each in (one, other):
        assert states(hand_over(client, rig_id, each)) == ["parked"]
    assert client.get(f"/rigs/{rig_id}/parked").text.count("Throw it away") == 2
    second = next(each for each in notebook.entries("parked", rig_id) if "called" in each.body.why)
    client.post(f"/rigs/{rig_id}/parked/{second.id}/take-in")
    assert notebook.entry(one["id"]).body.observation.group.name == "taken 2"
    assert "4000 yd" in client.get(f"/rigs/{rig_id}/parked").text


def test_a_phones_version_that_was_thrown_away_can_be_taken_back(client, notebook, rig_id):
    mine = group(rig_id, 1)
    hand_over(client, rig_id, mine)
    hand_over(client, rig_id, with_fields(mine, reading="35.5"), part=PART)
    (parked,) = notebook.entries("parked", rig_id)
    here = f"/rigs/{rig_id}/parked"
    client.post(f"{here}/{parked.id}/withdraw", data={"seen": "1"})
    assert client.get(here).text.count("Take it back") == 1
    client.post(f"{here}/{parked.id}/restore", data={"seen": "1"})
    assert "Put the phone's on top" in client.get(here).text.replace("&#39;", "'")
    client.post(f"{here}/{parked.id}/take-in")
    assert notebook.entry(mine["id"]).body.observation.reading_m == pytest.approx(0.0355)
    assert "Take it back" not in client.get(here).text


def test_what_is_no_hand_over_is_refused_whole(client, notebook, rig_id):
    before = standing(notebook, "group", rig_id)
    one = group(rig_id, 1)
    wrong = [
        [one, one],
        [one, group(rig_id, 2, part="0" * 20)],
        [one | {"rig": "0" * 20}],
        [one | {"shot_on": "today"}],
        [one | {"extra": 1}],
        [],
    ]
    for groups in wrong:
        answer = client.put(f"/api/rigs/{rig_id}/hand-over/{PART}", json={"groups": groups})
        assert answer.status_code == 422, groups
    nowhere = f"{77:020x}"
    assert hand_over(client, nowhere, group(nowhere, 1)).status_code == 404
    assert standing(notebook, "group", rig_id) == before
    assert notebook.entries("parked") == ()


def frames(text, letters=60, packing="d"):
    """Codes as the script on a phone makes them, by Python's own library."""
    raw = text.encode()
    packed = zlib.compressobj(wbits=-15) if packing == "d" else None
    body = packed.compress(raw) + packed.flush() if packed else raw
    written = base64.urlsafe_b64encode(body).decode().rstrip("=")
    pieces = [written[at : at + letters] for at in range(0, len(written), letters)]
    head = f"{len(pieces)}:{zlib.crc32(raw):08x}".partition(":")
    return [
        f"TAPEWRIGHT:{number}/{head[0]}:{head[2]}:{packing}:{piece}"
        for number, piece in enumerate(pieces, 1)
    ]


def file_of(*groups):
    return json.dumps({"schema": "tapewright.hand-over/1", "groups": list(groups)})


@pytest.mark.parametrize("packing", ["d", "p"])
def test_codes_come_in_any_order_and_a_missing_one_is_named(packing, client, notebook, rig_id):
    codes = frames(file_of(group(rig_id, 1), group(rig_id, 2, part="07e7" * 5)), packing=packing)
    assert len(codes) > 4
    short = client.post("/hand-over/take", data={"text": "\n".join(codes[:2] + codes[3:])})
    assert f"of {len(codes)} codes not all were read: missing 3." in short.text.lower()
    assert codes[-1] in short.text  # nothing has to be read again
    told = client.post("/hand-over/take", data={"text": " ".join([*codes[::-1], codes[1]])})
    assert told.text.count("kept.") == 2
    assert {f"{1:020x}", f"{2:020x}"} <= standing(notebook, "group", rig_id).keys()
    again = client.post("/hand-over/take", data={"text": "\n".join(codes)})
    assert again.text.count("was here already.") == 2


def test_codes_that_are_damaged_are_told(client, rig_id):
    codes = frames(file_of(group(rig_id, 1)))
    codes[1] = codes[1][:-3] + "AAA"
    told = client.post("/hand-over/take", data={"text": "\n".join(codes)})
    assert told.status_code == 422
    assert "do not fit together" in told.text
    bomb = zlib.compressobj(wbits=-15)
    large = base64.urlsafe_b64encode(bomb.compress(b" " * 30_000_000) + bomb.flush()).decode()
    told = client.post(
        "/hand-over/take", data={"text": f"TAPEWRIGHT:1/1:00000000:d:{large.rstrip('=')}"}
    )
    assert "do not fit together" in told.text


def test_a_file_and_pictures_of_codes_are_taken_in(client, notebook, rig_id):
    file = {"file": ("groups.json", file_of(group(rig_id, 1)).encode(), "application/json")}
    told = client.post("/hand-over/take", files=file)
    assert "Heron, 43 yd, shot 2031-04-05: kept." in " ".join(told.text.split())
    codes, pictures = frames(file_of(group(rig_id, 2)), letters=200), []
    for code in codes:
        written = io.BytesIO()
        segno.make(code, error="m", micro=False).save(written, kind="png", scale=6, border=4)
        pictures.append(("file", (f"{len(pictures)}.png", written.getvalue(), "image/png")))
    assert len(codes) > 1
    told = client.post("/hand-over/take", files=pictures)
    assert told.text.count("kept.") == 1
    assert f"{2:020x}" in standing(notebook, "group", rig_id)


def test_files_of_two_phones_are_taken_in_at_once(client, notebook, rig_id):
    other = with_fields(group(rig_id, 2, part="07e7" * 5), note="the first time")
    later = with_fields(other, note="and once more")
    texts = file_of(group(rig_id, 1)), file_of(other), file_of(later)
    files = [("file", (f"{at}.json", one.encode())) for at, one in enumerate(texts * 4)]
    told = client.post("/hand-over/take", files=files)
    assert (told.status_code, told.text.count("kept."), told.text.count("waits for you")) == (
        200, 2, 1,
    )  # fmt: skip
    assert notebook.entry(f"{2:020x}").body.note == "the first time"
    assert len(standing(notebook, "parked", rig_id)) == 1


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "nothing was given"),
        ("[" * 100_000, "this is no hand-over of a phone"),
        ("hello", "this is no hand-over of a phone"),
        ('{"schema": "tapewright.hand-over/9", "groups": []}', "schema"),
    ],
)
def test_what_is_no_hand_over_is_told_beside_its_field(client, text, words):
    told = client.post("/hand-over/take", data={"text": text})
    assert told.status_code == 422
    assert words in told.text.replace("Nothing", "nothing").replace("This is", "this is")


def test_a_rig_of_another_notebook_is_told_and_kept_nowhere(client, notebook, rig_id):
    nowhere = f"{77:020x}"
    text = file_of(group(nowhere, 1), group(rig_id, 2, part="07e7" * 5))
    told = client.post("/hand-over/take", data={"text": text})
    assert "This notebook has no such rig." in told.text
    assert told.text.count("kept.") == 1
    assert notebook.entries("parked") == ()


def test_the_worker_knows_its_version_and_every_shared_file(client):
    told = client.get("/worker.js")
    assert told.headers["content-type"].startswith("text/javascript")
    assert told.headers["cache-control"] == "no-cache"
    version, shared = re.match(
        r'const VERSION = "(.+?)", SHARED = (\[.*?\]);\n', told.text
    ).groups()
    page = client.get("/outbox").text
    assert set(re.findall(r'/static/[^"]+', page)) <= set(json.loads(shared))
    assert all(client.get(one).status_code == 200 for one in json.loads(shared))
    assert version.startswith(f"{__version__}-")
    app = client.get("/app.webmanifest").json()
    for icon in app["icons"]:
        drawn = Image.open(io.BytesIO(client.get(icon["src"]).content))
        assert f"{drawn.width}x{drawn.height}" == icon["sizes"]


def test_what_a_phone_needs_first_asks_for_no_passcode_and_tells_nothing(notebook, rig_id):
    rules = Rules(frozenset({"127.0.0.1"}), new_passcode("open the old barn"))
    with TestClient(
        build_app(notebook, rules), base_url="http://127.0.0.1", follow_redirects=False
    ) as stranger:
        for address in ("/worker.js", "/app.webmanifest", "/outbox", "/phone"):
            told = stranger.get(address)
            assert told.status_code == 200
            assert "Heron" not in told.text
        assert hand_over(stranger, rig_id, group(rig_id, 1)).status_code == 401
        assert stranger.get("/hand-over").status_code == 303
        assert stranger.get(f"/rigs/{rig_id}/parked").status_code == 303


def test_two_worker_processes_begin_one_session_of_a_day(notebook, rig_id, monkeypatch):
    """The second looked before the first wrote, as another process may."""
    first, second = (hand_over_of(notebook, rig_id, number) for number in (1, 2))
    alone = notebook.save_all

    def crossed(writes, now, **more):
        monkeypatch.setattr(type(notebook), "save_all", lambda _, *a, **k: alone(*a, **k))
        second()
        return alone(writes, now, **more)

    monkeypatch.setattr(type(notebook), "save_all", lambda _, *a, **k: crossed(*a, **k))
    monkeypatch.setattr(hand_over_module, "ONE_AT_A_TIME", nullcontext())
    first()
    day = that_day(notebook, rig_id)
    kept = standing(notebook, "group", rig_id)
    assert {kept[f"{number:020x}"].session_id for number in (1, 2)} == {day}


def another_app(notebook):
    """As another worker process has it, on the same notebook."""
    app = build_app(notebook, Rules(frozenset({"127.0.0.1"})))
    return TestClient(app, "http://127.0.0.1", follow_redirects=False)


def hand_over_of(notebook, rig_id, number):
    """An errand of a process of its own, on the same notebook."""
    own = another_app(notebook)
    part = f"{number:x}a" * 10
    one = with_fields(group(rig_id, number, part=part), name=f"of {number}")
    return lambda: hand_over(own, rig_id, one, part=part)


def test_a_session_put_aside_is_not_the_one_of_its_day(client, notebook, rig_id):
    hand_over(client, rig_id, group(rig_id, 1))
    aside = that_day(notebook, rig_id)
    notebook.withdraw(aside, seen=1, now=NOW)
    hand_over(client, rig_id, group(rig_id, 2))
    assert that_day(notebook, rig_id) != aside


def test_a_form_and_a_file_of_today_meet_in_one_session(client, notebook, rig_id, monkeypatch):
    """Each page asks what is there before the other has written."""
    alone, fields = (
        notebook.save_all,
        {"distance": "43 yd", "reading": "33.1", "entry": f"{5:020x}"},
    )
    other = another_app(notebook)
    rows = "group,distance_yd,reading_mm,right_in,up_in\nfar,44,33.9,0.5,1.5\n"

    def crossed(writes, now, **more):
        monkeypatch.setattr(type(notebook), "save_all", lambda _, *a, **k: alone(*a, **k))
        sent = {"rows": rows, "batch": "b" * 20, "anyway": "yes"}
        assert other.post(f"/rigs/{rig_id}/shots", data=sent).is_redirect
        return alone(writes, now, **more)

    monkeypatch.setattr(type(notebook), "save_all", lambda _, *a, **k: crossed(*a, **k))
    arrow = {"right-1": "1.25", "up-1": "-0.5"}
    assert client.post(f"/rigs/{rig_id}/groups/new", data=fields | arrow).is_redirect
    kept = standing(notebook, "group", rig_id)
    (of_file,) = [one for one in kept.values() if one.observation.group.name == "far"]
    assert kept[f"{5:020x}"].session_id == of_file.session_id


def test_taking_in_keeps_the_group_and_settles_it_at_once_or_not_at_all(
    client, notebook, rig_id, monkeypatch
):
    for number in (2, 1):
        hand_over(client, rig_id, with_fields(group(rig_id, number), name="same"))
    (parked,) = notebook.entries("parked", rig_id)
    address = f"/rigs/{rig_id}/parked/{parked.id}/take-in"

    def killed(*_):
        raise RuntimeError("killed")

    with monkeypatch.context() as at_the_mark:
        at_the_mark.setattr(notebook_module, "mark_withdrawn", killed)
        with pytest.raises(RuntimeError, match="killed"):
            client.post(address)
    assert f"{1:020x}" not in standing(notebook, "group", rig_id)
    assert notebook.entries("parked", rig_id) == (parked,)
    assert client.post(address).status_code == 303
    assert notebook.entry(f"{1:020x}").number == 1
    assert notebook.entries("parked", rig_id) == ()
    assert client.post(address).status_code == 303  # asked once more: nothing new
    assert notebook.entry(f"{1:020x}").number == 1


def stuck_on(client, notebook, rig_id, strip):
    """A strip of a printed tape on the sight: the shorter one, the likeliest, the longer one."""
    client.post(f"/rigs/{rig_id}/tape", data={"distances": "15:90:1 yd"})
    record = notebook.entries("print", rig_id)[-1].body.record_text
    on_it = {"record_text": record, "strip": strip, "stuck_on": "2026-05-02"}
    assert client.post(f"/api/rigs/{rig_id}/tapes", json=on_it).status_code == 201


@pytest.mark.parametrize("shot_on", ["tape 1", ""])
def test_a_group_mended_later_keeps_the_tape_it_was_shot_on(shot_on, client, notebook, rig_id):
    stuck_on(client, notebook, rig_id, 1)
    text = "30" if shot_on else "27.5"
    hand_over(
        client,
        rig_id,
        with_fields(group(rig_id, 1, tape=shot_on), reading=text, distance="4000 yd"),
        with_fields(group(rig_id, 2, tape="tape 1"), reading="30", distance="31 yd"),
    )
    stuck_on(client, notebook, rig_id, 3)
    (parked,) = notebook.entries("parked", rig_id)
    form = opened_to_mend(client, rig_id, parked) | {"distance": "30 yd"}
    assert form["reading"].removesuffix(" mm") == text
    told = client.post(f"/rigs/{rig_id}/groups/new", data=form)
    assert told.is_redirect, told.text
    mended, on_tape = (notebook.entry(f"{n:020x}").body.observation for n in (1, 2))
    assert mended.scales == (on_tape.scales if shot_on else ())
    wanted = on_tape.reading_m if shot_on else 0.0275
    assert mended.reading_m == pytest.approx(wanted, abs=1e-9)


def test_one_bad_group_of_a_file_waits_and_the_good_ones_are_kept(client, notebook, rig_id):
    bad = group(rig_id, 2) | {"rig_number": "three", "extra": 1}
    lost = {"distance": "20 yd"}
    sent = {"text": file_of(group(rig_id, 1), bad, group(rig_id, 3), lost, 7)}
    told = client.post("/hand-over/take", data=sent)
    words = " ".join(told.text.split())
    assert told.status_code == 200
    assert (words.count("kept."), words.count("waits for you")) == (2, 1)
    assert (
        "The group at place 2 of what came: waits for you. It cannot be read as a group (rig"
        in words
    )
    assert "place 4 of what came: It cannot be read" in words
    assert words.count("names no rig of this notebook") == 2
    assert {f"{1:020x}", f"{3:020x}"} <= standing(notebook, "group", rig_id).keys()
    (parked,) = notebook.entries("parked", rig_id)
    assert json.loads(parked.body.sent) == bad
    client.post("/hand-over/take", data=sent)
    assert notebook.entries("parked", rig_id) == (parked,)  # once, however often it comes
    assert client.get(f"/api/rigs/{rig_id}/parked").status_code == 200


@pytest.mark.parametrize("sent", ["no JSON", '{"id": 5}', "of another"])
def test_what_is_parked_and_cannot_be_read_is_shown_and_may_be_thrown_away(
    sent, client, notebook, rig_id
):
    sent = json.dumps(group(rig_id, 9)) if sent == "of another" else sent
    body = KeptParked(f"{1:020x}", sent, "From an archive.")
    parked = notebook.add(body, entry_id=f"{88:020x}", rig_id=rig_id, now=NOW)
    here = f"/rigs/{rig_id}/parked"
    page = client.get(here)
    assert page.status_code == 200
    assert html.escape(sent, quote=False) in page.text.replace("&#34;", '"')
    assert "Write it down anew" in page.text
    for way in ("take-in", "mend"):
        refused = client.post(f"{here}/{parked.id}/{way}")
        assert refused.status_code == 422, way
    assert client.get(f"/rigs/{rig_id}").status_code == 200
    client.post(f"{here}/{parked.id}/withdraw", data={"seen": "1"})
    gone = client.get(here).text
    assert "Take it back" in gone
    assert notebook.entries("group", rig_id, withdrawn=True) == ()


@pytest.mark.long
@pytest.mark.timeout(3600)
def test_two_hundred_hand_overs_with_answers_lost_repeated_and_crossed(client, notebook, rig_id):
    """Every session is sent one to four times, by four phones at once, in an order by chance."""
    before, chance = len(standing(notebook, "group", rig_id)), random.Random(7)
    planned, number = [], 0
    for session in range(80):
        groups = []
        for _ in range(chance.randint(1, 4)):
            number += 1
            one = group(
                rig_id, number, part=f"5e55{session:016x}", shot_on=f"2031-05-{1 + session % 28:02}"
            )
            places = {f"right-{row}": f"{row - 2 + number / 40:.3f}" for row in (1, 2, 3)}
            groups.append(with_fields(one, **places))
        planned += [groups] * chance.randint(1, 4)
        if len(groups) > 1 and chance.random() < 0.5:
            planned.append(groups[:1])  # before the rest was shot
    chance.shuffle(planned)
    assert len(planned) >= 200
    with ThreadPoolExecutor(4) as phones:
        sent = [
            phones.submit(hand_over, client, rig_id, *each, part=each[0]["part"])
            for each in planned
        ]
        answers = [one.result(timeout=600) for one in sent]
    assert [one.json() for one in answers if one.status_code not in {200, 201}] == []
    assert [one.body.why for one in notebook.entries("parked", rig_id)] == []
    assert len(standing(notebook, "group", rig_id)) == before + number
    kept = [state for one in answers for state in states(one)]
    assert kept.count("kept") == number
