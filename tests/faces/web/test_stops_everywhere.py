"""Stops on every page and address: told first, and nothing planned, printed or called trusted.

The addresses come from the app's own routers: a new one that prints or tells is met here. The
calibration is that of the sample; a stop hangs on the sheet alone.
"""

import io
import json
import re
from dataclasses import replace
from datetime import UTC, datetime

import pdfplumber
import pytest
from screen import trusted_in as told
from set_ups import HERON, SHOTS, STOPPED

from tapewright.faces.charts import PICTURES
from tapewright.faces.web.app import API, PAGES
from tapewright.faces.web.page_request import Answers
from tapewright.questions.all_questions import all_questions
from tapewright.services.calibrate import stops
from tapewright.services.keep import KeptGroup

QUESTIONS = all_questions()

HOLE = re.compile(r"\{(\w+)\}")
TRUSTED = re.compile(r"[Tt]rusted to (<[^>]*>)* ?\d")
ENDINGS = ("pdf", "svg", "dxf", "csv")
# Sheets that may be printed still: to measure and to look at. They carry the stop.
PRINTED = ("/gauge", "/target", "/setup/card.pdf")
# What is kept, handed back as it is, and lists that tell neither marks nor trust.
KEPT = (
    "/files/sheet.toml", "/files/shots.csv", "/files/archive.json", "/sheet.toml", "/sessions",
    "/groups", "/changes", "/prints", "/versions", "/history", "/calibrations", "/tapes",
    "/parked", "/setups", "/setup/photo.jpg",
)  # fmt: skip
ASKED = {"weather": "?temperature=5+°C", "clicks": "?distances=20+yd"}  # needs an answer
POSTED = {"/tape": "tape", "/card": "card", "/pocket": "pocket"}


def addresses(rig_id, ids):
    """Every address under a rig that is read, with its own ids filled in."""
    found = []
    for router in (*PAGES, *API):
        for route in router.routes:
            if "GET" not in route.methods or "{rig_id}" not in route.path:
                continue
            holes = set(HOLE.findall(route.path)) - {"rig_id"}
            names = [""]
            if "name" in holes:
                names = sorted(PICTURES if "/picture/" in route.path else QUESTIONS)
            for name in names:
                for ending in ENDINGS if "ending" in holes else [""]:
                    entry = "session_id" if "/sessions/" in route.path else "group_id"
                    filled = {"rig_id": rig_id, "name": name, "ending": ending, "number": "1"}
                    path = route.path.format(**filled, **ids, entry_id=ids[entry])
                    found.append(path + ASKED.get(path.rpartition("/")[2], ""))
    return list(dict.fromkeys(found))


@pytest.fixture
def enter(client, notebook, rig_id, sample, monkeypatch):
    """Keeps the sheet of a set-up as the sample's; gives the browser and addresses."""
    base = next(iter(sample[2].values()))

    def of(_self, kept, _units):
        none = tuple(0.0 for _ in base.trusted_m)
        held = {"trusted_m": none, "once_zeroed_m": none} if stops(kept.rig) else {}
        shot = kept.observations
        if len(shot) != len(base.groups):  # one more was kept meanwhile
            shot = base.observations
        return replace(base, rig=kept.rig, observations=shot, **held)

    monkeypatch.setattr(Answers, "of", of)

    def keep(name):
        sent = {"sheet": STOPPED[name][1], "seen": notebook.entry(rig_id).number}
        done = client.put(f"/api/rigs/{rig_id}", json=sent)
        assert done.status_code == 200, done.text
        assert done.json()["stop"], name
        ids = {
            "group_id": notebook.entries("group", rig_id)[0].id,
            "session_id": notebook.entries("session", rig_id)[0].id,
        }
        return addresses(rig_id, ids)

    return keep


def words_of(pdf):
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        return " ".join(page.extract_text() for page in document.pages)


def is_none(trusted):
    return not any(trusted) if isinstance(trusted, list) else not trusted


