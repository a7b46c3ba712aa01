import pytest

from tapewright.sight.bow import launch_ahead

NOCK_BEHIND_EYE_M = 0.08  # common practice


def test_launch_point_is_the_arrow_less_the_nock_plus_the_push():
    assert launch_ahead(0.72, 0.50) == pytest.approx(0.72 - NOCK_BEHIND_EYE_M + 0.50, abs=1e-12)


def test_a_longer_arrow_and_a_longer_push_launch_farther_ahead():
    assert launch_ahead(0.74, 0.50) > launch_ahead(0.72, 0.50)
    assert launch_ahead(0.72, 0.52) > launch_ahead(0.72, 0.50)
