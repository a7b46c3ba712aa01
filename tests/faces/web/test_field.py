"""What goes out with the archer, in the browser: cards, slopes, weather, wind, budget, pocket."""

import base64
import csv
import datetime as dt
import hashlib
import io
import re
from html.parser import HTMLParser

import pdfplumber
import pytest

from tapewright import __version__
from tapewright.faces import charts
from tapewright.services.keep import KeptRig

ID = "0123456789abcdef0123"
NOW = dt.datetime(2026, 1, 2, tzinfo=dt.UTC)
FIELD = ("card", "slopes", "weather", "wind", "budget")


@pytest.fixture
def ask(client, rig_id):
    def look(name, **said):
        return client.get(f"/rigs/{rig_id}/ask/{name}", params=said)

    return look


@pytest.fixture
def bare_id(notebook, rig_id):
    """The sample's sheet with one pin and a name that is markup, before the first arrow."""
    sample = notebook.entry(rig_id)
    name = "<script>alert(1)</script> $\\x$"
    sheet = re.sub(r"(?m)^pins_below_first.*\n", "", sample.body.sheet)
    sheet = re.sub(r"(?m)^name = .*$", lambda _: f"name = '{name}'", sheet)
    notebook.add(KeptRig(sheet, name), now=NOW, entry_id=ID)
    return ID


def prints(notebook, rig_id):
    return [one.body for one in notebook.entries("print", rig_id)]


@pytest.mark.parametrize("name", FIELD)
def test_every_page_of_the_field_links_to_its_neighbours_and_stands_under_field(ask, name):
    page = ask(name)
    assert page.status_code == 200
    for other in (*(f"ask/{one}" for one in FIELD), "pocket"):
        assert re.search(rf'href="/rigs/\w+/{other}"', page.text), other
    assert re.search(rf'ask/{name}" aria-current="page"', page.text)
    assert re.search(r'ask/card" aria-current="(page|true)">Field', page.text)
    assert "style=" not in page.text


@pytest.mark.parametrize(
    ("name", "said", "words"),
    [
        ("card", {}, "Flight: at the target"),
        ("card", {"distances": "18,30 m", "pin": "2"}, "Pin 2 is trusted to"),
        ("slopes", {"slopes": "20°"}, "Dial the mark for, yd"),
        ("weather", {"temperature": "-5 °C", "altitude": "1800 m"}, "thinner than at home"),
        ("wind", {"cross": "-4 m/s"}, "hold off to the right"),
        ("wind", {"head": "10 mph"}, "Head wind of 10 mph"),
        ("budget", {"at": "40 yd"}, "Miss budget at 40 yd"),
    ],
)
def test_a_question_is_answered(ask, name, said, words):
    page = ask(name, **said)
    assert page.status_code == 200
    assert words in page.text


@pytest.mark.parametrize(
    ("name", "said", "field", "words"),
    [
        ("card", {"radius": "9 m"}, "radius", "is too much"),
        ("card", {"distances": "1,20 m"}, "distances", "the nearest is under 2 m"),
        ("card", {"pin": "3"}, "pin", "the rig sheet has 2 pins"),
        ("slopes", {"slopes": "70"}, "slopes", "at most 60 degrees"),
        ("weather", {"pressure": "2 hPa"}, "pressure", "nobody shoots outside"),
        ("weather", {"sea_level_pressure": "1013 hPa"}, "sea_level_pressure", "Add altitude"),
        (
            "weather",
            {"sea_level_pressure": "1013 hPa", "altitude": "1 km", "pressure": "900 hPa"},
            "pressure",
            "leaves nothing for sea level pressure to say",
        ),
        ("wind", {"cross": "0 mph"}, "cross", "no wind blows"),
        ("wind", {"spot": "<b>"}, "spot", "&lt;b&gt;"),
        ("budget", {"cant": "-1 deg"}, "cant", "less than nothing"),
        ("budget", {"at": "20,30 yd"}, "at", "is not one distance"),
    ],
)
def test_a_fault_stands_beside_its_field_which_stands_open(ask, name, said, field, words):
    page = ask(name, **said)
    assert page.status_code == 422
    fault = page.text.split(f'id="{field}-fault"')[1].split("</p>")[0]
    assert words in fault
    assert f'name="{field}"' in page.text
    details = re.search(r"<details class=\"more\"([^>]*)>(.*?)</details>", page.text, re.DOTALL)
    assert details is None or f'id="{field}"' not in details[2] or "open" in details[1]
    assert "picture/" not in page.text


