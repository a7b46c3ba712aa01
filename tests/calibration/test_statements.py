"""Weighed means with their scale factor; the printed examples stand in tests/outside."""

import pytest

from tapewright.calibration.statements import weigh


def test_statements_that_agree_are_no_wider_than_they_say():
    found = weigh((280.0, 282.0), (2.8, 2.82))
    assert found.scale == 1.0
    assert found.sd == pytest.approx((2.8**-2 + 2.82**-2) ** -0.5)


def test_one_statement_is_itself():
    found = weigh((280.0,), (2.8,))
    assert (found.value, found.sd, found.scale, found.chance) == (280.0, 2.8, 1.0, 1.0)


def test_two_count_both_in_how_far_they_differ_however_doubtful_one_is():
    """285 ± 0.5 and 250 ± 2.5: 35 apart, 2.55 doubtful: 13.7 times."""
    found = weigh((285.0, 250.0), (0.5, 2.5))
    assert found.scale == pytest.approx(35.0 / 6.5**0.5, rel=1e-6)
    assert found.chance < 1e-9


def test_what_is_left_out_of_the_scale_is_not_left_out_of_the_chance():
    """1 and 2 agree, 60 ± 9 lies six of its doubts away: told, and nothing widens."""
    found = weigh((1.0, 2.0, 60.0), (1.0, 1.0, 9.0))
    assert found.scale < 1.5
    assert found.chance < 1e-8


def test_what_is_too_doubtful_tells_nothing_of_the_others():
    """1 and 2 agree; 60 ± 50 is no reason to widen them, and hardly moves them."""
    found = weigh((1.0, 2.0, 60.0), (1.0, 1.0, 50.0))
    assert found.scale == 1.0
    assert found.value == pytest.approx(1.512, abs=1e-3)


def test_two_that_differ_count_with_half_their_difference():
    """Whatever they claim, if they claim the same; the chance is that of χ² with one freedom."""
    found = weigh((10.0, 16.0), (1.5, 1.5))
    assert found.sd == pytest.approx(3.0)
    assert found.scale == pytest.approx(2.0 * 2.0**0.5)
    assert found.chance == pytest.approx(0.004678, abs=1e-6)  # beyond 2.8284 deviations, two-sided
