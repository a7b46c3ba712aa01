import pytest
from written_out import A4

from tapewright.drawing.paper import PrinterCorrection
from tapewright.drawing.shapes import Box, Line, Text
from tapewright.drawing.target_page import TargetPage, TargetWords, field_row


def test_everything_is_divided_by_the_printers_error():
    page = TargetPage(TargetWords("Rig", "in"), A4, PrinterCorrection(0.98, 1.02))
    assert page.wide_mm == pytest.approx(0.98 * 210.0)
    assert page.high_mm == pytest.approx(1.02 * 297.0)
    sheet = page.finished([Line(0.0, 0.0, 98.0, 102.0)])
    (line,) = sheet.shapes
    assert line.x2_mm == pytest.approx(100.0)
    assert line.y2_mm == pytest.approx(100.0)
    assert (sheet.title, sheet.paper) == ("Rig", A4)


def test_boxes_share_the_row_and_show_what_is_known():
    fields = (("rig", "Heron", 3.0), ("distance", "", 1.0))
    shapes, end_mm = field_row(fields, 10.0, 20.0, 100.0)
    wide, narrow = (one for one in shapes if isinstance(one, Box))
    assert wide.width_mm == pytest.approx(3.0 * narrow.width_mm)
    assert narrow.x_mm + narrow.width_mm == pytest.approx(110.0)
    assert wide.y_mm + wide.height_mm == end_mm
    assert [one.words for one in shapes if isinstance(one, Text)] == ["rig", "Heron", "distance"]


def test_a_long_name_is_shortened_to_its_box():
    shapes, _ = field_row((("rig", "long " * 30, 1.0),), 0.0, 0.0, 40.0)
    assert any(isinstance(one, Text) and one.words.endswith("…") for one in shapes)
