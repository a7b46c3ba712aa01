import pytest
from written_out import A4, LETTER, NO_CORRECTION

from tapewright.drawing.camera_marks import camera_mark_shapes, sheet_marks
from tapewright.drawing.clipping import Area, words_area
from tapewright.drawing.paper import PrinterCorrection
from tapewright.drawing.shapes import Box, Line, Text, moved
from tapewright.drawing.target_sheet import (
    Target,
    TargetWords,
    grid_room_mm,
    largest_aiming_mark_mm,
    target_marks,
    target_sheets,
    target_tiling,
)
from tapewright.drawing.tiles import clear_corners

CELL_MM = 2.2  # 22 mm clear, 8 cells and one blank on either side

WORDS = TargetWords(
    "Heron", "inches from the aim", (("rig", "Heron", 3.0), ("date", "", 1.0)),
    "Hang it by a thread. " * 6, "Measure both. " * 4, ("Cut.",), ("Aiming mark for 60 yd.",) * 3,
)  # fmt: skip


def one_sheet(paper=A4, unit="in", correction=NO_CORRECTION, words=WORDS, circle=76.2):
    size = grid_room_mm(unit, paper, correction)
    (sheet,) = target_sheets(
        Target(unit, *size, 50.0, circle), words, paper=paper, correction=correction
    )
    return sheet


def room(shape):
    if isinstance(shape, Text):
        return words_area(shape)
    if isinstance(shape, Line):
        xs, ys = (shape.x1_mm, shape.x2_mm), (shape.y1_mm, shape.y2_mm)
        half = shape.width_mm / 2.0
        return Area(min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half)
    return Area(shape.x_mm, shape.y_mm, shape.x_mm + shape.width_mm, shape.y_mm + shape.height_mm)


def within(one, other):
    return (
        one.left_mm >= other.left_mm - 1e-9
        and one.top_mm >= other.top_mm - 1e-9
        and one.right_mm <= other.right_mm + 1e-9
        and one.bottom_mm <= other.bottom_mm + 1e-9
    )


def marks_on(paper, unit):
    """Boxes of the four marks, from the paper's corner."""
    return {
        moved(box, paper.width_mm / 2.0, paper.height_mm / 2.0)
        for mark in sheet_marks(paper, unit)
        for box in camera_mark_shapes(mark)
    }


@pytest.mark.parametrize(
    ("unit", "paper", "size"),
    [
        ("in", A4, (6, 8)),
        ("in", LETTER, (6, 8)),
        ("cm", A4, (16, 22)),
        ("cm", LETTER, (16, 20)),
    ],
)
def test_one_sheet_holds_whole_squares(unit, paper, size):
    unit_mm = 25.4 if unit == "in" else 10.0
    found = grid_room_mm(unit, paper)
    assert found == pytest.approx([number * unit_mm for number in size])


@pytest.mark.parametrize("paper", [A4, LETTER])
@pytest.mark.parametrize("unit", ["in", "cm"])
def test_nothing_touches_the_corners_or_the_printers_rim(paper, unit):
    corners = clear_corners(Area(10.0, 10.0, paper.width_mm - 10.0, paper.height_mm - 10.0))
    marks = marks_on(paper, unit)
    sheet = one_sheet(paper, unit)
    assert marks <= set(sheet.shapes)
    for shape in sheet.shapes:
        taken = room(shape)
        assert taken.left_mm >= 9.9
        assert taken.top_mm >= 9.9
        assert taken.right_mm <= paper.width_mm - 9.9
        assert taken.bottom_mm <= paper.height_mm - 9.5
        if shape in marks:
            assert any(within(taken, corner.grown(-CELL_MM, -CELL_MM)) for corner in corners)
        else:
            assert not any(taken.meets(corner) for corner in corners)


@pytest.mark.parametrize("paper", [A4, LETTER])
@pytest.mark.parametrize("unit", ["in", "cm"])
def test_words_never_run_into_each_other(paper, unit):
    texts = [words_area(one) for one in one_sheet(paper, unit).shapes if isinstance(one, Text)]
    for index, one in enumerate(texts):
        assert not any(one.meets(other) for other in texts[index + 1 :])


def test_title_shrinks_before_it_is_cut_off():
    def title(words):
        shapes = one_sheet(words=TargetWords(words, "inches")).shapes
        return next(one for one in shapes if isinstance(one, Text) and one.y_mm < 15.0)

    assert (
        title("Heron").em_mm
        > title("A rig with a long name, the one that is taken along for hunting").em_mm
    )
    assert title("Heron " * 40).words.endswith("…")
    assert title("").words == ""


def test_the_circle_ends_at_the_frame():
    circle = [
        one
        for one in one_sheet(circle=90.0).shapes
        if isinstance(one, Line) and one.width_mm == 0.45
    ]
    assert circle
    assert min(min(one.x1_mm, one.x2_mm) for one in circle) >= 105.0 - 76.2 - 1e-9


