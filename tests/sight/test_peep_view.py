import numpy as np
import pytest

from tapewright.sight.peep_view import (
    covered_width,
    eye_shift,
    filling_width,
    seen_angle,
    soft_edge,
)


def test_sizes_go_with_their_distance_from_the_pupil():
    assert float(seen_angle(2.0, 1.0)) == pytest.approx(np.pi / 2.0)
    assert filling_width((4e-3, 5e-3), 0.1, 0.8) == pytest.approx([36e-3, 45e-3])
    assert covered_width(0.5e-3, (17.9, 35.9), 0.1, 0.9) == pytest.approx([9e-3, 18e-3])


def test_a_wide_pupil_softens_the_edge():
    assert soft_edge(3e-3, 0.1, 0.8) == pytest.approx(24e-3)


def test_the_eye_follows_the_pin_that_stands_off_the_middle():
    assert eye_shift((5e-3, -5e-3), 0.1, 0.9) == pytest.approx([0.5e-3, -0.5e-3])
