"""A rig that goes along: its pack at an address, and the page that tells and takes groups."""

import json

import pytest
from browser import PHONE, faults, open_browser
from playwright.sync_api import expect


def test_the_pack_names_rig_version_and_set_up(client, rig_id):
    pack = client.get(f"/api/rigs/{rig_id}/pack").json()
    assert pack["rig_id"] == rig_id
    assert pack["rig_number"] == 1
    assert pack["setup"] == 0
    assert pack["unit"] == "yd"
    assert pack["made_at"].endswith("+00:00")
    groups = client.get(f"/api/rigs/{rig_id}/groups").json()
    assert sorted(pack["holds"]) == sorted(one["id"] for one in groups)
    fit = client.get(f"/api/rigs/{rig_id}/calibration").json()
    assert pack["fingerprint"] == fit["fingerprint"]
    assert client.get(f"/api/rigs/{rig_id}/pack?units=metric").json()["unit_m"] == 1.0


def test_a_stopped_rig_does_not_go_along(client, rig_id):
    kept = client.get(f"/api/rigs/{rig_id}").json()
    light = kept["sheet"].replace('mass = "420 gr', 'mass = "150 gr')
    assert light != kept["sheet"]
    body = {"sheet": light, "seen": kept["number"]}
    assert client.put(f"/api/rigs/{rig_id}", json=body).status_code == 200
    refused = client.get(f"/api/rigs/{rig_id}/pack")
    assert refused.status_code == 422
    page = client.get(f"/rigs/{rig_id}/carried")
    assert page.status_code == 200
    assert "STOP" in page.text
    assert "range-page" not in page.text


WAITS = {
    "id": "a" * 20, "rig_name": "Heron", "rig_number": 1, "tape": "", "units": "imperial",
    "shot_on": "2026-11-30", "kept_at": "2026-11-30T09:00:00Z", "part": "b" * 20, "session": "",
    "seen": 0, "state": "waiting", "revision": "c" * 20,
    "fields": {"distance": "60", "distance_in": "yd", "reading": "46.5 mm", "pin": "1",
               "right-1": "0.2", "up-1": "2.4", "right-2": "-0.1", "up-2": "2.9",
               "right-3": "0.1", "up-3": "2.2"},
}  # fmt: skip


def test_arrows_move_fan_and_tape_and_what_waits_is_told_at_the_range(address, rig_id):
    home, _ = address
    wrong = []
    with open_browser() as browser:
        page = browser.new_context(viewport=PHONE, has_touch=True).new_page()
        page.on("console", lambda one: wrong.append(one.text))
        page.on("pageerror", lambda one: wrong.append(str(one)))
        page.goto(f"{home}/rigs/{rig_id}/groups/new?distance=60+yd&reading=46.5")
        fan, tape = page.locator("#range-fan polygon"), page.locator("#range-strip .tick").first
        expect(fan).to_be_visible()
        stood = fan.get_attribute("points"), tape.get_attribute("x1")
        for place in ((100, 80), (120, 60), (110, 90)):
            page.locator("#face").tap(position={"x": place[0], "y": place[1]})
        expect(fan).not_to_have_attribute("points", stood[0])
        expect(tape).not_to_have_attribute("x1", stood[1])
        page.goto(f"{home}/rigs/{rig_id}/carried")
        expect(page.locator("#range-far")).to_contain_text("yd")
        expect(page.locator("#range-standing")).to_contain_text("no group was added here")
        expect(page.locator("#range-busy")).to_be_hidden()
        page.evaluate(
            "async (one) => { await tapewrightOutbox.put(one); await tapewrightOutbox.count(); }",
            WAITS | {"rig": rig_id},
        )
        expect(page.locator("#range-standing")).to_contain_text("Provisional")
        expect(page.locator("#range-turned")).to_contain_text("2.5 in high")
        expect(page.locator("#range-turned")).to_contain_text("Pin up")
        expect(page.locator("#range-kept")).to_contain_text("60 yd, dialled 46.50 mm: 3 arrows")
        assert not faults(page)
        assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
        page.get_by_role("button", name="Leave it out here").click()
        expect(page.locator("#range-standing")).to_contain_text("no group was added here")
    assert not wrong


