"""The pocket card in a browser that we did not write, without a network, against the library.

The card sums a table in JavaScript; the library solves the flight. What the card's own functions
and its controls show must be what ``sight.prediction.mark`` says, over the card's whole domain.
"""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from browser import faults, open_browser, open_phone
from exact_units import FOOT_M, YARD_M, ZERO_CELSIUS_K
from sessions import groups, rig, truth_near
from written_out import IMPERIAL, METRIC

from tapewright.calibration.rig import Belief, Bow
from tapewright.confidence.bands import bands
from tapewright.faces.pocket.page import pocket_page
from tapewright.field.range_card import hold_window
from tapewright.field.slope import level_equivalent
from tapewright.flight.air import Air
from tapewright.services.calibrate import calibrate
from tapewright.services.pocket import make_pocket_card
from tapewright.sight.prediction import Aim, mark
from tapewright.sight.tape import Tape, Ticks

NEAREST_M = 3.0  # where a pocket card begins

CASES = 600
ALLOWED_MM = 0.05  # half of what a pointer can be set to
DIAL_M = 0.05  # of distance; the level marks agree far better, this is the search's own step
HOLD_M = 0.05  # both go along the flight in steps and draw a straight line in the last one
BAND_MM = 0.05  # between listed distances the card draws straight lines
COLOUR = "one => getComputedStyle(one).color"
TYPED = 20
LISTED_M = np.sort(np.concatenate([np.arange(5, 125, 5) * YARD_M, np.arange(5.0, 125.0, 5.0)]))
GRID_M = np.arange(10, 126) * YARD_M

TWO_PINS = {"pins_below_first_m": (Belief(9e-3, 0.2e-3),)}
ARM = {
    "farther": "decreases", "arm_length_m": 0.15, "arm_level_reading_m": -0.02,
    "pins_below_first_m": (Belief(5e-3, 0.2e-3), Belief(11e-3, 0.2e-3)),
}  # fmt: skip
USUAL = "straight, two pins"
SHEETS = {
    USUAL: rig(TWO_PINS | {"clearance_reading_m": 0.090}),
    "arm, numbers fall, three pins": rig(ARM),
    "slow bow, hot and high": rig(
        bow=Bow(launch_speed_mps=Belief(190 * FOOT_M, 3 * FOOT_M)),
        air=Air(ZERO_CELSIUS_K + 30.0, 80_000.0, 0.2),
    ),
}


@pytest.fixture(scope="module")
def browser():
    with open_browser() as one:
        yield one


def written(card, folder, units=IMPERIAL):
    path = folder / "card.html"
    path.write_text(pocket_page(card, units, "2026-11-25"), encoding="utf-8")
    return SimpleNamespace(card=card, path=path, answer=card.answer)


@pytest.fixture(scope="module")
def cards():
    """Cards by the names of their sheets, each made once."""
    made = {}

    def card(name):
        if name not in made:
            sheet = SHEETS[name]
            shots = groups(sheet, truth_near(sheet))
            made[name] = make_pocket_card(calibrate(sheet, shots, (18.288,), GRID_M), LISTED_M)
        return made[name]

    return card


@pytest.fixture(scope="module")
def usual(cards, tmp_path_factory):
    return written(cards(USUAL), tmp_path_factory.mktemp("usual"))


def library_mm(card, distance_m, slope_deg, temperature_c, pin):
    """Marks by the forward model, for arrays of shots."""
    home = card.answer.rig.air
    ratio = np.array([
        replace(home, temperature_k=ZERO_CELSIUS_K + one).density_kg_m3 / home.density_kg_m3
        for one in np.broadcast_to(temperature_c, np.shape(distance_m)).tolist()
    ])  # fmt: skip
    below = np.array([one.below_m for one in card.pins])[np.asarray(pin)]
    return 1e3 * mark(card.bow, distance_m, Aim(np.radians(slope_deg), ratio, below))


def random_shots(card, rng, cases):
    far = card.table.farthest_m
    return (
        rng.uniform(NEAREST_M, far, cases), rng.uniform(-60, 60, cases),
        rng.uniform(-20, 45, cases), rng.integers(0, len(card.pins), cases),
    )  # fmt: skip


