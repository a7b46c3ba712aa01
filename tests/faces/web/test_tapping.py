"""Tapping arrows on the drawn target, by touch on a phone, and the same form without scripts."""

import re

import pytest
from browser import PHONE, faults, open_browser
from playwright.sync_api import expect

STANDING, LYING, SMALL = (390, 844), (844, 390), (320, 640)
THUMB_PX = 44
DRAFTS = "Object.keys(localStorage).filter(one => one.startsWith('tapewright-draft'))"
KEYS = "#board button:visible, .keep-bar button:visible, .pick span:visible, .signed button:visible"


@pytest.fixture
def open_group(address):
    """Open the form of a new group of the sample rig."""
    home, notebook = address
    wrong = []
    with open_browser() as browser:

        def opened(**how):
            context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True, **how)
            page = context.new_page()
            page.on("console", lambda one: wrong.append(one.text))
            page.on("pageerror", lambda one: wrong.append(str(one)))
            page.goto(f"{home}/rigs")
            page.get_by_role("button", name="invented sample").click()
            page.wait_for_url("**/rigs/*")
            page.goto(f"{page.url}/groups/new?distance=40+yd&reading=29.4")
            return page, notebook

        yield opened
    told = ("ERR_FAILED", "status of 422")  # a signal that is cut, a form that is refused
    assert [one for one in wrong if not any(word in one for word in told)] == []


def place_of(page, right, up):
    """A place of the target on the screen, in halves of its width from the aim."""
    page.locator("#face").scroll_into_view_if_needed()
    box = page.locator("#face").bounding_box()
    return box["x"] + box["width"] * (1 + right) / 2, box["y"] + box["height"] * (1 - up) / 2


def tap(page, right, up):
    """Tap the target; returns what is told."""
    box = page.locator("#face").bounding_box()
    where = {"x": box["width"] * (1 + right) / 2, "y": box["height"] * (1 - up) / 2}
    page.locator("#face").tap(position=where)
    return page.locator("#told").inner_text()


def touch(page, *ways):
    """Fingers that go down together, along a line in ten steps each, and up."""
    send = page.context.new_cdp_session(page).send

    def move(kind, share):
        points = [
            {"x": x0 + share * (x1 - x0), "y": y0 + share * (y1 - y0), "id": finger}
            for finger, ((x0, y0), (x1, y1)) in enumerate(ways)
        ]
        send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    move("touchStart", 0.0)
    for step in range(1, 11):
        move("touchMove", step / 10)
    send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def lost_on_the_way_back(route):
    """The notebook hears it, and its answer never comes."""
    if route.request.method == "POST":
        route.fetch(max_redirects=0)
    route.abort()


def drafts_left(page):
    """Drafts of this browser, once those that go have gone."""
    for _ in range(200):
        if not page.evaluate(DRAFTS):
            break
        page.wait_for_timeout(100)
    return page.evaluate(DRAFTS)


def rows(page):
    every = page.locator("#rows .row")
    found = [
        [*(every.nth(row).locator(f'[name^="{cell}-"]').input_value() for cell in ("right", "up")),
         every.nth(row).locator('[name^="bad-"]').is_checked()]
        for row in range(every.count())
    ]  # fmt: skip
    return [one for one in found if one != ["", "", False]]


def centre_up(page, digits):
    """How high the middle of all rows lies, in words; a half may be rounded either way."""
    up = sum(float(one[1]) for one in rows(page)) / len(rows(page))
    half = 0.499 / 10**digits
    ends = {f"{up + by:.{digits}f}" for by in (-half, 0.0, half)}
    ends |= {one.rstrip("0").rstrip(".") for one in ends} if digits == 1 else set()
    return re.compile(rf"\b({'|'.join(map(re.escape, ends))}) in high")


