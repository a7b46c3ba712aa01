import pytest

from tapewright.drawing.family_sheet import family_sheets
from tapewright.drawing.shapes import Text
from tapewright.drawing.tape import Column, Look, Mark, Strip
from tapewright.ground.errors import DoesNotFit


def strips(count, long_mm=40.0):
    marks = (Mark(20.0, 0.0), Mark(60.0, long_mm))
    return tuple(
        Strip(f"{place} of {count}", (Column("", marks),)) for place in range(1, count + 1)
    )


def words(sheet):
    return [shape.words for shape in sheet.shapes if isinstance(shape, Text)]


def test_every_strip_stands_once_and_in_order():
    sheets = family_sheets(strips(8), Look(), "Title", "Strips in yards")
    assert [len(words(sheet)) > 0 for sheet in sheets] == [True, True, True]
    found = [
        one.split()[0]
        for sheet in sheets
        for one in dict.fromkeys(words(sheet))
        if one.endswith("of 8")
    ]
    assert found == [str(place) for place in range(1, 9)]


def test_every_sheet_has_proof_rulers_and_its_number():
    for number, sheet in enumerate(family_sheets(strips(8), Look(), "Title", "Small"), 1):
        assert "Proof rulers" in words(sheet)
        assert any(f"sheet {number} of 3" in one for one in words(sheet))


def test_narrower_strips_need_fewer_sheets():
    assert len(family_sheets(strips(8), Look(width_mm=8.0), "Title", "Small")) == 2


def test_no_strip_is_the_first_choice():
    (sheet,) = family_sheets(strips(3), Look(), "Title", "Small")
    assert "start here" not in words(sheet)


def test_a_strip_longer_than_the_paper_is_refused():
    with pytest.raises(DoesNotFit):
        family_sheets(strips(1, 300.0), Look(), "Title", "Small")
