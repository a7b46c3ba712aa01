from dataclasses import replace

import numpy as np
import pytest

from tapewright.field import pocket_table as room
from tapewright.field.pocket_table import pocket_table
from tapewright.flight.air import Air
from tapewright.ground.errors import LaunchUnreachable
from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import Aim, mark
from tapewright.sight.scale import Scale

COLDEST_K = 253.15  # -20 °C
ENOUGH_M = 0.01e-3  # 0.01 mm: a tenth of what a pointer can be set to
FARTHEST_M = 110.0
GRAIN_M = 1e-7  # coefficients in whole numbers of 0.0001 mm
HOTTEST_K = 318.15  # 45 °C
NEAREST_M = 3.0
STEEPEST_RAD = np.pi / 3.0  # 60°

HOME = Air(288.15, 101_325.0, 0.5)
BOW = SightedBow(84.0, 0.0014, 0.117, 1.17, Scale(-8e-3, 1.35, 0.838))
SLOW = replace(BOW, speed_mps=50.0, drag_per_m=0.003)


@pytest.fixture(scope="module")
def table():
    return pocket_table(BOW, HOME, (0.0, 9e-3))


def random_places(farthest_m, rng, cases=500):
    return (
        rng.uniform(NEAREST_M, farthest_m, cases),
        rng.uniform(-STEEPEST_RAD, STEEPEST_RAD, cases),
        rng.uniform(COLDEST_K, HOTTEST_K, cases),
    )


def worst_mm(bow, table, below_m=0.0):
    distance, slope, warmth = random_places(table.farthest_m, np.random.default_rng(5))
    density = np.array([replace(HOME, temperature_k=one).density_kg_m3 for one in warmth])
    aim = Aim(slope, density / HOME.density_kg_m3, below_m)
    found = bow.scale.reading(table.tangent(distance, slope, warmth), below_m)
    return 1e3 * np.nanmax(np.abs(found - mark(bow, distance, aim)))


def test_readings_agree_with_the_forward_model_as_well_as_is_stated(table):
    assert table.farthest_m == FARTHEST_M
    assert table.error_m <= ENOUGH_M
    # other places than those that were compared: a fifth more is allowed for
    assert worst_mm(BOW, table) <= 1.2e3 * table.error_m
    assert worst_mm(BOW, table, 9e-3) <= 1.2e3 * table.error_m


def test_corners_of_the_domain_agree_too(table):
    distance, slope, warmth = (
        one.ravel()
        for one in np.meshgrid(
            [NEAREST_M, FARTHEST_M], [-STEEPEST_RAD, STEEPEST_RAD], [COLDEST_K, HOTTEST_K]
        )
    )
    density = np.array([replace(HOME, temperature_k=one).density_kg_m3 for one in warmth])
    wanted = mark(BOW, distance, Aim(slope, density / HOME.density_kg_m3))
    found = BOW.scale.reading(table.tangent(distance, slope, warmth))
    assert 1e3 * np.abs(found - wanted).max() <= 1.2e3 * table.error_m


def test_at_home_on_the_level_it_is_the_tape(table):
    distance = np.linspace(NEAREST_M, FARTHEST_M, 60)
    still = np.zeros(60), np.full(60, HOME.temperature_k)
    found = BOW.scale.reading(table.tangent(distance, *still))
    assert 1e3 * np.abs(found - mark(BOW, distance)).max() < 0.01


def test_coefficients_are_whole_grains(table):
    grains = table.heights_m / GRAIN_M
    assert np.abs(grains - np.round(grains)).max() < 1e-4


def test_a_pivoting_arm_is_served_to_its_ends():
    bow = replace(BOW, scale=Scale(10e-3, -1.35, 0.838, 0.12, -0.02))
    table = pocket_table(bow, HOME, (0.0, 9e-3))
    assert worst_mm(bow, table, 9e-3) <= 0.01


def test_a_slow_arrow_gets_a_shorter_table():
    table = pocket_table(SLOW, HOME)
    assert 80.0 < table.farthest_m < FARTHEST_M
    assert worst_mm(SLOW, table) <= 0.01


def test_what_is_no_polynomial_there_is_told_nearer(monkeypatch):
    # with fewer coefficients the same bow is served less far
    monkeypatch.setattr(room, "ORDERS", (12, 8, 3))
    table = pocket_table(SLOW, HOME, farthest_m=80.0)
    assert 20.0 <= table.farthest_m < 80.0
    assert table.error_m <= ENOUGH_M


def test_the_domain_may_end_nearer_when_asked():
    assert pocket_table(BOW, HOME, farthest_m=60.0).farthest_m == 60.0


def test_an_arrow_that_goes_nowhere_is_refused():
    with pytest.raises(LaunchUnreachable):
        pocket_table(replace(BOW, speed_mps=8.0), HOME)
