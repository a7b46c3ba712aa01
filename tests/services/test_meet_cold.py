"""A bow in the cold and in bulky clothes: which groups count there, and how far they prove."""

from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import group, groups, rig, truth_near

from tapewright.calibration.rig import Bow
from tapewright.flight.air import Air
from tapewright.ground.errors import Withheld
from tapewright.services.calibrate import calibrate
from tapewright.services.meet_cold import meet_cold

AT_M = np.array([20.0, 40.0, 60.0]) * YARD_M
GRID_M = np.arange(10, 100) * YARD_M
SHEET = rig()
COLD_K = SHEET.air.temperature_k - 25.0
COLD = replace(SHEET.air, temperature_k=COLD_K)
LOSS = 0.02  # of arrow speed: less than a thousandth a degree


@pytest.fixture(scope="module")
def home():
    return calibrate(SHEET, groups(SHEET, truth_near(SHEET)), AT_M, GRID_M)


def shot_in_the_cold(*yards, air=COLD):
    """Groups of a bow whose limbs are slower there, each dialled to its own mark."""
    there = replace(SHEET, air=COLD)
    was = truth_near(SHEET)
    speed = was.vector[was.unknowns.place("log_speed")]
    truth = truth_near(there, log_speed=float(speed + np.log(1.0 - LOSS)))
    return tuple(
        group(there, truth, yard * YARD_M, name=f"K{yard}", air=air) for yard in yards
    ), truth


def test_nothing_is_proven_there_before_a_group_was_shot_there(home):
    found = meet_cold(home, AT_M, COLD_K)
    assert (found.is_far, found.is_asked, found.groups) == (True, True, ())
    assert found.proven_m == 0.0
    assert found.there.ladder.farthest_m == pytest.approx(10 * YARD_M)
    # 2.5 % of speed: the larger of the two doubts, growing with distance
    assert (np.diff(found.limbs_m) > 0.0).all()
    band = found.there.bands.impact_high_m - found.there.bands.impact_low_m
    at_home = home.bands.impact_high_m - home.bands.impact_low_m
    assert (band > 2.0 * at_home)[1:].all()


def test_near_groups_first_and_proof_as_far_as_they_carry(home):
    near, truth = shot_in_the_cold(10)
    found = meet_cold(home, AT_M, COLD_K, near)
    assert [one.group.name for one in found.groups] == ["K10"]
    assert found.there.ladder.farthest_m == pytest.approx(15 * YARD_M)
    assert 0.0 < found.proven_m <= 15 * YARD_M + 1e-6
    more, truth = shot_in_the_cold(10, 15, 22, 33)
    found = meet_cold(home, AT_M, COLD_K, more)
    assert 33 * YARD_M <= found.proven_m <= 1.5 * 33 * YARD_M + 1e-6
    # what was lost is found: marks that count the air alone miss low, these do not
    mark_m = truth.marks(AT_M)
    assert abs(found.there.bands.reading_m[1] - mark_m[1]) < 0.5e-3
    assert mark_m[1] - found.home.marks.away_m[1] > 1.0e-3


def test_groups_of_the_calibration_that_were_shot_there_leave_it(home):
    cold, _ = shot_in_the_cold(10, 15)
    both = calibrate(SHEET, (*home.observations, *cold), AT_M, GRID_M)
    assert both.elsewhere == cold
    found = meet_cold(both, AT_M, COLD_K)
    assert found.groups == cold
    named = meet_cold(home, AT_M, SHEET.air.temperature_k, is_bulky=True, named=("2",))
    assert [one.group.name for one in named.groups] == ["2"]
    assert "2" not in [one.group.name for one in named.home.answer.observations]
    # a calibration that was carried over is left by it as well
    again = meet_cold(named.there, AT_M, SHEET.air.temperature_k, is_bulky=True, named=("2",))
    assert again.home.answer.observations == ()
    assert again.home.answer.posterior.method == "carried"


@pytest.mark.parametrize("cooler_k", [0.0, 14.0])
def test_in_air_as_at_home_nothing_has_to_be_proven(home, cooler_k):
    found = meet_cold(home, AT_M, SHEET.air.temperature_k - cooler_k)
    assert not found.is_asked
    assert found.proven_m == home.trusted_m[0]


def test_bulky_clothes_must_be_proven_wherever_it_is(home):
    found = meet_cold(home, AT_M, SHEET.air.temperature_k, is_bulky=True)
    assert (found.is_asked, found.is_far, found.proven_m) == (True, False, 0.0)
    assert found.there.ladder.farthest_m == pytest.approx(10 * YARD_M)
    # no group says so, though all were shot in such air
    assert found.groups == ()


def test_air_half_way_belongs_to_the_nearer_end(home):
    half_k = SHEET.air.temperature_k - 12.5
    for warmer_k, counts in ((-0.1, ("K10",)), (0.1, ())):
        air = Air(half_k + warmer_k, COLD.pressure_pa, COLD.relative_humidity)
        shot, _ = shot_in_the_cold(10, air=air)
        found = meet_cold(home, AT_M, COLD_K, shot)
        assert tuple(one.group.name for one in found.groups) == counts


def test_below_the_bow_makers_least_nothing_is_told(home):
    bow = replace(SHEET.bow, least_temperature_k=COLD_K + 0.5)
    assert isinstance(bow, Bow)
    stopped = replace(home, rig=replace(SHEET, bow=bow))
    with pytest.raises(Withheld) as refused:
        meet_cold(stopped, AT_M, COLD_K)
    assert [one.kind for one in refused.value.stops] == ["cold"]
    assert meet_cold(stopped, AT_M, COLD_K + 1.0).proven_m == 0.0


def test_where_every_group_was_shot_there_they_are_what_home_is():
    """Carried from a scale that was set by eye they would be called written down wrongly."""
    cold, truth = shot_in_the_cold(10, 15, 22, 33)
    every = calibrate(SHEET, cold, AT_M, GRID_M)
    found = meet_cold(every, AT_M, COLD_K)
    assert (found.groups, found.is_asked, found.proven_m) == (cold, False, every.trusted_m[0])
    assert abs(found.home.marks.away_m[1] - truth.marks(AT_M)[1]) < 0.5e-3
    bulky = meet_cold(every, AT_M, COLD_K, is_bulky=True)
    assert (bulky.groups, bulky.is_asked, bulky.proven_m) == ((), True, 0.0)
    names = [one.group.name for one in cold]
    bulky = meet_cold(every, AT_M, COLD_K, is_bulky=True, named=names)
    assert (bulky.groups, bulky.is_asked, bulky.there.slips) == (cold, True, ())
    assert 33 * YARD_M <= bulky.proven_m <= 1.5 * 33 * YARD_M + 1e-6
    assert abs(bulky.there.bands.reading_m[1] - truth.marks(AT_M)[1]) < 0.5e-3
