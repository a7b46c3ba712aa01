import numpy as np
import pytest

from tapewright.drawing.qr import code_square
from tapewright.drawing.shapes import Box

QUIET_CELLS = 4  # ISO/IEC 18004: quiet zone of a code

CELLS = (
    (True, True, False),
    (False, False, False),
    (True, False, True),
)


def painted(shapes, x_mm, y_mm, side_mm, cells):
    """Which cells have ink in their middle."""
    count = cells + 2 * QUIET_CELLS
    step = side_mm / count
    middles = (np.arange(count) + 0.5) * step
    return np.array([
        [
            any(
                box.x_mm < x_mm + x < box.x_mm + box.width_mm
                and box.y_mm < y_mm + y < box.y_mm + box.height_mm
                for box in shapes
            )
            for x in middles
        ]
        for y in middles
    ])  # fmt: skip


def test_each_black_cell_is_inked_and_no_other():
    shapes = code_square(CELLS, 10.0, 20.0, 22.0)
    found = painted(shapes, 10.0, 20.0, 22.0, 3)
    assert found[QUIET_CELLS:-QUIET_CELLS, QUIET_CELLS:-QUIET_CELLS].tolist() == [
        list(row) for row in CELLS
    ]
    assert found.sum() == 4  # the border stays white


def test_a_run_of_black_is_one_filled_box():
    shapes = code_square(CELLS, 0.0, 0.0, 22.0)
    assert len(shapes) == 3
    assert all(isinstance(one, Box) and one.line_mm == 0.0 for one in shapes)
    assert shapes[0].width_mm == pytest.approx(4.0)
    assert shapes[0].height_mm == pytest.approx(2.0)
    assert (shapes[0].x_mm, shapes[0].y_mm) == pytest.approx((8.0, 8.0))
