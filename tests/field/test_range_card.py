from dataclasses import replace

import numpy as np
import pytest

from tapewright.field.range_card import hold_window, path_height, range_card, twin_distances
from tapewright.flight.drag import DragShape, TabulatedDrag
from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import (
    Aim,
    distances_at_angle,
    impact,
    mark,
    sight_angle,
    turning_distance,
)
from tapewright.sight.scale import Scale

BOW = SightedBow(84.7, 0.0018, 0.117, 1.2, Scale(0.004, 1.34, 0.838))
DRAWS = replace(
    BOW,
    speed_mps=np.linspace(82.7, 86.7, 41)[:, None],
    drag_per_m=np.full((41, 1), 0.0018),
    peep_height_m=np.full((41, 1), 0.117),
    launch_ahead_m=np.full((41, 1), 1.2),
)
MASS_KG = 0.0272
AT_M = np.array([9.0, 20.0, 40.0, 60.0, 90.0])


@pytest.fixture(scope="module")
def card():
    return range_card(DRAWS, BOW, MASS_KG, AT_M, 0.0762)


def test_an_arrow_slows_and_loses_energy(card):
    for spread in (card.speed_mps, card.energy_j, card.momentum_n_s):
        assert (np.diff(spread.middle) < 0).all()
    assert (np.diff(card.time_s.middle) > 0).all()
    assert card.energy_j.middle == pytest.approx(0.5 * MASS_KG * card.speed_mps.middle**2)
    assert card.momentum_n_s.middle == pytest.approx(MASS_KG * card.speed_mps.middle)


def test_bands_lie_about_their_middle_and_widen_with_doubt_of_the_mass(card):
    for spread in (card.time_s, card.speed_mps, card.energy_j, card.drift_m):
        assert (spread.low < spread.middle).all()
        assert (spread.middle < spread.high).all()
    mass = MASS_KG * (1 + 0.05 * np.sin(np.arange(41.0)))[:, None]
    wider = range_card(DRAWS, BOW, mass, AT_M, 0.0762)
    assert (wider.energy_j.high - wider.energy_j.low > card.energy_j.high - card.energy_j.low).all()


def test_drift_is_what_the_forward_model_says(card):
    blown = impact(BOW, AT_M, mark(BOW, AT_M), Aim(crosswind_mps=np.array([1.0])))[0]
    assert 1e3 * np.abs(card.drift_m.middle - blown).max() < 0.1  # mm; medians of 41 bows


def test_at_the_ends_of_the_window_the_arrow_is_a_radius_off(card):
    angle = sight_angle(BOW, AT_M)
    inner = card.hold_near_m > 2.0
    near = path_height(BOW, angle, card.hold_near_m)[inner]
    far = path_height(BOW, angle, card.hold_far_m)
    # a centimetre of distance is two millimetres of height at worst
    assert np.abs(np.abs(near) - 0.0762).max() < 2e-3
    assert np.abs(np.abs(far) - 0.0762).max() < 2e-3
    assert card.early_m == pytest.approx(AT_M - card.hold_near_m)
    assert card.late_m == pytest.approx(card.hold_far_m - AT_M)


def test_a_wide_window_reaches_the_bow_and_a_close_one_its_far_twin():
    near, far = hold_window(BOW, [10.0], 0.2)
    assert near[0] == pytest.approx(1.5)  # a foot past the launch point
    assert far[0] > 30.0
    assert hold_window(BOW, [5.0], 0.2)[1][0] > 33.1  # its far twin
    near, far = hold_window(BOW, [5.0, 60.0], 0.01)
    assert near[0] < 5.0 < far[0] < 6.0
    assert near[1] < 60.0 < far[1] < 60.3
    assert hold_window(BOW, [1.3], 0.2)[0][0] == pytest.approx(1.3)  # nearer than a foot past it


def test_a_window_may_never_close():
    # a slow arrow does not go twice as far: out of reach is out of the window
    slow = replace(BOW, speed_mps=26.0)
    assert 40.0 < hold_window(slow, [40.0], 0.1)[1][0] < 42.0
    # an all but weightless flight stays inside as far as is looked
    flat = replace(BOW, speed_mps=5000.0, peep_height_m=0.01)
    assert hold_window(flat, [70.0], 0.1)[1][0] == pytest.approx(140.0)


def test_both_distances_of_a_mark_share_it():
    at = np.array([3.0, 5.0, 9.0, 12.0, 14.0, 20.0, 50.0])
    twins = twin_distances(BOW, at)
    assert 1e3 * np.abs(mark(BOW, twins) - mark(BOW, at)).max() < 1e-4  # mm
    assert twin_distances(BOW, twins) == pytest.approx(at, abs=1e-4)
    for one, twin in zip(at, twins, strict=True):
        angle = float(sight_angle(BOW, np.array([one]))[0])
        assert min(abs(twin - end) for end in distances_at_angle(BOW, angle, 200.0)) < 1e-4


def test_a_far_mark_may_serve_no_near_target(card):
    assert np.isnan(twin_distances(BOW, [100.0]))[0]
    assert card.turning_m == pytest.approx(turning_distance(BOW))
    assert twin_distances(BOW, [card.turning_m])[0] == pytest.approx(card.turning_m, abs=0.01)


def test_a_law_that_does_not_change_changes_no_card():
    law = DragShape(TabulatedDrag((1e3, 1e6), (2.1, 2.1)), 400.0)
    constant = SightedBow(84.7, 0.0019, 0.117, 1.2, Scale(0.004, 1.34, 0.838))
    lawful = replace(constant, shape=law)
    heights = [path_height(bow, [0.02, 0.04], [30.0, 50.0]) for bow in (lawful, constant)]
    assert heights[0] == pytest.approx(heights[1], abs=1e-6)
