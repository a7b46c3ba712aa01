import pytest
from written_out import A4, LETTER, NO_CORRECTION

from tapewright.drawing.clipping import Area, words_area
from tapewright.drawing.paper import PrinterCorrection
from tapewright.drawing.shapes import Line, Text
from tapewright.drawing.target_page import TargetPage, TargetWords
from tapewright.drawing.tile_sheet import face_room_mm, kept, seam_shapes, tile_shapes
from tapewright.drawing.tiles import clear_corners, tiling

LEFT_MM = 12.0  # from the paper's left edge to the face
TOP_MM = 17.0  # from the paper's top to the face

PAGE = TargetPage(TargetWords("Rig", "in"), A4, NO_CORRECTION)
FACE = face_room_mm(PAGE)
TILES = tiling(Area(-308.0, -458.0, 308.0, 458.0), FACE, 40.0)


def words(shapes):
    return [one.words for one in shapes if isinstance(one, Text)]


def cuts(shapes):
    lines = [one for one in shapes if isinstance(one, Line) and one.layer == "cut"]
    return [one for one in lines if abs(one.x2_mm - one.x1_mm) + abs(one.y2_mm - one.y1_mm) > 50.0]


def sheet(row, column):
    tile = TILES.tiles[(row - 1) * TILES.columns + column - 1]
    return tile_shapes(tile, TILES, seam_shapes(TILES), PAGE)


def test_a_face_and_its_bands_leave_the_printers_rim():
    for paper in (A4, LETTER):
        wide, high = face_room_mm(TargetPage(TargetWords("", ""), paper, NO_CORRECTION))
        assert LEFT_MM + wide + 10.0 + 8.0 == pytest.approx(paper.width_mm)
        assert TOP_MM + high + 10.0 + 8.0 == pytest.approx(paper.height_mm)
    smaller = face_room_mm(TargetPage(TargetWords("", ""), A4, PrinterCorrection(0.98, 1.02)))
    assert smaller[0] < FACE[0]
    assert smaller[1] > FACE[1]


@pytest.mark.parametrize(
    ("row", "column", "cut", "broken"),
    [(1, 1, 0, 2), (1, 4, 1, 1), (4, 1, 1, 1), (4, 4, 2, 0), (2, 3, 2, 2)],
)
def test_edges_are_cut_toward_the_sheets_before_and_glued_toward_those_after(
    row, column, cut, broken
):
    shapes = sheet(row, column)
    assert sum(not one.dashed for one in cuts(shapes)) == cut
    assert sum(one.dashed for one in cuts(shapes)) == broken
    assert sum("cut along" in one for one in words(shapes)) == cut
    assert sum("next sheet" in one for one in words(shapes)) == broken


def test_a_sheet_says_where_it_belongs():
    assert "row 2, column 3" in words(sheet(2, 3))
    assert "of 4 × 4 · A4 at 100 %" in words(sheet(2, 3))


def test_two_bars_of_100_mm_stand_outside_the_face():
    bars = [
        one
        for one in sheet(2, 3)
        if isinstance(one, Line) and one.layer == "note" and one.width_mm == 0.25
    ]
    lengths = [abs(one.x2_mm - one.x1_mm) + abs(one.y2_mm - one.y1_mm) for one in bars]
    assert sorted(round(one, 6) for one in lengths)[-2:] == [100.0, 100.0]
    assert all(one.y2_mm < TOP_MM or one.x2_mm < LEFT_MM for one in bars)


def test_a_seam_has_the_same_number_on_both_sheets():
    left, right = (set(words(sheet(2, column))) for column in (2, 3))
    shared = {one for one in left & right if one.isdigit()}
    assert len(shared) == 1


def test_lines_end_at_the_band_and_spare_the_corners():
    face = Area(0.0, 0.0, 100.0, 100.0)
    level, upright = Line(-50.0, 50.0, 200.0, 50.0), Line(10.0, -50.0, 10.0, 200.0)
    (one,) = kept((level,), face)
    assert (one.x1_mm, one.x2_mm) == (0.0, 110.0)
    pieces = kept((upright,), face)
    assert [(round(one.y1_mm, 4), round(one.y2_mm, 4)) for one in pieces] == [
        (22.0, 78.0), (100.0, 110.0),
    ]  # fmt: skip
    assert kept((Line(3.0, 3.0, 20.0, 20.0),), face) == []


def test_words_stay_whole_on_every_face_they_touch_but_never_in_a_corner():
    face = Area(0.0, 0.0, 100.0, 100.0)
    over_the_edge = Text(100.0, 50.0, "+12", 3.0, anchor="middle")
    assert kept((over_the_edge,), face) == [over_the_edge]
    assert kept((Text(105.0, 50.0, "+12", 3.0),), face) == []
    assert kept((Text(15.0, 15.0, "+12", 3.0),), face) == []
    assert kept((Text(50.0, 50.0, "+12", 3.0),), face) != []


def test_nothing_is_printed_in_the_corners_of_a_face():
    face = Area(LEFT_MM, TOP_MM, LEFT_MM + FACE[0], TOP_MM + FACE[1])
    for row in range(1, 5):
        for shape in sheet(row, 2):
            if isinstance(shape, Text) and not shape.turn_deg:
                room = words_area(shape)
            elif isinstance(shape, Line):
                xs, ys = (shape.x1_mm, shape.x2_mm), (shape.y1_mm, shape.y2_mm)
                room = Area(min(xs), min(ys), max(xs) + 1e-9, max(ys) + 1e-9)
            else:
                continue
            for corner in clear_corners(face):
                inner = Area(
                    corner.left_mm + 1e-4, corner.top_mm + 1e-4,
                    corner.right_mm - 1e-4, corner.bottom_mm - 1e-4,
                )  # fmt: skip
                assert not room.meets(inner)
