"""From an empty notebook to a printed tape in a real browser: touch, keyboard, no scripts.

The archer's arrows hit the aim at readings that a bow of the rig sheet's numbers would need; so
the ticks of these distances must lie as far apart on the paper as the readings do.
"""

import re

import pytest
from on_paper import page_of, proof_rulers_mm, strips_mm
from playwright.sync_api import expect

RULER_MM = 0.005  # the file's numbers are finer; a steel rule shows 0.1 mm
TABLE_MM = 0.1  # the page tells both marks in the digits that are known, here tenths
SHOT_MM = 0.5  # half a millimetre of the sight's scale: a few arrows against an uncertain sheet
RIG = re.compile(r"/rigs/[0-9a-f]{20}$")
GROUP = re.compile(r"/groups/(new\?after=)?[0-9a-f]{20}$")
SHEET = {
    "Name of the rig": "Heron",
    "Arrow mass": "420 gr ± 2",
    "Shaft diameter": "6.0 mm",
    "Arrow length": "28.5 in",
    "Draw weight": "60 lbf",
    "Draw length": "29 in",
    "Rest before the grip": "5 mm",
    "Arrow speed": "278 fps ± 3",
    "Peep height": "4.6 in ± 0.15",
    "Sight radius": "33 in ± 0.5",
}
METRIC_SHEET = SHEET | {"Arrow mass": "27.2 g ± 0.1", "Arrow speed": "84.7 m/s ± 1"}
YARDS = {20: 27.5, 40: 40.7, 60: 57.4}
METRES = {20: 55.7, 30: 48.7, 50: 31.2}  # on a sight whose numbers decrease
AROUND = ((0.1, 0.1), (-0.1, -0.1), (0.1, -0.1), (-0.1, 0.1))


def tap_target(page, places):
    """Tap where arrows landed, in halves of the target's width from the aim."""
    face = page.locator("#face")
    box = face.bounding_box()
    for right, up in places:
        face.tap(position={"x": box["width"] * (1 + right) / 2, "y": box["height"] * (1 - up) / 2})


def marks_mm(page):
    """Readings that the page of marks shows, by distance."""
    rows = page.get_by_role("region", name="What to dial").locator("tbody tr").all()
    cells = [one.locator("th, td").all_inner_texts() for one in rows]
    return {int(one[0]): float(one[1]) for one in cells}


def check_paper(page, ticks, marks, shot):
    """Rulers are true; ticks lie apart as the page's marks and as the archer's readings do."""
    page.wait_for_url(re.compile(r"/tape\.pdf\?"))
    strokes, words = page_of(page.context.request.get(page.url).body())
    assert proof_rulers_mm(strokes) == pytest.approx((100.0, 100.0), abs=RULER_MM)
    _, middle, _ = strips_mm(strokes, len(ticks))
    at_mm = dict(zip(ticks, middle, strict=True))
    near, *_, far = shot
    apart_mm = at_mm[far] - at_mm[near]  # far distances stand at the bottom
    assert apart_mm == pytest.approx(abs(marks[far] - marks[near]), abs=TABLE_MM)
    assert apart_mm == pytest.approx(abs(shot[far] - shot[near]), abs=SHOT_MM)
    return strokes, words


def test_by_touch_on_a_phone_right_handed_in_yards(enter):
    page = enter()
    page.goto("/")
    page.get_by_role("link", name="Describe my rig").tap()
    for label, text in SHEET.items():
        page.get_by_label(label).first.tap()
        page.get_by_label(label).first.fill(text)
    page.get_by_role("button", name="Keep this rig").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("Heron")

    for distance, reading in YARDS.items():
        page.get_by_role("link", name="Shoot", exact=True).first.tap()
        page.get_by_role("link", name=re.compile("^(Another|A new) group")).first.tap()
        page.get_by_label("Distance").fill(str(distance))
        page.get_by_label("Reading, mm").fill(str(reading))
        tap_target(page, AROUND)
        expect(page.locator("#told")).to_contain_text("Arrow 4")
        page.get_by_role("button", name="Keep this group").tap()
        page.wait_for_url(GROUP)
        expect(page.get_by_role("heading", name="What to turn")).to_be_visible()

    page.get_by_role("link", name="Marks", exact=True).tap()
    expect(page.get_by_text(re.compile(r"^Trusted to \d+ yd: up to there"))).to_be_visible()
    marks = marks_mm(page)
    page.get_by_role("link", name="Print the tape").tap()
    page.get_by_role("textbox", name="Distances").fill("20:60:5 yd")
    page.get_by_role("button", name="Show it").tap()
    expect(page.locator("#preview")).to_contain_text("ticks from 20 to 60 yd")
    page.get_by_role("button", name="I print this").tap()
    _, words = check_paper(page, range(20, 61, 5), marks, YARDS)
    assert "Heron" in words


def tab_to(page, wanted, *, back=False, most=150):
    """Press Tab until something is focused, as somebody without a pointer must."""
    wanted = wanted.element_handle()
    for _ in range(most):
        page.keyboard.press("Shift+Tab" if back else "Tab")
        if wanted.evaluate("one => one === document.activeElement"):
            ring = wanted.evaluate("one => getComputedStyle(one).outlineStyle")
            assert ring != "none", "the focus cannot be seen"
            return
    raise AssertionError(f"the keyboard does not reach {wanted}")


