"""Every page in further shapes: 320 px wide, lying, letters twice as large; nothing of any impact.

Addresses come from the app's own routers. Where axe has a word of any weight, or a page is wider
than its screen, the page and the word are listed.
"""

import pytest
from browser import faults
from every_page import addresses
from rigs_kept import NOW, groups, keep_rig, sheet, some_id

from tapewright.services.keep import KeptRig, KeptSession, Write

SHAPES = {  # width, height, size of letters, theme
    "narrow": (320, 640, 100, "auto"),
    "lying": (844, 390, 100, "dark"),
    "large letters": (390, 844, 200, "sun"),
}
ANY = {"minor", "moderate", "serious", "critical"}
OPEN = "document.querySelectorAll('details').forEach(one => { one.open = true; })"


@pytest.mark.long
@pytest.mark.timeout(6000)
@pytest.mark.parametrize("shape", SHAPES)
def test_each_page_is_clean_in_a_further_shape(enter, live, notebook, shape):
    width, height, percent, theme = SHAPES[shape]
    ids = keep_rig(notebook)
    page = enter(refused={404, 422}, viewport={"width": width, "height": height})
    page.context.add_cookies([{"name": "theme", "value": theme, "url": live.home}])
    wrong, count = [], 0
    for address in addresses(ids):
        answer = page.context.request.get(address)
        if not answer.headers["content-type"].startswith("text/html"):
            continue
        page.goto(address)
        page.evaluate(f"document.documentElement.style.fontSize = '{percent}%'")
        page.evaluate(OPEN)
        wrong += [(address, *one) for one in faults(page, ANY)]
        wide = page.evaluate("document.documentElement.scrollWidth")
        if wide > width:
            wrong.append((address, f"{wide} px wide"))
        count += 1
    assert count > 60
    assert not wrong, "\n".join(map(str, wrong))


def test_three_pins_fit_a_phone_with_large_letters(enter, notebook):
    """A head of numbered arrows made a page 428 px wide, the marks at the range one of 586."""
    rig, session = some_id(), some_id()
    text = sheet("Three") + 'pins_below_first = ["9 mm", "17 mm"]\n'
    notebook.save_all([Write(rig, KeptRig(text, "Three"))], now=NOW)
    kept = KeptSession("2026-11-24", "sighting", "", 0)
    notebook.save_all([Write(session, kept, rig_id=rig), *groups(rig, session)], now=NOW)
    page = enter()
    for place in ("groups/new", "carried"):
        page.goto(f"/rigs/{rig}/{place}", wait_until="networkidle")
        page.evaluate("document.documentElement.style.fontSize = '200%'")
        page.evaluate(OPEN)
        for tick in page.locator("#numbered").all():
            tick.check(force=True)
        assert page.evaluate("document.documentElement.scrollWidth") <= 390, place
