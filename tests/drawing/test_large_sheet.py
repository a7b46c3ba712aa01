"""Large pages as a foreign reader sees them: sizes, words, what a screen reader hears."""

import io
import math

import numpy as np
import pdfplumber
import pytest
from pdfminer.pdftypes import resolve1
from written_out import A4, LETTER

from tapewright.drawing.large_sheet import LargeWords, large_sheets
from tapewright.drawing.pdf import pdf_bytes
from tapewright.drawing.shapes import Box, Line, Text
from tapewright.ground.errors import DoesNotFit

MM = 25.4 / 72.0
# 20 minutes of arc from 1 m, ISO 9241-3's preferred height: 5.82 mm; worked out here, not imported
LEAST_DIGIT_MM = 1000.0 * math.tan(math.radians(20.0 / 60.0))
DIGIT = 1493 / 2048  # of an em, from the font's own outlines


def words_of(rows, *, is_dark=False, title="Club field", foot=("Safe stop, or no shot.",)):
    targets = tuple(
        (f"{number}", f"{10 + 7 * number % 61}", f"{12.5 + 1.7 * number:.1f}",
         "guess" if number % 5 == 0 else "")
        for number in range(1, rows + 1)
    )  # fmt: skip
    return LargeWords(title, ("no.", "yd", "mm", ""), targets, foot, is_dark)


def read(sheets):
    return pdfplumber.open(io.BytesIO(pdf_bytes(sheets, "2031-04-05")))


@pytest.mark.parametrize(("paper", "rows", "pages"), [(A4, 24, 1), (LETTER, 24, 1), (A4, 60, 2)])
def test_every_letter_is_24_points_and_more_and_inside_the_margin(paper, rows, pages):
    with read(large_sheets(words_of(rows), paper)) as pdf:
        assert len(pdf.pages) == pages
        letters = [one for page in pdf.pages for one in page.chars]
        told = "".join(page.extract_text() for page in pdf.pages)
    assert min(one["size"] for one in letters) >= 24.0
    assert min(one["size"] for one in letters) * MM * DIGIT >= LEAST_DIGIT_MM
    assert min(one["x0"] for one in letters) * MM > 10.0
    assert max(one["x1"] for one in letters) * MM < paper.width_mm - 10.0
    assert max(one["bottom"] for one in letters) * MM < paper.height_mm - 5.0
    assert min(one["top"] for one in letters) * MM > 5.0
    assert told.count("guess") == rows // 5
    assert told.count("Safe stop, or no shot.") == 1
    assert told.count("Club field") == pages  # no page is taken for one of another list


def test_few_rows_come_in_larger_letters_and_one_column():
    (sheet,) = large_sheets(words_of(5))
    texts = {one.words: one for one in sheet.shapes if isinstance(one, Text)}
    assert texts["14.2"].em_mm == 16.0
    assert texts["14.2"].y_mm < texts["15.9"].y_mm
    assert (texts["14.2"].bold, texts["17"].bold, texts["guess"].bold) == (True, False, True)


def test_rows_go_down_the_first_column_and_then_the_second():
    (sheet,) = large_sheets(words_of(24))
    texts = {one.words: one for one in sheet.shapes if isinstance(one, Text)}
    assert texts["14.2"].x_mm == texts["32.9"].x_mm < texts["34.6"].x_mm  # 1, 12 and 13
    assert texts["14.2"].y_mm == texts["34.6"].y_mm < texts["32.9"].y_mm


def test_a_screen_reader_hears_a_title_one_table_and_a_sentence():
    words = words_of(60, title="A round with a name that is far too long for one line of the page")
    with read(large_sheets(words)) as pdf:
        (document,) = pdf.structure_tree
        catalog = {name: resolve1(one) for name, one in pdf.doc.catalog.items()}
        assert (catalog["Lang"], catalog["MarkInfo"]["Marked"]) == (b"en", True)
        assert catalog["ViewerPreferences"]["DisplayDocTitle"] is True
        assert pdf.metadata["Title"] == words.title
        heard = {(page.page_number, one["mcid"]): [] for page in pdf.pages for one in page.chars}
        for page in pdf.pages:
            for one in page.chars:
                heard[page.page_number, one["mcid"]].append(one["text"])
    assert document["type"] == "Document"
    title, table, sentence = document["children"]
    assert (title["type"], table["type"], sentence["type"]) == ("H1", "Table", "P")
    assert len(title["mcids"]) == 2  # both lines are one heading
    heads, *rows = table["children"]

    def text(cell, number):
        return "".join("".join(heard[number, one]) for one in cell["mcids"])

    assert [one["attributes"]["Scope"] for one in heads["children"]] == ["Column"] * 3
    assert [text(one, 1) for one in heads["children"]] == ["no.", "yd", "mm"]
    assert len(rows) == 60
    assert [one["type"] for one in rows[4]["children"]] == ["TH", "TD", "TD", "TD"]
    assert rows[4]["children"][0]["attributes"]["Scope"] == "Row"
    assert [text(one, 1) for one in rows[4]["children"]] == ["5", "45", "21.0", "guess"]
    assert [text(one, 2) for one in rows[59]["children"]] == ["60", "64", "114.5", "guess"]
    assert (2, None) in heard  # heads that are repeated are not read again


def test_light_on_dark_is_white_on_a_black_page():
    (sheet,) = large_sheets(words_of(3, is_dark=True))
    ground, *rest = sheet.shapes
    assert isinstance(ground, Box)
    assert (ground.width_mm, ground.height_mm, ground.grey) == (210.0, 297.0, 0.0)
    assert {one.grey for one in rest if isinstance(one, Text)} == {1.0}
    (light,) = large_sheets(words_of(3))
    assert {one.grey for one in light.shapes if isinstance(one, Text)} == {0.0}
    assert not any(isinstance(one, Box) for one in light.shapes)
    assert any(isinstance(one, Line) for one in light.shapes)


def test_a_row_wider_than_the_paper_is_refused():
    words = LargeWords("Rig", ("yd", "mm", ""), (("1" * 60, "20.1", ""),), ())
    with pytest.raises(DoesNotFit):
        large_sheets(words)


@pytest.mark.parametrize("is_dark", [False, True])
def test_numerals_are_20_minutes_of_arc_high_as_pixels_show_them(is_dark):
    with read(large_sheets(words_of(24, is_dark=is_dark))) as pdf:
        page = pdf.pages[0]
        bold = (one for one in page.chars if one["fontname"].endswith("Bold"))
        digit = next(one for one in bold if one["text"] == "1")
        grey = np.asarray(page.to_image(resolution=216).original.convert("L"), dtype=float)
    edges = {side: int(216.0 / 72.0 * digit[side]) for side in ("top", "bottom", "x0", "x1")}
    cut = grey[edges["top"] : edges["bottom"], edges["x0"] : edges["x1"]]
    ink = cut > 127.5 if is_dark else cut < 127.5
    high_mm = 25.4 / 216.0 * np.count_nonzero(ink.any(axis=1))
    assert LEAST_DIGIT_MM <= high_mm < 1.2 * LEAST_DIGIT_MM
