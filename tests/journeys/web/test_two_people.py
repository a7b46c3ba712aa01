"""Two people edit the same thing: the second is told, loses nothing, and can save on top."""

from playwright.sync_api import expect
from rigs_kept import keep_rig

MEANWHILE = frozenset({409})


def both(enter, address):
    """Two people, in browsers of their own, looking at the same page."""
    first, second = enter(), enter(refused=MEANWHILE)
    for page in (first, second):
        page.goto(address)
    return first, second


def test_a_rig_sheet(enter, notebook):
    ids = keep_rig(notebook)
    here = f"/rigs/{ids['rig_id']}"
    first, second = both(enter, f"{here}/sheet")
    for page, field, text in (
        (first, "arrow.mass", "431 gr ± 2"),
        (second, "bow.launch_speed", "281 ft/s ± 2"),
    ):
        page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
        page.locator(f"[id='{field}']").fill(text)
        page.get_by_label("I measured better").check()
        page.get_by_role("button", name="Keep this sheet").tap()
    first.wait_for_url(f"**{here}")

    told = second.get_by_role("alert")
    expect(told).to_contain_text(
        "Somebody else kept version 3 meanwhile. Nothing you typed is lost"
    )
    theirs = second.get_by_role("region", name="Where the two differ").locator("tbody tr")
    assert [one.split("\t") for one in theirs.all_inner_texts()] == [
        ["Arrow speed", "281 ft/s ± 2", "278 ft/s ± 3"],
        ["Arrow mass", "424 gr ± 2", "431 gr ± 2"],
    ]
    expect(second.locator("[id='bow.launch_speed']")).to_have_value("281 ft/s ± 2")
    expect(second.get_by_label("I measured better")).to_be_checked()
    second.get_by_role("button", name="Keep this sheet").tap()
    second.wait_for_url(f"**{here}")

    sheets = [one.body.sheet for one in notebook.history(ids["rig_id"])]
    assert len(sheets) == 4
    assert "281 ft/s ± 2" in sheets[0]
    assert "431 gr ± 2" in sheets[1]


def test_a_group(enter, notebook):
    ids = keep_rig(notebook)
    address = f"/rigs/{ids['rig_id']}/groups/{ids['group_id']}"
    first, second = both(enter, address)
    for page, reading, note in ((first, "27.9", "theirs"), (second, "27.1", "mine")):
        page.get_by_text("Look at it or change it").tap()
        page.get_by_label("Reading, mm").fill(reading)
        page.get_by_text("More: name, point, windage").tap()
        page.get_by_label("Note").fill(note)
        page.get_by_role("button", name="Keep the change").tap()
        page.wait_for_load_state()
    told = second.get_by_role("alert")
    expect(told).to_contain_text(
        f"saved this group meanwhile: {ids['group_name']}, 20 yd at 27.90 mm"
    )
    expect(told).to_contain_text("“theirs”")
    expect(second.get_by_label("Reading, mm")).to_have_value("27.1")
    expect(second.get_by_label("Note", exact=True)).to_have_value("mine")
    expect(second.get_by_label("Arrow 1, right")).not_to_have_value("")
    second.get_by_role("button", name="Keep mine on top").tap()
    expect(second.get_by_text("20 yd at 27.10 mm").first).to_be_visible()
    notes = [one.body.note for one in notebook.history(ids["group_id"])]
    assert notes == ["mine", "theirs", ""]


def test_a_session_and_a_printer(enter, notebook):
    ids = keep_rig(notebook)
    first, second = both(enter, f"/rigs/{ids['rig_id']}/sessions/{ids['session_id']}")
    for page, note in ((first, "theirs"), (second, "mine")):
        page.get_by_label("Note").fill(note)
        page.get_by_role("button", name="Keep").tap()
        page.wait_for_load_state()
    expect(second.get_by_role("alert")).to_contain_text("“theirs”")
    expect(second.get_by_label("Note")).to_have_value("mine")
    second.get_by_role("button", name="Keep").tap()
    second.wait_for_url("**/shoot")

    for page in (first, second):
        page.goto(f"/printers/{ids['printer_id']}")
    for page, name in ((first, "Theirs"), (second, "Mine")):
        page.get_by_label("Name").fill(name)
        page.get_by_label("Ruler across measures").fill("99.5")
        page.get_by_label("Ruler down measures").fill("99.7")
        page.get_by_label("The print you measured").select_option("plain")
        page.get_by_role("button", name="Keep as version").tap()
        page.wait_for_load_state()
    expect(second.get_by_role("alert")).to_contain_text("it is now “Theirs”")
    expect(second.get_by_label("Name")).to_have_value("Mine")
    expect(second.get_by_label("Ruler down measures")).to_have_value("99.7")
    second.get_by_role("button", name="Keep as version 3").tap()
    expect(second.get_by_role("heading", level=1)).to_have_text("Mine")
