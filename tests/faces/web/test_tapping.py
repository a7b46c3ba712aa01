"""Tapping arrows on the drawn target, by touch on a phone, and the same form without scripts."""

import pytest
from playwright.sync_api import expect
from tests.support.browser import PHONE, faults, open_browser


@pytest.fixture
def open_group(address):
    """Open the form of a new group of the sample rig."""
    home, notebook = address
    wrong = []
    with open_browser() as browser:

        def opened(**how):
            context = browser.new_context(viewport=PHONE, has_touch=True, **how)
            page = context.new_page()
            page.on("console", lambda one: wrong.append(one.text))
            page.on("pageerror", lambda one: wrong.append(str(one)))
            page.goto(f"{home}/rigs")
            page.get_by_role("button", name="invented sample").click()
            page.wait_for_url("**/rigs/*")
            page.goto(f"{page.url}/groups/new?distance=40+yd&reading=29.4")
            return page, notebook

        yield opened
    assert not wrong


def tap(page, right, up):
    """Tap the target, in halves of its width from the aim; returns what is told."""
    face = page.locator("#face")
    box = face.bounding_box()
    where = {"x": box["width"] * (1 + right) / 2, "y": box["height"] * (1 - up) / 2}
    face.tap(position=where)
    return page.locator("#told").inner_text()


def rows(page):
    every = page.locator("#rows .row")
    found = [
        [*(every.nth(row).locator(f'[name^="{cell}-"]').input_value() for cell in ("right", "up")),
         every.nth(row).locator('[name^="bad-"]').is_checked()]
        for row in range(every.count())
    ]  # fmt: skip
    return [one for one in found if one != ["", "", False]]


def test_arrows_are_tapped_moved_undone_called_bad_and_kept(open_group):
    page, notebook = open_group()
    assert tap(page, 0.2, -0.5) == "Arrow 1: 1.2 in right, 3 in low."
    assert tap(page, -0.25, 0.5) == "Arrow 2: 1.5 in left, 3 in high."
    tap(page, 0.75, 0.75)
    page.locator("#called").tap()
    assert "called bad" in page.locator("#told").inner_text()
    assert tap(page, 0.2, -0.5) == "Arrow 1: 1.2 in right, 3 in low."  # chosen, not added
    page.locator("[data-way=up]").tap()
    page.locator("[data-way=left]").tap()
    assert rows(page)[0] == ["1.1", "-2.9", False]
    page.locator("#undo").tap()
    page.locator("#wider").tap()
    assert "24 in across" in page.locator("#span").inner_text()
    assert tap(page, 0.5, 0.5) == "Arrow 4: 6 in right, 6 in high."
    page.locator("#delete").tap()
    assert rows(page) == [["1.2", "-2.9", False], ["-1.5", "3", False], ["4.5", "4.5", True]]
    page.locator("#list button").first.focus()
    page.keyboard.press("Enter")
    page.keyboard.press("ArrowDown")
    assert "Arrow 1: 1.2 in right, 3.1 in low." in page.locator("#told").inner_text()
    assert faults(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    page.get_by_role("button", name="Keep this group").tap()
    page.wait_for_url(lambda url: "new" not in url)
    assert page.get_by_role("heading", name="What to turn").is_visible()
    kept = notebook.entries("group")[-1].body.observation.group
    assert [hit.called_bad for hit in kept.impacts] == [False, False, True]
    assert kept.impacts[0].up_m == pytest.approx(-3.1 * 0.0254)


def test_without_scripts_the_fields_do_it_all(open_group):
    page, notebook = open_group(java_script_enabled=False)
    assert not page.locator("#board").is_visible()
    page.get_by_role("button", name="Add a row").click()
    expect(page.locator("#rows .row")).to_have_count(4)
    page.fill("#right-4", "-1")
    page.fill("#up-4", "-4")
    page.press("#up-4", "Enter")  # keeps the group, adds no row
    page.wait_for_url(lambda url: "new" not in url)
    assert page.get_by_role("heading", name="What to turn").is_visible()
    assert notebook.entries("group")[-1].body.observation.group.arrows == 1
