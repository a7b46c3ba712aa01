"""The notebook and every errand for other programs."""

from datetime import UTC, datetime

import pytest

from tapewright.questions.all_questions import all_questions
from tapewright.services.keep import KeptGroup, KeptRig, kept_as

QUESTIONS = all_questions()

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)

GROUP = {
    "name": "far",
    "distance_m": 30.0,
    "reading_mm": 23.25,
    "impacts": [
        {"right_mm": 12.5, "up_mm": -3.0},
        {"up_mm": 4.0},
        {"called_bad": True},
        {"missed": True, "arrows": 2},
    ],
    "slope_deg": 12.0,
    "temperature_c": 4.0,
    "note": "wet",
}


@pytest.fixture
def session(client, rig_id):
    made = client.post(f"/api/rigs/{rig_id}/sessions", json={"shot_on": "2026-11-25"})
    assert made.status_code == 201
    return made.json()["id"]


def test_a_group_comes_back_as_it_was_sent(client, rig_id, session, notebook):
    made = client.post(f"/api/rigs/{rig_id}/sessions/{session}/groups", json=GROUP)
    assert made.status_code == 201, made.text
    told = made.json()
    for key, value in GROUP.items():
        if key != "impacts":
            assert told[key] == value, key
    assert told["impacts"][0] == {
        "right_mm": 12.5, "up_mm": -3.0, "arrows": 1, "called_bad": False, "missed": False,
        "arrow": "",
    }  # fmt: skip
    one = kept_as(notebook.entry(told["id"]), KeptGroup).observation
    assert (one.distance_m, one.reading_m) == (30.0, 0.02325)
    assert one.air.temperature_k == pytest.approx(277.15)
    assert (one.group.arrows, one.group.missed) == (2, 2)


def test_the_air_of_a_place_is_sent_as_pressure_or_altitude(client, rig_id, session, notebook):
    def pascals(name, **air):
        body = GROUP | {"name": name} | air
        made = client.post(f"/api/rigs/{rig_id}/sessions/{session}/groups", json=body)
        assert made.status_code == 201, made.text
        one = kept_as(notebook.entry(made.json()["id"]), KeptGroup).observation
        assert one.air.temperature_k == pytest.approx(277.15)
        assert made.json()["pressure_hpa"] == pytest.approx(one.air.pressure_pa / 100.0)
        return one.air.pressure_pa

    assert pascals("spot", pressure_hpa=912.5) == pytest.approx(91250.0)
    # ISO 2533 table at 1000 m, rounded there to six figures
    assert pascals("high", altitude_m=1000.0) == pytest.approx(89876.3, rel=1e-5)
    assert pascals("both", altitude_m=1000.0, pressure_hpa=905.0) == pytest.approx(90500.0)
    assert pascals("as ever") == pytest.approx(101300.0)  # the sample's sheet: 1013 hPa


def test_a_group_saved_again_keeps_the_air_that_nobody_sent(client, rig_id, session):
    here = f"/api/rigs/{rig_id}/sessions/{session}/groups"
    made = client.post(here, json=GROUP | {"pressure_hpa": 912.5}).json()
    one = f"/api/rigs/{rig_id}/groups/{made['id']}"
    warmer = client.put(one, json=GROUP | {"seen": 1, "temperature_c": 9.0}).json()
    assert (warmer["temperature_c"], warmer["pressure_hpa"]) == (9.0, 912.5)
    lower = client.put(one, json=GROUP | {"seen": 2, "pressure_hpa": 955.0}).json()
    assert (lower["temperature_c"], lower["pressure_hpa"]) == (4.0, 955.0)
    without = {key: value for key, value in GROUP.items() if key != "temperature_c"}
    plain = client.put(one, json=without | {"seen": 3}).json()
    assert (plain["temperature_c"], plain["pressure_hpa"]) == (None, None)


TURNED = {
    "session": "evening 1", "windage_mm": -1.35, "windage_clicks": None,
    "distances": "range finder",
}  # fmt: skip


def test_what_is_told_of_windage_and_distances_is_kept(client, rig_id, session, notebook):
    here = f"/api/rigs/{rig_id}/sessions/{session}/groups"
    made = client.post(here, json=GROUP | TURNED).json()
    assert {key: made[key] for key in TURNED} == TURNED
    one = kept_as(notebook.entry(made["id"]), KeptGroup).observation
    assert (one.session, one.distances) == ("evening 1", "range finder")
    assert one.windage_m == pytest.approx(-0.00135)
    address = f"/api/rigs/{rig_id}/groups/{made['id']}"
    again = client.put(address, json=GROUP | {"seen": 1}).json()  # as a program of 0.1 saves it
    assert {key: again[key] for key in TURNED} == TURNED
    by_clicks = {"windage_mm": None, "windage_clicks": -7.0, "session": ""}
    other = client.put(address, json=GROUP | by_clicks | {"seen": 2}).json()
    assert {key: other[key] for key in TURNED} == TURNED | by_clicks