def test_a_printers_error_is_taken_out():
    plain = one_sheet()
    smaller = one_sheet(correction=PrinterCorrection(1.02, 1.01))
    widths = [
        max(abs(one.x2_mm - one.x1_mm) for one in sheet.shapes if isinstance(one, Line))
        for sheet in (plain, smaller)
    ]
    assert widths[1] == pytest.approx(widths[0] / 1.02)


def test_a_mark_leaves_grid_around_it_and_fits_a_face():
    assert largest_aiming_mark_mm(152.4, 203.2, A4) == pytest.approx(0.75 * 76.2)
    assert largest_aiming_mark_mm(900.0, 900.0, A4) == pytest.approx(90.0 - 2.0)


def test_what_fits_one_sheet_needs_no_tiles():
    size = grid_room_mm("in", A4)
    assert target_tiling(Target("in", *size, 30.0), A4) is None
    tiles = target_tiling(Target("in", size[0] + 25.4, size[1], 30.0), A4)
    assert (tiles.rows, tiles.columns) == (1, 2)
    tall = target_tiling(Target("in", size[0], size[1] + 300.0, 30.0), A4)
    assert tall.rows > 1


def test_a_large_target_is_a_plan_and_its_tiles():
    sheets = target_sheets(Target("cm", 600.0, 900.0, 54.0, 80.0), WORDS, paper=A4)
    assert len(sheets) == 17
    plan_first = any(
        isinstance(one, Text) and one.words == "Putting it together" for one in sheets[0].shapes
    )
    assert plan_first
    labels = {one.words for sheet in sheets for one in sheet.shapes if isinstance(one, Text)}
    assert {"row 1, column 1", "row 4, column 4"} <= labels
    assert any(isinstance(one, Box) for one in sheets[0].shapes)


@pytest.mark.parametrize("share", [0.94, 0.97, 1.03, 1.09])
def test_marks_stay_on_the_paper_and_off_the_words_whatever_the_printer_does(share):
    sheet = one_sheet(A4, "in", PrinterCorrection(share, share))
    boxes = [one for one in sheet.shapes if isinstance(one, Box) and one.line_mm == 0.0]
    squares = [room(one) for one in boxes if one.grey == 0.0]
    assert len(squares) == 4
    others = [room(one) for one in sheet.shapes if one not in boxes]
    for square in squares:
        assert square.left_mm > 0.0
        assert square.right_mm < A4.width_mm
        assert square.top_mm > 0.0
        assert square.bottom_mm < A4.height_mm
        white = square.grown(0.9 * CELL_MM / share, 0.9 * CELL_MM / share)
        assert not any(one.meets(white) for one in others)
        middle = abs(square.middle_mm[0] - A4.width_mm / 2.0) * share
        assert middle == pytest.approx(84.0)  # true mm from the aim, as the camera counts on


@pytest.mark.parametrize("shares", [(0.91, 1.0), (1.0, 0.91)])
def test_marks_that_would_leave_the_page_are_left_out(shares):
    sheet = one_sheet(A4, "in", PrinterCorrection(*shares))
    wide = [one for one in sheet.shapes if isinstance(one, Box) and one.line_mm == 0.0]
    assert wide == [] if shares[1] < 1.0 else len(wide) > 40


def test_marks_of_tiles_have_their_own_numbers():
    size = grid_room_mm("in", A4)
    target = Target("in", 2.0 * size[0], 2.0 * size[1], 30.0)
    marks = target_marks(target, A4)
    tiles = target_tiling(target, A4)
    assert len({mark.number for mark in marks}) == len(marks) == 4 * len(tiles.tiles)
    assert {mark.number for mark in target_marks(Target("in", *size, 30.0), A4)} == {0, 1, 2, 3}


def test_cautions_stand_in_one_line_over_the_target():
    def line(*cautions):
        words = TargetWords("Heron", "inches", cautions=cautions)
        texts = [one for one in one_sheet(words=words).shapes if isinstance(one, Text)]
        return next((one for one in texts if one.words == " ".join(cautions)), None)

    short = line("Clear the range.", "Mind the wind.")
    assert (short.x_mm, short.anchor) == (105.0, "middle")
    assert 27.8 < short.y_mm < 148.5 - 101.6  # between the ruler and a grid of 8 inches
    long = line(*("Clear the range and all that lies behind it.",) * 6)
    assert long.em_mm < short.em_mm
    assert words_area(long).wide_mm <= 190.0 + 1e-6
    blank = one_sheet(words=TargetWords("Heron", "inches")).shapes
    assert not any(isinstance(one, Text) and one.y_mm == short.y_mm for one in blank)
