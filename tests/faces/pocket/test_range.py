"""The range's part of the pocket card, in a browser without a network."""

from datetime import UTC, datetime

import numpy as np
import pytest
from browser import PATIENCE_MS, faults, open_browser, open_phone
from exact_units import INCH_M, YARD_M
from playwright.sync_api import expect
from sessions import groups, rig, truth_near
from written_out import IMPERIAL

from tapewright.faces.carried_json import carried_json
from tapewright.faces.pocket.card import pocket_page
from tapewright.reading.shots import read_shots
from tapewright.services.calibrate import calibrate
from tapewright.services.carry import carry
from tapewright.services.pocket import make_pocket_card

AT = datetime(2026, 11, 30, tzinfo=UTC)
LISTED_M = np.arange(5, 125, 5) * YARD_M
NO_STORE = (
    """Object.defineProperty(window, "localStorage", { get() { throw new Error("none"); } });"""
)
ARROWS = ((0.5, 2.25), (-0.25, 3.0), (0.25, 2.5))


@pytest.fixture(scope="module")
def sheet():
    return rig({"elevation_click_m": 0.05e-3})


@pytest.fixture(scope="module")
def card(sheet, tmp_path_factory):
    answer = calibrate(
        sheet, groups(sheet, truth_near(sheet)), (18.0,), np.arange(10, 126) * YARD_M
    )
    pack = carried_json(carry(answer, YARD_M), IMPERIAL, AT)
    path = tmp_path_factory.mktemp("card") / "card.html"
    page = pocket_page(make_pocket_card(answer, LISTED_M), IMPERIAL, "2026-11-30", pack)
    path.write_text(page, encoding="utf-8")
    assert len(page.encode()) < 300_000
    return path


def test_the_card_keeps_groups_once_it_knows_that_it_can_and_hands_them_back(card, sheet, tmp_path):
    with open_browser() as browser, open_phone(browser, card) as page:
        page.locator("#along summary").first.click()
        expect(page.locator("#group")).to_be_hidden()
        page.get_by_role("button", name="Look again").click()
        page.locator("#along summary").first.click()
        page.fill("#range-distance", "60")
        page.fill("#range-reading", "46.5")
        for row, (right, up) in enumerate(ARROWS, 1):
            page.fill(f"[name=right-{row}]", str(right))
            page.fill(f"[name=up-{row}]", str(up))
        page.get_by_role("button", name="Keep this group here").click()
        expect(page.locator("#range-turned")).to_contain_text("2.6 in high")
        page.reload()
        page.locator("#along summary").first.click()
        expect(page.locator("#range-kept")).to_contain_text("60 yd, dialled 46.50 mm: 3 arrows")
        assert not faults(page)
        assert page.evaluate("document.documentElement.scrollWidth") == 390
        with page.expect_download(timeout=PATIENCE_MS) as saved:
            page.get_by_role("button", name="Save them as a file").click()
        saved.value.save_as(tmp_path / "shots.csv")
    (one,), notes = read_shots((tmp_path / "shots.csv").read_text(encoding="utf-8"), "it", sheet)
    assert not notes
    assert one.distance_m == pytest.approx(60 * YARD_M)
    assert one.reading_m == pytest.approx(46.5e-3)
    found = [(hit.right_m, hit.up_m) for hit in one.group.impacts]
    assert found == [pytest.approx((right * INCH_M, up * INCH_M)) for right, up in ARROWS]


def test_where_the_browser_keeps_nothing_the_card_only_shows(card):
    with open_browser() as browser, open_phone(browser, card) as page:
        page.add_init_script(NO_STORE)
        page.reload()
        page.locator("#along summary").first.click()
        expect(page.get_by_text("does not keep what it writes")).to_be_visible()
        expect(page.locator("#group")).to_be_hidden()
        expect(page.locator("#range-far")).to_contain_text("yd")