def test_arrows_are_tapped_chosen_by_number_moved_undone_called_bad_and_kept(open_group):
    page, notebook = open_group()
    assert tap(page, 0.2, -0.5) == "Arrow 1: 1.2 in right, 3 in low."
    assert tap(page, -0.25, 0.5) == "Arrow 2: 1.5 in left, 3 in high."
    tap(page, 0.75, 0.75)
    page.locator("#called").tap()
    assert "called bad" in page.locator("#told").inner_text()
    page.locator("#list button").first.tap()
    assert page.locator("#told").inner_text() == "Arrow 1: 1.2 in right, 3 in low."
    page.locator("[data-way=up]").tap()
    page.locator("[data-way=left]").tap()
    assert rows(page)[0] == ["1.1", "-2.9", False]
    page.locator("#undo").tap()
    page.locator("#wider").tap()
    assert "24 in across" in page.locator("#span").inner_text()
    assert tap(page, 0.5, 0.5) == "Arrow 4: 6 in right, 6 in high."
    page.locator("#delete").tap()
    assert rows(page) == [["1.2", "-2.9", False], ["-1.5", "3", False], ["4.5", "4.5", True]]
    assert page.locator("#count").inner_text() == "2 arrows, 1 called bad"
    numbers = page.locator("#dots text")
    expect(numbers).to_have_text(["1", "2", "3"])
    assert all(one.is_visible() for one in numbers.all())
    page.locator("#list button").first.focus()
    page.keyboard.press("Enter")
    page.keyboard.press("ArrowDown")
    assert "Arrow 1: 1.2 in right, 3.1 in low." in page.locator("#told").inner_text()
    page.locator("#rows .signed button").first.tap()  # number keys have no minus
    assert rows(page)[0] == ["-1.2", "-3.1", False]
    page.get_by_label("2", exact=True).check()
    expect(page.locator("#bar-said")).to_contain_text("pin 2")
    expect(page.locator("#so-far")).to_contain_text("Elevation")
    assert faults(page) == []
    page.get_by_role("button", name="Keep this group").tap()
    page.wait_for_url(re.compile(r"/groups/(new\?after=)?[0-9a-f]{20}$"))
    assert page.get_by_role("heading", name="What to turn").is_visible()
    expect(page.locator("main")).to_contain_text("29.40 mm, pin 2, 2 arrows")
    kept = notebook.entries("group")[-1].body.observation
    assert kept.pin == 2
    assert [hit.called_bad for hit in kept.group.impacts] == [False, False, True]
    assert kept.group.impacts[0].up_m == pytest.approx(-3.1 * 0.0254)


def test_each_tap_adds_an_arrow_that_one_finger_moves_and_two_zoom_where_they_are(open_group):
    page, _ = open_group()
    for place in ((0.2, 0.2), (0.21, 0.2), (0.2, 0.2), (0.2, 0.21)):
        tap(page, *place)
    assert page.locator("#count").inner_text() == "4 arrows"
    told = page.locator("#so-far")
    expect(told).to_contain_text(centre_up(page, 2))
    before = rows(page)
    touch(page, (place_of(page, 0.2, 0.21), place_of(page, 0.2, -0.39)))  # by 3.6 in
    assert [*rows(page)[:3], rows(page)[3][0]] == [*before[:3], before[3][0]]
    assert float(rows(page)[3][1]) == pytest.approx(float(before[3][1]) - 3.6, abs=0.15)
    expect(told).to_contain_text(centre_up(page, 2))
    expect(page.locator("#centre")).to_contain_text(centre_up(page, 1))
    page.locator("#undo").tap()
    assert rows(page) == before

    for _ in range(4):
        page.locator("#undo").tap()
    assert rows(page) == []
    middle = place_of(page, 0.5, 0.5)
    apart = [(middle[0] + by, middle[1]) for by in (-20, 20, -80, 80)]
    touch(page, (apart[0], apart[2]), (apart[1], apart[3]))
    across = float(page.locator("#span").inner_text().split()[0])
    assert across == pytest.approx(6.0, rel=0.2)  # from 12 in: no closer than that
    assert rows(page) == []
    tap(page, 0.5, 0.5)  # what lay under the fingers still lies there: 3 in right and high
    assert [float(one) for one in rows(page)[0][:2]] == pytest.approx([3.0, 3.0], abs=0.15)


def test_the_face_fits_every_screen_and_keep_is_in_reach(open_group):
    page, _ = open_group()
    for place in ((0.5, 0.5), (0.4, 0.5)):
        tap(page, *place)
    keep = page.get_by_role("button", name="Keep this group")
    for (wide, high), text in (
        (STANDING, 100), (LYING, 100), (SMALL, 100), (STANDING, 200), (SMALL, 200)
    ):  # fmt: skip
        page.set_viewport_size({"width": wide, "height": high})
        page.evaluate(f"document.documentElement.style.fontSize = '{text}%'")
        assert page.evaluate("document.documentElement.scrollWidth") <= wide
        face = page.locator("#face").bounding_box()
        assert face["height"] == pytest.approx(face["width"], abs=1)
        assert face["height"] <= 0.7 * high + 1
        for place in (0, 9000):
            page.evaluate(f"window.scrollTo(0, {place})")
            expect(keep).to_be_in_viewport(ratio=1)
        assert page.locator(".keep-bar").bounding_box()["height"] < 0.3 * high
        for box in (one.bounding_box() for one in page.locator(KEYS).all()):
            assert min(box["width"], box["height"]) >= THUMB_PX
        for name in ("#distance", "#reading", "#right-1", "#up-1"):
            assert page.locator(name).evaluate("one => one.scrollWidth <= one.clientWidth"), name
        assert faults(page) == []


