"""The range's part of the pocket card, in a browser without a network."""

from datetime import UTC, datetime

import numpy as np
import pytest
from browser import PATIENCE_MS, faults, open_browser, open_phone
from exact_units import INCH_M, YARD_M
from playwright.sync_api import expect
from sessions import groups, rig, truth_near
from written_out import IMPERIAL

from tapewright.faces.offline_pack import carried_json
from tapewright.faces.pocket.page import pocket_page
from tapewright.reading.shots_reader import read_shots
from tapewright.services.calibrate import calibrate
from tapewright.services.carry import carry
from tapewright.services.pocket import make_pocket_card
from tapewright.services.stick_tape import Tape, Ticks, with_tape

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
def chromium():
    with open_browser() as browser:
        yield browser


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


def test_the_card_keeps_groups_once_it_knows_that_it_can_and_hands_them_back(
    chromium, card, sheet, tmp_path
):
    with open_phone(chromium, card) as page:
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


def test_where_the_browser_keeps_nothing_the_card_only_shows(chromium, card):
    with open_phone(chromium, card) as page:
        page.add_init_script(NO_STORE)
        page.reload()
        page.locator("#along summary").first.click()
        expect(page.get_by_text("does not keep what it writes")).to_be_visible()
        expect(page.locator("#group")).to_be_hidden()
        expect(page.locator("#range-far")).to_contain_text("yd")


@pytest.fixture(scope="module")
def own_card(chromium, card):
    with open_phone(chromium, card) as page:
        page.locator("#along summary").first.click()
        yield page


OPENED = (
    "const pack = JSON.parse(document.getElementById('range-pack').textContent),"
    " rig = carried.opened(pack);"
)
SHOT = {"distance": "40 yd", "reading": "30 mm", "pin": "1", "right-1": "1", "up-1": "2"}


def group_from(page, fields, units=""):
    told = (
        f"([fields, units]) => {{ {OPENED} return range.groupFrom(carried, rig, fields, units); }}"
    )
    return page.evaluate(told, [SHOT | fields, units])


def kept_from(page, **handed):
    usual = {"id": "d" * 20, "fields": SHOT, "units": "imperial", "seen": 0, "rig_number": 0,
             "tape": ""}  # fmt: skip
    told = f"(one) => {{ {OPENED} return range.keptFrom(carried, rig, one); }}"
    return page.evaluate(told, usual | handed)


def test_no_arrow_is_lost_behind_a_row_that_was_left_blank(own_card):
    told = group_from(own_card, {"right-3": "-0.5", "up-3": "-9"})
    ups = [one["up_m"] for one in told["group"]["arrows"]]
    assert ups == pytest.approx([2 * INCH_M, -9 * INCH_M])


def test_misses_are_read_in_the_units_in_which_they_were_kept(own_card):
    (one,) = group_from(own_card, {}, "metric")["group"]["arrows"]
    assert (one["right_m"], one["up_m"]) == pytest.approx((0.01, 0.02))
    (one,) = group_from(own_card, {}, "imperial")["group"]["arrows"]
    assert one["up_m"] == pytest.approx(0.0508)


@pytest.mark.parametrize(
    ("fields", "wrong"),
    [
        ({"missed": "two"}, "no_number"),
        ({"slope": "12 deg"}, "not_here"),
        ({"slope": "-12"}, "not_here"),
        ({"crosswind": "3 m/s"}, "not_here"),
        ({"head": "broadhead"}, "not_here"),
        ({"distance": "40 ells"}, "no_distance"),
        ({"reading": "30 yd"}, "no_reading"),
        ({"tape": "tape 3"}, "other_rig"),
    ],
)
def test_what_cannot_be_read_is_not_taken_for_nothing(own_card, fields, wrong):
    assert group_from(own_card, fields) == {"wrong": wrong}
    level = {"slope": "0 deg", "crosswind": "0", "missed": "2", "tape": "-", "head": "field"}
    assert "group" in group_from(own_card, level)
    told = group_from(own_card, {"windage": "1.5"})["group"]  # weighed at home, and said so
    assert told["is_partly_told"]


def test_misses_and_readings_are_read_as_the_notebook_reads_them(own_card):
    said = {
        "right-1": "\u22121 1/2",
        "up-1": "2,54 cm",
        "reading": '1.2"',
        "distance": "36,5 metres",
    }
    told = group_from(own_card, said)["group"]
    (one,) = told["arrows"]
    assert (one["right_m"], one["up_m"]) == pytest.approx((-0.0381, 0.0254))
    assert (told["reading_m"], told["distance_m"]) == pytest.approx((0.03048, 36.5))


