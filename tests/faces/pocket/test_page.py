import base64
import hashlib
import json
import re
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import groups, rig, truth_near
from written_out import IMPERIAL, METRIC

from tapewright.calibration.rig import Belief
from tapewright.faces.pocket.page import card_numbers, pocket_page
from tapewright.services.calibrate import calibrate
from tapewright.services.pocket import make_pocket_card

SAFETY = (
    "Shoot only at a safe stop with clear ground behind it; a first far arrow needs a larger butt.",
    "Distances to people and boundaries: club's and national body's rules, and local law.",
    "Never shoot a damaged shaft or one lighter than the bow maker allows; never dry-fire.",
    "Never shoot past the distance at which arrow and housing clear each other.",
    "Press work and changes at peak weight belong to a qualified technician.",
    "In hunting the trusted distance is no permission: local law and the animal decide.",
)

LISTED_M = np.sort(np.concatenate([np.arange(5, 125, 5) * YARD_M, np.arange(5.0, 125.0, 5.0)]))
GRID_M = np.arange(10, 126) * YARD_M
PINS = tuple(Belief(4e-3 * pin, 0.2e-3) for pin in (1, 2))


def card_of(sight=None, **parts):
    sheet = rig(sight, **parts)
    shots = groups(sheet, truth_near(sheet))
    return make_pocket_card(calibrate(sheet, shots, (18.0,), GRID_M), LISTED_M)


@pytest.fixture(scope="module")
def card():
    return card_of({"clearance_reading_m": 0.088}, name="<b>Möwe</b></script>")


class Page(HTMLParser):
    def __init__(self, text):
        super().__init__()
        self.tags, self.kept, self.inside = [], {}, None
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        self.inside = (tag, dict(attrs).get("id"))

    def handle_data(self, data):
        self.kept.setdefault(self.inside, data)


def test_the_page_asks_nothing_of_anybody(card):
    page = pocket_page(card, IMPERIAL, "2026-11-25")
    assert len(page.encode()) < 200_000
    assert "{{" not in page
    assert not re.search(r"(?:src|href|action|srcset)\s*=", page)
    assert not re.search(r"@import|url\(|fetch\(|XMLHttp|import\(", page)
    # the only address is the name of SVG's vocabulary, which is never looked up
    assert set(re.findall(r"https?://[^\"' ]+", page)) == {"http://www.w3.org/2000/svg"}
    handlers = [key for _, attrs in Page(page).tags for key in attrs if key.startswith("on")]
    assert not handlers
    assert not [attrs for _, attrs in Page(page).tags if "style" in attrs]


def test_the_policy_lets_in_these_words_and_no_others(card):
    page = pocket_page(card, IMPERIAL, "2026-11-25")
    read = Page(page)
    policy = next(attrs for _, attrs in read.tags if "http-equiv" in attrs)["content"]
    assert policy.startswith("default-src 'none'")
    for tag, words in (("style", r"style-src '([^']+)'"), ("script", r"script-src '([^']+)'")):
        told = re.search(words, policy).group(1)
        digest = hashlib.sha256(read.kept[tag, None].encode()).digest()
        assert told == f"sha256-{base64.b64encode(digest).decode()}"


def test_a_name_cannot_break_out(card):
    page = pocket_page(card, IMPERIAL, "2026-11-25")
    assert "<b>Möwe" not in page
    assert page.count("</script>") == 2
    numbers = json.loads(Page(page).kept["script", "numbers"])
    assert numbers["fingerprint"] == card.answer.fingerprint


def test_numbers_carry_their_units_and_come_back_exactly(card):
    numbers = card_numbers(card, METRIC)
    assert numbers["unit"] == "m"
    assert numbers["domain"]["steepest_deg"] == 60.0
    assert numbers["home_c"] == 15.0
    heights = numbers["grain_m"] * np.array(numbers["heights"]).reshape(numbers["shape"])
    assert heights == pytest.approx(card.table.heights_m, abs=1e-12)
    assert numbers["limits"] == {"direction": 1, "far_mm": 88.0, "near_mm": None}


def test_lists_say_what_is_a_guess_and_what_must_not_be_shot(card):
    page = pocket_page(card, IMPERIAL, "2026-11-25")
    rows = re.findall(r"<tr[^>]*><th scope=\"row\">.*?</tr>", page)
    assert len(rows) == 24 + 22
    assert "<s>" in rows[23]
    assert "<s>" not in rows[10]
    assert ">5 ↩<" in rows[0]
    assert "120 ?" in rows[23]
    assert "Struck through: do not shoot" in page
    yards, metres = (page.index(f'data-list="{unit}"') for unit in ("yd", "m"))
    assert yards < metres
    assert "hidden" not in page[yards:metres].split(">")[0]
    assert "hidden" in page[metres:].split(">")[0]
    swapped = pocket_page(card, METRIC, "2026-11-25")
    assert swapped.index('data-list="m"') < swapped.index('data-list="yd"')
    for line in SAFETY:
        assert line.replace("'", "&#x27;") in page


def test_a_mark_of_nothing_has_no_minus(card):
    place = int(np.argmin(np.abs(card.listed_m - 20.0)))
    first = card.pins[0]
    nearly = np.where(np.arange(len(card.listed_m)) == place, -1e-9, first.listed_m)
    below = np.where(np.arange(len(card.listed_m)) == place + 2, -0.0123, nearly)
    page = pocket_page(replace(card, pins=(replace(first, listed_m=below),)), METRIC, "2026-11-25")
    marks = re.findall(r'<td class="mark">([^ <]*)', page)
    assert "0.00" in marks
    assert "−12.30" in marks
    assert "−0.00" not in page


def test_an_arm_s_end_is_a_dash_and_three_pins_leave_no_room_for_hold():
    short = {"arm_length_m": 0.15, "arm_level_reading_m": 0.03, "pins_below_first_m": PINS}
    made = card_of(short)
    first = made.pins[0]
    ended = replace(
        first,
        listed_m=np.where(made.listed_m > 100.0, np.nan, first.listed_m),
        listed_low_m=np.where(made.listed_m > 90.0, np.nan, first.listed_low_m),
        low_m=np.where(made.distance_m > 90.0, np.nan, first.low_m),
    )
    made = replace(made, pins=(ended, *made.pins[1:]))
    page = pocket_page(made, IMPERIAL, "2026-11-25")
    assert '<td class="mark guess">—</td>' in page
    assert "±nan" not in page
    assert "pin 3</th>" in page
    assert ">hold</th>" not in page
    numbers = card_numbers(made, IMPERIAL)
    assert numbers["scale"]["arm_mm"] == pytest.approx(150.0)
    assert numbers["pins"][0]["low"][0][-1] is None
    assert numbers["limits"]["far_mm"] is None
