import numpy as np
import pytest

from tapewright.field.wind import wind_miss
from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import Aim, impact, mark
from tapewright.sight.scale import Scale

AT_M = np.array([20.0, 40.0, 60.0, 90.0])
SAME = np.ones((21, 1))
BOWS = SightedBow(
    np.linspace(82.0, 88.0, 21)[:, None], 0.0018 * SAME, 0.117 * SAME, 1.2 * SAME,
    Scale(0.004, 1.34, 0.838), windage_rad=1e-3 * SAME,
)  # fmt: skip


def test_calm_does_nothing():
    found = wind_miss(BOWS, AT_M, 0.0, 0.0)
    assert np.abs(found.right_m).max() == 0.0
    assert np.abs(found.up_m).max() == 0.0


def test_arrows_go_with_the_wind_and_mirrored_wind_mirrors_them():
    right, left = (wind_miss(BOWS, AT_M, blow, 0.0) for blow in (4.0, -4.0))
    assert (right.right_m > 0).all()
    assert left.right_m == pytest.approx(-right.right_m)
    assert left.right_low_m == pytest.approx(-right.right_high_m)
    assert (right.right_low_m < right.right_m).all()
    assert (np.diff(right.right_m) > 0).all()


def test_head_wind_lowers_and_tail_wind_lifts():
    head, tail = (wind_miss(BOWS, AT_M, 0.0, blow) for blow in (5.0, -5.0))
    assert (head.up_m < 0).all()
    assert (tail.up_m > 0).all()
    assert (head.reading_m > 0).all()  # numbers of this scale grow toward far targets
    assert (head.up_low_m <= head.up_m).all()
    assert (head.up_m <= head.up_high_m).all()


def test_dialling_the_change_takes_the_miss_away():
    one = SightedBow(85.0, 0.0018, 0.117, 1.2, Scale(0.004, 1.34, 0.838))
    boxed = SightedBow(
        *(np.array([[one]]) for one in (85.0, 0.0018, 0.117, 1.2)), Scale(0.004, 1.34, 0.838)
    )
    found = wind_miss(boxed, AT_M, 0.0, 5.0)
    reading = mark(one, AT_M) + found.reading_m
    up = impact(one, AT_M, reading, Aim(headwind_mps=np.array([5.0])))[1]
    assert 1e3 * np.abs(up).max() < 0.5  # mm; of 50 at 90 m
