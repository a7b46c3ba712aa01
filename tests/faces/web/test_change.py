"""A changed bow: what it did, what it would do, taken back; two rigs side by side."""

import re
from importlib.resources import files

import pytest

from tapewright.faces.kept_rigs import setup_now
from tapewright.reading.sheet_form_lines import sheet_values

HERON = (files("tapewright.faces") / "sample" / "heron.toml").read_text(encoding="utf-8")


def heavier(mass="455 gr", seen="1"):
    typed = {"seen": seen, "why": "changed", "words": "heavier <b>points</b>"}
    return sheet_values(HERON) | {"arrow.mass": mass} | typed


@pytest.fixture
def changed(client, rig_id):
    """The sample rig with heavier arrows since."""
    assert client.post(f"/rigs/{rig_id}/sheet", data=heavier()).status_code == 303
    return f"/rigs/{rig_id}"


def test_without_a_change_the_page_says_how_to_make_one(client, rig_id):
    page = client.get(f"/rigs/{rig_id}/change")
    assert page.status_code == 200
    assert "Nothing was changed" in page.text
    assert f'href="/rigs/{rig_id}/change/try"' in page.text
    assert f'href="/rigs/{rig_id}/sheet?why=changed"' in page.text
    assert "checked" in client.get(f"/rigs/{rig_id}/sheet?why=changed").text


def test_a_change_tells_its_cost_and_what_buys_the_trust_back(client, changed):
    page = client.get(f"{changed}/change").text
    assert "Trusted before the change: 92 yd" in page
    assert "To confirm shoot 2 arrows at 10 yd" in page
    assert "write them down under Shoot" in page
    assert "tapewright" not in page.split("<main")[1].split("</main")[0].casefold()
    assert "Arrow mass: 420 gr ± 2 → 455 gr" in page
    assert "heavier &lt;b&gt;points" in page
    assert page.index("To confirm shoot") < page.index("Marks before and after")


def test_distances_and_butt_of_a_change_may_be_said(client, changed):
    page = client.get(f"{changed}/change?distances=20,35yd&butt=40 in").text
    assert re.search(r'<th scope="row">35</th>', page)
    wrong = client.get(f"{changed}/change?butt=1 mm")
    assert wrong.status_code == 422
    assert "is too little" in wrong.text


def test_trying_keeps_nothing(client, notebook, rig_id):
    here = f"/rigs/{rig_id}/change/try"
    assert client.get(here).status_code == 200
    assert "An invented rig" in client.get(f"{here}?text=1").text
    page = client.post(here, data=heavier())
    assert page.status_code == 200
    assert "A try: nothing is kept" in page.text
    assert "To confirm shoot" in page.text
    assert 'value="455 gr"' in page.text
    assert notebook.entry(rig_id).number == 1
    wrong = client.post(here, data=heavier("455"))
    assert wrong.status_code == 422
    assert "has no unit" in wrong.text


def test_a_try_can_be_kept_from_where_it_stands(client, notebook, rig_id):
    page = client.post(f"/rigs/{rig_id}/change/try", data=heavier()).text
    assert f'formaction="/rigs/{rig_id}/sheet"' in page
    assert client.post(f"/rigs/{rig_id}/sheet", data=heavier()).status_code == 303
    assert setup_now(notebook, rig_id) == 1


def test_a_sight_that_counts_differently_starts_afresh(client, rig_id):
    other = heavier("420 gr ± 2") | {"sight.farther": "decreases"}
    tried = client.post(f"/rigs/{rig_id}/change/try", data=other)
    assert "The marks start afresh" in tried.text
    assert client.post(f"/rigs/{rig_id}/sheet", data=other).status_code == 303
    page = client.get(f"/rigs/{rig_id}/change")
    assert "no old reading carries over" in page.text
    assert "tapewright fit" not in page.text


def test_a_change_taken_back_can_be_counted_again(client, notebook, rig_id, changed):
    (change,) = notebook.entries("change", rig_id)
    assert client.post(f"{changed}/change/{change.id}/withdraw").status_code == 303
    assert not notebook.entries("change", rig_id)
    assert notebook.entry(rig_id).number == 2
    page = client.get(f"{changed}/change").text
    assert "Taken back" in page
    assert client.post(f"{changed}/change/{change.id}/restore").status_code == 303
    assert setup_now(notebook, rig_id) == 1


