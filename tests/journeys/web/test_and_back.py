"""Nothing is ever gone: put aside and taken back, older sheets, the browser's own way back."""

import re

from playwright.sync_api import expect
from rigs_kept import keep_rig

from tapewright.services.keep import KeptRig, kept_as


def test_a_rig_is_put_aside_and_taken_back(enter, notebook):
    page = enter()
    ids = keep_rig(notebook)
    page.goto(f"/rigs/{ids['rig_id']}")
    page.get_by_role("button", name="Put this rig aside").tap()
    expect(page.locator("#lines li")).to_have_count(1)  # the other rig is still there
    expect(page.locator("#lines")).not_to_contain_text("Heron")
    page.get_by_role("link", name="Settings").tap()
    page.get_by_role("link", name="Put aside").tap()
    page.get_by_role("button", name="Take back Heron").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("Heron")
    page.get_by_role("link", name="Rigs", exact=True).tap()
    expect(page.locator("#lines")).to_contain_text("Heron")


def test_a_group_is_put_aside_and_taken_back_and_the_trust_with_it(enter, notebook):
    page = enter()
    ids = keep_rig(notebook)
    here = f"/rigs/{ids['rig_id']}"
    page.goto(f"{here}/marks")
    trust = page.locator("main").inner_text()
    page.goto(f"{here}/groups/{ids['group_id']}")
    page.get_by_role("button", name="Put this group aside").tap()
    page.wait_for_url("**/shoot")
    page.goto(f"{here}/marks")
    assert page.locator("main").inner_text() != trust
    page.goto(here)
    page.get_by_text("Sheet, changes, history").tap()
    page.get_by_role("link", name="History").tap()
    page.wait_for_url("**/history")
    before = page.get_by_role("button", name="Take back").count()
    page.get_by_role("button", name=f"Take back: Group {ids['group_name']} ").tap()
    expect(page.get_by_role("button", name="Take back")).to_have_count(before - 1)
    page.goto(f"{here}/marks")
    assert page.locator("main").inner_text() == trust


def test_the_sheet_goes_back_and_forward_and_keeps_every_version(enter, notebook):
    page = enter()
    ids = keep_rig(notebook)
    page.goto(f"/rigs/{ids['rig_id']}/history")
    for version, kept in ((1, 3), (2, 4)):
        look = re.compile(f"Look at this sheet ?, version {version}$")
        page.get_by_role("link", name=look).tap()
        expect(page.get_by_role("region", name="Differences").first).to_contain_text("Arrow mass")
        page.get_by_role("button", name="Go back to this sheet").tap()
        expect(page.get_by_role("link", name=re.compile(f"version {kept}$"))).to_be_visible()
    masses = [
        re.search(r"(\d+) gr", kept_as(one, KeptRig).sheet)[1]
        for one in notebook.history(ids["rig_id"])
    ]
    assert masses == ["424", "420", "424", "420"]


def test_the_browsers_way_back_and_forward_leads_to_the_same_pages(enter, notebook):
    page = enter()
    here = f"/rigs/{keep_rig(notebook)['rig_id']}"
    page.goto(here)
    page.get_by_text("Prove and check").tap()
    page.get_by_role("link", name="Limits").tap()
    page.wait_for_url("**/ask/limits")
    page.get_by_text("Ask otherwise").tap()
    page.get_by_label("Distances").fill("50,60 yd")
    page.get_by_role("button", name="Work it out").tap()
    page.wait_for_url("**/ask/limits?*")
    asked, answer = page.url, page.locator("#found").inner_text()
    page.get_by_role("link", name="Rig", exact=True).tap()
    page.wait_for_url(f"**{here}")
    page.go_back()
    assert page.url == asked
    assert page.locator("#found").inner_text() == answer
    expect(page.get_by_label("Distances")).to_have_value("50,60 yd")
    page.go_back()
    page.go_forward()
    assert page.url == asked


def test_a_form_sent_again_on_the_way_back_keeps_one_group(enter, notebook):
    page = enter(refused={409})
    ids = keep_rig(notebook)
    page.goto(f"/rigs/{ids['rig_id']}/groups/new")
    page.get_by_label("Distance").fill("30")
    page.get_by_label("Reading, mm").fill("33.3")
    page.get_by_label("Arrow 1, right").fill("0.5")
    page.get_by_label("Arrow 1, up").fill("0.5")
    before = len(notebook.entries("group", ids["rig_id"]))
    button = page.get_by_role("button", name="Keep this group")
    button.evaluate("one => { one.click(); one.click(); }")  # an impatient thumb
    page.wait_for_url(re.compile(r"/groups/(new\?after=)?[0-9a-f]{20}$"))
    assert len(notebook.entries("group", ids["rig_id"])) == before + 1
