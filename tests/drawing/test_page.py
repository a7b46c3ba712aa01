from itertools import pairwise

import pytest
from written_out import A4, NO_CORRECTION

from tapewright.drawing.lettering import width_mm
from tapewright.drawing.page import (
    Page,
    Piece,
    composed,
    groups,
    sticking_sheet,
    takes_sticking,
)
from tapewright.drawing.paper import PrinterCorrection
from tapewright.drawing.shapes import Box, Line, Text
from tapewright.drawing.sticking import Sticking
from tapewright.ground.errors import DoesNotFit

MARGIN_MM = 10.0  # printers leave 3 to 6 mm blank; common practice


def page(correction=NO_CORRECTION, **more):
    words = {"title": "Rig", "subtitle": "Sight tape", "hints": (), "notes": (), "cautions": ()}
    return Page(**(words | more), paper=A4, correction=correction)


def piece(name="start here", width_mm=12.0, length_mm=60.0, **more):
    box = Box(0.0, 0.0, width_mm, length_mm, layer="cut")
    return Piece(name, "Stick it.", width_mm, length_mm, (box,), **more)


def bounds(shape):
    if isinstance(shape, Line):
        xs, ys = (shape.x1_mm, shape.x2_mm), (shape.y1_mm, shape.y2_mm)
    elif isinstance(shape, Box):
        xs = (shape.x_mm, shape.x_mm + shape.width_mm)
        ys = (shape.y_mm, shape.y_mm + shape.height_mm)
    else:
        wide = width_mm(shape.words, shape.em_mm, bold=shape.bold)
        left = shape.x_mm - wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[shape.anchor]
        xs, ys = (left, left + wide), (shape.y_mm - 0.8 * shape.em_mm, shape.y_mm)
    return min(xs), min(ys), max(xs), max(ys)


@pytest.mark.parametrize("scale", [0.97, 1.0, 1.02])
def test_nothing_is_printed_in_the_outer_8_mm(scale):
    long_mm = 297.0 * scale - 36.0 - MARGIN_MM
    notes = tuple(f"note {number}: some words" for number in range(8))
    sheet = composed(
        page(PrinterCorrection(scale, scale), notes=notes, cautions=notes, title="Long " * 30),
        [piece(length_mm=long_mm), piece(is_first_choice=True), piece()],
        (1, 2),
    )
    for shape in sheet.shapes:
        left, top, right, bottom = (scale * edge for edge in bounds(shape))
        assert left >= 7.2  # a corner mark of a strip may stand 2.4 mm outside its corner
        assert top >= 8.0
        assert right <= 210.0 * scale - 8.0
        assert bottom <= 297.0 * scale - 7.5


def test_pieces_stand_apart_and_left_of_the_words():
    sheet = composed(page(), [piece("a"), piece("b"), piece("c")], (1, 1))
    boxes = [one for one in sheet.shapes if isinstance(one, Box) and one.layer == "cut"]
    lefts = sorted(one.x_mm for one in boxes)
    assert all(far - near >= 12.0 + 8.0 for near, far in pairwise(lefts))
    words = next(one for one in sheet.shapes if isinstance(one, Text) and one.words == "Strips")
    assert lefts[-1] + 12.0 + 2.4 < words.x_mm


def test_the_first_choice_is_flagged_in_white_on_black():
    sheet = composed(page(), [piece(), piece(is_first_choice=True)], (1, 1))
    assert any(isinstance(one, Text) and one.grey == 1.0 for one in sheet.shapes)
    plain = composed(page(), [piece(), piece()], (1, 1))
    assert not any(isinstance(one, Text) and one.grey == 1.0 for one in plain.shapes)


def test_blocks_without_words_have_no_heading():
    def headings(sheet):
        return {one.words for one in sheet.shapes if isinstance(one, Text) and one.bold}

    bare = headings(composed(page(), [piece()], (1, 1)))
    assert not bare & {"Notes", "Before you shoot"}
    full = headings(composed(page(notes=("n",), cautions=("c",)), [piece()], (1, 1)))
    assert {"Notes", "Before you shoot"} <= full


def test_a_strip_longer_than_the_page_says_so():
    with pytest.raises(DoesNotFit, match="fewer distances"):
        composed(page(), [piece(length_mm=260.0)], (1, 1))


def test_too_many_words_say_so():
    with pytest.raises(DoesNotFit, match="Shorten the notes"):
        composed(page(cautions=("many words",) * 40), [piece()], (1, 1))


