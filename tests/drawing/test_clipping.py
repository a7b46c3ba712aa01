import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tapewright.drawing.clipping import Area, inside, outside, words_area
from tapewright.drawing.lettering import width_mm
from tapewright.drawing.shapes import Line, Text

AREA = Area(0.0, 0.0, 10.0, 20.0)
NEAR_MM = 1e-5  # edges are moved by a millionth of a mm to tell along from across


def ends(lines):
    return [(one.x1_mm, one.y1_mm, one.x2_mm, one.y2_mm) for one in lines]


def length_mm(line):
    return ((line.x2_mm - line.x1_mm) ** 2 + (line.y2_mm - line.y1_mm) ** 2) ** 0.5


def test_an_area_knows_its_size_and_its_middle():
    area = Area(1.0, 2.0, 4.0, 8.0)
    assert (area.wide_mm, area.high_mm, area.middle_mm) == (3.0, 6.0, (2.5, 5.0))
    assert area.grown(1.0, 2.0) == Area(1.0, 2.0, 5.0, 10.0)


@pytest.mark.parametrize(
    ("other", "meets"),
    [
        (Area(9.0, 19.0, 30.0, 30.0), True),
        (Area(10.0, 0.0, 30.0, 30.0), False),
        (Area(-5.0, 0.0, 0.0, 5.0), False),
        (Area(0.0, -5.0, 5.0, 0.0), False),
        (Area(0.0, 20.0, 5.0, 25.0), False),
    ],
)
def test_areas_that_only_touch_do_not_meet(other, meets):
    assert AREA.meets(other) is meets
    assert other.meets(AREA) is meets


def test_a_line_is_cut_at_the_edges():
    level = Line(-5.0, 4.0, 15.0, 4.0)
    assert ends(inside(level, AREA)) == [(0.0, 4.0, 10.0, 4.0)]
    left, right = ends(outside(level, AREA))
    assert left == pytest.approx((-5.0, 4.0, 0.0, 4.0), abs=NEAR_MM)
    assert right == pytest.approx((10.0, 4.0, 15.0, 4.0), abs=NEAR_MM)
    slanted = Line(-5.0, -5.0, 5.0, 5.0)
    assert ends(inside(slanted, AREA)) == [(0.0, 0.0, 5.0, 5.0)]


def test_a_line_that_misses_stays_whole_outside():
    for line in (
        Line(-5.0, 4.0, -1.0, 4.0),
        Line(11.0, 0.0, 11.0, 9.0),
        Line(-3.0, 9.0, 0.0, 30.0),
    ):
        assert inside(line, AREA) == ()
        assert outside(line, AREA) == (line,)


def test_a_line_wholly_inside_leaves_nothing_outside():
    line = Line(1.0, 1.0, 9.0, 19.0)
    assert inside(line, AREA) == (line,)
    assert outside(line, AREA) == ()


def test_a_line_along_an_edge_is_inside_and_outside():
    edge = Line(0.0, 0.0, 0.0, 20.0)
    assert inside(edge, AREA) == (edge,)
    assert outside(edge, AREA) == (edge,)


@given(*[st.integers(-30, 30) for _ in range(4)])
def test_nothing_is_lost_or_doubled(x1, y1, x2, y2):
    assume(x1 != x2 and y1 != y2)  # a line along an edge is both, as tested above
    line = Line(x1, y1, x2, y2)
    parts = sum(length_mm(part) for part in (*inside(line, AREA), *outside(line, AREA)))
    assert parts == pytest.approx(length_mm(line), abs=60 * NEAR_MM)  # slopes up to 1 in 60


@pytest.mark.parametrize(("anchor", "share"), [("start", 0.0), ("middle", 0.5), ("end", 1.0)])
def test_words_take_the_room_that_the_font_says(anchor, share):
    room = words_area(Text(5.0, 9.0, "+12", 3.0, anchor=anchor))
    assert room.wide_mm == pytest.approx(width_mm("+12", 3.0))
    assert room.left_mm == pytest.approx(5.0 - share * room.wide_mm)
    assert room.top_mm < 9.0 - 0.7 * 3.0
    assert room.bottom_mm > 9.0