def test_groups_that_would_count_twice_or_were_shot_with_another_set_up_do_not_count(own_card):
    assert "group" in kept_from(own_card)
    assert kept_from(own_card, seen=3) == {"wrong": "changed"}
    assert kept_from(own_card, rig_number=1) == {"wrong": "other_rig"}
    assert kept_from(own_card, tape="second") == {"wrong": "other_rig"}
    held = f"""(id) => {{ {OPENED}
        pack.holds = [id];
        return range.keptFrom(carried, rig, {{ id }});
    }}"""
    assert own_card.evaluate(held, "e" * 20) == {"wrong": "held"}


def test_no_group_is_told_for_a_butt_that_cannot_be_read(own_card):
    told = own_card.locator("#range-next")
    for said in ("", "wide", "-40", "20 bananas", "60x", "24x24x24"):
        own_card.fill("#range-butt", said)
        expect(told).to_contain_text("Write how large the butt is")
    for said in ("36x36", "90 cm", "3 ft x 90 cm", "36"):
        own_card.fill("#range-butt", said)
        expect(told).to_contain_text("stay on this butt")


def test_no_group_is_told_while_one_from_here_is_not_counted(chromium, card):
    with open_phone(chromium, card) as page:
        page.reload()
        page.locator("#along summary").first.click()
        page.evaluate(
            f"""async (fields) => {{ {OPENED}
                const key = `tapewright-card-${{pack.rig_id}}-${{pack.fingerprint}}`;
                await range.browserStore(key).add({{ id: "f".repeat(20), fields, units: "imperial",
                    seen: 0, rig_number: pack.rig_number, tape: "", shot_on: "2026-11-30" }});
                await (await window.pocketRange).renew();
            }}""",
            SHOT | {"distance": "85", "slope": "14", "missed": "3"},
        )
        expect(page.locator("#range-next")).to_contain_text("is not counted")
        expect(page.locator("#range-shoot")).to_be_hidden()


def test_while_a_group_of_home_may_be_wrong_no_farther_shot_is_told_than_has_hit(own_card):
    told = f"""(most_m) => {{ {OPENED}
        pack.ladder = {{ ...pack.ladder, hit_m: 41, before_m: 0, missed_m: 0, misses: 0 }};
        pack.most_m = most_m;
        const state = carried.update(rig, []), butt = {{ width_m: 2, height_m: 2 }};
        return carried.next(state, butt, 60 * 0.9144, null).distance_m;
    }}"""
    assert own_card.evaluate(told, None) == pytest.approx(60 * YARD_M)
    assert own_card.evaluate(told, [200.0]) == pytest.approx(40 * YARD_M)


NEXT = f"""([ladder, groups, wide_m, here = null]) => {{ {OPENED}
    pack.ladder = {{ ...pack.ladder, before_m: 0, missed_m: 0, misses: 0, off_m: 0, ...ladder }};
    const state = carried.update(rig, groups), butt = {{ width_m: wide_m, height_m: 4 }};
    const next = carried.next(state, butt, 60 * 0.9144, null, here);
    return {{ ...next, mark_m: carried.marks(state, [next.distance_m])[0].reading_m }};
}}"""


HERE = f"""([hit_m, groups, here, trusted_m]) => {{ {OPENED}
    pack.ladder = {{ hit_m, before_m: 0, missed_m: 0, misses: 0, off_m: 0 }};
    const mark_m = (one) => carried.marks(carried.update(rig, []), [one])[0].reading_m;
    const shot = (one) => ({{ distance_m: one, reading_m: mark_m(one), pin: 1, missed: 0,
        arrows: [-0.02, 0, 0.02].map((up_m) => ({{ right_m: up_m, up_m, arrows: 1 }})) }});
    const state = carried.update(rig, groups.map(shot)), butt = {{ width_m: 4, height_m: 4 }};
    return carried.next(state, butt, 55, trusted_m, here);
}}"""


def test_the_next_group_stands_where_the_place_has_a_distance(own_card):
    def told(hit_m, groups, here):
        one = own_card.evaluate(HERE, [hit_m, groups, here, None])
        return one["kind"], one["distance_m"], one.get("is_walk", False)

    assert told(18.0, [], [18, 25, 50]) == ("shoot", 25, False)  # half as far again is 27 m
    kind, walk_m, is_walk = told(18.0, [18], [18, 30])  # 30 m is too long a step
    assert (kind, is_walk) == ("shoot", True)
    assert 18.0 < walk_m <= 27.0
    lane_m = 20 * YARD_M
    assert told(lane_m, [lane_m], [lane_m]) == ("shoot", lane_m, False)
    assert told(lane_m, [lane_m, lane_m], [lane_m])[:2] == ("place", pytest.approx(1.5 * lane_m))


def test_the_places_of_a_range_are_typed_once(chromium, card):
    with open_phone(chromium, card) as page:
        page.reload()
        page.locator("#along summary").first.click()
        page.fill("#range-places", "many")
        expect(page.locator("#range-next")).to_contain_text("such as 20, 30 yd")
        page.fill("#range-places", "18, 30 m")
        expect(page.locator("#range-next")).to_contain_text("arrow")
        page.reload()
        page.locator("#along summary").first.click()
        expect(page.locator("#range-places")).to_have_value("18, 30 m")


