import numpy as np
import pytest

from tapewright.field.weather import marks_away
from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import Aim, impact, mark
from tapewright.sight.scale import Scale

AT_M = np.array([10.0, 30.0, 60.0, 90.0])


def bows(count=21):
    speed = np.linspace(82.0, 88.0, count)[:, None]
    same = np.ones((count, 1))
    return SightedBow(speed, 0.0018 * same, 0.117 * same, 1.2 * same, Scale(0.004, 1.34, 0.838))


def test_at_home_nothing_changes():
    found = marks_away(bows(), AT_M, 1.0)
    assert found.away_m == pytest.approx(found.home_m)
    assert np.abs(found.miss_m).max() < 1e-6


def test_in_thin_air_home_marks_hit_high_and_far_marks_shrink():
    found = marks_away(bows(), AT_M, 0.85)
    assert (found.miss_m > 0).all()
    assert (np.diff(found.miss_m) > 0).all()
    assert (found.away_m < found.home_m).all()
    assert (found.away_low_m <= found.away_m).all()
    assert (found.away_m <= found.away_high_m).all()
    assert found.density_ratio == 0.85


def test_thick_air_is_the_other_way_round():
    assert (marks_away(bows(), AT_M, 1.1).miss_m < 0).all()


def test_the_miss_is_that_of_a_bow_with_its_own_marks():
    one = bows(1)
    found = marks_away(one, AT_M, 0.8, 0.009)
    reading = mark(one, AT_M, Aim(pin_below_m=0.009))
    up = impact(one, AT_M, reading, Aim(density_ratio=0.8, pin_below_m=0.009))[1]
    assert found.miss_m == pytest.approx(up[0])
    assert found.home_m == pytest.approx(reading[0])
