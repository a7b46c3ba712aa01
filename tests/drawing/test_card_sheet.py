import io
import itertools

import pdfplumber
import pytest
from written_out import A4, LETTER

from tapewright.drawing.card_sheet import CardTable, CardWords, full_sheet, pocket_sheet
from tapewright.drawing.lettering import width_mm
from tapewright.drawing.pdf import pdf_bytes
from tapewright.drawing.shapes import Box, Line, Text
from tapewright.ground.errors import DoesNotFit

CARD_WIDE_MM = 85.6  # ISO/IEC 7810 ID-1

HEADS = (("yd", ""), ("mark", "mm"), ("±", "mm"), ("time", "s"), ("speed", "ft/s"))
CLOSE = CardTable(
    (("close", "yd"), ("5", ""), ("6", "")), (("mm", "28.7", "24.1"), ("as yd", "39.7", "33.4")), 3,
    bold=1,
)  # fmt: skip
WORDS = CardWords(
    "Heron", "Range card", "Trusted to 60 yd.", (CLOSE,),
    ("A note.",), ("A safe stop.",), "Fold it.",
)  # fmt: skip


def table(rows=8, faint=()):
    cells = tuple(
        (f"{10 * row}", f"{7.7 * row:.1f}", "0.4", f"{0.1 * row:.2f}", "270")
        for row in range(1, rows + 1)
    )
    return CardTable(HEADS, cells, 3, frozenset(faint))


def words_of(sheet):
    return [shape for shape in sheet.shapes if isinstance(shape, Text)]


@pytest.mark.parametrize("paper", [A4, LETTER])
@pytest.mark.parametrize("draw", [full_sheet, pocket_sheet])
def test_every_cell_is_on_the_paper(draw, paper):
    sheet = draw(table(), WORDS, paper)
    told = [one.words for one in words_of(sheet)]
    for row in table().rows:
        assert set(row) <= set(told)
    with pdfplumber.open(io.BytesIO(pdf_bytes((sheet,)))) as pdf:
        page = pdf.pages[0]
        read = page.extract_text()
        assert "Heron" in read
        assert "61.6" in read
        assert all(word["x0"] > 0 and word["x1"] < page.width for word in page.extract_words())


def test_columns_do_not_touch():
    sheet = pocket_sheet(table(), WORDS)
    with pdfplumber.open(io.BytesIO(pdf_bytes((sheet,)))) as pdf:
        words = pdf.pages[0].extract_words(x_tolerance=1)
    lines = {}
    for word in words:
        lines.setdefault(round(word["top"]), []).append(word)
    for line in lines.values():
        line.sort(key=lambda word: word["x0"])
        for left, right in itertools.pairwise(line):
            assert right["x0"] > left["x1"]


def test_the_pocket_card_folds_in_its_middle():
    sheet = pocket_sheet(table(), WORDS)
    edge = next(one for one in sheet.shapes if isinstance(one, Box) and one.layer == "cut")
    fold = next(one for one in sheet.shapes if isinstance(one, Line) and one.dashed)
    assert edge.width_mm == CARD_WIDE_MM == 85.6
    assert fold.y1_mm == fold.y2_mm == pytest.approx(edge.y_mm + edge.height_mm / 2)
    assert edge.height_mm >= 108.0
    inside = [one for one in words_of(sheet) if edge.y_mm < one.y_mm < edge.y_mm + edge.height_mm]
    front = {one.words for one in inside if one.y_mm < fold.y1_mm}
    back = {one.words for one in inside if one.y_mm > fold.y1_mm} - {"fold"}
    assert "61.6" in front
    assert "61.6" not in back
    assert "270" in back
    assert "270" not in front
    assert "80" in front & back  # the distance stands on both sides


def test_few_rows_still_make_a_bank_card_and_more_a_longer_one():
    heights = [
        next(one.height_mm for one in pocket_sheet(table(rows), WORDS).shapes
             if isinstance(one, Box) and one.layer == "cut")
        for rows in (2, 20)
    ]  # fmt: skip
    assert heights[0] == pytest.approx(108.0)
    assert heights[1] > 150.0


def test_what_is_not_trusted_is_fainter():
    sheet = full_sheet(table(faint=(7,)), WORDS)
    grey = {one.words: one.grey for one in words_of(sheet)}
    assert grey["61.6"] > 0.3
    assert grey["53.9"] == 0.0


def test_nothing_is_said_where_there_is_nothing_to_say():
    bare = CardWords("Heron", "Range card", "", (), (), (), "Fold it.")
    told = {one.words for one in words_of(full_sheet(table(), bare))}
    assert "close" not in told
    assert "Before you shoot" not in told
    assert "Notes" in {one.words for one in words_of(full_sheet(table(), WORDS))}
    assert not [one for one in words_of(pocket_sheet(table(), bare)) if "close" in one.words]


@pytest.mark.parametrize("draw", [full_sheet, pocket_sheet])
def test_close_marks_stand_in_a_table_of_their_own(draw):
    with pdfplumber.open(io.BytesIO(pdf_bytes((draw(table(), WORDS),)))) as pdf:
        lines = pdf.pages[0].extract_text().splitlines()
    first = next(place for place, line in enumerate(lines) if line.startswith("close 5 6"))
    assert [line.split("Notes")[0].split()[:4] for line in lines[first + 2 : first + 4]] == [
        ["mm", "28.7", "24.1"], ["as", "yd", "39.7", "33.4"],
    ]  # fmt: skip


@pytest.mark.parametrize(("draw", "rows"), [(full_sheet, 60), (pocket_sheet, 40)])
def test_too_many_distances_are_refused(draw, rows):
    with pytest.raises(DoesNotFit, match="fewer distances"):
        draw(table(rows), WORDS)


def test_too_many_columns_are_refused():
    wide = CardTable(HEADS * 9, tuple(row * 9 for row in table().rows), 40)
    with pytest.raises(DoesNotFit):
        pocket_sheet(wide, WORDS)


def test_the_cautions_stand_beside_the_pocket_card_too():
    sheet = pocket_sheet(table(), WORDS)
    edge = next(one for one in sheet.shapes if isinstance(one, Box) and one.layer == "cut")
    beside = [one for one in words_of(sheet) if one.x_mm > edge.x_mm + edge.width_mm + 8.0]
    told = " ".join(one.words for one in beside)
    assert "Before you shoot" in told
    assert WORDS.cautions[0].split(".")[0][:20] in told
    ends = [one.x_mm + width_mm(one.words, one.em_mm, bold=one.bold)
            for one in beside if one.anchor == "start"]  # fmt: skip
    assert max(ends) <= sheet.paper.width_mm - 10.0 + 1e-6
