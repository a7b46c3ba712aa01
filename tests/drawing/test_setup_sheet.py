import io
from dataclasses import replace
from itertools import pairwise

import pdfplumber
import pytest
from written_out import A4, LETTER

from tapewright.drawing.pdf import pdf_bytes
from tapewright.drawing.setup_sheet import SetupWords, setup_sheet
from tapewright.drawing.shapes import Box
from tapewright.ground.errors import DoesNotFit

ROWS = (
    ("Upper limb bolt", "3.50 turns", "± 0.06 turns", "0.25 turns"),
    ("Peep above the nocking point", "139.7 mm", "± 1.0 mm", "4.2 mm"),
)
WORDS = SetupWords(
    title="Heron: set-up card",
    subtitle="Recorded 2031-04-05.",
    heads=("thing", "recorded", "±", "moved from"),
    rows=ROWS,
    steps=("Anything cracked: do not shoot. " * 4, "Measure again."),
    small=("String: May.",),
)


@pytest.mark.parametrize("paper", [A4, LETTER])
def test_thirteen_things_and_their_boxes_stand_inside_the_margins(paper):
    sheet = setup_sheet(replace(WORDS, rows=ROWS * 6 + ROWS[:1]), paper)
    with pdfplumber.open(io.BytesIO(pdf_bytes((sheet,)))) as pdf:
        (page,) = pdf.pages
        said = page.extract_text()
        chars = [(one["x0"], one["x1"], one["bottom"]) for one in page.chars]
    for words in ("Heron: set-up card", "139.7 mm", "4.2 mm", "Measure again.", "String: May."):
        assert words in said, words
    assert min(x0 for x0, _, _ in chars) > 10.0 / 25.4 * 72.0
    assert max(x1 for _, x1, _ in chars) < (paper.width_mm - 10.0) / 25.4 * 72.0
    boxes = [one for one in sheet.shapes if isinstance(one, Box)]
    assert len(boxes) == 3 * 13 + 2
    assert max(one.x_mm + one.width_mm for one in boxes) <= paper.width_mm - 12.0 + 1e-9


def test_no_cell_runs_into_its_neighbour():
    sheet = setup_sheet(WORDS)
    with pdfplumber.open(io.BytesIO(pdf_bytes((sheet,)))) as pdf:
        words = pdf.pages[0].extract_words(x_tolerance=1.5)
    row = sorted((one for one in words if one["text"] in ("139.7", "1.0", "4.2", "point")),
                 key=lambda one: one["x0"])  # fmt: skip
    assert [one["text"] for one in row] == ["point", "139.7", "1.0", "4.2"]
    for left, right in pairwise(row):
        assert left["x1"] < right["x0"]


def test_what_is_too_long_is_told():
    with pytest.raises(DoesNotFit):
        setup_sheet(replace(WORDS, rows=ROWS * 15))
