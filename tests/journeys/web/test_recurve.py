"""A recurve's rig on a phone: its form shows its own lines, and no page speaks of a peep."""

import re

import pytest

RIG = re.compile(r"/rigs/[0-9a-f]{20}")
SHEET = {
    "Name of the rig": "Reed",
    "Arrow mass": "21.4 g ± 0.1",
    "Shaft diameter": "5.5 mm",
    "Arrow length": "724 mm",
    "Draw weight": "187 N",
    "Draw length": "724 mm",
    "Rest before the grip": "10 mm",
    "Eye above the arrow": "118 mm ± 5",
    "Sight radius": "900 mm ± 10",
}
ONLY_COMPOUNDS = re.compile(
    r"\b(peep|cams?|rated|rating|let-off|timing|press work)\b", re.IGNORECASE
)


def shown(page, name):
    return page.locator(f"[id='{name}']").is_visible()


@pytest.mark.parametrize(("kind", "hand"), [("recurve", "right"), ("longbow", "left")])
def test_a_bow_without_a_peep_on_a_phone(enter, kind, hand):
    page = enter()
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto("/rigs/new")
    lines = ("sight.peep_height", "bow.rated_speed", "sight.eye_height")
    assert [shown(page, one) for one in lines] == [True, True, False]
    page.get_by_label("Kind of bow").select_option(kind)
    assert [shown(page, one) for one in lines] == [False, False, True]
    page.get_by_label("Hand that draws the string").select_option(hand)
    for label, text in SHEET.items():
        page.get_by_label(label).first.fill(text)
    if kind == "longbow":
        page.get_by_label("Arrow mass").first.fill("29 g ± 0.1")
    page.get_by_role("button", name="Keep this rig").click()
    rig = RIG.search(page.url)[0]
    for place in ("", "/plan", "/marks", "/ask/limits", "/shoot", "/tape"):
        page.goto(rig + place)
        assert page.evaluate("document.documentElement.scrollWidth") <= 390, place
        told = page.locator("main").inner_text()
        assert not ONLY_COMPOUNDS.search(told), (place, ONLY_COMPOUNDS.search(told))
    page.goto(rig)
    page.get_by_text("the check list").click()
    parts = page.locator("dl.parts").inner_text()
    assert "bow, limbs, string\n" in parts
    assert not ONLY_COMPOUNDS.search(parts)