def check(client, path):
    """What one address says of a rig that must not be shot."""
    answer = client.get(path)
    kind = answer.headers.get("content-type", "").partition(";")[0]
    if answer.status_code in {303, 404}:
        return answer.status_code
    assert answer.status_code in {200, 422}, path
    if kind.endswith("json"):
        body = answer.json()
        assert all(map(is_none, told(body))), path
        assert not TRUSTED.search(json.dumps(body)), path
        is_misread = answer.status_code == 422 and {"place", "faults"} & set(body)
        if not is_misread and not any(kept in path for kept in KEPT):
            assert body["stop"], path
            assert all(line.startswith("STOP") for line in body["stop"]), path
        return answer.status_code
    if kind == "text/html":
        assert "STOP" in answer.text, path
        assert not TRUSTED.search(answer.text), path
        assert ">Shoot this" not in answer.text, path
        assert ">Print the tape" not in answer.text, path
        return answer.status_code
    assert answer.status_code == 200
    if any(sheet in path for sheet in PRINTED):
        if kind == "application/pdf":
            assert "STOP" in words_of(answer.content), path
        return 200
    assert any(path.endswith(kept) for kept in KEPT), f"{path} hands out {kind}"
    return 200


@pytest.mark.parametrize("place", range(len(STOPPED)))
def test_each_set_up_at_some_addresses(client, enter, place):
    """Twenty set-ups share all addresses among them; the long test takes all at each."""
    every = enter(list(STOPPED)[place])
    assert len(every) > 100
    for path in every[place :: len(STOPPED)]:
        check(client, path)


@pytest.mark.long
@pytest.mark.parametrize("name", STOPPED)
def test_each_set_up_at_every_address(client, enter, name):
    seen = {path: check(client, path) for path in enter(name)}
    here = next(iter(seen)).split("/")[2]
    for withheld in ("tape.pdf", "strip.svg", "card.pdf", "card.csv", "pocket.html", "plan"):
        assert seen[f"/rigs/{here}/{withheld}"] == 422, withheld
    for withheld in ("tape/svg", "card/pdf", "pocket", "ask/plan", "ask/strips"):
        assert seen[f"/api/rigs/{here}/{withheld}"] == 422, withheld


def test_nothing_is_noted_as_printed(client, enter, notebook, rig_id):
    enter("damaged: bow")
    for end in POSTED:
        answer = client.post(f"/rigs/{rig_id}{end}", data={})
        assert answer.status_code == 422
        assert "STOP" in answer.text
    assert list(notebook.entries("print", rig_id)) == []


def test_the_list_of_rigs_says_it_too(client, enter, rig_id):
    before = client.get("/rigs").text
    assert TRUSTED.search(before)
    enter("light: 250 gr at 60 lbf")
    after = client.get("/rigs").text
    assert "STOP: an arrow of 250 gr" in after
    assert not TRUSTED.search(after)
    (line,) = client.get("/api/rigs").json()
    assert line["stop"][0].startswith("STOP: an arrow of 250 gr")
    assert line["trusted_distance_m"] is None
    assert line["next_shot"] == ""
    assert line["id"] == rig_id


def test_a_corrected_value_ends_it_and_words_do_not(client, enter, notebook, rig_id):
    sound = notebook.entry(rig_id).body.sheet
    enter("light: 250 gr at 60 lbf")
    here = f"/rigs/{rig_id}"
    assert client.get(f"{here}/tape.pdf?anyway=1&stop=no").status_code == 422
    sent = {"sheet": sound, "seen": notebook.entry(rig_id).number}
    assert client.put(f"/api/rigs/{rig_id}", json=sent).json()["stop"] == []
    assert client.get(f"{here}/tape.pdf").status_code == 200
    assert "STOP" not in client.get(f"{here}/marks").text


def test_a_plan_before_the_first_arrow_asks_what_is_missing(client):
    bare = 'name = "Bare"\n[arrow]\nmass = "420 gr"\nshaft_diameter = "6 mm"\n'
    rig_id = client.post("/api/rigs", json={"sheet": bare}).json()["id"]
    answer = client.get(f"/api/rigs/{rig_id}/ask/plan")
    assert answer.status_code == 422
    assert [one["key"] for one in answer.json()["questions"]] == [
        "bow.draw_weight", "bow.draw_length", "bow.rest", "arrow.length",
    ]  # fmt: skip
    page = client.get(f"/rigs/{rig_id}/plan")
    assert page.status_code == 422
    for words in ("“Draw weight”: 60 lbf", "where the arrow lies", "Write it in"):
        assert words in page.text
    for words in ("draw_weight =", "Shoot this", "check list"):
        assert words not in page.text
    rig = client.get(f"/rigs/{rig_id}").text
    assert "Before the first arrow" in rig
    assert "centre shot" in rig
    assert "nobody can judge" in rig


