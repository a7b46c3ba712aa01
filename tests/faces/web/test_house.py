"""House values in the browser and for programs: one set for all rigs."""

import re

import pytest

from tapewright.reading.sheet_form_lines import sheet_values

TEXT = 'name = "Reed <b>Lane"\n[[sight]]\nkind = "slider"\nreading_per_travel = "1.573 ± 0.010"\n'
FIELDS = {
    "name": "Reed Lane",
    "sight[1].kind": "slider",
    "sight[1].reading_per_travel": "1.573 ± 0.010",
}


@pytest.fixture
def silent(client, notebook, rig_id):
    """The sample, its sight named and its reading per travel left open."""
    text = notebook.entry(rig_id).body.sheet
    text = re.sub(r"reading_per_travel = .*", 'kind = "Slider"', text)
    sent = {"seen": "1", "why": "corrected", "text": text}
    assert client.post(f"/rigs/{rig_id}/sheet", data=sent).status_code == 303
    return f"/rigs/{rig_id}"


def test_without_any_the_page_says_what_to_begin_with(client):
    page = client.get("/house")
    assert page.status_code == 200
    assert "None are kept yet" in page.text
    assert "measured once to ±1 %" in page.text
    assert "the bow at rest" in page.text
    assert 'name="sight[1].reading_per_travel"' in page.text
    assert "Put these values aside" not in page.text
    assert "#[[sight]]" in client.get("/house?text=1").text
    assert "#[[sight]]" in client.get("/house.toml").text
    assert 'href="/house"' in client.get("/wishes").text


def test_a_form_is_kept_and_every_rig_asked_to_be_calibrated_anew(client, notebook, silent):
    answer = client.post("/house", data=FIELDS)
    assert (answer.status_code, answer.headers["location"]) == (303, "/house?saved=1")
    (house,) = notebook.entries("house")
    assert house.body.name == "Reed Lane"
    assert 'kind = "slider"' in house.body.sheet
    page = client.get("/house?saved=1").text
    assert "Version 1 stands." in page
    assert "slider: 1.573 ± 0.010" in page
    rig = client.get(silent).text
    told = "house values of Reed Lane taken: reading per travel 1.573 ± 0.01 (slider)"
    assert told in rig
    assert told in client.get(f"{silent}/marks").text
    assert client.get("/house.toml").text == house.body.sheet


def test_the_sheet_offers_the_names_of_the_kinds(client, silent):
    client.post("/house", data=FIELDS)
    page = client.get(f"{silent}/sheet").text
    assert 'list="kinds-sight.kind"' in page
    assert '<option value="slider">' in page


def test_a_kind_named_in_vain_is_told_on_the_page_of_its_rig(client, silent):
    client.post("/house", data=FIELDS | {"sight[1].kind": "arm"})
    page = client.get(silent).text
    assert "no reading per travel for a kind of sight called" in page
    assert "They name &#34;arm&#34;" in page


def test_what_is_wrong_stands_beside_its_line_and_nothing_is_kept(client, notebook):
    page = client.post("/house", data=FIELDS | {"name": "", "sight[1].reading_per_travel": "1.6"})
    assert page.status_code == 422
    assert "This is needed" in page.text
    page = client.post("/house", data=FIELDS | {"sight[1].reading_per_travel": "1.6"})
    assert "No ± stands behind it" in page.text
    page = client.post("/house", data={"text": TEXT.replace(" ± 0.010", "")})
    assert page.status_code == 422
    assert "line 4, sight[1].reading_per_travel: no ± stands behind it" in page.text
    assert notebook.entries("house") == ()


def test_as_text_comments_stay_and_the_form_warns(client, notebook):
    client.post("/house", data={"text": TEXT + "# measured in May\n"})
    assert "# measured in May" in client.get("/house?text=1").text
    page = client.get("/house").text
    assert "The form cannot keep them" in page
    assert "Reed &lt;b&gt;Lane" in page
    client.post("/house", data={"text": TEXT, "seen": "1"})
    assert notebook.entries("house")[0].number == 2


