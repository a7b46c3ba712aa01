"""What a printer can print: its outer 5 mm stay white on every sheet (common practice)."""

import io

import pdfplumber
import pytest
from layouts import sheets

from tapewright.drawing.pdf import pdf_bytes

MM = 25.4 / 72.0
RIM_MM = 5.0


@pytest.fixture(scope="module")
def printed():
    return {name: some for name, some in sheets().items() if some[0].paper.name != "strip"}


def test_no_ink_lies_on_the_rim_that_printers_leave_white(printed):
    seen = set()
    for name, some in printed.items():
        with pdfplumber.open(io.BytesIO(pdf_bytes(some))) as pdf:
            for page in pdf.pages:
                ink = [*page.lines, *page.rects, *page.curves, *page.chars]
                half = [MM * one.get("linewidth", 0.0) / 2.0 for one in ink]
                ends_mm = (
                    min(MM * one["x0"] - w for one, w in zip(ink, half, strict=True)),
                    min(MM * one["top"] - w for one, w in zip(ink, half, strict=True)),
                    min(
                        MM * (page.width - one["x1"]) - w for one, w in zip(ink, half, strict=True)
                    ),
                    min(
                        MM * (page.height - one["bottom"]) - w
                        for one, w in zip(ink, half, strict=True)
                    ),
                )
                assert min(ends_mm) >= RIM_MM, (name, page.page_number, ends_mm)
                seen.add(name)
    assert {"tape", "gauge", "target", "tiles", "family", "full card", "pocket card"} <= seen
