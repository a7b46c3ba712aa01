import pytest

from tapewright.drawing.family_sheet import family_sheets
from tapewright.drawing.shapes import Box, Text
from tapewright.drawing.tape import Column, Look, Mark, Strip
from tapewright.ground.errors import DoesNotFit


def strips(count, long_mm=40.0):
    marks = (Mark(20.0, 0.0), Mark(60.0, long_mm))
    return tuple(
        Strip(f"{place} of {count}", (Column("", marks),)) for place in range(1, count + 1)
    )


def words(sheet):
    return [shape.words for shape in sheet.shapes if isinstance(shape, Text)]


def cuts(sheet):
    return [one for one in sheet.shapes if isinstance(one, Box) and one.layer == "cut"]


def test_every_strip_stands_once_and_in_order():
    sheets = family_sheets(strips(70), Look(), "Title", "Strips in yards")
    found = [
        one.split()[0]
        for sheet in sheets
        for one in dict.fromkeys(words(sheet))
        if one.endswith("of 70")
    ]
    assert found == [str(place) for place in range(1, 71)]


def test_a_page_is_filled_in_rows_before_the_next_begins():
    # 210 mm less two margins and the upright ruler: nine strips of 12 mm with 8 mm between them;
    # 51.4 mm of strip and 15 mm of names fit three times between 36 mm and the ruler
    first, second = family_sheets(strips(33), Look(), "Title", "Small")
    assert [len(cuts(first)), len(cuts(second))] == [27, 6]
    for sheet in (first, second):
        boxes = [(one.x_mm, one.y_mm, one.width_mm, one.height_mm) for one in cuts(sheet)]
        for index, (x, y, wide, _) in enumerate(boxes):
            for x2, y2, wide2, high2 in boxes[:index]:
                aside = x >= x2 + wide2 + 8.0 - 1e-9 or x2 >= x + wide + 8.0 - 1e-9
                assert aside or y >= y2 + high2 + 10.0


@pytest.mark.parametrize("paper_words", [(), ("A note that is long enough for a line. ",) * 4])
@pytest.mark.parametrize("long_mm", [30.0, 60.0, 90.0, 120.0, 150.0])
def test_a_family_of_33_takes_four_sheets_at_most(long_mm, paper_words):
    sheets = family_sheets(strips(33, long_mm), Look(), "Title", "Small", notes=paper_words)
    assert len(sheets) <= 4


def test_every_sheet_has_proof_rulers_and_its_number_and_words_stand_once():
    sheets = family_sheets(strips(60), Look(), "Title", "Small", cautions=("Mind.",))
    assert len(sheets) == 3
    for number, sheet in enumerate(sheets, 1):
        assert any("both proof rulers" in one for one in words(sheet))
        assert words(sheet).count("100") == 2
        assert any(f"sheet {number} of 3" in one for one in words(sheet))
        assert ("Mind." in words(sheet)) is (number == 1)


def test_narrower_strips_need_fewer_sheets():
    assert len(family_sheets(strips(60), Look(width_mm=8.0), "Title", "Small")) == 2


def test_no_strip_is_the_first_choice():
    (sheet,) = family_sheets(strips(3), Look(), "Title", "Small")
    assert "start here" not in words(sheet)


def test_a_strip_longer_than_the_paper_comes_in_two_pieces_or_is_refused():
    marks = tuple(Mark(float(one), 7.0 * (one - 20)) for one in range(20, 61))
    (sheet,) = family_sheets((Strip("long", (Column("", marks),)),), Look(), "Title", "Small")
    assert "long, upper" in " ".join(words(sheet))
    assert len(cuts(sheet)) == 2
    with pytest.raises(DoesNotFit):
        family_sheets(strips(1, 300.0), Look(), "Title", "Small")
