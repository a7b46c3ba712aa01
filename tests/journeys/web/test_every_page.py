"""Every page of the app: clean for axe in three themes, no wider than a phone, two links away.

Addresses come from the app's own routers, so that a page added later is looked at, too.
"""

import pytest
from browser import BAD, PHONE, faults
from every_page import addresses, errand_paths
from rigs_kept import NOW, keep_many, keep_rig, sheet, some_id

from tapewright.services.keep import KeptRig

THEMES = ("auto", "sun", "dark")
REFUSED = frozenset({404, 422})
COLOURS = "async () => (await axe.run({runOnly: ['color-contrast']})).violations"
LINKS = """all => all.filter(one => one.checkVisibility()).map(one => one.getAttribute("href"))"""
FOLDED = """all => all.filter(one => !one.checkVisibility())
  .filter(one => !one.closest("details").parentElement.closest("details"))
  .map(one => one.getAttribute("href"))"""
WIDEST = """() => [...document.querySelectorAll("main *")]
  .filter(one => !one.closest(".wide, pre, .drawing, .fan, .vanish, .unseen"))
  .filter(one => one.getBoundingClientRect().right > innerWidth + 1)
  .map(one => one.outerHTML.slice(0, 120)).slice(0, 3)"""
ONE_PAGE = {
    "/ask/marks": "/marks",
    "/ask/plan": "/plan",
    "/ask/next": "",  # the rig's own page
    "/ask/prove": "/prove",
    "/ask/setup": "/setup",
}  # questions that have grown pages
INSIDE = {
    "/strip.svg", "/gauge-strip.svg", "/target-sheet.svg", "/handover-sheet.svg",
    "/large-sheet.svg",  # in their pages
    "/setup/photo.jpg",  # the same
    "/photo",  # a step of the form of a new group, which sends along what is typed
    "/parked",  # told of on the rig's page and under Shoot while a phone's groups wait
}  # fmt: skip


def is_page(page, address):
    """Whether an address gives a page, and not a file or a picture."""
    answer = page.context.request.get(address)
    assert answer.status < 500, address
    return answer.headers["content-type"].startswith("text/html")


def look(page, address, themes):
    """Everything wrong with a page, and where its links lead, those in folds apart."""
    page.goto(address)
    links = page.eval_on_selector_all("a[href]", LINKS)
    folded = page.eval_on_selector_all("main details a[href]", FOLDED)
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    wrong = [(address, "axe", one) for one in faults(page)]
    for theme in themes:
        page.evaluate("theme => { document.documentElement.dataset.theme = theme; }", theme)
        wrong += [
            (address, theme, one["id"], node["html"], node["failureSummary"])
            for one in page.evaluate(COLOURS)
            if one["impact"] in BAD
            for node in one["nodes"]
        ]
    wide = page.evaluate("document.documentElement.scrollWidth")
    if wide > PHONE["width"]:
        wrong.append((address, f"{wide} px wide", page.evaluate(WIDEST)))
    return wrong, links, folded


def test_the_look_sees_a_fault_a_faint_colour_and_a_wide_page(enter):
    page = enter()
    bad = (
        '<main><img src="/static/icon.svg"><p style="color: #888; background: #999">faint</p>'
        '<p style="width: 500px">wide</p></main>'
    )
    text = page.context.request.get("/wishes").text().partition("<main")[0] + bad
    page.route("**/wishes", lambda one: one.fulfill(body=text, content_type="text/html"))
    wrong, links, _ = look(page, "/wishes", ["dark"])
    assert [one[1] for one in wrong] == ["axe", "axe", "dark", "516 px wide"]
    assert "/rigs" in links


def far_errands(seen, folded, here):
    """Pages of a rig that are farther than two links from its own page, whose folds are open."""
    first = {one for one in (*seen[here], *folded) if one.startswith("/")}
    second = {link for one in first for link in seen.get(one, ())}
    near = {one.partition("?")[0].partition("#")[0] for one in first | second} | {here}
    paths = {ONE_PAGE.get(one, one) for one in errand_paths()} - INSIDE
    return sorted(one for one in paths if here + one not in near)


def test_with_one_rig_each_page_is_clean_in_three_themes_narrow_and_two_taps_away(enter, notebook):
    page = enter(refused=REFUSED)
    ids = keep_rig(notebook)
    wrong, seen, folded, here = [], {}, [], f"/rigs/{ids['rig_id']}"
    for address in addresses(ids):
        if is_page(page, address):
            found, seen[address], behind = look(page, address, ("sun", "dark"))
            wrong += found
            folded = behind if address == here else folded
    assert not wrong, "\n".join(map(str, wrong))
    assert len(seen) > 55  # forty pages, a dozen questions and their further faces
    assert not far_errands(seen, folded, here)


def test_on_the_first_day_the_pages_are_clean_in_three_themes_and_narrow(enter):
    page = enter(refused=REFUSED)
    wrong = []
    for address in ("/rigs", "/aside", "/printers", "/refits"):  # those that say: nothing yet
        wrong += look(page, address, ("sun", "dark"))[0]
    assert not wrong, "\n".join(map(str, wrong))


@pytest.mark.long
@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("state", ["nothing kept", "a rig never shot", "one rig", "fifty rigs"])
def test_each_page_is_clean_whatever_is_kept(enter, live, notebook, theme, state):
    ids = {}
    if state == "a rig never shot":
        ids = {"rig_id": some_id(), "number": "1"}
        notebook.add(KeptRig(sheet("Bare"), "Bare"), entry_id=ids["rig_id"], now=NOW)
    elif state != "nothing kept":
        ids = keep_rig(notebook)
    if state == "fifty rigs":
        keep_many(notebook, 50)
    page = enter(refused=REFUSED)
    page.context.add_cookies([{"name": "theme", "value": theme, "url": live.home}])
    wrong = []
    for address in addresses(ids):
        if is_page(page, address):
            wrong += look(page, address, ())[0]
    assert page.context.request.get("/wishes").text().count(f'data-theme="{theme}"') == 1
    assert not wrong, "\n".join(map(str, wrong))
