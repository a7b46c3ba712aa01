"""Notches along the free edge: where they are cut, their shape, and which a finger tells apart."""

from dataclasses import replace

import pytest

from tapewright.drawing.notches import notch_lines, told_apart
from tapewright.drawing.shapes import Line, Text
from tapewright.drawing.sheet import tape_sheets
from tapewright.drawing.tape import Look, Strip, draw_strip, tick_places_mm
from tapewright.ground.errors import BadInput, DoesNotFit


@pytest.mark.parametrize(("edge", "inward"), [(0.0, 1), (14.0, -1)])
def test_the_nearest_is_wide_and_flat_and_the_others_come_to_a_point(edge, inward):
    lines = list(notch_lines(edge, inward, (10.0, 20.0)))
    corners = [(one.x1_mm, one.y1_mm) for one in lines]
    deep = edge + inward * 1.5
    assert corners == [(edge, 8.0), (deep, 9.0), (deep, 11.0), (edge, 19.0), (deep, 20.0)]
    assert (lines[2].x2_mm, lines[2].y2_mm) == (edge, 12.0)
    assert (lines[4].x2_mm, lines[4].y2_mm) == (edge, 21.0)
    assert {one.layer for one in lines} == {"cut"}


def test_what_a_finger_cannot_tell_from_the_one_before_is_left_out():
    # the nearest is 4 mm wide and others 2: middles 6 mm and then 5 mm apart leave 3 mm of edge
    assert told_apart([(0.0,), (5.9,), (6.0,), (10.9,), (11.0,)]) == (0, 2, 4)
    assert told_apart([(0.0,), (-6.0,), (-11.0,)]) == (0, 1, 2)  # far distances upward
    assert told_apart([(0.0, 0.0), (6.1, 5.9)]) == (0,)  # on every strip of the sheet
    assert told_apart([]) == ()


@pytest.mark.parametrize(("side", "edge"), [("right", 0.0), ("left", 14.0)])
def test_a_strip_is_notched_at_its_ticks_opposite_the_pointer(make_column, side, edge):
    look = Look(width_mm=14.0, number_side=side, has_notches=True)
    strip = Strip("start here", (make_column(),), notches=(20.0, 40.0, 60.0))
    shapes, places = draw_strip(strip, look), tick_places_mm(strip, look)
    cuts = [one for one in shapes if isinstance(one, Line) and one.layer == "cut"]
    tips = [one for one in cuts if one.x1_mm != edge or one.x2_mm != edge]
    inner = {round(max(abs(one.x1_mm - edge), abs(one.x2_mm - edge)), 6) for one in tips}
    assert inner == {1.5}
    points = sorted({one.y1_mm for one in tips if one.x1_mm != edge and one.x2_mm == edge})
    middle = [places[20.0] + 1.0, places[40.0], places[60.0]]
    assert points == pytest.approx(sorted(middle))
    others = [one for one in shapes if not (isinstance(one, Line) and one.layer == "cut")]
    lanes = [one.x1_mm for one in others if isinstance(one, Line) and one.layer == "tick"]
    assert min(abs(one - edge) for one in lanes) >= 2.0  # no tick is cut off


def test_notches_off_leave_a_strip_as_it_was(make_column):
    strip = Strip("start here", (make_column(),))
    assert draw_strip(strip, Look()) == draw_strip(strip, Look(has_notches=False, has_foot=True))
    cut = [one for one in draw_strip(strip, Look()) if isinstance(one, Line)]
    assert all(one.layer != "cut" for one in cut)


def test_one_edge_has_notches_or_millimetres_and_room_for_them():
    with pytest.raises(BadInput, match="both want the free edge"):
        Look(width_mm=20.0, side_scale=True, has_notches=True)
    with pytest.raises(BadInput, match=r"notches take 2 mm of it\. Choose 10 to 52 mm"):
        Look(width_mm=9.0, has_notches=True)


def test_no_notch_leaves_a_strip_that_is_as_short_as_it_may_be(make_column):
    strip = Strip("start here", (make_column(),), notches=(10.0, 80.0))  # its first and last tick
    marks_mm = 42.0 + 0.004 * (80**2 - 10**2)
    look = Look(width_mm=14.0, has_notches=True, length_mm=marks_mm + 5.0)
    cuts = [one for one in draw_strip(strip, look) if isinstance(one, Line) and one.layer == "cut"]
    ends = [y for one in cuts for y in (one.y1_mm, one.y2_mm)]
    assert min(ends) == pytest.approx(0.5)
    assert max(ends) <= marks_mm + 5.0 - 0.5
    with pytest.raises(DoesNotFit):
        draw_strip(strip, replace(look, length_mm=marks_mm + 4.9))


def test_the_sheet_says_which_notch_is_where(make_column):
    strip = Strip("start here", (make_column(),), notches=(20.0, 40.0))
    for side, edge in (("right", "left"), ("left", "right")):
        look = Look(width_mm=14.0, number_side=side, has_notches=True)
        (sheet,) = tape_sheets((strip,), look, "Rig")
        told = " ".join(one.words for one in sheet.shapes if isinstance(one, Text))
        assert f"Notches for fingers along the {edge} edge: 20, 40 yd." in told
    columns = (make_column("pin 1"), make_column("pin 2"))
    two = Strip("start here", columns, notches=(20.0,))
    (sheet,) = tape_sheets((two,), Look(width_mm=18.0, has_notches=True), "Rig")
    told = " ".join(one.words for one in sheet.shapes if isinstance(one, Text))
    assert "along the left edge: 20 yd of pin 1." in told


def test_a_strip_without_a_foot_keeps_its_length(make_column):
    strip = replace(Strip("start here", (make_column(),)), foot="0 %")
    with_foot, without = draw_strip(strip, Look()), draw_strip(strip, Look(has_foot=False))
    words = [
        {one.words for one in shapes if isinstance(one, Text)} for shapes in (with_foot, without)
    ]
    assert words[0] - words[1] == {"0 %"}
    assert with_foot[0] == without[0]