def asked(page, shots):
    """What the card's own function says to each shot."""
    rows = [[*map(float, one[:3]), int(one[3])] for one in zip(*shots, strict=True)]
    return page.evaluate("rows => rows.map(one => window.pocketCard.shot(...one))", rows)


@pytest.mark.parametrize("name", SHEETS)
def test_the_card_s_readings_are_the_library_s(name, cards, browser, tmp_path, ledger):
    made = written(cards(name), tmp_path)
    cases = CASES if name == USUAL else CASES // 2
    shots = random_shots(made.card, np.random.default_rng(41), cases)
    with open_phone(browser, made.path) as page:
        told = asked(page, shots)
    found = np.array([one["reading_mm"] for one in told], dtype=float)
    wanted = library_mm(made.card, *shots)
    both = np.isfinite(wanted) & np.isfinite(found)
    assert both.sum() >= 0.8 * cases  # an arm ends somewhere
    assert (np.isfinite(wanted) == np.isfinite(found)).all()
    worst = np.abs(found - wanted)[both].max()
    assert made.card.table.error_m <= 1e-5
    what = f"pocket card, {name}: reading for any distance, slope, temperature, pin"
    against = "forward model; card in Chromium"
    ledger(what, against, both.sum(), worst, ALLOWED_MM, "mm")


def test_tape_mark_to_dial_is_the_level_distance_of_the_same_reading(usual, browser, ledger):
    shots = random_shots(usual.card, np.random.default_rng(42), CASES)
    with open_phone(browser, usual.path) as page:
        told = asked(page, shots)
    worst, cases = 0.0, 0
    for pin, marks in enumerate(usual.card.pins):
        mine = [one for one, used in zip(told, shots[3], strict=True) if used == pin]
        reading_m = 1e-3 * np.array([one["reading_mm"] for one in mine])
        wanted = level_equivalent(usual.card.bow, reading_m, Aim(pin_below_m=marks.below_m))
        for one, dial_m in zip(mine, wanted.tolist(), strict=True):
            if one["dial_m"] is None:
                # JSON has no infinity: below the least level mark, or past the card's end
                far = usual.card.table.farthest_m
                assert not dial_m < far or not dial_m > usual.card.turning_m + 0.3
            elif dial_m > usual.card.turning_m + 0.3:
                worst, cases = max(worst, abs(one["dial_m"] - dial_m)), cases + 1
    assert cases > 300
    ledger(
        "pocket card: tape mark to dial", "slopes by the forward model", cases, worst, DIAL_M, "m"
    )


def test_a_tape_of_these_marks_shows_each_target_its_own_distance(usual, browser, tmp_path, ledger):
    card, yards = usual.card, np.arange(5, 111)
    ticks = [
        Ticks(tuple((yards * YARD_M).tolist()), tuple(mark(card.bow, yards * YARD_M, aim).tolist()))
        for aim in (Aim(pin_below_m=one.below_m) for one in card.pins)
    ]
    answer = card.answer
    sight = replace(answer.rig.sight, tape=Tape("printed", "yd", tuple(ticks)))
    taped = replace(answer, rig=replace(answer.rig, sight=sight))
    made = written(replace(card, answer=taped), tmp_path)
    turning_yd, home_c = card.turning_m / YARD_M, answer.rig.air.temperature_k - ZERO_CELSIUS_K
    near = [one for one in range(5, 101) if abs(one - turning_yd) > 1.5]  # close targets, too
    assert near[0] < turning_yd < near[-1]
    rows = [[one * YARD_M, 0.0, home_c, pin] for pin in (0, 1) for one in near]
    with open_phone(browser, made.path) as page:
        told = page.evaluate("rows => rows.map(one => window.pocketCard.shot(...one).shown)", rows)
        listed = page.locator("table").first.inner_text()
    worst = np.abs(np.array(told, dtype=float) - [*near, *near]).max()
    what = "pocket card: what a tape shows, close targets and far ones, two pins"
    ledger(
        what, "the target's own distance, on a tape of these marks", len(told), worst, 0.06, "yd"
    )
    assert "\n5 ↩\t5\t5\t" in listed


