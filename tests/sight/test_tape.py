"""A tape as a scale: numbers to readings and back, by numbers worked out by hand."""

import math

import pytest

from tapewright.ground.errors import BadInput
from tapewright.sight.stickings import Sticking, scales_from, scales_text
from tapewright.sight.tape import Tape, Ticks

# in metres: back from 5 to 15 m, forth from there
FIRST = Ticks((5.0, 10.0, 15.0, 20.0, 30.0), (0.020, 0.016, 0.015, 0.017, 0.023))
SECOND = Ticks((20.0, 30.0), (0.007, 0.0145))
TAPE = Tape("mine", "m", (FIRST, SECOND), white_m=2e-3)
FALLING = Tape("down", "m", (Ticks((20.0, 30.0, 40.0), (0.030, 0.025, 0.018)),))
YARDS = Tape("yards", "yd", (Ticks((18.288, 27.432), (0.010, 0.013)),))


@pytest.mark.parametrize(
    ("dialled_m", "pin", "reading_m"),
    [
        (20.0, 1, 0.017), (25.0, 1, 0.020), (22.5, 1, 0.0185),  # between 20 and 30
        (7.5, 1, 0.018), (12.0, 1, 0.0156),  # nearer than the turning distance
        (33.0, 1, 0.0248), (4.0, 1, 0.0208),  # on the blank ends, by the outermost pair
        (25.0, 2, 0.01075),
    ],
)  # fmt: skip
def test_a_number_of_the_tape_is_a_reading(dialled_m, pin, reading_m):
    assert TAPE.reading_of(dialled_m, pin) == pytest.approx(reading_m, abs=1e-9)


@pytest.mark.parametrize(
    ("reading_m", "dialled_m"),
    [(0.015, 15.0), (0.0155, 16.25), (0.020, 25.0), (0.023, 30.0), (0.0242, 32.0)],
)
def test_a_reading_is_a_number_past_the_turning_distance(reading_m, dialled_m):
    assert TAPE.dialled_of(reading_m) == pytest.approx(dialled_m, abs=1e-9)


def test_numbers_that_fall_toward_farther_targets():
    assert FALLING.reading_of(35.0) == pytest.approx(0.0215, abs=1e-9)
    assert FALLING.dialled_of(0.027) == pytest.approx(26.0, abs=1e-9)
    assert FALLING.dialled_of(0.031) == pytest.approx(18.0, abs=1e-9)  # 1 mm before the first
    assert FALLING.dialled_of(0.0173) == pytest.approx(41.0, abs=1e-9)


@pytest.mark.parametrize(
    ("reading_m", "at_m", "close_m"),
    [
        (0.018, 7.0, 7.5),  # between 5 and 10
        (0.016, 15.0, 10.0), (0.015, 14.0, 15.0),
        (0.0208, 5.0, 4.0),  # 0.8 mm before the first, of 2 that are blank
    ],
)  # fmt: skip
def test_a_near_target_has_a_number_among_the_close_ticks(reading_m, at_m, close_m):
    assert TAPE.close_of(reading_m, at_m) == pytest.approx(close_m, abs=1e-9)


@pytest.mark.parametrize(
    ("tape", "reading_m", "at_m"),
    [
        (TAPE, 0.018, 15.1),  # the target stands past the turning distance
        (TAPE, 0.0149, 9.0),  # before the turning distance nothing stands
        (TAPE, 0.0221, 5.0),  # 2.1 mm before the first
        (FALLING, 0.028, 21.0),  # all its ticks run one way
    ],
)
def test_what_is_no_close_tick_has_no_such_number(tape, reading_m, at_m):
    assert math.isnan(tape.close_of(reading_m, at_m))


def test_what_the_tape_does_not_have_is_refused_with_its_ends():
    with pytest.raises(BadInput) as far:
        TAPE.reading_of(35.0)  # 3 mm past the last tick, of 2 that are blank
    assert str(far.value) == (
        "dialled: the tape on the sight does not have 35 m. Its ticks of pin 1 go from 5 to 30 m."
    )
    with pytest.raises(BadInput, match=r"does not have 36 yd\. Its ticks go from 20 to 30 yd"):
        YARDS.reading_of(36 * 0.9144)  # 1.8 mm past the end, of 1.6
    assert YARDS.reading_of(34 * 0.9144) == pytest.approx(0.0142, abs=1e-9)
    with pytest.raises(BadInput, match=r"place of 14\.90 mm"):
        TAPE.dialled_of(0.0149)  # nothing stands before the turning distance
    with pytest.raises(BadInput, match=r"has no pin 3\. Its pins are 1 to 2"):
        TAPE.reading_of(20.0, 3)
    with pytest.raises(BadInput, match="does not have nan"):
        TAPE.reading_of(float("nan"))
    for past_m in (2.0, 33.4):  # 4.0 and 33.3 it has
        with pytest.raises(BadInput, match="does not have"):
            TAPE.reading_of(past_m)
    assert TAPE.reading_of(33.3) == pytest.approx(0.0249, abs=2e-4)


@pytest.mark.parametrize(
    ("distances", "readings"),
    [
        ((20.0,), (0.01,)), ((20.0, 30.0), (0.01,)), ((30.0, 20.0), (0.01, 0.02)),
        ((20.0, 20.0), (0.01, 0.02)), ((0.0, 20.0), (0.01, 0.02)), ((20.0, 30.0), (0.01, 0.01)),
        ((20.0, float("inf")), (0.01, 0.02)), ((20.0, 30.0), (0.01, float("nan"))),
    ],
)  # fmt: skip
def test_ticks_that_cannot_be_are_refused(distances, readings):
    with pytest.raises(BadInput, match="Ticks of the tape"):
        Ticks(distances, readings)


@pytest.mark.parametrize("how", [{"name": ""}, {"sd_m": -1e-4}, {"sd_m": 0.06}, {"white_m": 0.1}])
def test_a_tape_that_cannot_be_is_refused(how):
    with pytest.raises(BadInput, match="Tape"):
        Tape(**({"name": "t", "unit": "m", "pins": (FIRST,)} | how))


def test_a_scale_grows_by_each_sticking_and_a_group_may_come_before_it():
    below = (Sticking("gauge 2", 0.05),)
    tape = Tape("third", "m", (FIRST,), 0.2e-3, below, aligned_by=("near",))
    assert tape.scales == (Sticking("gauge 2", 0.05), Sticking("third", 0.2e-3))
    assert tape.scales_of("near") == below
    assert tape.scales_of("far") == tape.scales


def test_a_scale_in_words_and_back():
    scales = (Sticking("gauge 2", 0.05), Sticking("second tape", 0.3e-3))
    assert scales_text(scales) == "gauge 2 ± 50 > second tape ± 0.3"
    assert scales_from("gauge 2 > second tape ± 0.3 mm") == scales
    assert scales_from("gauge 2 +- 50>second tape+-0.3") == scales
    assert scales_from("  ") == ()
    assert scales_text(()) == ""


@pytest.mark.parametrize(
    "text", ["> a", "a ± x", "a ± -1", "a ± 51", "a ± nan", "± 0.3", "a>" * 51]
)
def test_a_scale_that_nobody_can_read_is_refused(text):
    with pytest.raises(BadInput, match="scale"):
        scales_from(text)
