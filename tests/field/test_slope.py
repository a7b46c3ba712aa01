import numpy as np
import pytest

from tapewright.field.slope import level_equivalent, rule_of_thumb, slope_table
from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import Aim, impact, mark, turning_distance
from tapewright.sight.scale import Scale

BOW = SightedBow(84.7, 0.0018, 0.117, 1.2, Scale(0.004, 1.34, 0.838))
FAR_M = np.linspace(15.0, 110.0, 40)


@pytest.mark.parametrize("gain", [1.34, -1.34])
def test_on_the_level_the_mark_to_dial_is_its_own(gain):
    bow = SightedBow(84.7, 0.0018, 0.117, 1.2, Scale(0.004, gain, 0.838))
    found = level_equivalent(bow, mark(bow, FAR_M))
    assert np.abs(found - FAR_M).max() < 1e-3  # m: no archer sees a millimetre of distance


def test_dialling_the_table_hits():
    slopes = np.radians([-60.0, -25.0, 25.0, 60.0])
    table = slope_table(BOW, slopes, FAR_M)
    for row, slope in enumerate(slopes):
        dialled = np.isfinite(table.dial_m[row])
        reading = mark(BOW, table.dial_m[row][dialled])
        up = impact(BOW, FAR_M[dialled], reading, Aim(slope_rad=slope))[1]
        assert 1e3 * np.abs(up).max() < 0.02  # mm


def test_a_mark_lower_than_any_level_mark_has_no_distance():
    table = slope_table(BOW, [np.radians(45.0), 0.0], [turning_distance(BOW) + 5.0])
    assert np.isnan(table.dial_m[0, 0])
    assert np.isfinite(table.dial_m[1, 0])
    assert table.reading_m[0, 0] < mark(BOW, turning_distance(BOW))


def test_up_needs_a_farther_mark_than_down():
    table = slope_table(BOW, np.radians([-40.0, 40.0]), FAR_M)
    assert (table.reading_m[1] > table.reading_m[0]).all()


def test_pin_and_air_count():
    aim = Aim(density_ratio=0.8, pin_below_m=0.009)
    table = slope_table(BOW, [0.0], FAR_M, aim)
    assert table.reading_m[0] == pytest.approx(mark(BOW, FAR_M, aim))
    assert np.abs(table.dial_m[0] - FAR_M).max() < 1e-3
    assert level_equivalent(BOW, table.reading_m[0], aim) == pytest.approx(FAR_M, abs=1e-3)


def test_past_the_end_of_an_arm_is_no_distance():
    arm = Scale(0.004, 1.34, 0.838, arm_length_m=0.02, arm_level_reading_m=0.02)
    bow = SightedBow(84.7, 0.0018, 0.117, 1.2, arm)
    table = slope_table(bow, [0.0], [20.0, 110.0])
    assert np.isnan(table.reading_m[0, 1])
    assert table.dial_m[0] == pytest.approx([20.0, 110.0], abs=1e-3)  # the angle is there
    assert np.isnan(level_equivalent(bow, [np.nan]))[0]


def test_many_slopes_are_as_good_as_each_by_itself():
    many = np.radians(np.linspace(-60.0, 60.0, 121))
    table = slope_table(BOW, many, FAR_M)
    for row in (0, 17, 60, 100, 120):
        alone = slope_table(BOW, many[row : row + 1], FAR_M)
        assert 1e3 * np.abs(table.reading_m[row] - alone.reading_m[0]).max() < 1e-5  # mm
    same = slope_table(BOW, np.full(30, 0.5), FAR_M)
    assert same.reading_m[7] == pytest.approx(slope_table(BOW, [0.5], FAR_M).reading_m[0])


def test_the_rule_of_thumb_is_worse_than_nothing_close_by():
    close = rule_of_thumb(BOW, np.radians(45.0), [8.0])
    assert abs(close.miss_m[0]) > abs(close.uncorrected_m[0])
    far = rule_of_thumb(BOW, np.radians([[30.0], [-30.0]]), FAR_M)
    assert far.miss_m.shape == (2, 40)
    assert (np.abs(far.miss_m[:, 20:]) < np.abs(far.uncorrected_m[:, 20:])).all()
    assert far.dial_m[0] == pytest.approx(FAR_M * np.cos(np.radians(30.0)))


def test_on_the_level_the_rule_is_right():
    assert np.abs(rule_of_thumb(BOW, 0.0, FAR_M).miss_m).max() < 1e-6