def rows_of(notebook, rig_id):
    """A session's rows as a file, from what is kept."""
    return {one.id: one.body.observation for one in notebook.entries("group", rig_id)}


def test_the_same_arrows_are_taken_in_once_by_pages_and_api(client, notebook, rig_id):
    before = rows_of(notebook, rig_id)
    page = client.post(f"/rigs/{rig_id}/shots", data={"rows": SHOTS, "batch": "again"})
    assert page.status_code == 422
    assert "these arrows count already" in page.text
    kept = client.get(f"/api/rigs/{rig_id}/groups").json()[0]
    sent = {key: kept[key] for key in ("distance_m", "reading_mm", "impacts", "pin")}
    group = f"/api/rigs/{rig_id}/sessions/{kept['session_id']}/groups"
    answer = client.post(group, json=sent | {"name": "another name"})
    assert answer.status_code == 422
    assert f"another name (there as {kept['name']})" in answer.json()["title"]
    assert rows_of(notebook, rig_id) == before


def test_arrows_of_which_some_are_new_are_named_by_pages_and_api(client, notebook, rig_id):
    before = rows_of(notebook, rig_id)
    head, *rows = SHOTS.splitlines()
    late = [rows[0], "1,20,16.1,0.33,-0.21,1", rows[2], "1,20,16.1,-0.07,0.12,1"]
    text = "\n".join([head, *(f"late{row[1:]}" for row in late)])
    sent = {"rows": text, "batch": "late", "anyway": "yes"}
    page = client.post(f"/rigs/{rig_id}/shots", data=sent)
    assert page.status_code == 422
    assert "late (there as 1), arrows 1, 3 of its 4" in page.text
    kept = client.get(f"/api/rigs/{rig_id}/groups").json()
    one = next(group for group in kept if group["name"] == "1")
    body = {key: one[key] for key in ("distance_m", "reading_mm", "pin")} | {"name": "late"}
    new = one["impacts"][0] | {"right_mm": -8.4, "up_mm": 5.3}
    body["impacts"] = [new, *one["impacts"][1:3]]
    session = one["session_id"]
    answer = client.post(f"/api/rigs/{rig_id}/sessions/{session}/groups", json=body)
    assert answer.status_code == 422
    assert "late (there as 1), arrows 2, 3 of its 3" in answer.json()["title"]
    typed = {"name": "late", "distance": "20 yd", "reading": "16.1 mm", "pin": "1"}
    hits = [("0.50", "0.60"), ("1", "-1"), ("0.01", "0.04")]
    for place, (right, up) in enumerate(hits, 1):
        typed |= {f"right-{place}": right, f"up-{place}": up}
    page = client.post(f"/rigs/{rig_id}/groups/new", data=typed)
    assert page.status_code == 422
    assert "late (there as 1), arrows 1, 3 of its 3" in page.text
    assert rows_of(notebook, rig_id) == before


def test_a_proof_of_the_same_arrows_is_not_accepted(client, notebook, rig_id):
    session = {"shot_on": "2026-11-20", "purpose": "proving"}
    proof = client.post(f"/api/rigs/{rig_id}/sessions", json=session).json()
    for entry, shot in rows_of(notebook, rig_id).items():
        body = KeptGroup(proof["id"], replace(shot, group=replace(shot.group, name=entry[:8])), "")
        notebook.add(body, rig_id=rig_id, entry_id=entry[::-1], now=datetime.now(UTC))
    page = client.get(f"/rigs/{rig_id}/prove?session={proof['id']}")
    assert page.status_code == 422
    assert "these arrows count already" in page.text
    taken = client.post(f"/rigs/{rig_id}/prove/{proof['id']}/accept", data={"seen": "1"})
    assert taken.status_code == 422
    sighting = session | {"purpose": "sighting", "seen": 1}
    put = client.put(f"/api/rigs/{rig_id}/sessions/{proof['id']}", json=sighting)
    assert put.status_code == 422
    assert notebook.entry(proof["id"]).body.purpose == "proving"