def test_weather_is_asked_for_before_it_is_answered(ask):
    page = ask("weather")
    assert page.status_code == 200
    assert "<table>" not in page.text
    assert "fault" not in page.text
    refused = ask("weather", temperature="", altitude="")
    assert refused.status_code == 422
    assert "nothing is said of the air away. Add temperature, altitude or pressure." in refused.text


def test_a_pin_is_asked_for_only_where_there_are_several(client, ask, bare_id):
    assert re.search(r'<select id="pin".*?<option value="2"', ask("card").text, re.DOTALL)
    page = client.get(f"/rigs/{bare_id}/ask/card")
    assert 'id="pin"' not in page.text
    told = client.get(f"/rigs/{bare_id}/ask/card?pin=2")
    assert "the rig sheet has one pin" in told.text


def test_before_the_first_arrow_every_page_says_it_is_a_guess(client, bare_id):
    for name in FIELD:
        page = client.get(f"/rigs/{bare_id}/ask/{name}?temperature=8+°C")
        assert page.status_code == 200, name
        assert "No arrow was shot yet" in page.text
        assert "<script>alert" not in page.text


def test_a_card_is_printed_and_noted_with_what_was_chosen(client, notebook, rig_id):
    here = f"/rigs/{rig_id}/card"
    done = client.post(here, data={"distances": "20:60:20yd", "sizes": "pocket", "pin": "2"})
    assert done.status_code == 303
    pdf = client.get(done.headers["location"])
    assert pdf.headers["content-disposition"].startswith("inline")
    with pdfplumber.open(io.BytesIO(pdf.content)) as read:
        assert len(read.pages) == 1
        assert "pin 2" in read.pages[0].extract_text()
    (kept,) = prints(notebook, rig_id)
    assert (kept.what, kept.printer_id) == ("card", None)
    assert kept.choices == {"distances": "20:60:20yd", "sizes": "pocket", "pin": "2"}
    assert kept.fingerprint == notebook.newest("calibration", rig_id).body.fingerprint
    assert "range card" in client.get(f"/rigs/{rig_id}/history").text


def test_both_sizes_come_unless_one_is_asked_for_and_looking_notes_nothing(
    client, notebook, rig_id
):
    here = f"/rigs/{rig_id}/card.pdf"
    for look, pages, across_in in (("", 2, 8.27), ("?sizes=page&paper=Letter", 1, 8.5)):
        with pdfplumber.open(io.BytesIO(client.get(f"{here}{look}").content)) as read:
            assert len(read.pages) == pages
            assert float(read.pages[0].width) == pytest.approx(72.0 * across_in, abs=0.5)
    assert not prints(notebook, rig_id)


def test_a_card_as_csv_is_what_the_page_shows(client, ask, rig_id):
    sent = client.get(f"/rigs/{rig_id}/card.csv?distances=20,60yd")
    assert "Heron" in sent.headers["content-disposition"]
    assert sent.headers["content-type"].startswith("text/csv")
    rows = list(csv.DictReader(io.StringIO(sent.text)))
    assert [float(one["distance_yd"]) for one in rows] == [20.0, 60.0]
    page = ask("card", distances="20,60yd").text
    for row in rows:
        assert f"<td>{float(row['reading_mm']):.1f}</td>" in page
    assert "card.csv?distances=20%2C60yd" in page


@pytest.mark.parametrize(
    "look", ["sizes=huge", "paper=A0", "radius=x", "pin=7", "distances=2:100:1m"]
)
def test_a_card_that_cannot_be_printed_is_told_and_not_noted(client, notebook, rig_id, look):
    here = f"/rigs/{rig_id}/card"
    assert client.get(f"{here}.pdf?{look}").status_code == 422
    assert client.post(here, data=dict([look.split("=")])).status_code == 422
    assert not prints(notebook, rig_id)
    assert client.get(f"{here}.exe").status_code == 404


@pytest.mark.parametrize(
    ("name", "drawn"), [("card", "flight"), ("slopes", "slopes"), ("budget", "budget")]
)
def test_a_picture_comes_with_the_answer_and_may_be_kept(client, ask, name, drawn):
    page = ask(name).text
    (image,) = re.findall(r"<img[^>]*>", page)
    for part in ('loading="lazy"', 'width="800"', 'height="480"', "alt="):
        assert part in image
    address = re.search(r'src="([^"]*)"', image)[1].replace("&amp;", "&")
    assert f"/picture/{drawn}.svg?at=60+yd&units=yd" in address
    picture = client.get(address)
    assert picture.text.startswith("<?xml")
    assert picture.headers["cache-control"] == "private, max-age=31536000, immutable"
    stale = client.get(address.replace(__version__, "0.0.0"))
    assert stale.headers["cache-control"] == "no-store"


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("card", {"pin": "2"}),
        ("card", {"radius": "5 in"}),
        ("slopes", {"pin": "2"}),
        ("budget", {"cant": "2 deg"}),
    ],
)
def test_no_picture_stands_beside_tables_that_say_something_else(ask, name, said):
    assert "<img" not in ask(name, **said).text
    assert "<img" in ask(name, pin="1").text