def test_who_saved_meanwhile_is_told_and_nothing_typed_is_lost(client, notebook):
    client.post("/house", data=FIELDS)
    client.post("/house", data=FIELDS | {"name": "Mill End", "seen": "1"})
    late = client.post("/house", data=FIELDS | {"name": "Rill", "seen": "1"})
    assert late.status_code == 409
    assert "Somebody else kept house values meanwhile" in late.text
    assert 'value="Rill"' in late.text
    assert notebook.entries("house")[0].body.name == "Mill End"


def test_values_put_aside_are_not_used_and_can_be_taken_up(client, notebook, silent):
    client.post("/house", data=FIELDS)
    (house,) = notebook.entries("house")
    client.post(f"/house/{house.id}/withdraw", data={"seen": "1"})
    assert "house values of" not in client.get(silent).text
    page = client.get("/house").text
    assert "Use these</button>" in page
    client.post("/house", data=FIELDS | {"name": "Mill End"})
    assert "Use these instead" in client.get("/house").text
    client.post(f"/house/{house.id}/take-up")
    assert [one.body.name for one in notebook.entries("house")] == ["Reed Lane"]
    assert "house values of Reed Lane" in client.get(silent).text


def test_many_values_come_back_as_they_were_typed(client, notebook):
    rows = {}
    for row in range(1, 101):
        rows[f"arrow[{row}].kind"] = f"arrow {row}"
        rows[f"arrow[{row}].drag_coefficient"] = "2.05 ± 0.1"
        rows[f"arrow[{row}].broadhead_drag_coefficient"] = "2.7 ± 0.2"
    assert client.post("/house", data=FIELDS | rows).status_code == 303
    (house,) = notebook.entries("house")
    assert house.body.sheet.count("[[arrow]]") == 100
    page = client.get("/house").text
    assert "95 more" in page
    assert 'value="arrow 100"' in page


def test_what_an_archive_brought_and_cannot_be_read_is_shown_to_be_mended(client, notebook, rig_id):
    from datetime import UTC, datetime

    from tapewright.services.keep import KeptHouse

    body = KeptHouse("[[sight]]\n", "?")
    notebook.add(body, entry_id=f"{7:020x}", now=datetime(2026, 11, 25, tzinfo=UTC))
    page = client.get("/house")
    assert page.status_code == 200
    assert "reading_per_travel: this key is missing" in page.text
    assert "the notebook&#39;s house values" in client.get(f"/rigs/{rig_id}").text


def test_programs_keep_read_and_put_them_aside(client, silent):
    assert client.get("/api/houses").json() == []
    made = client.post("/api/houses", json={"sheet": TEXT})
    assert made.status_code == 201
    house = made.json()
    assert (house["name"], house["number"]) == ("Reed <b>Lane", 1)
    second = client.post("/api/houses", json={"sheet": TEXT})
    assert second.status_code == 422
    assert "other house values stand" in second.json()["title"]
    bad = client.post("/api/houses", json={"sheet": TEXT.replace(" ± 0.010", "")})
    assert bad.status_code == 422
    assert "no ± stands behind it" in bad.json()["title"]
    saved = client.put(
        f"/api/houses/{house['id']}", json={"sheet": TEXT.replace("1.573", "1.58"), "seen": 1}
    )
    assert saved.json()["number"] == 2
    answer = client.get(f"/api{silent}/ask/marks").json()
    assert answer["house"]["values"][0]["value"] == 1.58
    gone = client.post(f"/api/houses/{house['id']}/withdraw", json={"seen": 2})
    assert gone.json()["is_withdrawn"] is True
    assert client.get("/api/houses").json() == []
    again = client.post("/api/houses", json={"sheet": TEXT}).json()
    refused = client.post(f"/api/houses/{house['id']}/restore", json={"seen": 2})
    assert refused.status_code == 422
    assert again["id"] in refused.json()["title"]


def test_a_sheet_as_a_form_keeps_the_kinds_it_names(notebook, silent):
    sheet = notebook.entry(silent.rpartition("/")[2]).body.sheet
    assert sheet_values(sheet)["sight.kind"] == "Slider"


def test_the_files_of_a_rig_hold_what_stood_in(client, silent):
    assert "/house.toml" not in client.get(f"{silent}/files").text
    client.post("/house", data=FIELDS)
    assert 'href="/house.toml"' in client.get(f"{silent}/files").text