def test_a_form_sent_twice_is_no_second_offer(client, rig_id):
    rows = SHOTS.replace(",16.1,", ",16.3,").replace(",29.4,", ",29.6,")
    rows = "\n".join(rows.splitlines()[:5]) + "\n"
    sent = {"rows": rows, "batch": "once", "anyway": "1"}
    for _ in range(2):
        done = client.post(f"/rigs/{rig_id}/shots", data=sent)
        assert done.status_code == 303, done.text
    again = client.post(f"/rigs/{rig_id}/shots", data=sent | {"batch": "twice"})
    assert again.status_code == 422


def test_arrows_put_aside_do_not_come_back_beside_themselves(client, notebook, rig_id):
    kept = client.get(f"/api/rigs/{rig_id}/groups").json()[0]
    there = f"/api/rigs/{rig_id}/groups/{kept['id']}"
    done = client.post(f"{there}/withdraw", json={"seen": kept["number"]}).json()
    sent = {key: kept[key] for key in ("distance_m", "reading_mm", "impacts", "pin")}
    group = f"/api/rigs/{rig_id}/sessions/{kept['session_id']}/groups"
    assert client.post(group, json=sent | {"name": "typed anew"}).status_code == 201
    before = rows_of(notebook, rig_id)
    seen = {"seen": done["number"]}
    assert client.post(f"{there}/restore", json=seen).status_code == 422
    page = client.post(f"/rigs/{rig_id}/groups/{kept['id']}/restore", data=seen)
    assert page.status_code == 422
    assert "these arrows count already" in page.text
    assert rows_of(notebook, rig_id) == before


def test_a_session_put_aside_makes_room_and_does_not_come_back(client, notebook, rig_id):
    kept = client.get(f"/api/rigs/{rig_id}/sessions").json()[0]
    there = f"/api/rigs/{rig_id}/sessions/{kept['id']}"
    number = client.post(f"{there}/withdraw", json={"seen": kept["number"]}).json()["number"]
    assert client.post(f"{there}/restore", json={"seen": number}).status_code == 200
    number = client.get(there).json()["number"]
    client.post(f"{there}/withdraw", json={"seen": number})
    page = client.post(f"/rigs/{rig_id}/shots", data={"rows": SHOTS, "batch": "anew"})
    assert page.status_code == 303, page.text
    before = rows_of(notebook, rig_id)
    number = client.get(there).json()["number"]
    again = client.post(f"{there}/restore", json={"seen": number})
    assert again.status_code == 422
    assert "these arrows count already" in again.json()["title"]
    assert rows_of(notebook, rig_id) == before


def test_rows_that_hold_a_group_twice_are_refused_whatever_its_name(client, notebook, rig_id):
    head, *rows = SHOTS.replace(",16.1,", ",16.4,").splitlines()
    twice = [head, *(f"a{row}" for row in rows[:4]), *(f"b{row}" for row in rows[:4])]
    before = rows_of(notebook, rig_id)
    sent = {"rows": "\n".join(twice), "batch": "two", "anyway": "yes"}
    page = client.post(f"/rigs/{rig_id}/shots", data=sent)
    assert page.status_code == 422
    assert "these arrows count already: b1 (there as a1)" in page.text
    assert rows_of(notebook, rig_id) == before


def test_a_sheet_far_colder_than_its_arrows_is_warned_of_on_every_page(client):
    cold = HERON.replace('"15 °C"', '"-15 °C"')
    rig = f"/rigs/{client.post('/api/rigs', json={'sheet': cold}).json()['id']}"
    head, *rows = SHOTS.splitlines()
    warm = "\n".join([f"{head},temperature_c", *(f"{row},20" for row in rows)])
    done = client.post(f"{rig}/shots", data={"rows": warm, "batch": "warm", "anyway": "yes"})
    assert done.status_code == 303, done.text
    words = "is 35 °C colder than where arrows were shot"
    for page in (
        "/marks",
        "/tape",
        "/plan",
        "/pocket.html",
        "/ask/card",
        "/ask/wind",
        "/ask/budget",
    ):
        assert words in client.get(f"{rig}{page}").text, page
    for name in ("plan", "card", "wind"):
        assert words in client.get(f"/api{rig}/ask/{name}").text, name
    assert "limbs and string shoot otherwise in such air" in client.get(f"{rig}/shoot").text


