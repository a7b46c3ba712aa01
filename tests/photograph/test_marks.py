import cv2
import numpy as np
import pytest

from tapewright.photograph.marks import find_marks
from tapewright.photograph.picture import Picture


def wanted(mark):
    return (mark.corners_mm + np.array([105.0, 148.5])) * 6.0 - 0.5


def test_corners_are_found_to_a_tenth_of_a_pixel(coloured, printed):
    found = find_marks(Picture(coloured), range(16))
    assert [mark.number for mark in found] == [0, 1, 2, 3]
    for mark, own in zip(found, printed, strict=True):
        assert np.abs(mark.corners - wanted(own)).max() < 0.25  # drawn to whole pixels
        assert 0.0 < mark.softness < 0.05


def test_only_wanted_numbers_are_found(coloured):
    assert [mark.number for mark in find_marks(Picture(coloured), (1, 2))] == [1, 2]


def test_a_picture_without_marks_has_none():
    assert find_marks(Picture(np.full((400, 400, 3), 200, np.uint8)), range(16)) == ()


@pytest.mark.parametrize("turn", [cv2.ROTATE_180, cv2.ROTATE_90_CLOCKWISE])
def test_corners_keep_their_order_when_the_sheet_is_turned(coloured, turn, printed):
    found = find_marks(Picture(np.ascontiguousarray(cv2.rotate(coloured, turn))), range(16))
    first = found[0].corners[0]
    high, wide = coloured.shape[:2]
    x, y = wanted(printed[0])[0]
    there = (wide - 1 - x, high - 1 - y) if turn == cv2.ROTATE_180 else (high - 1 - y, x)
    assert np.abs(first - there).max() < 0.25


def test_softer_pictures_have_softer_edges_and_shaken_ones_too(coloured, soften):
    sharp = find_marks(Picture(coloured), (0,))[0].softness
    soft = find_marks(Picture(soften(coloured, 4.0)), (0,))[0].softness
    # 10 to 90 % of a Gaussian of deviation s are 2.563 s; a side is 105.6 pixels long
    assert soft * 105.6 == pytest.approx(2.563 * 17.0**0.5, rel=0.2)
    shaken = cv2.filter2D(coloured, -1, np.full((1, 13), 1.0 / 13.0))
    assert find_marks(Picture(shaken), (0,))[0].softness > 2.0 * sharp


def test_a_mark_with_a_torn_corner_keeps_it(coloured, printed):
    x, y = wanted(printed[0])[0]
    coloured[int(y) - 12 : int(y) + 7, int(x) - 12 : int(x) + 7] = 235
    (mark,) = find_marks(Picture(coloured), (0,))
    assert np.abs(mark.corners - wanted(printed[0])).max() < 0.4


def test_a_mark_without_one_side_is_let_go(coloured, monkeypatch):
    from tapewright.photograph import marks as room

    monkeypatch.setattr(room, "LEAST_CONTRAST", 300.0)
    assert find_marks(Picture(coloured), (0,)) == ()


def test_small_marks_are_let_go(coloured):
    small = cv2.resize(coloured, None, fx=0.2, fy=0.2, interpolation=cv2.INTER_AREA)
    assert find_marks(Picture(small), range(16)) == ()


def test_sides_seen_from_far_aside_are_let_go(coloured):
    flat = cv2.resize(coloured, None, fx=0.6, fy=0.1, interpolation=cv2.INTER_AREA)
    assert find_marks(Picture(flat), range(16)) == ()


def test_lines_let_go_of_points_astray_and_survive_chaos():
    from tapewright.photograph.marks import _line

    along = np.column_stack([np.arange(20.0), np.full(20, 3.0)])
    along[4, 1] = 5.0
    a, b, c = _line(along)
    assert abs(c / b) == pytest.approx(3.0, abs=0.01)
    assert abs(a / b) < 0.01
    rng = np.random.default_rng(1)
    assert np.isfinite(_line(1e3 * rng.standard_normal((5, 2)))).all()
    assert np.isfinite(_line(np.array([(0, 0), (1, 9), (2, -9), (3, 0)], dtype=float))).all()
