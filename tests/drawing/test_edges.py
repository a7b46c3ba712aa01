import pytest

from tapewright.drawing.edges import corner_marks, edge_words
from tapewright.drawing.lettering import width_mm
from tapewright.drawing.shapes import Text

LEFT, TOP, WIDE, LONG = 50.0, 36.0, 14.0, 90.0


def words(pointer, meets_mm=20.0, long_mm=LONG):
    shapes = edge_words(LEFT, TOP, WIDE, long_mm, pointer, meets_mm)
    return {one.words: one for one in shapes}


def room(text):
    """Left, top, right, bottom of words that run along the strip; capitals are 0.729 em high."""
    long_mm, high_mm = width_mm(text.words, text.em_mm), 0.729 * text.em_mm
    if text.turn_deg == 90:  # reads downward, so its letters stand to the right of the base
        return text.x_mm, text.y_mm, text.x_mm + high_mm, text.y_mm + long_mm
    assert text.turn_deg == -90
    return text.x_mm - high_mm, text.y_mm - long_mm, text.x_mm, text.y_mm


@pytest.mark.parametrize(("pointer", "arrow"), [("right", "◀"), ("left", "▶")])
def test_the_pointers_side_is_told_outside_the_cut_on_that_side(pointer, arrow):
    found = words(pointer)
    left, _, right, _ = room(found["pointer this side"])
    up_left, _, up_right, _ = room(found["this end up →"])
    if pointer == "left":  # the same, seen in a mirror
        left, right = 2 * LEFT + WIDE - right, 2 * LEFT + WIDE - left
        up_left, up_right = 2 * LEFT + WIDE - up_right, 2 * LEFT + WIDE - up_left
    assert LEFT + WIDE + 0.5 < left < right < LEFT + WIDE + 3.0
    assert LEFT - 3.0 < up_left < up_right < LEFT - 0.5
    assert arrow in found
    assert found["this end up →"].turn_deg == -90  # → turned so points up


@pytest.mark.parametrize("meets_mm", [3.0, 20.0, 60.0, 85.0])
def test_the_arrow_is_at_the_height_of_the_tick_and_clear_of_the_words(meets_mm):
    found = words("right", meets_mm)
    arrow = found["◀"]
    # an arrowhead of this face is drawn from 0.12 em below its line to 0.75 above
    assert arrow.y_mm - 0.37 * arrow.em_mm == pytest.approx(TOP + meets_mm)
    assert arrow.x_mm > LEFT + WIDE
    _, top, _, bottom = room(found["pointer this side"])
    assert top > TOP + meets_mm + 1.5 or bottom < TOP + meets_mm - 1.5


def test_a_strip_that_nothing_is_said_of_has_its_words_in_the_middle():
    found = words("right", None)
    assert "◀" not in found
    _, top, _, bottom = room(found["pointer this side"])
    assert (top + bottom) / 2.0 == pytest.approx(TOP + LONG / 2.0)
    short = words("right", None, 12.0)
    assert room(short["pointer this side"])[1] == pytest.approx(TOP + 4.0)


def test_corner_marks_prolong_the_cut_and_stay_out_of_it():
    marks = corner_marks(LEFT, TOP, WIDE, LONG)
    assert len(marks) == 8
    assert not any(isinstance(one, Text) for one in marks)
    for one in marks:
        on_x = {one.x1_mm, one.x2_mm} <= {LEFT, LEFT + WIDE}
        on_y = {one.y1_mm, one.y2_mm} <= {TOP, TOP + LONG}
        assert on_x is not on_y
        assert one.layer == "cut"
        outside_x = not LEFT - 0.5 < one.x1_mm < LEFT + WIDE + 0.5
        assert outside_x or not TOP - 0.5 < one.y1_mm < TOP + LONG + 0.5