def test_what_a_pocket_card_hands_back_is_kept(client, notebook, rig_id):
    said = {"distance": "60 yd", "reading": "46.5 mm", "pin": "1", "right-1": "1", "up-1": "2",
            "arrows-1": "", "right-2": "-0.5", "up-2": "2.6", "missed": ""}  # fmt: skip
    one = {key: value for key, value in WAITS.items() if key not in ("state", "revision")}
    sent = {"groups": [one | {"rig": rig_id, "fields": said}]}
    before = len(notebook.entries("group", rig_id))
    told = client.put(f"/api/rigs/{rig_id}/hand-over/{WAITS['part']}", json=sent)
    assert told.status_code == 201, told.text
    assert told.json()["groups"][0]["state"] == "kept", told.text
    assert len(notebook.entries("group", rig_id)) == before + 1
    shot = notebook.entry(WAITS["id"]).body.observation
    assert shot.distance_m == pytest.approx(60 * 0.9144)
    assert shot.reading_m == pytest.approx(46.5e-3)
    assert shot.group.impacts[1].right_m == pytest.approx(-0.5 * 0.0254)


def test_the_page_knows_which_sessions_only_prove(client, rig_id):
    body = {"shot_on": "2026-11-30", "purpose": "proving"}
    session = client.post(f"/api/rigs/{rig_id}/sessions", json=body).json()
    page = client.get(f"/rigs/{rig_id}/carried").text
    assert f'"proving":["{session["id"]}"]' in page


def test_a_group_that_is_refused_holds_nothing_up_and_may_leave_as_a_file(
    address, rig_id, tmp_path
):
    home, notebook = address
    refused, good, other = (
        WAITS | {"rig": rig_id, "id": letter * 20, "revision": letter * 20, "part": part * 20,
                 "fields": WAITS["fields"] | {"distance": far, "right-1": letter}}
        for letter, part, far in (("1", "b", "43"), ("2", "b", "44"), ("3", "e", "45"))
    )  # fmt: skip
    asked = []

    def too_large(route):
        asked.append([one["id"] for one in route.request.post_data_json["groups"]])
        if refused["id"] in asked[-1]:
            route.fulfill(status=413, content_type="text/html", body="<h1>Too large</h1>")
        else:
            route.continue_()

    with open_browser() as browser:
        page = browser.new_context(viewport=PHONE, has_touch=True).new_page()
        page.route("**/hand-over/**", too_large)
        page.goto(f"{home}/outbox")
        page.evaluate(
            """async (all) => {
                // the page hands over as it opens, too: not while they are put there
                await navigator.locks.request("tapewright-hand-over", async () => {
                    for (const one of all) await tapewrightOutbox.put(one);
                });
                await tapewrightOutbox.handOver();
                await tapewrightOutbox.handOver();  // at once: it is not due
            }""",
            [refused, good, other],
        )
        line = page.locator("#groups li")
        expect(line).to_have_count(1)
        expect(line).to_contain_text("43 yd")
        expect(line).to_contain_text("did not take it (413: it is too large). It is asked again")
        assert {good["id"], other["id"]} <= {one.id for one in notebook.entries("group", rig_id)}
        assert [refused["id"]] in asked
        assert sum(refused["id"] in one for one in asked) == 2  # with its session, then alone
        page.get_by_role("button", name="Hand over now").tap()
        expect(line).to_contain_text("2 times")
        assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
        expect(page.get_by_role("button", name="take it off")).to_have_count(0)
        with page.expect_download() as saved:
            page.get_by_role("button", name="Save it as a file").tap()
        saved.value.save_as(tmp_path / "one.json")
        page.get_by_role("button", name="take it off this phone").tap()
        expect(page.locator("#waiting")).to_be_hidden()
        page.get_by_role("button", name="Put it back").tap()
        expect(page.locator("#waiting")).to_have_text("1 waiting")
        assert not faults(page)
    (one,) = json.loads((tmp_path / "one.json").read_text(encoding="utf-8"))["groups"]
    assert one.keys() == refused.keys() - {"state", "revision"}
    assert one["fields"] == refused["fields"]
