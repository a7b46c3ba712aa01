import numpy as np
import pytest

from tapewright.ground.errors import OutsideValidRange
from tapewright.sight.bow import SightedBow
from tapewright.sight.check_length import check_length, find_speeds
from tapewright.sight.prediction import mark
from tapewright.sight.scale import Scale

NEAR_M, FAR_M = 18.288, 54.864


def bow(direction=1, **sight):
    return SightedBow(84.7, 0.0018, 0.117, 1.2, Scale(0.004, direction * 1.34, 0.838, **sight))


@pytest.mark.parametrize("direction", [1, -1])
@pytest.mark.parametrize("sight", [{}, {"arm_length_m": 0.1}])
def test_a_bow_of_the_speed_found_has_the_length_wanted(direction, sight):
    lengths_m = np.array([0.020, 0.030, 0.045])
    speeds = find_speeds(bow(direction, **sight), lengths_m, NEAR_M, FAR_M)
    for speed, length_m in zip(speeds, lengths_m, strict=True):
        one = SightedBow(speed, 0.0018, 0.117, 1.2, bow(direction, **sight).scale)
        near, far = mark(one, np.array([NEAR_M, FAR_M]))
        # 0.0001 mm: a hundredth of what a strip's name promises
        assert direction * (far - near) == pytest.approx(length_m, abs=1e-7)


def test_a_slower_bow_has_a_longer_strip():
    speeds = find_speeds(bow(), [0.02, 0.03, 0.04], NEAR_M, FAR_M)
    assert (np.diff(speeds) < 0).all()


def test_without_drag_a_length_is_that_of_the_parabola():
    # from an eye at the launch point the level range is v² sin 2θ / g
    level = SightedBow(100.0, 1e-12, 0.0, 0.0, Scale(0.0, 1.0, 0.8))
    near, far = (0.5 * np.arcsin(9.80665 * one / 100.0**2) for one in (NEAR_M, FAR_M))
    # 0.001 mm on a sight of 1 m: the search ends within 1e-7 m at the target
    assert check_length(level, NEAR_M, FAR_M) == pytest.approx(np.tan(far) - np.tan(near), abs=1e-6)


@pytest.mark.parametrize("length_m", [1e-4, 5.0])
def test_a_length_of_no_bow_is_refused_with_what_would_do(length_m):
    with pytest.raises(OutsideValidRange, match="A length of"):
        find_speeds(bow(), [length_m], NEAR_M, FAR_M)


def test_a_pivoting_arm_has_an_end():
    with pytest.raises(OutsideValidRange, match="A length of 250 mm"):
        find_speeds(bow(arm_length_m=0.1), [0.25], NEAR_M, FAR_M)