def test_on_the_level_bands_and_hold_windows_are_the_library_s(usual, browser, ledger):
    card = usual.card
    distance = np.linspace(NEAREST_M + 0.1, card.table.farthest_m - 0.1, 150)
    home_c = card.answer.rig.air.temperature_k - ZERO_CELSIUS_K
    still = np.zeros(150), np.full(150, home_c), np.zeros(150, dtype=int)
    with open_phone(browser, usual.path) as page:
        told = asked(page, (distance, *still))
    level = bands(card.answer.posterior, distance)
    ends = 1e3 * np.stack([level.low_m, level.high_m], axis=1)
    off = np.abs(np.array([one["band_mm"] for one in told]) - ends).max()
    ledger("pocket card: ends of bands", "bands of the tape", 2 * 150, off, BAND_MM, "mm")
    mark_off = np.abs([one["reading_mm"] for one in told] - 1e3 * level.reading_m).max()
    ledger("pocket card: level marks", "marks of the tape", 150, mark_off, ALLOWED_MM, "mm")
    near, far = hold_window(card.bow, distance, card.answer.rig.archer.tolerance_m)
    wanted = np.stack([near, far], axis=1).clip(NEAREST_M, card.table.farthest_m)
    found = np.array([one["hold_m"] for one in told])
    # Where the flight just touches the radius, either edge is right: a hair decides.
    touching = np.abs(found - wanted).max(axis=1) > 2.0
    assert touching.sum() <= 2
    worst = np.abs(found - wanted)[~touching].max()
    ledger("pocket card: hold window", "range card", 2 * 148, worst, HOLD_M, "m")


def test_what_is_typed_and_touched_is_answered_as_the_library_does(usual, browser, ledger):
    rng = np.random.default_rng(43)
    card, worst = usual.card, 0.0
    with open_phone(browser, usual.path) as page:
        for case in range(TYPED):
            yards, slope = round(rng.uniform(5, 118), 1), int(rng.integers(-60, 61))
            warmth_f, pin = int(rng.integers(0, 112)), int(rng.integers(0, 2))
            page.fill("#distance", str(yards).replace(".", "." if case % 2 else ","))
            page.fill("#slope", str(slope))
            if case % 3:
                page.fill("#temperature", str(warmth_f))
            else:  # by the slider, then one step up with a finger
                page.locator("#temperature-slide").fill(str(warmth_f))
                page.locator('[data-name="temperature"] .step').last.tap()
                warmth_f += 1
            page.locator(f'input[name="pin"][value="{pin}"]').check()
            shown = float(page.text_content("#reading").replace("−", "-"))
            place = np.array([yards * YARD_M])
            wanted = library_mm(card, place, slope, (warmth_f - 32) / 1.8, pin)[0]
            if place[0] > card.pins[pin].trusted_m:
                assert page.text_content("#reading-caption") == "a guess"
                assert abs(shown - wanted) <= 0.5 + ALLOWED_MM  # whole millimetres, or tenths
                shown = float(page.get_attribute("#reading", "value"))
            worst = max(worst, abs(shown - wanted))
    what = "pocket card: reading as shown after typing, sliding and tapping"
    ledger(what, "forward model; card in Chromium", TYPED, worst, ALLOWED_MM, "mm")


