"""Numbers as people read them: the digits that are known, no finer than a click."""

from math import inf, nan

import pytest

from tapewright.words.number_format import known, known_ends, told


@pytest.mark.parametrize(
    ("value", "half", "least", "text"),
    [
        (29.012, 0.32, 0.0, "29.0"),  # a third of 0.32 is 0.107: tenths
        (104.48, 2.5, 0.0, "104.5"),  # halves
        (104.2, 2.5, 0.0, "104.0"),
        (29.012, 0.02, 0.0, "29.010"),  # steps of 0.005
        (29.012, 0.02, 0.1, "29.0"),  # a click of 0.1
        (12.31, 0.02, 0.25, "12.25"),
        (12.31, 0.02, 0.127, "12.32"),  # 97 clicks
        (45.8, 40.0, 0.25, "50"),
        (29.012, nan, 0.0, "29.01"),
        (nan, 0.3, 0.0, "–"),
        (-0.01, 0.3, 0.0, "0.0"),
    ],
)
def test_a_number_has_the_digits_that_are_known(value, half, least, text):
    assert known(value, half, least=least) == text


def test_a_sign_stands_only_before_what_is_not_nothing():
    assert [told(one, 1, signed=True) for one in (0.26, 0.04, -0.04, -0.26, inf)] == [
        "+0.3", "0.0", "0.0", "−0.3", "–",
    ]  # fmt: skip


def test_both_ends_of_a_band_have_the_same_digits():
    assert known_ends(-9.21, -7.11) == "−9.2 to −7.2"
    assert known_ends(28.69, 29.33, least=0.5) == "28.5 to 29.5"
