import numpy as np
import pytest

from tapewright.field.weather import limb_miss, marks_away
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


def test_limbs_slower_by_a_thousandth_a_degree_miss_as_so_slow_a_bow_would():
    # by hand, without drag: 1 % of speed lowers an arrow of 85 m/s by 2 % of its fall, g t²/2
    fall_m = 9.80665 * (54.864 / 85.0) ** 2 / 2
    light = SightedBow(85.0, 1e-9, 0.117, 1.2, Scale(0.004, 1.34, 0.838))
    miss_m = limb_miss(light, np.array([54.864]), 1.0, -10.0)
    # the arrow flies free from 1.2 m on only; what it falls on the way there is held
    assert miss_m == pytest.approx(0.02 * fall_m, rel=0.06)
    assert limb_miss(bows(), AT_M, 1.1, 10.0) == pytest.approx(limb_miss(bows(), AT_M, 1.1, -10.0))
    assert (np.diff(limb_miss(bows(), AT_M, 1.1, 20.0)) > 0).all()
    assert np.abs(limb_miss(bows(), AT_M, 1.1, 0.0)).max() < 1e-9