def test_pictures_are_drawn_as_svg_and_png_for_a_name_that_is_no_formula(client, bare_id):
    here = f"/rigs/{bare_id}/picture"
    assert client.get(f"{here}/marks.png?units=m").content.startswith(b"\x89PNG")
    assert client.get(f"{here}/flight.svg?at=20,30m").status_code == 422
    assert client.get(f"{here}/flight.svg?at=x").status_code == 422
    for wrong in ("marks.pdf", "else.svg"):
        assert client.get(f"{here}/{wrong}").status_code == 404


def test_without_the_drawing_library_a_page_says_what_is_missing(ask, monkeypatch):
    monkeypatch.setattr("tapewright.faces.web.pages.outdoors.can_draw", lambda: False)
    page = ask("slopes").text
    assert "<img" not in page
    told = "A picture of it needs an optional library: <code>./run --with pictures</code> adds it"
    assert told in page


def test_the_drawing_library_is_found():
    assert charts.can_draw()


class Parts(HTMLParser):
    """Text of the style and of the script that runs."""

    def __init__(self):
        super().__init__()
        self.open, self.kept = "", {}

    def handle_starttag(self, tag, attrs):
        self.open = tag if tag == "style" or (tag == "script" and not dict(attrs)) else ""

    def handle_data(self, data):
        if self.open:
            self.kept[self.open] = self.kept.get(self.open, "") + data

    def handle_endtag(self, _):
        self.open = ""


def test_a_pocket_card_opens_under_a_policy_that_lets_in_its_own_words_only(client, rig_id):
    card = client.get(f"/rigs/{rig_id}/pocket.html")
    policy = card.headers["content-security-policy"]
    assert policy.startswith("default-src 'none'")
    assert "frame-ancestors 'none'" in policy
    assert "'self'" not in policy
    assert "unsafe" not in policy
    parts = Parts()
    parts.feed(card.text)
    assert set(parts.kept) == {"style", "script"}
    for text in parts.kept.values():
        digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
        assert f"'sha256-{digest}'" in policy
    assert "content-disposition" not in card.headers
    assert "Marks each 5 yd" in card.text


def test_a_pocket_card_is_saved_as_a_file_and_noted(client, notebook, rig_id):
    page = client.get(f"/rigs/{rig_id}/pocket").text
    assert f'href="/rigs/{rig_id}/pocket.html"' in page
    assert "<iframe" not in page
    done = client.post(f"/rigs/{rig_id}/pocket")
    assert done.status_code == 303
    saved = client.get(done.headers["location"])
    assert "attachment" in saved.headers["content-disposition"]
    assert "Heron-pocket.html" in saved.headers["content-disposition"]
    (kept,) = prints(notebook, rig_id)
    assert (kept.what, kept.choices) == ("pocket", {})
    assert "pocket card" in client.get(f"/rigs/{rig_id}/history").text


def test_a_rig_that_cannot_be_calibrated_is_told_everywhere(client, notebook):
    notebook.add(KeptRig("draw_weight = 5", "Odd"), now=NOW, entry_id=ID)
    page = client.get(f"/rigs/{ID}/pocket")
    assert "Rig sheet" in page.text
    assert "Open on this phone" not in page.text
    assert 'class="mind">' in client.get(f"/rigs/{ID}/carried").text.split("<main")[1]
    for address in ("ask/card", "card.pdf", "pocket.html", "picture/marks.svg"):
        answer = client.get(f"/rigs/{ID}/{address}")
        assert answer.status_code == 422, address
        assert "Traceback" not in answer.text


@pytest.mark.parametrize(
    "address", ["ask/card", "card.pdf", "pocket", "pocket.html", "picture/marks.svg"]
)
def test_a_rig_that_is_not_kept_is_not_found(client, address):
    assert client.get(f"/rigs/{ID}/{address}").status_code == 404


def test_a_reading_known_by_definition_is_told_no_finer_than_a_sight_is_set(client, bare_id):
    """Before the first arrow 20 yd reads 0 with no band: it was told as 0.000018 mm."""
    page = client.get(f"/rigs/{bare_id}/ask/hold").text
    told = re.findall(r"<td[^>]*>(\d+\.\d+)</td>", page.partition("</table>")[0])
    assert max(len(one.partition(".")[2]) for one in told) <= 2