def test_a_day_and_numbers_of_arrows_are_kept_and_outlive_an_older_program(
    client, rig_id, session, notebook
):
    here = f"/api/rigs/{rig_id}/sessions/{session}/groups"
    numbered = [one | {"arrow": str(7 + row)} for row, one in enumerate(GROUP["impacts"])]
    made = client.post(
        here, json=GROUP | {"impacts": numbered, "date": "2026-05-14", "head": "field"}
    ).json()
    assert (made["date"], made["head"]) == ("2026-05-14", "field")
    address = f"/api/rigs/{rig_id}/groups/{made['id']}"
    again = client.put(address, json=GROUP | {"seen": 1}).json()  # as a program of 0.1 saves it
    assert [again[key] for key in ("impacts", "date", "head")] == [
        made["impacts"], "2026-05-14", "field",
    ]  # fmt: skip
    one = kept_as(notebook.entry(made["id"]), KeptGroup).observation
    assert [hit.arrow for hit in one.group.impacts][:2] == ["7", "8"]
    wrong = client.put(address, json=GROUP | {"seen": 2, "date": "2026-02-30"})
    assert wrong.status_code == 422
    assert "no day of the calendar" in wrong.text


def test_a_mark_alone_stands_for_several_arrows(client, rig_id, session):
    body = {"name": "zero", "distance_m": 20.0, "reading_mm": 17.0, "impacts": [{}]}
    told = client.post(f"/api/rigs/{rig_id}/sessions/{session}/groups", json=body).json()
    assert told["impacts"] == [
        {"right_mm": 0.0, "up_mm": 0.0, "arrows": 3, "called_bad": False, "missed": False,
         "arrow": ""}
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"distance_m": True}, "number"),
        ({"distance_m": "30"}, "number"),
        ({"distance_m": 0.5}, "greater than or equal to 1"),
        ({"pressure_hpa": 499.0}, "greater than or equal to 500"),
        ({"altitude_m": 5501.0}, "less than or equal to 5500"),
        ({"right_mm": 3.0}, "Extra inputs"),
        ({"impacts": [{"right_mm": 3001.0}]}, "less than or equal to 3000"),
        ({"slope_deg": 61.0}, "less than or equal to 60"),
        ({"pin": 3}, "the rig sheet has 2"),
        ({"windage_mm": 50.5}, "less than or equal to 50"),
        ({"windage_clicks": -5001.0}, "greater than or equal to -5000"),
        ({"distances": "guessed"}, "'', 'tape', 'range finder', 'pegs' or 'paces'"),
        ({"session": "x" * 61}, "at most 60"),
        ({"impacts": []}, "at least 1"),
        ({"impacts": [{"called_bad": True}]}, "no arrow in it counts"),
        ({"impacts": [{"missed": True, "up_mm": 3.0}]}, "past the butt says where it hit"),
        ({"impacts": [{}, {"up_mm": 1.0}]}, "bare mark alone"),
        ({"name": "6"}, "another group of this rig"),
        ({"name": "\u202e"}, "cannot be printed"),
        ({"range": 30}, "Extra inputs"),
    ],
)
def test_a_wrong_group_is_refused_with_its_place(client, rig_id, session, notebook, wrong, words):
    before = len(notebook.entries("group", rig_id))
    told = client.post(f"/api/rigs/{rig_id}/sessions/{session}/groups", json=GROUP | wrong)
    assert told.status_code == 422
    assert told.headers["content-type"] == "application/problem+json"
    assert words in told.text
    assert len(notebook.entries("group", rig_id)) == before


def test_endless_numbers_are_refused_and_not_sent_back(client, rig_id, session):
    for number in ("NaN", "1e999", "-Infinity"):
        text = f'{{"name": "a", "distance_m": {number}, "reading_mm": 1, "impacts": [{{}}]}}'
        told = client.post(
            f"/api/rigs/{rig_id}/sessions/{session}/groups", content=text,
            headers={"content-type": "application/json"},
        )  # fmt: skip
        assert told.status_code == 422
        assert "finite" in told.text


def test_whoever_saw_an_older_version_is_told_the_newest(client, rig_id):
    sheet = client.get(f"/api/rigs/{rig_id}").json()["sheet"]
    first = client.put(f"/api/rigs/{rig_id}", json={"sheet": sheet + "# a\n", "seen": 1})
    late = client.put(f"/api/rigs/{rig_id}", json={"sheet": sheet + "# b\n", "seen": 1})
    assert (first.status_code, late.status_code) == (200, 409)
    assert late.json()["newer"] == 2
    assert [one["number"] for one in client.get(f"/api/rigs/{rig_id}/versions").json()] == [2, 1]


