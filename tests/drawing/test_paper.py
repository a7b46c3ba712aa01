import pytest
from written_out import A4, LETTER

from tapewright.drawing.paper import PrinterCorrection, WheelWrap, correction_from_rulers
from tapewright.ground.errors import BadInput


def test_papers_have_their_published_size():
    assert (A4.width_mm, A4.height_mm) == (210.0, 297.0)  # ISO 216
    assert (LETTER.width_mm, LETTER.height_mm) == (215.9, 279.4)  # ANSI/ASME Y14.1: 8.5 in × 11 in


def test_measured_rulers_add_to_what_was_corrected_before():
    first = correction_from_rulers(98.0, 101.0)
    assert first == PrinterCorrection(0.98, 1.01)
    again = correction_from_rulers(100.0, 100.0, first)
    assert again == first
    finer = correction_from_rulers(100.5, 100.0, first)
    assert abs(finer.across - 0.98 * 1.005) < 1e-12


@pytest.mark.parametrize(("across", "down"), [(0.75, 1.0), (1.0, 1.2), (float("nan"), 1.0)])
def test_a_scaled_page_is_not_taken_for_the_printers_error(across, down):
    with pytest.raises(BadInput, match="without fitting to the page"):
        PrinterCorrection(across, down)


def test_a_wrapped_strip_bends_about_its_middle():
    assert WheelWrap(50.0, 0.0).stretch == WheelWrap(0.9, 0.0).stretch == 1.0
    assert abs(WheelWrap(60.0, 0.3).stretch - (60.0 + 0.3) / 60.0) < 1e-12  # ratio of mid radii


@pytest.mark.parametrize(("diameter", "thick"), [(0.0, 0.1), (10.0, 10.0), (10.0, -0.1)])
def test_wheels_that_cannot_be_wrapped_are_refused(diameter, thick):
    with pytest.raises(BadInput, match="bare wheel"):
        WheelWrap(diameter, thick)
