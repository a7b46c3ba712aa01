import pytest

from tapewright.drawing.shapes import Box, Line
from tapewright.drawing.strip_pieces import strip_pieces
from tapewright.drawing.tape import Column, Look, Mark, Strip


def strip(sense=1.0, align_at=20.0, step=1):
    marks = tuple(Mark(float(one), sense * 4.0 * one) for one in range(20, 101, step))
    return Strip("one", (Column("", marks),), "Stick it.", align_at=align_at)


def test_a_strip_that_fits_is_one_piece_and_tells_where_its_tick_is():
    (one,) = strip_pieces(strip(), Look(number_side="left"), 400.0, is_first_choice=True)
    assert (one.name, one.sentence, one.pointer, one.is_first_choice) == (
        "one", "Stick it.", "left", True,
    )  # fmt: skip
    ticks = [
        shape.y1_mm for shape in one.shapes if isinstance(shape, Line) and shape.layer == "tick"
    ]
    assert one.meets_mm == pytest.approx(min(ticks))


def test_nothing_is_said_of_a_tick_that_is_not_there():
    assert strip_pieces(strip(align_at=None), Look(), 400.0)[0].meets_mm is None
    assert strip_pieces(strip(align_at=20.5), Look(), 400.0)[0].meets_mm is None


@pytest.mark.parametrize(("far_end", "first"), [("down", "upper"), ("up", "lower")])
def test_the_piece_at_the_pointer_is_stuck_on_first_and_goes_on_below_the_other(far_end, first):
    upper, lower = strip_pieces(strip(), Look(far_end=far_end), 250.0, is_first_choice=True)
    assert (upper.is_first_choice, lower.is_first_choice) == (first == "upper", first == "lower")
    assert (upper.name, lower.name) == ("one, upper piece", "one, lower piece")
    assert f"stick the {first} one on first" in upper.sentence
    assert "60 tick" in upper.sentence
    assert lower.sentence == ""
    met = upper if first == "upper" else lower
    other = lower if first == "upper" else upper
    assert met.meets_mm is not None
    assert other.meets_mm is None
    both = upper.length_mm + lower.length_mm
    assert both == pytest.approx(320.0 + 5.2 + 6.2 + 6.0)  # marks, head, foot, overlap
    for piece in (upper, lower):
        (box,) = [shape for shape in piece.shapes if isinstance(shape, Box)]
        assert box.height_mm == pytest.approx(piece.length_mm)
    ticks = [
        shape.y1_mm for shape in met.shapes if isinstance(shape, Line) and shape.layer == "tick"
    ]
    assert min(abs(one - met.meets_mm) for one in ticks) < 1e-9


def test_a_strip_without_tens_is_parted_at_any_tick():
    marks = tuple(Mark(float(one), 30.0 * one) for one in range(21, 30))
    upper, lower = strip_pieces(Strip("one", (Column("", marks),)), Look(), 200.0)
    assert "25 tick" in upper.sentence
    assert lower.length_mm < 200.0
