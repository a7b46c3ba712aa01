import io
from dataclasses import replace

import pdfplumber
import pytest
from written_out import A4, LETTER

from tapewright.drawing.handover_sheet import HandoverWords, handover_sheet
from tapewright.drawing.pdf import pdf_bytes
from tapewright.drawing.shapes import Box, Line, Text
from tapewright.ground.errors import DoesNotFit

WORDS = HandoverWords(
    title="Heron: for whoever takes the bow",
    subtitle="Handed over 2031-04-05.",
    facts=(("Zeroed at", "20 yd."), ("Proved by", "A. Giver (8 groups, 40 arrows)")),
    heads=("distance yd", "dial mm", "± in on the target", "more"),
    rows=(("20", "15.6", "0.2", ""), ("80", "64.1", "1.3", "")),
    faint=frozenset({1}),
    stops=("Anything damaged: do not shoot. " * 6, "Never a shot without an arrow."),
    small=("A safe stop.",),
    cells=((True, False), (False, True)),
    signs=("Given by", "Taken by", "Day and place"),
)


def texts_of(sheet):
    return {shape.words: shape for shape in sheet.shapes if isinstance(shape, Text)}


@pytest.mark.parametrize("paper", [A4, LETTER])
def test_every_word_stands_on_the_page_and_inside_its_margin(paper):
    sheet = handover_sheet(WORDS, paper)
    with pdfplumber.open(io.BytesIO(pdf_bytes((sheet,)))) as pdf:
        (page,) = pdf.pages
        said = page.extract_text()
        edges_pt = [(one["x0"], one["x1"], one["bottom"]) for one in page.chars]
    for words in ("Heron: for", "Zeroed at", "A. Giver", "64.1", "Never a shot", "Day and place"):
        assert words in said, words
    assert min(x0 for x0, _, _ in edges_pt) > 10.0 / 25.4 * 72.0
    assert max(x1 for _, x1, _ in edges_pt) < (paper.width_mm - 10.0) / 25.4 * 72.0
    assert max(bottom for *_, bottom in edges_pt) < (paper.height_mm - 10.0) / 25.4 * 72.0


def test_guesses_are_grey_and_marks_bold():
    texts = texts_of(handover_sheet(WORDS))
    assert (texts["15.6"].bold, texts["15.6"].grey) == (True, 0.0)
    assert (texts["64.1"].bold, texts["64.1"].grey > 0.3) == (False, True)


def test_each_stop_has_its_box_and_each_signature_its_line():
    sheet = handover_sheet(WORDS)
    open_boxes = [one for one in sheet.shapes if isinstance(one, Box) and one.line_mm]
    assert len(open_boxes) == 2
    plain = handover_sheet(replace(WORDS, signs=()))
    lines = [sum(isinstance(one, Line) for one in each.shapes) for each in (sheet, plain)]
    assert lines[0] - lines[1] == 3
    assert "Taken by" not in texts_of(plain)


def test_without_code_and_marks_the_page_is_shorter_and_whole():
    sheet = handover_sheet(replace(WORDS, cells=(), rows=()))
    assert "Marks" not in texts_of(sheet)
    assert "20 yd." in texts_of(sheet)


def test_what_is_too_long_is_told():
    with pytest.raises(DoesNotFit):
        handover_sheet(replace(WORDS, stops=("Do not shoot. " * 40,) * 12))
