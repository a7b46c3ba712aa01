import pytest

from tapewright.drawing.shapes import Box, Line, Text
from tapewright.drawing.two_pieces import in_two, parting
from tapewright.ground.errors import DoesNotFit

TICKS = tuple(Line(0, y, 2, y, layer="tick") for y in range(5, 300, 10))
SEAM = Line(4, 1, 4, 299)
NUMBERS = tuple(Text(5, y + 1.2, f"{y}", 3.3, layer="number") for y in range(5, 300, 10))
SIGN = Text(3, 100.0, "close", 1.7, turn_deg=-90)
CUT = Box(0, 0, 12, 300, 0.1, layer="cut")


def heights(half, kind, layer):
    return [one.y1_mm if kind is Line else one.y_mm for one in half.shapes
            if isinstance(one, kind) and one.layer == layer]  # fmt: skip


@pytest.mark.parametrize("upper_below", [True, False])
def test_both_pieces_have_the_tick_at_which_they_meet(upper_below):
    upper, lower = in_two((CUT, *TICKS, SEAM), 12.0, 300.0, 145.0, upper_below=upper_below)
    assert upper.from_mm == 0.0
    assert upper.length_mm == (151.0 if upper_below else 145.0)
    assert lower.from_mm == (145.0 if upper_below else 139.0)
    assert lower.from_mm + lower.length_mm == 300.0
    assert heights(upper, Line, "tick")[-1] == 145.0
    assert heights(lower, Line, "tick")[0] == 145.0 - lower.from_mm
    assert len(heights(upper, Line, "tick")) + len(heights(lower, Line, "tick")) == 31


def test_lines_and_the_cut_end_with_their_piece():
    for half in in_two((CUT, SEAM), 12.0, 300.0, 145.0, upper_below=True):
        box, seam = half.shapes
        assert (box.y_mm, box.height_mm) == (0.0, half.length_mm)
        assert abs(seam.y2_mm - seam.y1_mm) == pytest.approx(half.length_mm - 1.0)


def test_a_number_at_the_edge_stands_whole_on_both_and_others_on_one():
    upper, lower = in_two((CUT, *NUMBERS), 12.0, 300.0, 145.0, upper_below=True)
    words = [{one.words for one in half.shapes if isinstance(one, Text)} for half in (upper, lower)]
    assert words[0] & words[1] == {"145"}
    assert len(words[0] | words[1]) == 30


def test_turned_words_go_by_where_they_reach():
    for at, uppers, lowers in ((90.0, 0, 1), (98.0, 1, 1), (105.0, 1, 0)):
        upper, lower = in_two((SIGN,), 12.0, 300.0, at, upper_below=False)
        found = len(upper.shapes), len(lower.shapes)
        assert found == (uppers, 1 if lowers else (1 if at - 6.0 < 100.0 else 0))


def test_a_strip_is_parted_near_its_middle():
    assert parting([20.0, 100.0, 160.0, 250.0], 300.0, 240.0) == 160.0
    assert parting([20.0, 100.0, 250.0], 300.0, 210.0) == 100.0


def test_what_two_pieces_cannot_hold_is_refused():
    with pytest.raises(DoesNotFit, match="DXF"):
        parting([20.0, 100.0, 250.0], 300.0, 200.0)


def test_a_box_that_ends_before_a_piece_is_not_on_it():
    small = Box(3, 20, 2, 7, 0.0)
    upper, lower = in_two((CUT, small), 12.0, 300.0, 145.0, upper_below=True)
    assert [(one.y_mm, one.height_mm) for one in upper.shapes] == [(0.0, 151.0), (20.0, 7.0)]
    assert [(one.y_mm, one.height_mm) for one in lower.shapes] == [(0.0, 155.0)]