def test_cold_today_is_told_to_the_plan_by_page_and_address(client, rig_id):
    cold = {"temperature": "-5 °C"}
    page = client.get(f"/rigs/{rig_id}/plan", params=cold).text
    assert "since limbs and string shoot otherwise in such air" in page
    assert "The air of today is 20 °C colder" in page
    assert 'value="-5 °C"' in page
    told = client.get(f"/api/rigs/{rig_id}/ask/plan", params=cold).json()
    assert told["near_arrow_first"]
    assert told["plan"][0]["distance_yd"] <= 10
    assert not client.get(f"/api/rigs/{rig_id}/ask/plan").json()["near_arrow_first"]


def test_shots_of_another_speed_than_the_sheets_tell_what_to_look_at(client):
    fast = HERON.replace("420 gr ± 2", "250 gr ± 2").replace("278 ft/s ± 3", "370 ft/s ± 3")
    rig = f"/rigs/{client.post('/api/rigs', json={'sheet': fast}).json()['id']}"
    sent = {"rows": SHOTS, "batch": "fast", "anyway": "yes"}
    assert client.post(f"{rig}/shots", data=sent).status_code == 303
    for address in (f"{rig}/ask/slopes", f"/api{rig}/ask/slopes"):
        answer = client.get(address)
        assert answer.status_code == 422, address
        assert "The rig sheet and the shots do not belong together" in answer.text
        assert "Look first at launch_speed" in answer.text
    far = client.get(f"/api{rig}/ask/card", params={"distances": "20:200:20yd"})
    assert "do not belong together" in far.text


def test_a_wind_that_leaves_the_butt_is_told_on_page_and_address(client, rig_id):
    gale = {"cross": "30 mph", "butt": "60x60 cm", "distances": "20,60 yd"}
    words = "do not shoot there in this wind"
    page = client.get(f"/rigs/{rig_id}/ask/wind", params=gale).text
    assert words in page
    assert "off the butt" in page
    told_rows = client.get(f"/api/rigs/{rig_id}/ask/wind", params=gale).json()
    assert [one["stays_on_butt"] for one in told_rows["misses"]] == [True, False]
    assert any(words in one for one in told_rows["cautions"])


def test_cold_far_from_the_arrows_is_told_on_page_and_address(client, rig_id):
    page = client.get(f"/rigs/{rig_id}/ask/weather", params={"temperature": "-15 °C"}).text
    assert "30 °C colder than where arrows were shot" in page
    assert "The marks of home serve" not in page
    away = client.get(f"/api/rigs/{rig_id}/ask/weather", params={"temperature": "-15 °C"}).json()
    assert away["near_arrow_first"] is True


SHEET_PRINTS = ("tape", "card", "pocket", "gauge", "target")


def posted(client, path, prints, sent):
    """One form or record sent as a browser or a program would send it, with all it may need."""
    is_api = path.startswith("/api")
    body = {"what": prints, "printed_on": "2026-11-20"} if path.endswith("/prints") else sent
    if not is_api:
        return client.post(path, data={name: str(one) for name, one in sent.items()})
    return client.post(path, json=body)


def check_posted(client, notebook, rig_id, path):
    """What comes of sending to one address of a rig that must not be shot."""
    ids = {HOLE_OF[kind]: notebook.entries(kind, rig_id)[0].id for kind in HOLE_OF}
    filled = {"rig_id": rig_id, "entry_id": ids["group_id"], "number": "1", "change_id": rig_id}
    filled |= {"tape_id": rig_id, "parked_id": rig_id}
    address = path.format(**filled | ids)
    full = {"seen": 1, "rows": SHOTS, "batch": "b", "session": ids["session_id"]}
    whole = {"shot_on": "2026-11-20", "purpose": "sighting", "distance_m": 30.0, "name": "new"}
    whole |= {"reading_mm": 22.0, "impacts": [{"right_mm": 1.0, "up_mm": 2.0}]}
    bodies = (full, whole, {"seen": 1})
    for prints in SHEET_PRINTS if address.endswith("/prints") else SHEET_PRINTS[:1]:
        for sent in bodies[: 1 if address.endswith("/prints") else None]:
            answer = posted(client, address, prints, sent)
            assert answer.status_code != 500, address
            kind = answer.headers.get("content-type", "").partition(";")[0]
            assert kind in {"", "text/html"} or kind.endswith("json"), f"{address} hands out {kind}"
            assert not TRUSTED.search(answer.text), address
            assert ">Shoot this" not in answer.text, address
            if kind == "text/html" and answer.status_code == 200:
                assert "STOP" in answer.text, address
            where = answer.headers.get("location", "")
            if where.partition("?")[0].endswith(".pdf"):
                assert "STOP" in words_of(client.get(where).content), where
    noted = {one.body.what for one in notebook.entries("print", rig_id)}
    assert noted <= {"gauge", "target"}, f"{address} notes {noted}"


