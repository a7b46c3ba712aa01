"""What to set at an event, in a browser: all in text, the list kept by its name, ticks kept to."""

import io

import pdfplumber

ROUND = {
    "distances": "33,18,41,95 yd",
    "order": "targets",
    "event": "Club field",
    "letters": "white",
}


def test_the_page_says_the_list_in_text_and_keeps_it_by_name(client, rig_id, notebook):
    here = f"/rigs/{rig_id}/large"
    shown = client.get(here, params=ROUND).text
    for words in (
        "<p>Target 1, 33 yd: set 23.6 mm.</p>", "<p>Target 2, 18 yd: set 14.8 mm.</p>",
        "Target 4, 95 yd: set 79", "mm, guess.</p>", "Safe stop, or no shot.",
    ):  # fmt: skip
        assert words in shown, words
    assert "Kept:" not in shown
    drawn = client.get(f"/rigs/{rig_id}/large-sheet.svg", params=ROUND).text
    assert 'aria-label="Club field, pin 1"' in drawn
    told = client.post(here, data=ROUND)
    assert told.headers["location"].startswith(f"{here}.pdf?")
    (printed,) = notebook.entries("print", rig_id)
    assert (printed.body.what, printed.body.choices["event"]) == ("large", "Club field")
    again = client.get(here).text
    kept = again.partition("Kept:")[2].partition("</p>")[0]
    assert "distances=33%2C18%2C41%2C95+yd" in kept
    assert ">Club field</a>" in kept
    client.post(f"/rigs/{rig_id}/handover", data={})
    history = client.get(f"/rigs/{rig_id}/history").text
    assert "large list" in history
    assert "hand-over page" in history
    assert "A large list was printed on" in client.get(f"/rigs/{rig_id}/erase").text


def test_programs_ask_in_any_order_and_a_class_leaves_no_card(client, rig_id):
    api = f"/api/rigs/{rig_id}"
    sent = client.get(f"{api}/large/pdf", params={"distances": "40,20 m", "order": "targets"})
    with pdfplumber.open(io.BytesIO(sent.content)) as pdf:
        assert pdf.pages[0].extract_text().splitlines()[1:3] == ["no. m mm", "1 40 32.0"]
    for address in (f"{api}/card/pdf", f"{api}/large/pdf"):
        refused = client.get(address, params={"rules": "no notes"})
        assert (refused.status_code, refused.json()["place"]) == (422, "rules")
        assert "the organiser" in refused.json()["title"]
    card = client.get(f"/rigs/{rig_id}/card.pdf", params={"rules": "no notes"})
    assert card.status_code == 422
    assert "is a note" in card.text
    assert client.get(f"{api}/ask/rules", params={"rules": "one pin"}).json()["ticks"]["one_pin"]


def test_a_sheet_s_ticks_bind_what_is_printed_and_the_phone(client, rig_id, notebook):
    sheet = notebook.entry(rig_id).body.sheet + '\n[rules]\nno_electronics = "yes"\n'
    saved = client.put(f"/api/rigs/{rig_id}", json={"sheet": sheet, "seen": 1})
    assert saved.status_code == 200, saved.text
    assert "Made for the rules “no electronics”" in client.get(f"/rigs/{rig_id}/tape").text
    told = "Ticked “no electronics”: leave the phone out of it, and ask the organiser."
    for page in ("pocket.html", "pocket", "carried"):
        assert told in client.get(f"/rigs/{rig_id}/{page}").text, page
