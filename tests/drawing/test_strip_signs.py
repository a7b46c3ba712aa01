import pytest

from tapewright.drawing.shapes import Line, Text
from tapewright.drawing.strip_signs import close_sign, pointer_sign


@pytest.mark.parametrize(("pointer", "inward"), [("right", -1), ("left", 1)])
def test_the_arrowhead_stands_at_the_pointers_edge_and_points_inward(pointer, inward):
    one, other = pointer_sign(12.0, pointer)
    edge_mm = 12.0 if pointer == "right" else 0.0
    assert (one.x2_mm, one.y2_mm) == (other.x1_mm, other.y1_mm)  # its tip
    assert 0.0 < inward * (one.x1_mm - edge_mm) < inward * (one.x2_mm - edge_mm) < 1.5
    assert one.x1_mm == other.x2_mm
    assert all(line.y1_mm != line.y2_mm for line in (one, other))


@pytest.mark.parametrize(
    ("places", "base"),
    [((20.0, 26.0), 26.0 + 1.2), ((80.0, 88.0), 80.0 - 1.2)],
)
def test_the_word_follows_the_marks_or_stands_before_them(places, base):
    word, seam = close_sign(places, 4.0, 0.0, (2.0, 90.0))
    assert isinstance(word, Text)
    assert (word.words, word.turn_deg) == ("close", -90.0)
    long_mm = abs(seam.y2_mm - seam.y1_mm) - (max(places) - min(places)) - 2.4
    assert 3.0 < long_mm < 5.0
    assert word.y_mm == pytest.approx(base + (long_mm if base > 25 and base < 30 else 0.0))
    assert seam.x1_mm == seam.x2_mm == 4.0
    assert 0.0 < word.x_mm < 4.0


def test_a_lane_full_of_marks_keeps_the_seam():
    (seam,) = close_sign((3.0, 89.0), 4.0, 0.0, (2.0, 90.0))
    assert isinstance(seam, Line)
    assert (seam.y1_mm, seam.y2_mm) == (2.0, 90.0)
