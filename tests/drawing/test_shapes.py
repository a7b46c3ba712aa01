from tapewright.drawing.shapes import Box, Line, Text, moved, stretched


def test_a_moved_shape_keeps_its_size_and_style():
    line = Line(1, 2, 3, 5, 0.2, 0.3, dashed=True, layer="tick")
    assert moved(line, 10, 20) == Line(11, 22, 13, 25, 0.2, 0.3, dashed=True, layer="tick")
    assert moved(Box(1, 2, 3, 4), 10, 20) == Box(11, 22, 3, 4)
    assert moved(Text(1, 2, "a", 3), 10, 20) == Text(11, 22, "a", 3)


def test_stretching_keeps_strokes_and_scales_places_per_axis():
    assert stretched(Line(1, 2, 3, 5, 0.2), 2, 10) == Line(2, 20, 6, 50, 0.2)
    assert stretched(Box(1, 2, 3, 4, 0.2), 2, 10) == Box(2, 20, 6, 40, 0.2)
    assert stretched(Text(1, 2, "a", 3), 2, 10) == Text(2, 20, "a", 30)
