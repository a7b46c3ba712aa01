import numpy as np
import pytest

from tapewright.sight.bow import SightedBow
from tapewright.sight.pins import pin_drops
from tapewright.sight.prediction import Aim, mark
from tapewright.sight.scale import Scale

YARD_M = 0.9144
DISTANCES_M = np.array([20.0, 30.0, 40.0, 50.0, 60.0]) * YARD_M


def bow(speed=85.0):
    return SightedBow(speed, 0.002, 0.115, 1.2, Scale(0.01, 1.4, 0.85))


def test_first_pin_is_where_gaps_are_counted_from():
    assert pin_drops(bow(), DISTANCES_M)[0] == 0.0


def test_gaps_grow_with_distance_and_shrink_with_speed():
    drops = pin_drops(bow(), DISTANCES_M)
    assert np.all(np.diff(drops, 2) > 0)
    assert np.all(pin_drops(bow(95.0), DISTANCES_M)[1:] < drops[1:])


def test_each_pin_hits_its_distance_with_the_reading_of_the_first():
    one = bow()
    reading = mark(one, DISTANCES_M[0])
    for distance, drop in zip(DISTANCES_M, pin_drops(one, DISTANCES_M), strict=True):
        # solved to a ten-thousandth of a millimetre at the target
        pinned = mark(one, distance, Aim(pin_below_m=float(drop)))
        assert float(pinned) == pytest.approx(float(reading), abs=1e-8)


def test_draws_of_a_bow_give_a_row_of_gaps_each():
    draws = bow(np.array([[80.0], [85.0], [90.0]]))
    assert pin_drops(draws, DISTANCES_M).shape == (3, 5)
