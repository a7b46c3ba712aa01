import numpy as np
import pytest

from tapewright.sight.bow import SightedBow
from tapewright.sight.level import (
    cant_miss,
    departure_height,
    left_after_windage,
    peep_miss,
    swung_level_cant,
    travel_miss,
)
from tapewright.sight.prediction import Aim, sight_angle
from tapewright.sight.scale import Scale

YARD_M = 0.9144
FAR_M = np.array([20, 40, 60, 80, 100]) * YARD_M
TILTS = np.radians([0.5, 1.0, 3.0, 8.0])


def bow(ahead=1.2):
    return SightedBow(85.0, 0.002, 0.115, ahead, Scale(0.01, 1.36, 0.85))


@pytest.mark.parametrize("tilt", TILTS)
def test_a_mirrored_tilt_mirrors_the_miss(tilt):
    drop = departure_height(bow(), FAR_M)
    right, up = cant_miss(drop, tilt)
    left, also_up = cant_miss(drop, -tilt)
    assert np.all(right > 0.0)
    assert np.all(up < 0.0)
    assert left == pytest.approx(-right)
    assert also_up == pytest.approx(up)
    assert travel_miss(FAR_M, 0.05, 0.02, -tilt) == pytest.approx(
        -travel_miss(FAR_M, 0.05, 0.02, tilt)
    )
    assert peep_miss(FAR_M, 0.85, -tilt) == pytest.approx(-peep_miss(FAR_M, 0.85, tilt))


def test_an_upright_bow_misses_nothing():
    right, up = cant_miss(departure_height(bow(), FAR_M), 0.0)
    assert not right.any()
    assert not up.any()


def test_the_launch_point_along_the_arrow_does_not_change_the_line_of_departure():
    slower = sight_angle(bow(0.6), FAR_M)  # another angle, since it falls earlier
    drop = departure_height(bow(0.6), FAR_M)
    above = 0.6 * np.sin(slower) - 0.115 * np.cos(slower)
    along = 0.6 * np.cos(slower) + 0.115 * np.sin(slower)
    assert drop == pytest.approx(above + (FAR_M - along) * np.tan(slower), abs=1e-12)


def test_drop_shrinks_on_a_slope_and_more_so_downhill():
    """Gravity square to the shot shrinks; along it, it slows the climb and speeds the descent."""
    level, uphill, downhill = (
        departure_height(bow(), FAR_M, Aim(slope_rad=slope)) for slope in (0.0, 0.5, -0.5)
    )
    assert np.all(downhill < uphill)
    assert np.all(uphill < level)
    # near by, where gravity along the shot has no time: times the cosine
    assert uphill[0] / level[0] == pytest.approx(np.cos(0.5), abs=0.02)


def test_the_plumb_line_over_the_target_meets_the_line_of_departure_there():
    slope, angle = 0.5, sight_angle(bow(), FAR_M, Aim(slope_rad=0.5))
    up = departure_height(bow(), FAR_M, Aim(slope_rad=slope))
    along = FAR_M + up * np.tan(slope)
    on_the_line = along * np.tan(angle) - 0.115 / np.cos(angle)
    assert up == pytest.approx(on_the_line, abs=1e-12)


@pytest.mark.parametrize("swing", TILTS)
def test_a_swung_level_leans_to_opposite_sides_up_and_down_and_not_on_the_level(swing):
    slopes = np.radians([-30.0, 0.0, 30.0])
    down, level, up = swung_level_cant(swing, slopes)
    assert level == 0.0
    assert up == pytest.approx(-down)
    assert up > 0.0  # right end ahead: uphill the bow leans to the right
    assert swung_level_cant(-swing, slopes) == pytest.approx([up, 0.0, down])


def test_no_lean_centres_the_bubble_of_a_level_swung_too_far():
    assert np.isnan(swung_level_cant(np.radians(60.0), np.radians(60.0)))


def test_nothing_is_left_where_windage_was_set():
    right, _ = cant_miss(departure_height(bow(), FAR_M), TILTS[1])
    left = left_after_windage(right, FAR_M, right[1], float(FAR_M[1]))
    assert left[1] == pytest.approx(0.0, abs=1e-15)
    assert left[0] < 0.0 < left[2] < left[3]
    tangents = np.tan(sight_angle(bow(), FAR_M))
    assert travel_miss(FAR_M, tangents, tangents[1], TILTS[1])[1] == 0.0


def test_a_canted_bow_and_a_leaning_travel_differ_by_a_straight_line_only():
    """Once windage and a sideways offset are free, no group on the level tells them apart."""
    tangents = np.tan(sight_angle(bow(), FAR_M))
    canted, _ = cant_miss(departure_height(bow(), FAR_M), TILTS[1])
    leaning = travel_miss(FAR_M, tangents, tangents[0], TILTS[1])
    straight = np.polyval(np.polyfit(FAR_M, canted - leaning, 1), FAR_M)
    # 1/cos φ of the eye's height changes by a thousandth over the distances
    assert 1e3 * np.abs(canted - leaning - straight).max() < 0.01


def test_an_eye_at_the_pin_misses_nothing():
    assert float(peep_miss(0.85, 0.85, 0.002)) == 0.0
