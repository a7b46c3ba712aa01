import pytest
from written_out import A4, LETTER

from tapewright.drawing.camera_marks import (
    PATTERNS,
    CameraMark,
    camera_mark_shapes,
    sheet_marks,
    tile_marks,
    white_cells,
)
from tapewright.drawing.clipping import Area
from tapewright.drawing.tiles import Tile

CELL_MM = 2.2  # 22 mm clear, 8 cells and one blank on either side
MARK_MM = 17.6  # 8 cells of 2.2 mm
NUMBERS = 496  # 4 for each of 4 single sheets and of 120 tiles
MOST_SHEETS = 120  # of one large face


def turned(cells):
    return frozenset((column, 5 - row) for row, column in cells)


def test_there_is_a_pattern_for_every_corner_of_every_sheet():
    face = Area(0.0, 0.0, 180.0, 262.0)
    numbers = [mark.number for paper in (A4, LETTER) for unit in ("in", "cm")
               for mark in sheet_marks(paper, unit)]  # fmt: skip
    for index in range(MOST_SHEETS):
        numbers += [mark.number for mark in tile_marks(index, Tile(1, 1, face))]
    assert sorted(numbers) == list(range(NUMBERS)) == list(range(len(PATTERNS)))


def test_any_two_patterns_differ_in_eleven_cells_however_they_are_turned():
    """Said of the family by its authors: its least distance is 11 cells; checked on 60 of it."""
    cells = [white_cells(number) for number in range(60)]
    for index, one in enumerate(cells):
        for turn in range(4):
            if turn:
                assert len(one ^ cells[index]) >= 11
            for other in cells[index + 1 :]:
                assert len(one ^ other) >= 11
            one = turned(one)  # noqa: PLW2901 — the next quarter turn


@pytest.mark.parametrize("number", [0, 17, 495])
def test_a_mark_is_a_black_square_with_each_white_cell_covered_once(number):
    black, *whites = camera_mark_shapes(CameraMark(number, 0.0, 0.0))
    assert (black.width_mm, black.height_mm, black.grey) == (MARK_MM, MARK_MM, 0.0)
    covered = []
    for box in whites:
        assert box.grey == 1.0
        left = round((box.x_mm + MARK_MM / 2.0) / CELL_MM) - 1
        top = round((box.y_mm + MARK_MM / 2.0) / CELL_MM) - 1
        covered += [
            (top + down, left + right)
            for down in range(round(box.height_mm / CELL_MM))
            for right in range(round(box.width_mm / CELL_MM))
        ]
    assert sorted(covered) == sorted(white_cells(number))