HOLE_OF = {"group": "group_id", "session": "session_id"}
SENT_TO = sorted(
    {
        route.path
        for router in (*PAGES, *API)
        for route in router.routes
        if "POST" in route.methods and "{rig_id}" in route.path
    }
)
ENDS_THE_RIG = ("/rigs/{rig_id}/withdraw", "/api/rigs/{rig_id}/withdraw")


@pytest.mark.parametrize(
    "place",
    [
        pytest.param(one, marks=[pytest.mark.long] if one % 10 else [])
        for one in range(len(STOPPED))
    ],
)
def test_nothing_is_printed_by_sending(client, enter, notebook, rig_id, place):
    """Every address that takes something in, the sheets to measure with among them."""
    enter(list(STOPPED)[place])
    assert len(SENT_TO) > 30
    for path in SENT_TO:
        if path not in ENDS_THE_RIG:
            check_posted(client, notebook, rig_id, path)
    assert {one.body.what for one in notebook.entries("print", rig_id)} == {"gauge", "target"}


@pytest.mark.parametrize("what", SHEET_PRINTS)
def test_only_sheets_to_measure_with_are_noted_as_printed(client, enter, rig_id, what):
    enter("light: 250 gr at 60 lbf")
    sent = {"what": what, "printed_on": "2026-11-20"}
    answer = client.post(f"/api/rigs/{rig_id}/prints", json=sent)
    assert answer.status_code == (201 if what in {"gauge", "target"} else 422)
    if what not in {"gauge", "target"}:
        assert answer.json()["stop"][0].startswith("STOP: an arrow of 250 gr")


def test_a_proof_is_neither_begun_nor_taken_in(client, enter, notebook, rig_id):
    session = {"shot_on": "2026-11-20", "purpose": "proving"}
    proof = client.post(f"/api/rigs/{rig_id}/sessions", json=session).json()
    enter("damaged: bow")
    sessions = len(notebook.entries("session", rig_id))
    for path in ("prove", f"prove/{proof['id']}/accept"):
        answer = client.post(f"/rigs/{rig_id}/{path}", data={"seen": "1"})
        assert answer.status_code == 422
        assert "STOP: damaged" in answer.text
    assert len(notebook.entries("session", rig_id)) == sessions
    assert notebook.entry(proof["id"]).body.purpose == "proving"


def test_the_check_list_stands_before_the_buttons_and_row_by_row(client):
    rig_id = client.post("/api/rigs", json={"sheet": HERON}).json()["id"]
    page = client.get(f"/rigs/{rig_id}").text
    assert page.index("the check list</summary>") < page.index("Shoot all the same")
    row = re.search(r"<dt>arrow rest</dt>(.*?)<dt>", page, re.DOTALL)[1]
    assert [one.split(":")[0] for one in re.findall(r'soft">(.*?)</span>', row)] == [
        "how", "who", "found",
    ]  # fmt: skip
    assert "Nothing loose" in row
    assert "not looked at yet" in row
    plan = client.get(f"/rigs/{rig_id}/plan").text
    assert "one arrow first, then look" in plan
    assert plan.index('href="#parts"') < plan.index(">Shoot this") < plan.index('id="parts"')


def test_a_stop_stands_once_on_the_page_of_a_plan(client, enter, rig_id):
    enter("light: 250 gr at 60 lbf")
    assert client.get(f"/rigs/{rig_id}/plan").text.count("STOP: an arrow of 250 gr") == 1
