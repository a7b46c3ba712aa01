import pytest
from written_out import A4, NO_CORRECTION

from tapewright.drawing.filled_page import filled_room_mm, filled_sheets, fullest
from tapewright.drawing.page_parts import Page, Piece
from tapewright.drawing.shapes import Box, Text
from tapewright.ground.errors import DoesNotFit


def page(**more):
    words = {"title": "Rig", "subtitle": "Strips", "hints": (), "notes": (), "cautions": ()}
    return Page(**(words | more), paper=A4, correction=NO_CORRECTION)


def piece(name="a", wide_mm=12.0, long_mm=60.0):
    box = Box(0.0, 0.0, wide_mm, long_mm, 0.1, layer="cut")
    return Piece(name, "", wide_mm, long_mm, (box,), pointer="right")


def cuts(sheet):
    return [one for one in sheet.shapes if isinstance(one, Box) and one.layer == "cut"]


def words(sheet):
    return [one.words for one in sheet.shapes if isinstance(one, Text)]


def test_rows_are_as_high_as_their_own_pieces():
    pieces = [piece(long_mm=40.0)] * 9 + [piece(long_mm=90.0)] * 9 + [piece(long_mm=40.0)] * 9
    (sheet,) = filled_sheets(pieces, page())
    assert sorted({one.y_mm for one in cuts(sheet)}) == [36.0, 36.0 + 55.0, 36.0 + 55.0 + 105.0]


def test_the_words_leave_the_first_sheet_less_room():
    notes = tuple(f"A note, number {number}, of some length." for number in range(12))
    bare, told = page(), page(notes=notes, cautions=("Mind.",))
    assert filled_room_mm(bare) > 200.0
    assert filled_room_mm(told) < filled_room_mm(bare) - 30.0
    pieces = [piece(long_mm=100.0)] * 36
    assert [len(cuts(one)) for one in filled_sheets(pieces, bare)] == [18, 18]
    sheets = filled_sheets(pieces, told)
    assert [len(cuts(one)) for one in sheets] == [9, 18, 9]
    assert "Mind." in words(sheets[0])
    assert "Mind." not in words(sheets[1])
    assert [len(cuts(one)) for one in filled_sheets(pieces, told, has_words=False)] == [18, 18]


def test_sheets_are_counted_with_those_before_them():
    (sheet,) = filled_sheets([piece()], page(), before=2)
    assert any("sheet 3 of 3" in one for one in words(sheet))


def test_a_piece_longer_than_the_room_is_refused():
    with pytest.raises(DoesNotFit, match="fewer distances"):
        filled_sheets([piece(long_mm=240.0)], page())


@pytest.mark.parametrize(
    ("strips", "wanted"),
    [
        ([[piece("a")], [piece("b")], [piece("c")]], {"a": 6, "b": 15, "c": 6}),
        ([[piece("b")]], {"b": 27}),
        ([[piece(f"{n}1"), piece(f"{n}2")] for n in "abc"],
         {"a1": 3, "a2": 3, "b1": 7, "b2": 7, "c1": 3, "c2": 3}),
        ([[piece(n, 80.0, 200.0)] for n in "abc"], {"a": 1, "b": 1, "c": 1}),
    ],
)  # fmt: skip
def test_half_of_a_full_sheet_is_the_middle_strip_and_none_is_missing(strips, wanted):
    found = [one.name for one in fullest(strips, page())]
    assert {name: found.count(name) for name in found} == wanted
    assert found == sorted(found, key=lambda name: name[0])
    pieces = fullest(strips, page())
    sheets = filled_sheets(pieces, page())
    assert sum(len(cuts(one)) for one in sheets) == len(pieces)
    if len(pieces) > 3:
        assert len(sheets) == 1


def test_the_white_between_rows_counts():
    # 223 mm have room for three strips of 70 mm, and not for the 15 mm over the second and third
    sheets = filled_sheets([piece(long_mm=70.0)] * 27, page())
    assert [len(cuts(one)) for one in sheets] == [18, 9]
