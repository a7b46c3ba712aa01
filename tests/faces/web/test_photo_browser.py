"""A photograph confirmed on a phone: sent, dots moved and added by touch, and kept."""

import re

import numpy as np
import pytest
from browser import PHONE, faults, open_browser
from tests.support.sent_photograph import HOLES_MM, nearest_mm, sent_photograph

WITHIN_MM = 1.5  # a tap is a pixel of the screen, under 0.9 mm; a step of a field 1.0 mm


@pytest.fixture
def page(address):
    """The form of a new group of the sample rig, on a phone."""
    home, _ = address
    wrong = []
    with open_browser() as browser:
        context = browser.new_context(viewport=PHONE, has_touch=True)
        opened = context.new_page()
        opened.on("console", lambda one: wrong.append(one.text))
        opened.on("pageerror", lambda one: wrong.append(str(one)))
        opened.goto(f"{home}/rigs")
        opened.get_by_role("button", name="invented sample").click()
        opened.wait_for_url("**/rigs/*")
        opened.goto(f"{opened.url}/groups/new?distance=20+yd&reading=16.1")
        yield opened
    assert not [one for one in wrong if "422" not in one]  # a refusal, asked for


def picture():
    return {"name": "monday.jpg", "mimeType": "image/jpeg", "buffer": sent_photograph()[0]}


def dots_mm(page):
    """Where the dots are drawn, in mm right and down from the aim."""
    half = float(page.locator("#span").inner_text().split()[0]) / 2.0
    found = page.locator("#dots circle")
    every = [found.nth(one) for one in range(found.count())]
    return [
        tuple(float(one.get_attribute(at)) * half / 100.0 * 25.4 for at in ("cx", "cy"))
        for one in every
    ]


def nearest_dot(page, hole_mm):
    """Which arrow lies nearest to a hole."""
    return int(np.argmin(np.hypot(*(np.array(dots_mm(page)) - hole_mm).T)))


def tap_at(page, x_mm, y_mm):
    """Tap the target at a place in mm right and down from the aim."""
    across_mm = 25.4 * float(page.locator("#span").inner_text().split()[0])
    box = page.locator("#face").bounding_box()
    where = [box["width"] * (0.5 + at / across_mm) for at in (x_mm, y_mm)]
    page.locator("#face").tap(position={"x": where[0], "y": where[1]})


def test_a_picture_is_confirmed_moved_added_to_and_kept(page, address):
    _, notebook = address
    page.get_by_role("button", name="From a photograph").tap()
    page.wait_for_url("**/photo?*")
    assert faults(page) == []
    page.fill("#code", "no such code")
    page.set_input_files("#chosen", picture())
    page.get_by_role("button", name="Find the arrows").tap()
    page.get_by_text("The picture is still here, too.").wait_for()  # refused, and not lost
    page.fill("#code", "")
    slow = "const form = HTMLFormElement.prototype; form.sends = form.submit;"
    page.evaluate(f"() => {{ {slow} form.submit = () => undefined; }}")  # a picture that takes long
    page.get_by_role("button", name="Find the arrows").tap()
    page.get_by_text("Looking for arrows").wait_for()
    assert page.locator("#find").is_disabled()
    assert faults(page) == []
    page.get_by_role("button", name="Stop looking").tap()
    page.get_by_text("Looking for arrows").wait_for(state="hidden")
    assert page.locator("#chosen").evaluate("one => one.files[0].name") == "monday.jpg"
    page.evaluate("() => { const form = HTMLFormElement.prototype; form.submit = form.sends; }")
    page.get_by_role("button", name="Find the arrows").tap()
    page.locator("#under").wait_for()
    assert page.locator("#distance").input_value() == "20"
    assert max(nearest_mm(dots_mm(page))) < WITHIN_MM
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert faults(page) == []
    count = len(dots_mm(page))

    # Choose the one that was found by its number, push it off, delete it, tap it anew.
    page.locator("#list button").nth(nearest_dot(page, HOLES_MM[1])).tap()
    page.locator("[data-way=left]").tap()
    assert nearest_mm(dots_mm(page))[1] > 0.5
    page.locator("#delete").tap()
    assert len(dots_mm(page)) == count - 1
    tap_at(page, *HOLES_MM[1])
    page.locator("#list button").nth(nearest_dot(page, HOLES_MM[0])).tap()  # moved there and back
    for way in ("up", "right", "down", "left"):
        page.locator(f"[data-way={way}]").tap()
    tap_at(page, 70.0, -80.0)  # one that nobody proposed
    assert len(dots_mm(page)) == count + 1
    page.get_by_role("button", name="Keep this group").tap()
    page.wait_for_url(re.compile(r"/groups/(new\?after=)?[0-9a-f]{20}$"))

    kept = notebook.entries("group")[-1].body.observation
    places = [(1e3 * hit.right_m, -1e3 * hit.up_m) for hit in kept.group.impacts]
    assert kept.reading_m == pytest.approx(16.1e-3)
    assert len(places) == count + 1
    assert max(nearest_mm(places)) < WITHIN_MM
    assert np.hypot(*(np.array(places) - (70.0, -80.0)).T).min() < WITHIN_MM


def test_corners_are_tapped_near_and_then_exactly(page):
    page.get_by_role("button", name="From a photograph").tap()
    page.wait_for_url("**/photo?*")
    page.get_by_text("A target without marks").tap()
    page.fill("#size", "190x200 mm")
    page.set_input_files("#chosen", picture())
    page.locator("#shown image").wait_for(state="attached")
    for place in sent_photograph()[1]:
        for _ in ("near", "exactly"):
            at = page.locator("#shown").evaluate(
                "(one, at) => { const p = new DOMPoint(...at).matrixTransform(one.getScreenCTM());"
                " const box = one.getBoundingClientRect(); return [p.x - box.x, p.y - box.y]; }",
                [float(place[0]) + 0.5, float(place[1]) + 0.5],
            )
            page.locator("#shown").tap(position={"x": at[0], "y": at[1]})
    assert "All four corners are set" in page.locator("#which").inner_text()
    assert faults(page) == []
    page.get_by_role("button", name="Find the arrows").tap()
    page.locator("#under").wait_for()
    assert max(nearest_mm(dots_mm(page))) < WITHIN_MM
