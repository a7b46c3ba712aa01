"""True size on a screen, set by a bank card: ISO/IEC 7810 ID-1, 85.60 by 53.98 mm (from memory)."""

import re

import pytest
from browser import PHONE, open_browser

WITHIN = 0.6  # points: half of one for each end, and what a browser rounds


@pytest.fixture(scope="module")
def chromium():
    with open_browser() as browser:
        yield browser


def tape_page(chromium, home, rig, name="tape", **screen):
    context = chromium.new_context(**({"viewport": PHONE} | screen))
    page = context.new_page()
    wrong = []
    page.on("console", lambda one: wrong.append(one.text))
    page.on("pageerror", lambda one: wrong.append(str(one)))
    page.goto(f"{home}/rigs/{rig}/{name}")
    page.locator("#true-size summary").click()
    return page, wrong


def held_against(page, high):
    """The card is as high as so many points: the frame is made so, and said to fit."""
    page.locator("#card-size").fill(f"{high}")
    page.locator("#card-fits").click()


def size(page, what="#preview .sheet img"):
    box = page.locator(what).bounding_box()
    return box["width"], box["height"]


def drawn_mm(page, picture):
    """Width and height that the drawing itself says."""
    address = page.locator("#preview .sheet img").get_attribute("src")
    assert f"/{picture}.svg" in address
    text = page.evaluate("async (one) => (await fetch(one)).text()", address)
    found = re.search(r'width="([\d.]+)mm" height="([\d.]+)mm"', text)
    return float(found[1]), float(found[2])


@pytest.fixture
def rig(address, chromium):
    home, _ = address
    page = chromium.new_page()
    page.goto(f"{home}/rigs")
    page.get_by_role("button", name="invented sample").click()
    page.wait_for_url("**/rigs/*")
    return home, page.url.rpartition("/")[2]


@pytest.mark.parametrize(
    ("name", "picture"), [("tape", "strip"), ("gauge", "gauge-strip"), ("target", "target-sheet")]
)
def test_a_card_held_against_the_screen_makes_the_preview_true(chromium, rig, name, picture):
    page, wrong = tape_page(chromium, *rig, name)
    told = page.locator("#preview .size-told")
    assert told.inner_text() == "Its proportions here are true, its size is not."
    page.locator("#card-size").fill("500")
    wide, high = size(page, "#card")
    assert (wide, high) == pytest.approx((500 * 53.98 / 85.60, 500), abs=WITHIN)
    held_against(page, 513.6)  # 6 points a millimetre, as on many a phone
    assert told.inner_text() == "In true size on this screen."
    assert size(page) == pytest.approx([6 * one for one in drawn_mm(page, picture)], abs=WITHIN)
    page.reload()
    assert size(page) == pytest.approx([6 * one for one in drawn_mm(page, picture)], abs=WITHIN)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    page.locator("#true-size summary").click()
    page.get_by_label("Show the preview in true size").uncheck()
    assert told.inner_text() == "Its proportions here are true, its size is not."
    assert not wrong


def test_it_stays_true_when_the_preview_changes_and_when_the_page_is_enlarged(chromium, rig):
    page, wrong = tape_page(chromium, *rig)
    held_against(page, 428)  # 5 points a millimetre
    page.get_by_label("Width of the strip").fill("20 mm")
    page.get_by_label("Width of the strip").press("Tab")
    page.locator("#preview img.true[data-wide-mm='28']").wait_for()
    wide, _ = size(page)
    assert wide == pytest.approx(5 * 28, abs=WITHIN)
    # twice as many dots a point: the page is enlarged, and half as many points are a millimetre
    page.evaluate(
        "Object.defineProperty(window, 'devicePixelRatio', {value: 2 * devicePixelRatio});"
        "dispatchEvent(new Event('resize'))"
    )
    assert size(page)[0] == pytest.approx(2.5 * 28, abs=WITHIN)
    assert not wrong


def test_it_is_kept_for_one_screen_and_not_for_another(chromium, rig):
    page, _ = tape_page(chromium, *rig, screen={"width": 390, "height": 844})
    held_against(page, 513.6)
    kept = page.evaluate("localStorage.getItem('tapewright-screen-390x844')")
    other, wrong = tape_page(chromium, *rig, screen={"width": 1920, "height": 1080})
    other.evaluate("kept => localStorage.setItem('tapewright-screen-390x844', kept)", kept)
    other.reload()
    assert "its size is not" in other.locator("#preview .size-told").inner_text()
    assert not other.locator("#true-on").is_enabled()
    assert not wrong
