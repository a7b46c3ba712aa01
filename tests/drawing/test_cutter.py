import pytest

from tapewright.drawing.cutter import cutter_sheet
from tapewright.drawing.paper import Paper, Sheet
from tapewright.drawing.shapes import Box, Line, Text

PAPER = Paper("strip", 20.0, 100.0)


def plain(*shapes):
    return cutter_sheet(Sheet(PAPER, shapes, "strip")).shapes


def test_a_broken_stroke_becomes_the_pieces_that_are_ink():
    found = plain(Line(10, 5, 8, 5, 0.2, 0.2, dashed=True, layer="tick"))
    # 0.45 mm of ink and 0.3 mm of white from its first end on: 2 mm hold two and a half
    ends = [(one.x1_mm, one.x2_mm) for one in found]
    wanted = [(10.0, 9.55), (9.25, 8.8), (8.5, 8.05)]
    assert ends == [pytest.approx(pair) for pair in wanted]
    assert all(one.y1_mm == one.y2_mm == 5 and not one.dashed for one in found)


def test_a_broken_stroke_may_run_down_the_strip():
    found = plain(Line(3, 1, 3, 2, dashed=True))
    assert [(one.x1_mm, one.x2_mm) for one in found] == [(3, 3), (3, 3)]
    assert [one.y2_mm for one in found] == pytest.approx([1.45, 2.0])


def test_what_is_not_trusted_has_a_layer_of_its_own():
    found = plain(
        Line(0, 5, 2, 5, layer="tick"),
        Line(0, 6, 0.4, 6, dashed=True, layer="tick"),
        Line(0, 7, 0.4, 7, dashed=True, layer="cut"),
        Text(3, 5, "70", 3.0, layer="number"),
        Text(3, 6, "80", 3.0, grey=0.4, layer="number"),
        Text(3, 7, "yd", 3.0, grey=0.4),
        Box(0, 0, 12, 90, 0.1, 0.5, layer="cut"),
    )
    layers = ["tick", "untrusted", "note", "number", "untrusted", "note", "cut"]
    assert [one.layer for one in found] == layers
