"""Mistakes of who writes what was dialled: digits of the tape's number, not of a reading."""

import pytest

from tapewright.calibration.observation import Observation
from tapewright.confidence.mistakes import mistakes_in, mistakes_in_all
from tapewright.sight.stickings import Sticking
from tapewright.sight.tape import Tape, Ticks
from tapewright.target.group import Group, Impact

M = Ticks((10.0, 20.0, 40.0, 60.0), (0.010, 0.015, 0.029, 0.046))
TAPE = Tape("on", "m", (M,))
ARROWS = (Impact(0.0, 0.01), Impact(0.01, -0.01))


def dialled(number, distance_m, name):
    reading_m = TAPE.reading_of(number)
    return Observation(Group(name, ARROWS), distance_m, reading_m, scales=TAPE.scales)


SHOTS = (
    Observation(Group("gauge", ARROWS), 20.0, 0.0151),
    dialled(26.0, 40.0, "a"),
    dialled(53.0, 50.0, "b"),
)


def meant(kind, place):
    found = mistakes_in(SHOTS, place, 1, TAPE)
    return [one.meant[0] for one in found if one.kind == kind]


def test_digits_of_the_dialled_number_are_exchanged_or_wrong():
    readings = [one.reading_m for one in meant("digit", 1) if one.distance_m == 40.0]
    # 62 stands 1.7 mm past the last tick, of 1.6 that are blank; 56 is one digit wrong
    assert pytest.approx(0.0426) in readings
    assert all(one <= 0.046 + 1.6e-3 for one in readings)
    of_gauge = [one.reading_m for one in meant("digit", 0) if one.distance_m == 20.0]
    assert pytest.approx(0.0115) in of_gauge  # 11.5 mm for 15.1


def test_distance_and_dialled_number_are_exchanged():
    (other,) = meant("exchanged", 1)
    assert (other.distance_m, other.reading_m) == (pytest.approx(26.0), pytest.approx(0.029))


def test_no_minus_stands_before_a_number_of_a_tape():
    assert [one.reading_m for one in meant("sign", 1)] == [SHOTS[1].reading_m]


def test_what_stands_on_no_tape_has_no_digits():
    off = Observation(Group("c", ARROWS), 30.0, 0.2, scales=TAPE.scales)
    found = mistakes_in((off,), 0, 1, TAPE)
    assert {one.meant[0].reading_m for one in found if one.kind == "digit"} == {0.2}
    assert not [one for one in found if one.kind == "exchanged"]


def test_readings_are_exchanged_on_one_scale_only():
    swapped = [one.places for one in mistakes_in_all(SHOTS, 1, TAPE) if one.kind == "swapped"]
    assert swapped == [(1, 2)]
    assert mistakes_in_all(SHOTS[1:], 1, Tape("other", "m", (M,), aligned_on=(Sticking("x"),)))