@pytest.mark.parametrize(("wide", "theme"), [(390, "light"), (320, "dark")])
def test_a_guess_says_so_in_the_large_number_and_nothing_is_to_be_scrolled_to(
    wide, theme, usual, browser
):
    trusted_yd = usual.card.pins[0].trusted_m / YARD_M
    with open_phone(browser, usual.path, color_scheme=theme) as page:
        page.set_viewport_size({"width": wide, "height": 800})
        page.fill("#distance", f"{trusted_yd - 1:.1f}")
        sure = page.text_content("#reading"), page.locator("#reading").evaluate(COLOUR)
        assert len(sure[0].partition(".")[2]) == 2
        assert page.text_content("#reading-caption") == "reading"
        page.fill("#distance", f"{trusted_yd + 1:.1f}")
        guess = page.text_content("#reading"), page.locator("#reading").evaluate(COLOUR)
        assert len(guess[0].partition(".")[2]) <= 1
        assert guess[1] != sure[1]
        assert page.text_content("#reading-caption") == "a guess"
        assert page.text_content("#dial") == f"{trusted_yd + 1:.0f} yd"
        assert page.evaluate("document.documentElement.scrollWidth") <= wide
        assert faults(page) == []


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_axe_finds_nothing_bad(theme, usual, browser):
    with open_phone(browser, usual.path, color_scheme=theme) as page:
        page.fill("#distance", "115")
        page.fill("#slope", "5")
        assert "Do not shoot" in page.text_content("#cautions")
        assert "forbidden" in page.get_attribute("#reading", "class")
        assert faults(page) == []
        page.fill("#slope", "75")
        assert page.text_content("#reading") == "—"
        assert "from −60 to 60" in page.text_content("#slope-wrong")
        assert faults(page) == []


def test_the_last_shot_is_there_after_a_reload(usual, browser):
    with open_phone(browser, usual.path) as page:
        page.fill("#distance", "47")
        page.fill("#slope", "-12")
        page.click("#theme")
        page.click("#units")
        page.locator('input[name="pin"][value="1"]').check()
        before = page.text_content("#reading"), page.input_value("#distance")
        page.wait_for_timeout(500)  # Chromium hands what is kept from process to process
        page.reload()
        assert (page.text_content("#reading"), page.input_value("#distance")) == before
        assert before[1] == "43"  # metres
        assert page.input_value("#slope") == "−12"
        assert page.get_attribute("html", "data-theme") == "dark"
        assert page.locator('input[name="pin"][value="1"]').is_checked()
        page.evaluate(f"localStorage.setItem('tapewright-pocket-{usual.answer.fingerprint}', '[7')")
        page.wait_for_timeout(500)
        page.reload()
        assert page.input_value("#distance") == "30"  # what is broken is passed over


def test_it_works_where_nothing_can_be_kept(usual, browser):
    refuse = "Object.defineProperty(window, 'localStorage', {get() { throw new Error('no'); }})"
    context = browser.new_context(offline=True)
    context.add_init_script(refuse)
    page = context.new_page()
    page.goto(usual.path.as_uri())
    page.fill("#distance", "50")
    assert float(page.text_content("#reading")) > 0
    context.close()


def test_a_keyboard_is_enough(usual, browser):
    with open_phone(browser, usual.path) as page:
        page.focus("#distance")
        page.keyboard.press("ArrowUp")
        page.keyboard.press("PageUp")
        assert page.input_value("#distance") == "41"
        page.keyboard.press("Tab")
        page.keyboard.press("Space")
        assert page.input_value("#distance") == "42"
        page.wait_for_timeout(700)  # it is said half a second after the last change
        assert "Tape mark 42.0 yd" in page.text_content("#spoken")
        small = page.evaluate(
            "[...document.querySelectorAll('button, input:not(.unseen)')].filter(one => {"
            "const box = one.getBoundingClientRect();"
            "return box.width && (box.width < 44 || box.height < 44)}).map(one => one.outerHTML)"
        )
        assert small == []
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= 390


def test_without_scripts_the_list_is_complete(usual, browser, tmp_path):
    made = written(usual.card, tmp_path, METRIC)
    with open_phone(browser, made.path, java_script_enabled=False) as page:
        assert page.is_visible("text=Marks each 5 m")
        assert not page.is_visible("text=Marks each 5 yd")
        assert not page.is_visible("#shot")
        rows = page.locator('[data-list="m"] tbody tr')
        assert rows.count() == 22
        cells = rows.nth(9).locator("th, td").all_text_contents()
    home_c = made.answer.rig.air.temperature_k - ZERO_CELSIUS_K
    for pin in (0, 1):
        wanted = library_mm(made.card, np.array([50.0]), 0.0, home_c, pin)[0]
        assert float(cells[1 + pin].split()[0]) == pytest.approx(wanted, abs=0.006)  # 2 decimals
    assert cells[0].startswith("50")
    assert len(made.path.read_bytes()) < 200_000
