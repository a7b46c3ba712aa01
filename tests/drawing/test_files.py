import io

import pdfplumber

from tapewright.drawing.files import sheet_files
from tapewright.drawing.paper import Paper, Sheet
from tapewright.drawing.shapes import Line

SHEETS = tuple(
    Sheet(Paper("small", 40.0, 30.0), (Line(1, 2, 3, 2, 0.15),), f"sheet {number}")
    for number in (1, 2, 3)
)


def test_sheets_are_pages_of_one_pdf():
    ((ending, content),) = sheet_files(SHEETS, ("pdf",))
    assert ending == ".pdf"
    with pdfplumber.open(io.BytesIO(content)) as document:
        assert len(document.pages) == 3


def test_each_sheet_is_a_picture_of_its_own_counted_from_the_second():
    files = sheet_files(SHEETS, ("svg", "dxf"))  # what has no sheets is passed over
    assert [ending for ending, _ in files] == [".svg", "-2.svg", "-3.svg"]
    for number, (_, content) in enumerate(files, 1):
        assert f"sheet {number}" in content.decode()


def test_pictures_are_called_as_one_likes_beside_the_pdf():
    files = sheet_files(SHEETS[:2], ("svg", "pdf"), ("-plan", "-a1"))
    assert [ending for ending, _ in files] == [".pdf", "-plan.svg", "-a1.svg"]