def test_what_does_not_fit_beside_the_middle_one_goes_to_later_sheets():
    names = [
        [one.name for one in group] for group in groups([[piece(n)] for n in "abc"], 1, page())
    ]
    assert names == [["a", "b", "c"]]
    wide = [[piece(n, width_mm=25.0)] for n in "abcde"]
    names = [[one.name for one in group] for group in groups(wide, 2, page())]
    assert names == [["c"], ["a", "b"], ["d", "e"]]
    widest = [[piece(n, width_mm=80.0)] for n in "abc"]
    names = [[one.name for one in group] for group in groups(widest, 1, page())]
    assert names == [["b"], ["a"], ["c"]]


def test_two_pieces_of_a_strip_stay_on_one_sheet_where_both_fit():
    def names(wide_mm):
        strips = [[piece(f"{n}{end}", width_mm=wide_mm) for end in "12"] for n in "abc"]
        return [[one.name for one in group] for group in groups(strips, 1, page())]

    assert names(12.0) == [["b1", "b2"], ["a1", "a2"], ["c1", "c2"]]
    assert names(8.0) == [["b1", "b2"], ["a1", "a2", "c1", "c2"]]
    assert names(80.0) == [["b1"], ["b2"], ["a1"], ["a2"], ["c1"], ["c2"]]


CELLS = tuple(tuple((row + column) % 2 == 0 for column in range(57)) for row in range(57))


def test_a_code_stands_at_the_right_edge_clear_of_all_words():
    for notes in ((), tuple(f"note {number}: some words" for number in range(30))):
        with_code = page(notes=notes, cells=CELLS)
        sheet = composed(with_code, [piece()], (1, 1))
        cells = [one for one in sheet.shapes if isinstance(one, Box) and not one.line_mm]
        code = [one for one in cells if abs(one.height_mm - 0.6) < 1e-6]
        left = min(one.x_mm for one in code)
        right = max(one.x_mm + one.width_mm for one in code)
        top, bottom = min(one.y_mm for one in code), max(one.y_mm + one.height_mm for one in code)
        assert right - left == pytest.approx(0.6 * 57)
        quiet = 4 * 0.6
        for shape in sheet.shapes:
            if shape in code:
                continue
            x1, y1, x2, y2 = bounds(shape)
            apart = x2 <= left - quiet or x1 >= right + quiet or y2 <= top - quiet
            assert apart or y1 >= bottom + quiet - 0.1, shape


def test_without_a_code_nothing_is_said_of_one():
    words = [one.words for one in composed(page(), [piece()], (1, 1)).shapes
             if isinstance(one, Text)]  # fmt: skip
    assert not any("Scan" in one for one in words)


STEPS = ("Move it to 15.6.", "Lock it.", "Peel it off.", "Lay its 20 there.")


def told(sheet):
    return [one.words for one in sheet.shapes if isinstance(one, Text)]


def test_how_to_stick_it_on_stands_under_the_strips_of_the_first_sheet_where_it_has_room():
    full = page(sticking=Sticking(STEPS, ("Cover it.",), "15.6", "20", "60"))
    assert takes_sticking(full, [piece(length_mm=60.0), piece(length_mm=40.0)])
    sheet = composed(full, [piece(length_mm=60.0), piece(length_mm=40.0)], (1, 2))
    at = {one.words: one.y_mm for one in sheet.shapes if isinstance(one, Text)}
    assert 36.0 + 60.0 < at["Move it to 15.6."] < at["Cover it."] < 287.0
    assert "Move it to 15.6." not in told(composed(full, [piece()], (2, 2)))
    assert not takes_sticking(page(), [piece()])


def test_where_no_sheet_has_room_for_it_how_to_stick_it_on_has_its_own():
    full = page(sticking=Sticking(STEPS, ("Cover it.",), "15.6", "20", "60"))
    assert not takes_sticking(full, [piece(length_mm=60.0), piece(length_mm=220.0)])
    long = composed(full, [piece(length_mm=60.0), piece(length_mm=220.0)], (1, 2))
    assert "Move it to 15.6." not in told(long)
    own = sticking_sheet(full, (2, 2))
    assert {"Rig", *STEPS, "Cover it."} <= set(told(own))
    assert any("sheet 2 of 2" in one for one in told(own))
    assert all(one.layer != "cut" for one in own.shapes)
