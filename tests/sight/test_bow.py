import numpy as np
import pytest

from tapewright.flight.drag import DragShape, TransitionDrag
from tapewright.sight.bow import SightedBow, launch_ahead, scalar_bow
from tapewright.sight.scale import Scale

NOCK_BEHIND_EYE_M = 0.08  # common practice


def test_launch_point_is_the_arrow_less_the_nock_plus_the_push():
    assert launch_ahead(0.72, 0.50) == pytest.approx(0.72 - NOCK_BEHIND_EYE_M + 0.50, abs=1e-12)


def test_a_longer_arrow_and_a_longer_push_launch_farther_ahead():
    assert launch_ahead(0.74, 0.50) > launch_ahead(0.72, 0.50)
    assert launch_ahead(0.72, 0.52) > launch_ahead(0.72, 0.50)


def test_one_bow_of_arrays_becomes_one_of_numbers_field_by_field():
    numbers = (84.7, 0.0018, 0.117, 1.2, Scale(0.004, 1.34, 0.838), 0.003, -0.05)
    one = SightedBow(
        *(np.array([each]) for each in numbers[:4]),
        Scale(np.array([0.004]), np.array([1.34]), 0.838),
        *(np.array([each]) for each in numbers[5:]),
    )
    assert scalar_bow(one) == SightedBow(*numbers)


def test_the_law_of_drag_stays_with_a_bow_of_plain_numbers():
    shape = DragShape(TransitionDrag(22_000.0), 410.0)
    bow = SightedBow(84.7, 0.0018, 0.117, 1.2, Scale(0.004, 1.34, 0.838), shape=shape)
    assert scalar_bow(bow) == bow