def test_a_saved_group_calibrates_at_once(client, rig_id, session):
    before = client.get(f"/api/rigs/{rig_id}/calibration").json()["fingerprint"]
    made = client.post(f"/api/rigs/{rig_id}/sessions/{session}/groups", json=GROUP).json()
    after = client.get(f"/api/rigs/{rig_id}/calibration").json()["fingerprint"]
    assert after != before
    here = f"/api/rigs/{rig_id}/groups/{made['id']}"
    assert client.post(f"{here}/withdraw", json={"seen": 1}).json()["is_withdrawn"]
    assert client.get(f"/api/rigs/{rig_id}/calibration").json()["fingerprint"] == before
    assert not client.post(f"{here}/restore", json={"seen": 1}).json()["is_withdrawn"]
    assert client.get(f"/api/rigs/{rig_id}/calibration").json()["fingerprint"] == after
    assert len(client.get(f"/api/rigs/{rig_id}/calibrations").json()) >= 2


def test_whatever_counts_for_marks_is_calibrated_and_kept_at_once(
    client, rig_id, session, notebook
):
    rig, groups = f"/api/rigs/{rig_id}", f"/api/rigs/{rig_id}/sessions/{session}/groups"

    def is_kept():
        last = notebook.newest("calibration", rig_id)
        told = client.get(f"{rig}/calibration").json()["fingerprint"]
        return last is not None and last.body.fingerprint == told

    group = f"{rig}/groups/{client.post(groups, json=GROUP).json()['id']}"
    assert is_kept()
    sheet = client.get(rig).json()["sheet"]
    here = f"{rig}/sessions/{session}"
    proving = {"shot_on": "2026-11-25", "purpose": "proving", "seen": 1}
    steps = (
        ("PUT", group, GROUP | {"reading_mm": 23.75, "seen": 1}),
        ("POST", f"{group}/withdraw", {"seen": 2}),
        ("POST", f"{group}/restore", {"seen": 2}),
        ("POST", f"{here}/withdraw", {"seen": 1}),
        ("POST", f"{here}/restore", {"seen": 1}),
        ("PUT", here, proving),
        ("PUT", rig, {"sheet": sheet.replace("420 gr", "430 gr"), "seen": 1}),
        ("POST", f"{rig}/changes", {"sheet": sheet.replace("420 gr", "450 gr"), "seen": 2}),
    )
    for method, address, body in steps:
        before = client.get(f"{rig}/calibration").json()["fingerprint"]
        assert client.request(method, address, json=body).status_code in (200, 201), address
        assert client.get(f"{rig}/calibration").json()["fingerprint"] != before, address
        assert is_kept(), (method, address)


def test_arrows_kept_anew_meanwhile_are_not_taken_back(client, rig_id, session):
    groups = f"/api/rigs/{rig_id}/sessions/{session}/groups"
    shot = [{"right_mm": 12.5, "up_mm": -3.25}, {"right_mm": -7.75, "up_mm": 4.5}]
    shot += [{"right_mm": 3.125, "up_mm": 9.375}]
    group = {"name": "far", "distance_m": 30.0, "reading_mm": 23.25, "impacts": shot}
    first = client.post(groups, json=group).json()["id"]
    here = f"/api/rigs/{rig_id}/groups/{first}"
    assert client.post(f"{here}/withdraw", json={"seen": 1}).status_code == 200
    assert client.post(groups, json=group | {"name": "again"}).status_code == 201
    told = client.post(f"{here}/restore", json={"seen": 1})
    assert told.status_code == 422, told.text
    assert client.get(here).json()["is_withdrawn"]


def test_a_change_saves_sheet_and_change_together(client, rig_id):
    sheet = client.get(f"/api/rigs/{rig_id}").json()["sheet"].replace("420 gr", "450 gr")
    body = {"sheet": sheet, "seen": 1, "words": "heavier point"}
    told = client.post(f"/api/rigs/{rig_id}/changes", json=body)
    assert told.status_code == 201
    assert (told.json()["setup"], told.json()["from_rig"], told.json()["to_rig"]) == (1, 1, 2)
    assert client.post(f"/api/rigs/{rig_id}/changes", json=body).status_code == 409
    assert len(client.get(f"/api/rigs/{rig_id}/changes").json()) == 1
    assert client.get(f"/api/rigs/{rig_id}").json()["number"] == 2