def test_a_draft_comes_back_after_a_reload_and_goes_when_the_group_is_kept(open_group):
    page, notebook = open_group()
    tap(page, 0.2, -0.5)
    tap(page, -0.25, 0.5)
    page.get_by_label("2", exact=True).check()
    page.goto(page.url.partition("?")[0] + "?distance=20+yd&reading=16.1")  # another shot is asked
    assert rows(page) == [["1.2", "-3", False], ["-1.5", "3", False]]
    expect(page.locator("#draft")).to_contain_text("2 arrows at 40 yd")
    assert page.locator("#distance").input_value() == "40"
    assert faults(page) == []
    page.get_by_role("button", name="Throw it away").tap()
    assert (rows(page), page.locator("#distance").input_value()) == ([], "20")
    page.get_by_role("button", name="Take it back").tap()
    page.goto(page.url.partition("/groups")[0] + "/shoot")
    page.get_by_role("link", name="Go on").tap()
    page.wait_for_url("**/groups/new?*")
    assert len(rows(page)) == 2
    assert page.locator("#reading").input_value() == "29.4"

    before, empty = len(notebook.entries("group")), page.url.partition("?")[0]
    page.route("**/groups/new*", lost_on_the_way_back)
    with page.expect_event("requestfailed", lambda one: one.method == "POST"):
        page.get_by_role("button", name="Keep this group").tap()
    page.unroute("**/groups/new*")
    page.goto(empty)  # it was kept, and is found to be
    assert (drafts_left(page), rows(page)) == ([], [])
    assert page.locator("#draft").is_hidden()
    assert len(notebook.entries("group")) == before + 1
    assert notebook.entries("group")[-1].body.observation.pin == 2

    tap(page, 0.2, -0.5)
    page.fill("#distance", "30")
    page.fill("#reading", "21.7")
    page.route("**/health", lambda one: one.abort())  # the signal is lost: the outbox has it
    page.get_by_role("button", name="Keep this group").tap()
    expect(page.locator("#waiting")).to_contain_text("1 ")
    assert (drafts_left(page), rows(page)) == ([], [])
    assert page.locator("#undo").is_disabled()


def test_a_refusal_and_a_change_of_a_kept_group_leave_their_drafts(open_group):
    page, notebook = open_group()
    tap(page, 0.2, -0.5)
    page.fill("#reading", "far")
    page.get_by_role("button", name="Keep this group").tap()
    expect(page.locator("#reading-fault")).to_be_visible()
    page.goto(page.url)
    assert rows(page) == [["1.2", "-3", False]]
    page.evaluate("window.tapewright.draft.clear()")  # as an outbox does that has it
    one = notebook.entries("group")[-1]
    page.goto(page.url.partition("/new")[0] + f"/{one.id}")
    page.get_by_text("Look at it or change it").tap()
    page.fill("#reading", "21.7")
    page.reload()
    expect(page.get_by_text("Not kept yet, and back as you left it")).to_be_visible()
    assert page.locator("#reading").input_value() == "21.7"


def test_without_scripts_the_fields_do_it_all(open_group):
    page, notebook = open_group(java_script_enabled=False)
    assert not page.locator("#board").is_visible()
    page.get_by_role("button", name="Add a row").click()
    expect(page.locator("#rows .row")).to_have_count(4)
    page.fill("#right-4", "-1")
    page.fill("#up-4", "-4")
    page.get_by_label("m", exact=True).check()
    page.press("#up-4", "Enter")  # keeps the group, adds no row
    page.wait_for_url(re.compile(r"/groups/(new\?after=)?[0-9a-f]{20}$"))
    assert page.get_by_role("heading", name="What to turn").is_visible()
    kept = notebook.entries("group")[-1].body.observation
    assert (kept.group.arrows, kept.pin) == (1, 1)
    assert kept.distance_m == pytest.approx(40.0)
