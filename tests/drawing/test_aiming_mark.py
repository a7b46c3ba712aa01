from math import hypot

import pytest

from tapewright.drawing.aiming_mark import diamond, mark_shapes, plumb_shapes
from tapewright.drawing.target_grid import Target

OPEN = 0.55  # open centre against the whole mark

TARGET = Target("in", 152.4, 203.2, 30.0)


def edges_mm(line, x_mm=0.0, y_mm=0.0):
    """How far the inner and the outer edge of a stroke pass the middle."""
    run, fall = line.x2_mm - line.x1_mm, line.y2_mm - line.y1_mm
    off = abs(fall * (x_mm - line.x1_mm) - run * (y_mm - line.y1_mm)) / hypot(run, fall)
    return off - line.width_mm / 2.0, off + line.width_mm / 2.0


@pytest.mark.parametrize(("outer", "hole"), [(30.0, 16.5), (10.0, 0.0), (3.0, 2.5)])
def test_a_diamond_has_the_size_asked_for(outer, hole):
    lines = diamond(4.0, -7.0, outer, hole)
    assert len(lines) == 4
    for line in lines:
        near, far = edges_mm(line, 4.0, -7.0)
        assert near * 2.0**0.5 == pytest.approx(hole, abs=1e-9)
        assert far * 2.0**0.5 == pytest.approx(outer, abs=1e-9)


def test_corners_of_a_diamond_are_sharp():
    """Ends of neighbouring strokes meet in one point at the outer corner."""
    lines = diamond(0.0, 0.0, 30.0, 16.5)
    tips = set()
    for line in lines:
        for x, y, to_x, to_y in (
            (line.x1_mm, line.y1_mm, line.x2_mm, line.y2_mm),
            (line.x2_mm, line.y2_mm, line.x1_mm, line.y1_mm),
        ):
            long = hypot(to_x - x, to_y - y)
            across = (-(to_y - y) / long, (to_x - x) / long)
            for side in (-1, 1):
                corner = (
                    x + side * across[0] * line.width_mm / 2.0,
                    y + side * across[1] * line.width_mm / 2.0,
                )
                if hypot(*corner) > 29.9:
                    tips.add((round(corner[0], 6) + 0.0, round(corner[1], 6) + 0.0))
    assert tips == {(0.0, 30.0), (0.0, -30.0), (30.0, 0.0), (-30.0, 0.0)}


def test_the_mark_is_open_around_a_fine_cross():
    *strokes, level, upright = mark_shapes(TARGET)
    assert len(strokes) == 4
    assert {one.grey for one in strokes} == {0.0}
    assert -level.x1_mm == level.x2_mm < OPEN * TARGET.aiming_mark_mm / 2.0 + 1e-9
    assert -upright.y1_mm == upright.y2_mm == level.x2_mm


def test_the_plumb_line_runs_through_the_aim_and_leaves_the_mark_open():
    above, below, *diamonds = plumb_shapes(TARGET)
    assert above.x1_mm == above.x2_mm == below.x1_mm == below.x2_mm == 0.0
    assert above.y2_mm == -TARGET.aiming_mark_mm
    assert below.y1_mm == TARGET.aiming_mark_mm
    assert len(diamonds) == 8
    assert all(abs(one.y1_mm) < TARGET.height_mm / 2.0 for one in diamonds)
