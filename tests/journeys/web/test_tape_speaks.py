"""From the printed tape to its proof and to the next tape in a real browser: no mm is typed.

The sample was shot on a gauge strip. From the moment its tape is on the sight, every number that
is typed of the sight is one that the tape shows, and no field asks for millimetres.
"""

import re

import pytest
from playwright.sync_api import expect

GROUP = re.compile(r"/groups/(new\?after=)?[0-9a-f]{20}$")
RIG = re.compile(r"/rigs/[0-9a-f]{20}$")
HITS = ((0.03, 0.02), (-0.04, -0.03), (0.02, -0.04), (-0.01, 0.05))
MM = re.compile(r"\bmm\b")
FINEST = 0.11  # of what the tape shows: a tenth, and its rounding


def no_field_asks_for_mm(page):
    """Of the sight: the windage scale, which no tape covers, may be told in mm."""
    labels = page.locator(
        "label:not(:has(input))"
    ).all_text_contents()  # buttons offer, ask nothing
    asked = [one for one in labels if MM.search(one) and "Windage" not in one]
    assert asked == []


def dials(page):
    """What a page of marks tells to dial, by distance."""
    region = page.get_by_role("region", name="What to dial with pin 1", exact=True)
    heads = region.locator("thead th").all_inner_texts()
    rows = [one.locator("th, td").all_inner_texts() for one in region.locator("tbody tr").all()]
    at = [" ".join(one.split()) for one in heads].index("dial yd")
    return {int(one[0]): one[at] for one in rows}


def tap_hits(page):
    face = page.locator("#face")
    box = face.bounding_box()
    for right, up in HITS:
        face.tap(position={"x": box["width"] * (1 + right) / 2, "y": box["height"] * (1 - up) / 2})


def shoot(page, yards, shown, then=GROUP):
    """Write down a group that hits where it is aimed, with what the tape showed."""
    no_field_asks_for_mm(page)
    page.get_by_label("Distance").fill(f"{yards}")
    page.get_by_label("What the tape shows").fill(shown)
    tap_hits(page)
    page.get_by_role("button", name="Keep this group").tap()
    page.wait_for_url(then)
    expect(page.get_by_text(f"dialled {shown}")).to_be_visible()


def stick(page, here, strip):
    """Print the tape, and say which strip of it is on the sight."""
    page.goto(f"{here}/tape")
    page.get_by_role("textbox", name="Distances").fill("10:90:1 yd")
    page.get_by_role("button", name="Show it").tap()
    expect(page.locator("#preview")).to_contain_text("ticks from 10 to 90 yd")
    page.get_by_role("button", name="I print this").tap()
    page.wait_for_url(re.compile(r"/tape\.pdf\?"))
    page.goto(here)
    page.get_by_role("link", name="Say which strip is on").tap()
    page.wait_for_url("**/on-sight")
    page.get_by_label("Which strip").select_option(strip)
    page.locator("button.main").tap()
    expect(page.get_by_text("Forms take what it shows")).to_be_visible()


def test_from_the_tape_to_its_proof_and_to_the_next_tape(enter):
    page = enter()
    page.goto("/rigs")
    page.get_by_role("button", name=re.compile("sample", re.IGNORECASE)).tap()
    page.wait_for_url(RIG)
    here = page.url
    stick(page, here, "2")

    page.get_by_role("link", name="Marks", exact=True).tap()
    page.wait_for_url("**/marks")
    told = dials(page)
    assert {one: float(told[one]) for one in (20, 40, 60)} == pytest.approx(
        {20: 20.0, 40: 40.0, 60: 60.0}, abs=FINEST
    )

    page.goto(f"{here}/plan")
    page.get_by_role("link", name=re.compile("^Shoot this")).tap()
    page.wait_for_url("**/groups/new?*")
    filled = page.get_by_label("What the tape shows").input_value()
    yards = page.get_by_label("Distance").input_value()
    assert filled
    assert "mm" not in filled
    shoot(page, yards, filled)

    page.goto(f"{here}/prove")
    page.get_by_role("button", name="Begin a proving session").tap()
    for needed, yards in ((3, 20), (2, 40), (1, 60)):
        page.wait_for_url("**/groups/new?*")  # of the proof, each group leading to the next
        expect(page.get_by_text("For the proof begun")).to_be_visible()
        shoot(page, f"{yards} yd", f"{yards}", GROUP if needed > 1 else "**/prove?*")
        if needed > 1:
            left = "2 more distances" if needed > 2 else "one more distance"
            expect(page.get_by_text(f"It needs a group at {left}")).to_be_visible()
            page.get_by_role("link", name=re.compile("^Next: ")).tap()
    expect(
        page.get_by_text(re.compile("The tape is right|Nothing is clearly wrong"))
    ).to_be_visible()
    page.get_by_role("button", name="Take these arrows into the calibration").tap()
    expect(page.get_by_text("This proof was taken into the calibration")).to_be_visible()

    stick(page, here, "1")
    expect(page.get_by_role("heading", name="Before")).to_be_visible()
    page.get_by_role("link", name="Shoot", exact=True).first.tap()
    page.get_by_role("link", name=re.compile("^(Another|A new) group")).first.tap()
    page.wait_for_url("**/groups/new*")
    shoot(page, "30 yd", "30.5")


def test_a_distance_typed_before_the_tape_is_on_is_explained(enter):
    page = enter(refused={422})
    page.goto("/rigs")
    page.get_by_role("button", name=re.compile("sample", re.IGNORECASE)).tap()
    page.wait_for_url(RIG)
    page.goto(f"{page.url}/groups/new")
    page.get_by_label("Distance").fill("60 yd")
    page.get_by_label("Reading, mm").fill("60 yd")
    tap_hits(page)
    page.get_by_role("button", name="Keep this group").tap()
    expect(page.get_by_text("no tape is known to be on the sight")).to_be_visible()


def test_the_pocket_card_shows_what_the_tape_shows(enter):
    page = enter()
    page.goto("/rigs")
    page.get_by_role("button", name=re.compile("sample", re.IGNORECASE)).tap()
    page.wait_for_url(RIG)
    here = page.url
    stick(page, here, "2")
    page.goto(f"{here}/pocket.html")
    page.get_by_role("textbox", name="Distance").fill("60")
    expect(page.locator("#reading-caption")).to_have_text("dial")
    expect(page.locator("#reading-unit")).to_have_text("yd")
    assert float(page.locator("#reading").inner_text()) == pytest.approx(60.0, abs=FINEST)
    expect(page.locator("#dial-caption")).to_have_text("Reading")
    expect(page.locator("#dial")).to_contain_text("mm")
    page.get_by_role("textbox", name="Distance").fill("110")
    expect(page.locator("#dial")).to_have_text(re.compile("past the tape|—"))
    expect(page.locator("#reading-unit")).to_have_text("mm")
