import numpy as np
import pytest
from exact_units import YARD_M
from sessions import groups, rig, truth_near

from tapewright.calibration.rig import Belief
from tapewright.ground.errors import BadInput
from tapewright.services.calibrate import calibrate
from tapewright.services.compare_rigs import compare_rigs
from tapewright.services.draw_pictures import draw_budget, draw_fan, draw_path, draw_slopes
from tapewright.services.make_card import CardOrder, make_card
from tapewright.services.meet_weather import Air, air_away, meet_air, meet_wind
from tapewright.services.print_card import CardTable, CardWords, print_card
from tapewright.services.stand_in import few_bows, one_bow
from tapewright.services.table_slopes import table_slopes
from tapewright.services.weigh_errors import Errors, weigh_errors
from tapewright.sight.prediction import mark

AT_M = tuple(yards * YARD_M for yards in (20, 40, 60, 80))
GRID_M = np.arange(10, 126) * YARD_M


@pytest.fixture(scope="module")
def answer():
    sheet = rig({"pins_below_first_m": (Belief(9e-3, 0.2e-3),)})
    return calibrate(sheet, groups(sheet, truth_near(sheet)), AT_M, GRID_M)


def order(pin=1, distances=AT_M, radius=0.0762):
    return CardOrder(distances, radius, pin, YARD_M)


def test_a_card_has_the_marks_of_the_tape(answer):
    card = make_card(answer, order())
    assert card.marks.reading_m == pytest.approx(answer.bands.reading_m)
    assert card.trusted_m == answer.trusted_m[0]
    assert card.flight.speed_mps.middle.shape == (4,)


def test_a_lower_pin_has_its_own_marks_and_the_same_flight(answer):
    first, second = (make_card(answer, order(pin)) for pin in (1, 2))
    assert (second.marks.reading_m < first.marks.reading_m).all()
    assert second.flight.time_s.middle == pytest.approx(first.flight.time_s.middle)
    assert second.trusted_m == answer.trusted_m[1]
    with pytest.raises(BadInput, match="2 pins"):
        make_card(answer, order(3))


def test_a_rig_of_one_pin_says_so():
    sheet = rig()
    bare = calibrate(sheet, (), AT_M, GRID_M)
    with pytest.raises(BadInput, match="one pin"):
        make_card(bare, order(2))


def test_nobody_shoots_inside_the_bow(answer):
    with pytest.raises(BadInput, match="2 m"):
        make_card(answer, order(distances=(1.5, 20.0)))


def test_close_marks_end_at_the_turning_distance(answer):
    card = make_card(answer, order())
    assert card.close.distance_m[0] == pytest.approx(3 * YARD_M)
    assert card.close.distance_m[-1] < card.flight.turning_m
    assert card.close.distance_m[-1] > card.flight.turning_m - YARD_M
    twins = card.close_twin_m
    assert (np.diff(twins) < 0).all()
    bow = one_bow(answer.posterior)
    assert mark(bow, twins) == pytest.approx(mark(bow, card.close.distance_m), abs=1e-7)


def test_the_stand_in_has_the_marks_of_the_tape(answer):
    bow = one_bow(answer.posterior)
    assert 1e3 * np.abs(mark(bow, np.array(AT_M)) - answer.bands.reading_m).max() < 0.1  # mm
    few = few_bows(answer.posterior, 100)
    assert few.speed_mps.shape == (100, 1)


def test_the_energy_band_knows_the_doubt_of_the_mass(answer):
    card = make_card(answer, order())
    half = 0.5 * (card.flight.energy_j.high - card.flight.energy_j.low)
    assert (half / card.flight.energy_j.middle > 1.6 * 2.0 / 420.0).all()


def test_a_card_becomes_files(answer):
    card = make_card(answer, order(1))
    table = CardTable((("yd", ""), ("mark", "mm")), (("20", "15.6"),), 2)
    words = CardWords("Heron", "Range card", "", (), (), (), "Fold it.")
    files = print_card(card, table, words, "Letter", ("page", "pocket"), ("pdf", "svg"))
    assert [ending for ending, _ in files] == [".pdf", "-page.svg", "-pocket.svg"]
    assert files[0][1].startswith(b"%PDF")
    only = print_card(card, table, words, "A4", ("pocket",), ("svg",))
    assert [ending for ending, _ in only] == ["-pocket.svg"]
    assert [one for one, _ in print_card(card, table, words, "A4", ("page",), ("pdf",))] == [".pdf"]


def test_slopes_meet_the_tape_on_the_level(answer):
    for pin in (1, 2):
        found = table_slopes(answer, [0.0, 0.5], AT_M, pin)
        level = make_card(answer, order(pin)).marks.reading_m
        assert 1e3 * np.abs(found.table.reading_m[0] - level).max() < 0.1  # mm
        assert found.rule.miss_m.shape == (2, 4)
        assert np.abs(found.rule.miss_m[0]).max() < 1e-6


def test_what_is_not_said_of_the_air_away_is_as_at_home():
    home = Air(295.0, 95000.0, 0.3)
    assert air_away(home) == home
    warm = air_away(home, temperature_k=305.0)
    assert (warm.pressure_pa, warm.relative_humidity) == (95000.0, 0.3)
    high = air_away(home, altitude_m=1800.0, relative_humidity=0.1)
    assert high.pressure_pa == pytest.approx(81500, abs=200)
    assert (high.temperature_k, high.relative_humidity) == (295.0, 0.1)
    report = air_away(home, sea_level_pressure_pa=101325.0, altitude_m=1800.0)
    assert report.pressure_pa == pytest.approx(high.pressure_pa)


def test_weather_and_wind_start_from_the_tape(answer):
    found = meet_air(answer, AT_M, answer.rig.air, 2)
    assert found.marks.home_m == pytest.approx(
        make_card(answer, order(2)).marks.reading_m, abs=1e-6
    )
    assert found.marks.density_ratio == pytest.approx(1.0)
    blown = meet_wind(answer, AT_M, 4.0, 0.0)
    assert (blown.misses.right_m > 0).all()
    assert blown.cross_mps == 4.0


def test_a_budget_takes_the_archers_own_spread(answer):
    found = weigh_errors(answer, 50.0, Errors(distance_m=0.0))
    assert found.habits.dispersion_up_rad == pytest.approx(0.6e-3, rel=0.3)
    by_name = {share.name: share for share in found.shares}
    assert by_name["distance"].up_m == 0.0
    assert by_name["tape"].up_m > 0.0
    assert found.shares[-1].name == "together"


def test_two_rigs_stand_side_by_side(answer):
    found = compare_rigs(answer, answer, order())
    assert found.cards[0].marks.reading_m == pytest.approx(found.cards[1].marks.reading_m)


def test_pictures_have_numbers(answer):
    path = draw_path(answer, 50.0)
    near, far = path.near_m, path.far_m
    assert near < 50.0 < far
    assert path.height_m[0] < 0.0 < path.height_m.max()
    assert np.interp(50.0, path.at_m, path.height_m) == pytest.approx(0.0, abs=2e-3)
    fan = draw_fan(answer, YARD_M)
    assert fan.distance_m[0] == pytest.approx(5 * YARD_M)
    assert fan.distance_m[-1] > answer.trusted_m[0]
    assert draw_slopes(answer, YARD_M).table.dial_m.shape == (4, 86)
    assert draw_budget(answer, 50.0).distance_m == 50.0
