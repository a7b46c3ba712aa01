import io

import pdfplumber
import pytest
from pdfminer.pdftypes import resolve1
from reportlab.pdfbase import pdfmetrics
from written_out import A4, LETTER

from tapewright.drawing.paper import Sheet
from tapewright.drawing.pdf import pdf_bytes
from tapewright.drawing.shapes import Box, Line, Text

SHAPES = (
    Line(1, 2, 3, 4, 0.2, dashed=True, layer="tick"),
    Box(5, 6, 7, 8, 0.1, 0.5, layer="cut"),
    Box(5, 6, 7, 8, 0.0),
    Text(20, 40, "Ёлка ½° ±0,5 mm − Ω → 弓 <&>", 3.0),
    Text(20, 50, "20", 4.0, figures="figures"),
    Text(20, 60, "100", 4.0, figures="narrow"),
    Text(50, 90, "turned", 3.0, bold=True, anchor="middle", turn_deg=90, grey=0.4),
)
SHEETS = (Sheet(A4, SHAPES, "Rig 弓"), Sheet(LETTER, SHAPES, "Rig 弓"))


@pytest.fixture(scope="module")
def opened():
    with pdfplumber.open(io.BytesIO(pdf_bytes(SHEETS, "2026-11-30"))) as document:
        yield document


def test_two_runs_write_the_same_bytes():
    assert pdf_bytes(SHEETS) == pdf_bytes(SHEETS)


def test_each_sheet_is_a_page_of_its_own_size(opened):
    sizes_mm = [(page.width * 25.4 / 72, page.height * 25.4 / 72) for page in opened.pages]
    for size, sheet in zip(sizes_mm, SHEETS, strict=True):
        assert abs(size[0] - sheet.paper.width_mm) < 1e-3  # a thousandth of a millimetre
        assert abs(size[1] - sheet.paper.height_mm) < 1e-3


def test_viewers_are_asked_not_to_scale(opened):
    preferences = resolve1(opened.doc.catalog["ViewerPreferences"])
    assert preferences["PrintScaling"].name == "None"


def test_text_can_be_read_back_letter_by_letter(opened):
    text = opened.pages[0].extract_text()
    assert "Ёлка ½° ±0,5 mm − Ω → … <&>" in text


def test_the_file_says_what_it_is_and_when_it_was_made_and_nothing_untrue(opened):
    told = dict(opened.metadata)
    assert told.pop("Producer").startswith("ReportLab ")
    assert told.pop("Creator").startswith("Tapewright ")
    assert told == {
        "Title": "Rig 弓", "CreationDate": "D:20261130", "ModDate": "D:20261130",
    }  # fmt: skip
    with pdfplumber.open(io.BytesIO(pdf_bytes(SHEETS))) as undated:
        assert "CreationDate" not in undated.metadata


def test_a_process_that_wrote_none_before_writes_the_same(monkeypatch):
    """Our faces are told to the writer once in a process, and may be told again."""
    before = pdf_bytes(SHEETS, "2026-11-30")
    monkeypatch.setattr(pdfmetrics, "getRegisteredFontNames", list)
    assert pdf_bytes(SHEETS, "2026-11-30") == before


def test_two_days_differ_by_their_date_alone():
    one, other = pdf_bytes(SHEETS, "2026-11-30"), pdf_bytes(SHEETS, "2026-12-01")
    assert one != other
    assert one.replace(b"20261130", b"")[:-400] == other.replace(b"20261201", b"")[:-400]


def test_only_our_fonts_are_named_and_all_are_embedded(opened):
    names = {char["fontname"].split("+")[-1] for char in opened.pages[0].chars}
    ours = {
        "DejaVuSansCondensed", "DejaVuSansCondensed-Bold", "TapewrightFigures",
        "TapewrightFigures-Narrow",
    }  # fmt: skip
    assert names == ours
    named = set()
    for xref in opened.doc.xrefs:
        for number in xref.get_objids():
            found = resolve1(opened.doc.getobj(number))
            if isinstance(found, dict) and "BaseFont" in found:
                named.add(found["BaseFont"].name.split("+")[-1])
                assert resolve1(resolve1(found["FontDescriptor"])["FontFile2"])
    assert named == ours


def test_turned_words_run_clockwise(opened):
    letters = [char for char in opened.pages[0].chars if "Bold" in char["fontname"]]
    assert "".join(char["text"] for char in letters) == "turned"
    tops = [char["top"] for char in letters]
    assert tops == sorted(tops)  # a quarter turn clockwise reads downward
