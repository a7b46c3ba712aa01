"""A typed reading: a number of the tape with one on the sight, mm without one."""

import pytest

from tapewright.ground.errors import BadInput
from tapewright.reading.typed_reading import read_reading, reading_text
from tapewright.services.stick_tape import Tape, Ticks

YARD_M = 0.9144
# 0.5 mm a yard from 20 mm at 20 yd
TAPE = Tape("tape 1", "yd", (Ticks((20 * YARD_M, 90 * YARD_M), (0.020, 0.055)),))


@pytest.mark.parametrize(
    ("text", "mm"),
    [("63.5", 41.75), ("63,5", 41.75), ("63 1/2", 41.75), ("63.5 yd", 41.75), ("63.5 yards", 41.75),
     ("54.864 m", 40.0), ("40.2 mm", 40.2), ("4.02 cm", 40.2), ("1.5 in", 38.1), ('1.2"', 30.48),
     ("1 1/2 in.", 38.1), ("1,5 ″", 38.1), ("63½", 41.75)],
)  # fmt: skip
def test_with_a_tape_on_its_numbers_are_understood_and_mm_when_said(text, mm):
    assert 1e3 * read_reading(text, TAPE, 1, "here") == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(("text", "mm"), [("31.2", 31.2), ("31.2 mm", 31.2), ("1 in", 25.4)])
def test_without_one_mm_are_read(text, mm):
    assert 1e3 * read_reading(text, None, 1, "here") == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize("text", ["60 yd", "60 yards", "55 m", "180 ft", "60yd", "60'", "60 yd."])
def test_a_distance_where_mm_are_wanted_is_refused_with_the_mend(text):
    with pytest.raises(BadInput, match="no tape is known to be on the sight") as refused:
        read_reading(text, None, 1, "here")
    assert "say so first" in refused.value.mend
    assert "31.2 mm" in refused.value.mend


def test_what_the_tape_does_not_have_is_refused_with_its_ends():
    with pytest.raises(BadInput, match="does not have 120 yd") as refused:
        read_reading("120", TAPE, 1, "reading")
    assert refused.value.place == "reading"
    assert "from 20 to 90 yd" in refused.value.mend


@pytest.mark.parametrize("text", ["far", "", "60 kg", "nan"])
def test_what_is_no_number_is_refused(text):
    with pytest.raises(BadInput):
        read_reading(text, TAPE, 1, "here")


@pytest.mark.parametrize(("text", "tape"), [("63.5", TAPE), ("31.2 mm", None), ("17.5", TAPE)])
def test_what_was_typed_is_shown_again(text, tape):
    assert reading_text(read_reading(text, tape, 1, "here"), tape, 1, 50.0) == text


def test_a_reading_off_the_tape_is_shown_in_mm():
    assert reading_text(0.0802, TAPE, 1, 50.0) == "80.2 mm"
