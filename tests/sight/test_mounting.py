import numpy as np
import pytest

from tapewright.sight.mounting import mounted, pointing_tangent, with_zero_at
from tapewright.sight.scale import Scale

STRAIGHT = Scale(0.004, 1.36, 0.85)  # 1.6 mm of reading per mm of travel
ARM = Scale(0.004, -1.02, 0.85, 0.09, 0.02)


@pytest.mark.parametrize("scale", [STRAIGHT, ARM])
def test_a_sight_a_hole_higher_has_its_pin_as_much_higher_at_every_reading(scale):
    higher = mounted(scale, 0.01, 0.0)
    readings = np.array([0.0, 0.02, 0.045])
    assert higher.drop(readings) == pytest.approx(scale.drop(readings) - 0.01, abs=1e-12)
    assert higher.sight_radius_m == 0.85


@pytest.mark.parametrize("scale", [STRAIGHT, ARM])
def test_a_pin_farther_forward_stands_as_low_and_looks_flatter(scale):
    ahead = mounted(scale, 0.0, 0.05)
    assert ahead.drop(0.04) == pytest.approx(float(scale.drop(0.04)), abs=1e-12)
    assert ahead.sight_radius_m == pytest.approx(0.9)
    assert abs(float(ahead.tangent(0.04))) < abs(float(scale.tangent(0.04)))


def test_draws_are_bolted_one_by_one():
    two = mounted(Scale(np.array([[0.004], [0.006]]), 1.36, 0.85), np.array([[0.01], [0.02]]), 0.0)
    assert two.drop(0.04)[:, 0] == pytest.approx([0.036 / 1.6 - 0.01, 0.034 / 1.6 - 0.02])


def test_where_the_arrow_points_the_line_of_sight_comes_down_by_the_eye_s_height():
    assert float(pointing_tangent(0.3, 0.5)) == pytest.approx(0.75)  # 3, 4, 5
    off = float(pointing_tangent(0.1, 5.0, 4e-3) - pointing_tangent(0.1, 5.0))
    assert off == pytest.approx(4e-3, rel=0.01)


@pytest.mark.parametrize("scale", [STRAIGHT, ARM])
def test_a_look_sets_the_zero_and_leaves_the_rest(scale):
    told = with_zero_at(scale, 0.031, 0.02)
    assert float(told.tangent(0.031)) == pytest.approx(0.02, abs=1e-12)
    assert told.reading_per_tangent_m == scale.reading_per_tangent_m