@pytest.mark.parametrize(("misses", "left"), [(1, 0.5), (2, 0.75)])
def test_after_arrows_past_the_butt_only_part_of_the_correction_is_dialled(own_card, misses, left):
    missed = {"hit_m": 37, "missed_m": 50, "misses": misses}
    part = own_card.evaluate(NEXT, [missed | {"off_m": 0.012}, [], 4])
    assert part["distance_m"] == pytest.approx(40 * YARD_M)
    assert part["mark"]["reading_m"] - part["mark_m"] == pytest.approx(left * 0.012)
    assert part["is_part"]
    walked = own_card.evaluate(NEXT, [missed | {"off_m": 0.012}, [], 4, [50]])
    assert (walked["is_walk"], walked["is_part"]) == (True, True)
    assert walked["distance_m"] <= 37
    assert walked["mark"]["reading_m"] - walked["mark_m"] == pytest.approx(left * 0.012)
    whole = own_card.evaluate(NEXT, [missed, [], 4])
    assert whole["mark"]["reading_m"] == pytest.approx(whole["mark_m"])
    assert not whole["is_part"]


def test_a_turn_of_the_windage_is_seen_where_arrows_have_hit_before_a_farther_shot(own_card):
    at_mark = own_card.evaluate(
        f"() => {{ {OPENED} return carried.marks(carried.update(rig, []), [37])[0].reading_m; }}"
    )

    def shot(right_m):
        arrows = [{"right_m": right_m + away, "up_m": 2 * away, "arrows": 1, "bad": False}
                  for away in (-0.02, 0.0, 0.02)]  # fmt: skip
        return {"distance_m": 37, "reading_m": at_mark, "pin": 1, "arrows": arrows, "missed": 0}

    straight = own_card.evaluate(NEXT, [{"hit_m": 37}, [shot(0.0)], 0.5])
    assert straight["distance_m"] == pytest.approx(60 * YARD_M)
    aside = own_card.evaluate(NEXT, [{"hit_m": 37}, [shot(0.2)], 0.5])
    assert aside["kind"] == "shoot"
    assert aside["distance_m"] < 37.001


@pytest.fixture(scope="module")
def taped_card(chromium, sheet, tmp_path_factory):
    """A card of a rig whose tape ends at 40 yd."""
    far_m = tuple(one * YARD_M for one in (20, 25, 30, 35, 40))
    ticks = Ticks(far_m, (0.0274, 0.0301, 0.0334, 0.0370, 0.0408))
    taped = with_tape(sheet, Tape("own", "yd", (ticks,)))
    answer = calibrate(
        taped, groups(sheet, truth_near(sheet)), (18.0,), np.arange(10, 126) * YARD_M
    )
    path = tmp_path_factory.mktemp("taped") / "card.html"
    pack = carried_json(carry(answer, YARD_M), IMPERIAL, AT)
    page = pocket_page(make_pocket_card(answer, LISTED_M), IMPERIAL, "2026-11-30", pack)
    path.write_text(page, encoding="utf-8")
    with open_phone(chromium, path) as page:
        page.reload()
        page.locator("#along summary").first.click()
        yield page


def test_past_the_numbers_of_a_tape_a_mark_says_its_millimetres(taped_card):
    rows = taped_card.locator("#range-marks tr").all_text_contents()
    marks = {row.split("±")[0] for row in rows}
    assert any(one.startswith("30") and "mm" not in one for one in marks)
    assert any(one.startswith("60") and one.endswith("mm") for one in marks)


def test_a_reading_past_the_numbers_of_a_tape_goes_into_the_file_as_it_was_typed(taped_card):
    taped_card.evaluate(
        """async ([fields, far]) => {
            const pack = JSON.parse(document.getElementById("range-pack").textContent);
            const store = range.browserStore(`tapewright-card-${pack.rig_id}-${pack.fingerprint}`);
            const usual = { units: "imperial", seen: 0, rig_number: 0, tape: pack.tape.name };
            await store.add({ ...usual, id: "1".repeat(20), fields, shot_on: "2026-11-30" });
            await store.add({ ...usual, id: "2".repeat(20), fields: far, shot_on: "2026-11-30" });
            await (await window.pocketRange).renew();
        }""",
        [SHOT | {"distance": "30", "reading": "30 yd"}, SHOT | {"reading": "44.25 mm"}],
    )
    head, near, far, *_ = taped_card.locator("#range-text").input_value().splitlines()
    assert head.startswith("group,distance_yd,dialled_yd,reading_mm,pin,")
    assert near.startswith("range1,30,30,,1,")
    assert far.startswith("range2,40,,44.25,1,")
