"""What a sheet says of how its strips are read: which sentence, of which pins, which figures."""

from tapewright.drawing.legibility import coarse_hints, reading_hints
from tapewright.drawing.tape import Column, Look, Mark, Strip


def column(name, first, spacing_mm, last=120):
    marks = (Mark(float(one), spacing_mm * one) for one in range(first, last + 1))
    return Column(name, tuple(marks))


def hints(*columns, wide_mm=12.0):
    return reading_hints([Strip("start here", columns)], Look("yd", wide_mm))


def test_what_is_true_of_two_pins_is_told_once():
    (ticks, numbers) = hints(column("top", 10, 0.4), column("low", 10, 0.4), wide_mm=17.0)
    assert ticks.startswith("Where ticks of top and low would run together they stand 2 yd apart:")
    assert numbers.startswith("Numbers of top and low stand 20 yd apart nearer than 120 yd")


def test_how_coarse_strips_are_is_told_without_the_rest():
    strips = [Strip("start here", (column("top", 10, 0.4),))]
    first, *_ = coarse_hints(strips, Look("yd", 12.0))
    assert first.startswith("Where ticks would run together they stand 2 yd apart:")


def test_what_is_true_of_one_pin_is_told_of_it_alone():
    told = " ".join(hints(column("top", 10, 0.7), column("low", 10, 0.4), wide_mm=17.0))
    assert "Where ticks of low would run together they stand 2 yd apart:" in told
    assert "Numbers of low stand 20 yd apart" in told
    assert "top" not in told


def test_a_strip_too_narrow_is_told_the_width_that_does():
    # three-digit numbers of two pins, in half of 11 mm each
    columns = column("top", 100, 1.0), column("low", 100, 1.0)
    (told,) = hints(*columns, wide_mm=11.0)
    assert "a strip 14 mm wide has room for 2.8 mm" in told
    assert hints(*columns, wide_mm=14.0) == ()


def test_where_marks_lie_too_close_no_width_is_promised():
    # from 100 to 110 are 2.5 mm: too little for numbers of 2.8 mm, however wide the strip
    for wide_mm in (8.0, 12.0, 50.0):
        *_, told = hints(column("pin 1", 100, 0.25), wide_mm=wide_mm)
        assert told.startswith("The lowest numbers are 1.6 mm high, for 30 cm from the eye;")
        assert told.endswith("their marks lie too close together for more, whatever the width.")


def test_a_width_is_named_only_if_numbers_can_be_read_on_it():
    # each lane of 6 mm is too narrow for three digits, and on a wider one marks are as close
    *_, told = hints(column("top", 100, 0.25), column("low", 100, 0.3), wide_mm=12.0)
    assert told.startswith("The lowest numbers are 1.5 mm high, for 30 cm from the eye;")
    assert told.endswith("their marks lie too close together for more, whatever the width.")
