from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tapewright.drawing.clipping import Area
from tapewright.drawing.tiles import clear_corners, seams, tiling
from tapewright.ground.errors import BadInput

CLEAR_MM = 22.0  # square in a corner, kept free for a camera's mark
TAB_MM = 10.0  # for a glue stick; common practice

FACE = (180.0, 262.0)


def whole(wide, high):
    return Area(-wide / 2.0, -high / 2.0, wide / 2.0, high / 2.0)


@given(st.floats(60.0, 1500.0), st.floats(60.0, 1500.0), st.floats(5.0, 88.0))
def test_sheets_cover_the_whole_and_keep_off_the_mark(wide, high, mark):
    tiles = tiling(whole(wide, high), FACE, mark)
    assert len(tiles.tiles) == tiles.rows * tiles.columns
    first, last = tiles.tiles[0].face, tiles.tiles[-1].face
    assert first.left_mm <= -wide / 2.0 + 1e-9
    assert first.top_mm <= -high / 2.0 + 1e-9
    assert last.right_mm + TAB_MM >= wide / 2.0 - 1e-9
    assert last.bottom_mm + TAB_MM >= high / 2.0 - 1e-9
    for seam in seams(tiles):
        assert abs(seam.x1_mm if seam.is_upright else seam.y1_mm) >= mark + 2.0 - 1e-9
    if tiles.rows > 1 and tiles.columns > 1:
        for tile in tiles.tiles:
            for corner in clear_corners(tile.face):
                x_mm = max(corner.left_mm, -corner.right_mm, 0.0)
                y_mm = max(corner.top_mm, -corner.bottom_mm, 0.0)
                assert x_mm + y_mm > mark or corner_is_outer(corner, tiles)


def corner_is_outer(corner, tiles):
    """At the rim of all sheets, where no seam keeps it off."""
    first, last = tiles.tiles[0].face, tiles.tiles[-1].face
    return (
        corner.left_mm == first.left_mm
        or corner.top_mm == first.top_mm
        or corner.right_mm == pytest.approx(last.right_mm)
        or corner.bottom_mm == pytest.approx(last.bottom_mm)
    )


def test_no_more_sheets_than_needed():
    (one,) = tiling(whole(190.0, 272.0), FACE, 30.0).tiles  # the last tab is free to be used
    assert one.face.grown(TAB_MM, TAB_MM).middle_mm == (0.0, 0.0)
    tiles = tiling(whole(616.0, 916.0), FACE, 55.0)
    assert (tiles.rows, tiles.columns) == (4, 4)


def test_one_more_sheet_where_a_seam_would_run_through_the_mark():
    two_exactly = whole(2.0 * 180.0 + TAB_MM, 200.0)
    assert tiling(two_exactly, FACE, 30.0).columns == 3


def test_faces_follow_each_other_row_by_row():
    tiles = tiling(whole(616.0, 916.0), FACE, 55.0)
    names = [(one.row, one.column) for one in tiles.tiles]
    assert names == [(row, column) for row in range(1, 5) for column in range(1, 5)]
    for before, after in pairwise(tiles.tiles):
        if before.row == after.row:
            assert after.face.left_mm == pytest.approx(before.face.right_mm)
            assert after.face.top_mm == before.face.top_mm


def test_every_seam_has_one_number():
    tiles = tiling(whole(616.0, 616.0), FACE, 30.0)
    found = seams(tiles)
    upright = [one for one in found if one.is_upright]
    assert len(upright) == tiles.rows * (tiles.columns - 1)
    assert len(found) - len(upright) == (tiles.rows - 1) * tiles.columns
    assert [one.number for one in found] == list(range(1, len(found) + 1))


def test_clear_corners_are_squares_in_the_corners():
    corners = clear_corners(Area(0.0, 0.0, 180.0, 262.0))
    assert len(corners) == 4
    assert {(one.left_mm, one.top_mm) for one in corners} == {
        (0.0, 0.0), (158.0, 0.0), (0.0, 240.0), (158.0, 240.0),
    }  # fmt: skip
    assert all(one.wide_mm == one.high_mm == CLEAR_MM for one in corners)


def test_too_many_sheets_are_refused():
    with pytest.raises(BadInput, match="120 sheets are the most"):
        tiling(whole(2500.0, 2500.0), FACE, 30.0)