def unfold(page, **which):
    tab_to(page, page.locator("summary").filter(**which))
    page.keyboard.press("Enter")


def press(page, role, name, **how):
    """Reach a link or a button by the keyboard and press Enter."""
    tab_to(page, page.get_by_role(role, name=name, **how).first)
    page.keyboard.press("Enter")


def typed(page, label, text):
    """Reach a field by the keyboard and type."""
    tab_to(page, page.get_by_role("textbox", name=label).first)
    page.keyboard.type(text)


def test_by_keyboard_at_a_desk_left_handed_in_metres_numbers_decreasing(enter):
    page = enter(viewport={"width": 1200, "height": 900}, has_touch=False)
    page.goto("/")
    press(page, "link", "Settings")
    press(page, "button", "Metres and centimetres")
    expect(page.get_by_role("button", name="Metres")).to_have_attribute("aria-pressed", "true")
    press(page, "link", "Rigs")
    press(page, "link", "Describe my rig")
    page.wait_for_url("**/new")
    hand = page.get_by_label("Hand that draws the string")
    for label, text in METRIC_SHEET.items():
        typed(page, label, text)
        if label == "Name of the rig":
            tab_to(page, hand)
            page.keyboard.press("ArrowDown")
    expect(hand).to_have_value("left")
    unfold(page, has=page.get_by_role("heading", name="Sight"))
    farther = page.get_by_label("Numbers for farther targets")
    tab_to(page, farther)
    page.keyboard.press("ArrowDown")
    expect(farther).to_have_value("decreases")
    press(page, "button", "Keep this rig")
    page.wait_for_url(RIG)

    for distance, reading in METRES.items():
        press(page, "link", "Shoot", exact=True)
        press(page, "link", re.compile("^(Another|A new) group"))
        page.wait_for_url("**/groups/new*")
        typed(page, "Distance", str(distance))
        typed(page, "Reading, mm", str(reading))
        for row, (right, up) in enumerate(((1, 1), (-1, -1), (0, 0)), 1):
            typed(page, f"Arrow {row}, right", str(right))
            typed(page, f"Arrow {row}, up", str(up))
        if distance == 30:
            nudge_by_arrows(page)
        tab_to(page, page.get_by_role("button", name="Keep this group"))
        page.keyboard.press("Enter")
        page.wait_for_url(GROUP)

    press(page, "link", "Marks", exact=True)
    page.wait_for_url("**/marks")
    unfold(page, has_text="Other distances")
    typed(page, "Distances of the table", "20,30,50 m")
    page.keyboard.press("Enter")
    page.wait_for_url("**/marks?*")
    marks = marks_mm(page)
    assert marks[20] > marks[30] > marks[50]
    press(page, "link", "Print the tape")
    page.wait_for_url("**/tape")
    expect(page.get_by_label("Pointer stands")).to_contain_text("on the left (your hand)")
    typed(page, "Distances", "20:50:5 m")
    page.keyboard.press("Enter")
    expect(page.locator("#preview")).to_contain_text("ticks from 20 to 50 m")
    press(page, "button", "I print this")
    check_paper(page, range(20, 51, 5), marks, METRES)


def nudge_by_arrows(page):
    """The dots are moved by the arrow keys and moved back."""
    tab_to(page, page.locator("#list button").nth(1), back=True)
    page.keyboard.press("Enter")
    expect(page.locator("#told")).to_have_text("Arrow 2: 1 cm left, 1 cm low.")
    page.keyboard.press("ArrowUp")
    expect(page.get_by_label("Arrow 2, up")).not_to_have_value("-1")
    page.keyboard.press("ArrowDown")
    expect(page.get_by_label("Arrow 2, up")).to_have_value("-1")


def test_without_scripts_a_left_hander_comes_as_far(enter):
    page = enter(java_script_enabled=False)
    page.goto("/")
    page.get_by_role("link", name="Describe my rig").tap()
    for label, text in SHEET.items():
        page.get_by_label(label).first.fill(text)
    page.get_by_label("Hand that draws the string").select_option("left")
    page.get_by_role("button", name="Keep this rig").tap()
    for distance, reading in YARDS.items():
        page.get_by_role("link", name="Shoot", exact=True).first.tap()
        page.get_by_role("link", name=re.compile("^(Another|A new) group")).first.tap()
        expect(page.locator("#board")).to_be_hidden()
        page.get_by_label("Distance").fill(str(distance))
        page.get_by_label("Reading, mm").fill(str(reading))
        page.get_by_role("checkbox", name="It hits here").check()
        page.get_by_role("button", name="Keep this group").tap()
        page.wait_for_url(GROUP)
    page.get_by_role("link", name="Marks", exact=True).tap()
    page.get_by_text("Other distances").tap()
    page.get_by_label("Distances of the table").fill("20,40,60 yd")
    page.get_by_role("button", name="Show").tap()
    page.wait_for_url("**/marks?*")
    marks = marks_mm(page)
    page.get_by_role("link", name="Print the tape").tap()
    page.get_by_role("textbox", name="Distances").fill("20:60:5 yd")
    page.get_by_role("button", name="Show it").tap()
    expect(page.locator("#preview")).to_contain_text("ticks from 20 to 60 yd")
    page.get_by_role("button", name="I print this").tap()
    check_paper(page, range(20, 61, 5), marks, YARDS)
