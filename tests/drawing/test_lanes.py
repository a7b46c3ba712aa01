import pytest

from tapewright.drawing.lanes import Lane, lane_shapes, largest_em_mm
from tapewright.drawing.shapes import Line, Text
from tapewright.ground.errors import DoesNotFit

SMALLEST_EM_MM = 1.3  # capitals of 0.95 mm, the small print of a map


def lane(width_mm=12.0, spacing_mm=1.0, first=20, last=60, *, number_every=5, inward=1, **more):
    distances = tuple(float(one) for one in range(first, last + 1))
    places_mm = tuple(spacing_mm * one for one in distances)
    trusted = tuple(one <= 40 for one in distances)
    return Lane(0.0, inward, width_mm, distances, places_mm, trusted, number_every, **more)


def numbers(shapes):
    return {shape.words: shape for shape in shapes if isinstance(shape, Text)}


def ticks(shapes):
    return {
        shape.y1_mm: abs(shape.x2_mm - shape.x1_mm) for shape in shapes if isinstance(shape, Line)
    }


def test_tens_have_the_longest_ticks_and_the_largest_numbers():
    shapes = lane_shapes(lane())
    lengths = ticks(shapes)
    assert lengths[30.0] > lengths[35.0] > lengths[36.0]
    shown = numbers(shapes)
    assert shown["30"].em_mm > shown["35"].em_mm
    assert shown["30"].bold
    assert not shown["35"].bold


def test_numbers_at_tens_only_when_asked():
    assert set(numbers(lane_shapes(lane(number_every=10)))) == {"20", "30", "40", "50", "60"}


def test_untrusted_marks_are_lighter_broken_and_not_bold():
    shapes = lane_shapes(lane())
    shown = numbers(shapes)
    assert shown["50"].grey > shown["40"].grey
    assert not shown["50"].bold
    strokes = {shape.y1_mm: shape for shape in shapes if isinstance(shape, Line)}
    assert strokes[50.0].dashed
    assert not strokes[40.0].dashed
    assert strokes[50.0].width_mm < strokes[40.0].width_mm
    assert strokes[50.0].grey < 0.5  # must survive a black-and-white printer


def test_crowded_tens_get_smaller_lettering_before_one_is_left_out():
    shown = numbers(lane_shapes(lane(spacing_mm=0.25, last=90)))
    assert {"20", "30", "40", "50", "60", "70", "80", "90"} <= set(shown)
    assert shown["30"].em_mm < numbers(lane_shapes(lane()))["30"].em_mm


def test_close_lanes_number_all_that_fits_in_one_size():
    shown = numbers(lane_shapes(lane(3.9, 3.0, first=3, last=9, kind="close")))
    assert set(shown) == {"3", "4", "5", "6", "7", "8", "9"}
    assert len({text.em_mm for text in shown.values()}) == 1


def test_numbers_stand_on_the_inner_side_of_the_ticks():
    right = numbers(lane_shapes(lane(inward=1)))["30"]
    left = numbers(lane_shapes(lane(inward=-1)))["30"]
    assert right.anchor == "start"
    assert left.anchor == "end"
    assert right.x_mm == -left.x_mm


def test_a_lane_too_narrow_to_read_says_so():
    assert largest_em_mm(lane(5.0, last=100)) >= SMALLEST_EM_MM
    with pytest.raises(DoesNotFit, match="wider"):
        lane_shapes(lane(4.0, last=100))


def test_a_lane_without_numbers_needs_no_room_for_them():
    alone = lane(2.0, first=21, last=24)
    assert not numbers(lane_shapes(alone))


def test_a_narrow_lane_gives_up_tick_before_it_gives_up_numbers():
    """Five pins on 25 mm leave 4.44 mm each beside a close lane; 120 must stand there."""
    usual, tight = lane(5.0, last=90), lane(4.44, last=120)
    assert 1.2 < tight.longest_tick_mm < 0.36 * 4.44
    assert usual.longest_tick_mm == pytest.approx(0.36 * 5.0)
    assert largest_em_mm(tight) == pytest.approx(SMALLEST_EM_MM)
    assert "120" in numbers(lane_shapes(tight))
