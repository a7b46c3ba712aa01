"""What cannot be meant is refused with its place; what can is kept as plain numbers."""

from dataclasses import dataclass
from fractions import Fraction

import numpy as np
import pytest

from tapewright.ground import checks
from tapewright.ground.checks import Amount
from tapewright.ground.errors import BadInput

LENGTH = Amount(0.1, 2.0, "metres", "0.7")


@dataclass(frozen=True)
class Stick:
    """A record with two numbers."""

    length_m: float
    width_m: float | None = None

    def __post_init__(self):
        checks.check_amounts(self, {"length_m": LENGTH, "width_m": LENGTH})


@pytest.mark.parametrize(
    "given", [1, np.int8(1), np.float32(1.0), Fraction(1), 1.0], ids=lambda one: type(one).__name__
)
def test_any_real_number_becomes_a_float(given):
    stick = Stick(given, given)
    assert type(stick.length_m) is float
    assert stick == Stick(1.0, 1.0)
    assert repr(stick.width_m) == "1.0"


def test_the_ends_themselves_are_inside():
    assert (Stick(0.1).length_m, Stick(2.0).length_m) == (0.1, 2.0)


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (True, "Stick.length_m: True is no number. Give it in metres, such as 0.7."),
        ("1 m", "Stick.length_m: '1 m' is no number. Give it in metres, such as 0.7."),
        ("x" * 60, f"Stick.length_m: '{'x' * 38}… is no number. Give it in metres, such as 0.7."),
        (None, "Stick.length_m: None is no number. Give it in metres, such as 0.7."),
        ([1.0], "Stick.length_m: a list is no number. Give it in metres, such as 0.7."),
        (1j, "Stick.length_m: a complex is no number. Give it in metres, such as 0.7."),
        (float("inf"), "Stick.length_m: inf is not finite. Give it in metres, such as 0.7."),
        (float("nan"), "Stick.length_m: nan is not finite. Give it in metres, such as 0.7."),
        (0.09, "Stick.length_m: 0.09 is outside 0.1 to 2 metres. Give it in metres, such as 0.7."),
        (-1, "Stick.length_m: -1 is outside 0.1 to 2 metres. Give it in metres, such as 0.7."),
    ],
)
def test_other_numbers_are_refused(given, told):
    with pytest.raises(BadInput) as bad:
        Stick(given)
    assert str(bad.value) == told


def test_what_was_not_measured_is_none():
    assert Stick(1.0, None).width_m is None
    with pytest.raises(BadInput, match="width_m: a list is no number"):
        Stick(1.0, [1.0, 2.0])
    with pytest.raises(BadInput, match=r"width_m: nan is not finite\. Give None for what is not"):
        Stick(1.0, float("nan"))


def test_a_pure_number_has_no_unit():
    with pytest.raises(BadInput, match=r"here: 3 is outside 0 to 1\. Give it bare, such as 0\.9"):
        checks.checked_number("here", 3.0, Amount(0.0, 1.0, "", "0.9"))


def test_counts_are_whole():
    assert type(checks.checked_count("here", np.int64(3), 1, 3)) is int
    for given in (0, 4, 2.0, True, "2"):
        with pytest.raises(BadInput, match=r"is not a whole number from 1 to 3\. Give a count"):
            checks.checked_count("here", given, 1, 3)


def test_choices_are_words():
    checks.checked_choice("here", None, (None, "up"))
    for given in ("Up", 1, ["up"], np.array(["up", "down"])):
        with pytest.raises(BadInput, match=r"is none of its words\. Give one of None, 'up'\."):
            checks.checked_choice("here", given, (None, "up"))


@pytest.mark.parametrize(
    ("text", "right"),
    [("2026-05-14", True), ("2024-02-29", True), ("2026-02-29", False), ("20260514", False),
     ("14-05-2026", False), ("2026-5-14", False), ("", False), (" 2026-05-14", False)],
)  # fmt: skip
def test_a_day_is_year_month_day_and_in_the_calendar(text, right):
    assert checks.is_day(text) is right


def test_texts_and_records_are_what_they_are():
    checks.checked_text("here", "far")
    checks.checked_record("here", Stick(1.0), Stick, "Give Stick(1.0)")
    with pytest.raises(BadInput, match="here: 14 is no text"):
        checks.checked_text("here", 14)
    with pytest.raises(BadInput, match=r"here: an Amount is no Stick\. Give Stick\(1\.0\)"):
        checks.checked_record("here", LENGTH, Stick, "Give Stick(1.0)")


def test_several_are_a_tuple():
    sticks = [Stick(1.0), Stick(0.5)]
    assert checks.checked_several("here", sticks, Stick, "Give sticks") == tuple(sticks)
    with pytest.raises(BadInput, match="here: a Stick is no tuple of Stick"):
        checks.checked_several("here", sticks[0], Stick, "Give sticks")
    with pytest.raises(BadInput, match=r"here\[1\]: 7 is no Stick"):
        checks.checked_several("here", (sticks[0], 7), Stick, "Give sticks")


def test_a_number_that_no_float_holds_is_not_finite():
    assert [checks.as_float(one) for one in (10**400, -(10**400), 2)] == [np.inf, -np.inf, 2.0]
    assert checks.shown(10**400) == "inf"
    with pytest.raises(BadInput, match="here: -inf is not finite"):
        checks.checked_number("here", -(10**400), LENGTH)
