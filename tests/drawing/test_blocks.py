from tapewright.drawing.blocks import answer_box, heading, paragraph, ruler_across, ruler_down
from tapewright.drawing.lettering import width_mm
from tapewright.drawing.shapes import Box, Line, Text


def test_a_heading_stands_over_a_line_of_its_width():
    (words, rule), below_mm = heading("Notes", 10.0, 20.0, 50.0)
    assert (rule.x1_mm, rule.x2_mm) == (10.0, 60.0)
    assert 20.0 < words.y_mm < rule.y1_mm < below_mm


def test_a_paragraph_keeps_to_its_width_and_tells_its_end():
    lines, below_mm = paragraph("many words that need several lines", 10.0, 20.0, 20.0)
    assert len(lines) > 2
    assert all(width_mm(line.words, line.em_mm) <= 20.0 for line in lines)
    assert 20.0 < lines[0].y_mm < lines[-1].y_mm < below_mm
    assert paragraph("", 10.0, 20.0, 20.0) == ([], 20.0)


def test_both_rulers_have_101_ticks_one_millimetre_apart():
    across = [one for one in ruler_across(30.0, 40.0) if isinstance(one, Line)]
    down = [one for one in ruler_down(30.0, 40.0) if isinstance(one, Line)]
    assert [one.x1_mm for one in across[1:]] == [30.0 + step for step in range(101)]
    assert [one.y1_mm for one in down[1:]] == [40.0 + step for step in range(101)]
    assert across[0].x2_mm - across[0].x1_mm == down[0].y2_mm - down[0].y1_mm == 100.0


def test_an_answer_box_has_its_words_above_it():
    shapes, below_mm = answer_box("across measures", 10.0, 20.0)
    (box,) = [one for one in shapes if isinstance(one, Box)]
    words = next(one for one in shapes if isinstance(one, Text))
    assert words.y_mm < box.y_mm
    assert below_mm == box.y_mm + box.height_mm