@pytest.mark.parametrize("units", ["imperial", "metric"])
def test_keys_say_their_units(client, rig_id, units):
    told = client.get(f"/api/rigs/{rig_id}/calibration?units={units}").json()
    unit = {"imperial": "yd", "metric": "m"}[units]
    assert f"trusted_distance_{unit}" in told
    assert f"distance_{unit}" in told["marks"][0]


@pytest.fixture(scope="module")
def ways():
    """Addresses as they are described, which is the same in every app."""
    return {}


@pytest.mark.parametrize("name", sorted(QUESTIONS))
def test_every_errand_is_described_with_its_fields(client, rig_id, ways, name):
    if not ways:
        ways |= client.get("/api/openapi.json").json()["paths"]
    asked = ways[f"/api/rigs/{{rig_id}}/ask/{name}"]["get"]["parameters"]
    fields = QUESTIONS[name].fields
    older = {field.before for field in fields} - {""}  # by their earlier names they are heard, too
    assert {one["name"] for one in asked} - older == {
        "rig_id", "units", *(field.name for field in fields),
    }  # fmt: skip
    told = client.get(f"/api/rigs/{rig_id}/ask/{name}")
    assert told.status_code in (200, 422), told.text


@pytest.mark.parametrize(
    ("address", "start"),
    [
        ("tape/pdf", b"%PDF"),
        ("tape/svg", b"<svg"),
        ("gauge/pdf", b"%PDF"),
        ("target/svg", b"<svg"),
        ("card/pdf", b"%PDF"),
        ("pocket", b"<!doctype"),
    ],
)
def test_sheets_come_as_files(client, rig_id, address, start):
    told = client.get(f"/api/rigs/{rig_id}/{address}")
    assert told.status_code == 200
    assert told.content.startswith(start)


@pytest.mark.parametrize("kind", ["tape", "gauge", "target", "card"])
def test_a_wish_that_nobody_knows_is_refused(client, rig_id, kind):
    assert client.get(f"/api/rigs/{rig_id}/{kind}/pdf?colour=red").status_code == 422


def test_a_printers_error_is_undone_on_the_tape(client, rig_id):
    made = client.post("/api/printers", json={"name": "Desk", "across_mm": 98.0, "down_mm": 98.0})
    plain = client.get(f"/api/rigs/{rig_id}/tape/svg").text
    mended = client.get(f"/api/rigs/{rig_id}/tape/svg?printer={made.json()['id']}").text
    assert plain != mended
    assert client.get(f"/api/rigs/{rig_id}/tape/svg?printer={'0' * 20}").status_code == 404


def test_a_change_after_one_taken_back_gets_a_number_that_no_session_has(client, rig_id):
    sheet = client.get(f"/api/rigs/{rig_id}").json()["sheet"]
    body = {"sheet": sheet.replace("420 gr", "400 gr"), "seen": 1, "words": "lighter"}
    first = client.post(f"/api/rigs/{rig_id}/changes", json=body).json()
    back = client.post(f"/api/rigs/{rig_id}/changes/{first['id']}/withdraw", json={"seen": 1})
    assert back.status_code == 200
    second = client.post(f"/api/rigs/{rig_id}/changes", json=body | {"seen": 2}).json()
    assert (first["setup"], second["setup"]) == (1, 2)


def test_rigs_are_listed_in_pages_and_by_name(client, notebook):
    names = ("Wren", "Müller 3", "muller 1", "Heron", "MÜLLER 2")
    for place, name in enumerate(names):
        notebook.add(KeptRig("", name), entry_id=f"{place + 1:020x}", now=NOW)

    def listed(address):
        answer = client.get(address)
        assert answer.status_code == 200
        return [line["name"] for line in answer.json()], answer.headers.get("link")

    by_name = ["Heron", "muller 1", "MÜLLER 2", "Müller 3", "Wren"]
    assert listed("/api/rigs") == (by_name, None)
    found, link = listed("/api/rigs?search=M%C3%BCLL&limit=2")
    assert found == ["muller 1", "MÜLLER 2"]
    address, relation = link.split("; ")
    assert relation == 'rel="next"'
    assert address == f"</api/rigs?search=M%C3%BCLL&limit=2&after={5:020x}>"
    assert listed(address.strip("<>")) == (["Müller 3"], None)
    assert listed(f"/api/rigs?after={1:020x}") == ([], None)


@pytest.mark.parametrize(
    ("asked", "status"),
    [
        ("limit=0", 422),
        ("limit=1001", 422),
        ("after=here", 422),
        (f"after={'0' * 20}", 404),
        (f"search={'x' * 201}", 422),
    ],
)
def test_a_page_that_cannot_be_is_refused(client, asked, status):
    assert client.get(f"/api/rigs?{asked}").status_code == status