def test_the_sheet_comes_back_with_the_change_if_asked(client, notebook, rig_id, changed):
    (change,) = notebook.entries("change", rig_id)
    here = f"{changed}/change/{change.id}/withdraw"
    late = client.post(here, data={"old_sheet": "1", "seen_rig": "1"})
    assert late.status_code == 409
    assert client.post(here, data={"old_sheet": "1", "seen_rig": "2"}).status_code == 303
    assert notebook.entry(rig_id).body == notebook.entry(rig_id, 1).body
    assert not notebook.entries("change", rig_id)


def test_a_change_after_one_taken_back_gets_a_number_of_its_own(client, notebook, rig_id, changed):
    (change,) = notebook.entries("change", rig_id)
    client.post(f"{changed}/change/{change.id}/withdraw")
    client.post(f"{changed}/sheet", data=heavier("470 gr", seen="2"))
    (second,) = notebook.entries("change", rig_id)
    assert second.body.setup == 2


def test_a_change_of_another_rig_is_not_found_here(client, notebook, rig_id, changed):
    other = client.post("/sample").headers["location"]
    (change,) = notebook.entries("change", rig_id)
    assert client.post(f"{other}/change/{change.id}/withdraw").status_code == 404
    assert client.post(f"{other}/change/{rig_id}/withdraw").status_code == 404
    assert notebook.entries("change", rig_id)
    assert changed


def test_two_rigs_stand_side_by_side(client, changed):
    other = client.post("/sample").headers["location"].rpartition("/")[2]
    page = client.get(f"{changed}/compare").text
    assert f'value="{other}"' in page
    both = client.get(f"{changed}/compare?with={other}&distances=20,40yd")
    assert both.status_code == 200
    assert "A mark mm" in both.text
    assert "B mark mm" in both.text
    wrong = client.get(f"{changed}/compare?with={other}&distances=far")
    assert wrong.status_code == 422
    assert client.get(f"{changed}/compare?with={'0' * 20}").status_code == 404


def test_one_rig_alone_has_nobody_to_compare_with(client, rig_id):
    assert "no other rig" in client.get(f"/rigs/{rig_id}/compare").text


@pytest.fixture
def there_and_back(client, changed):
    """The sample rig with heavier arrows, and with its first ones again."""
    typed = sheet_values(HERON) | {"seen": "2", "why": "changed", "words": "light ones again"}
    assert client.post(f"{changed}/sheet", data=typed).status_code == 303
    return changed


def test_a_change_that_leads_back_offers_the_calibration_of_then(
    client, notebook, rig_id, there_and_back
):
    page = client.get(f"{there_and_back}/change").text
    assert "This set-up was calibrated before: 8 groups, 40 arrows" in page
    assert "trusted to 92 yd" in page
    offer = re.search(r'action="([^"]*/change/[0-9a-f]{20}/back)".*?name="back_to" value="0"', page)
    answer = client.post(offer[1], data={"seen": "1", "back_to": "0"})
    assert answer.status_code == 303
    page = client.get(f"{there_and_back}/change").text
    assert "This change went back to the first set-up" in page
    assert "calibrated before" not in page
    assert "The bands alone would carry 92 yd" in page
    assert "One near arrow first, then look" in page
    assert "write what you changed" not in page
    assert "back to an earlier set-up" in client.get(f"{there_and_back}/history").text
    plan = client.get(f"/api/rigs/{rig_id}/ask/plan").json()
    assert plan["near_arrow_first"] is True
    assert plan["trusted_distance_yd"] is None

    client.post(offer[1], data={"seen": "2"})
    assert "This set-up was calibrated before" in client.get(f"{there_and_back}/change").text
    bodies = [one.body.back_to for one in notebook.entries("change", rig_id)]
    assert bodies == [None, None]


def test_only_the_set_up_that_is_offered_can_be_gone_back_to(client, notebook, rig_id, changed):
    (change,) = notebook.entries("change", rig_id)
    answer = client.post(f"{changed}/change/{change.id}/back", data={"seen": "1", "back_to": "0"})
    assert answer.status_code == 409
    assert notebook.entry(change.id).number == 1


def test_programs_say_with_a_change_that_it_goes_back(client, rig_id, changed):
    sent = {"sheet": HERON, "seen": 2, "words": "back", "back_to": 0}
    made = client.post(f"/api/rigs/{rig_id}/changes", json=sent)
    assert made.status_code == 201
    assert made.json()["back_to"] == 0
    marks = client.get(f"/api/rigs/{rig_id}/ask/marks").json()
    assert marks["once_zeroed_distance_yd"] == 92
    wrong = client.post(f"/api/rigs/{rig_id}/changes", json=sent | {"seen": 3, "back_to": 9})
    assert wrong.status_code == 422
    assert "no set-up before number 3" in wrong.json()["title"]
    assert client.get(f"{changed}/change").status_code == 200
