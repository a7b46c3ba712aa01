from dataclasses import replace

import numpy as np
import pytest
from exact_units import FOOT_M, YARD_M
from sessions import groups, rig, truth_near

from tapewright.calibration.rig import Belief, Bow
from tapewright.confidence.bands import bands
from tapewright.services import pocket as room
from tapewright.services.calibrate import calibrate
from tapewright.services.pocket import make_pocket_card

NEAREST_M = 3.0  # where a pocket card begins

LISTED_M = np.arange(0, 150, 5) * YARD_M
GRID_M = np.arange(10, 126) * YARD_M


def answer_for(sheet):
    return calibrate(sheet, groups(sheet, truth_near(sheet)), (18.0,), GRID_M)


@pytest.fixture(scope="module")
def card():
    sheet = rig({"pins_below_first_m": (Belief(9e-3, 0.2e-3),), "clearance_reading_m": 0.088})
    return make_pocket_card(answer_for(sheet), LISTED_M)


def test_listed_marks_and_bands_are_those_of_the_tape(card):
    assert card.listed_m.min() >= NEAREST_M
    assert card.listed_m.max() <= card.table.farthest_m
    for number, pin in enumerate(card.pins, 1):
        found = bands(card.answer.posterior, card.listed_m, pin=number)
        # half of what a pointer can be set to
        assert 1e3 * pin.listed_m == pytest.approx(1e3 * found.reading_m, abs=0.05)
        assert np.all(pin.listed_low_m < pin.listed_m)
        assert np.all(pin.listed_m < pin.listed_high_m)
        assert np.all(card.hold_near_m < card.listed_m)
        assert np.all(card.hold_far_m > card.listed_m)


def test_bands_hold_the_mark_on_every_slope(card):
    assert len(card.pins) == 2
    for pin in card.pins:
        assert pin.low_m.shape == pin.high_m.shape == (len(card.slope_rad), len(card.distance_m))
        assert np.all(pin.low_m < 0.0)
        assert np.all(pin.high_m > 0.0)
    assert card.pins[1].below_m == pytest.approx(9e-3, abs=0.5e-3)


def test_where_the_sight_must_not_go_is_known(card):
    assert card.limits.far.reading_m == 0.088


def test_a_drawn_bow_that_does_not_arrive_uphill_leaves_the_level_band(card, monkeypatch):
    def refuse(posterior, distance, aim=None):
        if aim is not None:
            raise room.LaunchUnreachable(30.0)
        return drawn(posterior, distance)

    drawn = room.drawn_tangents
    monkeypatch.setattr(room, "drawn_tangents", refuse)
    again = make_pocket_card(card.answer, LISTED_M)
    width = again.pins[0].high_m - again.pins[0].low_m
    # each slope's band is the level one; the level row itself comes from all draws
    assert width[0] == pytest.approx(width[1], rel=1e-6)
    assert width[0] == pytest.approx(width[len(width) // 2], rel=0.2)


def test_a_bow_of_fifty_pounds_less_gets_a_shorter_card():
    slow = rig(bow=Bow(launch_speed_mps=Belief(140 * FOOT_M, 2 * FOOT_M)))
    arrow = replace(slow.arrow, drag_coefficient=Belief(2.5, 0.1))
    card = make_pocket_card(answer_for(replace(slow, arrow=arrow)), LISTED_M)
    assert 20.0 <= card.table.farthest_m < 100.0
    assert card.distance_m.max() == pytest.approx(card.table.farthest_m)
    assert card.listed_m.max() <= card.table.farthest_m
