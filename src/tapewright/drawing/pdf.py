"""PDF: sheets as the bytes of one PDF file.

The only file that knows a point: 1/72 inch.

Holds:  Sheets → PDF bytes, fonts embedded, print scaling off.
Never:  tapes, ticks; any other unit than mm and point.
Source: ISO 32000-1 §8.3.2.3 (user unit 1/72 inch), §12.2 (viewer preferences).
"""

from __future__ import annotations

import io
from importlib.resources import as_file, files
from typing import TYPE_CHECKING

from tapewright.drawing.lettering import printable, width_mm
from tapewright.drawing.shapes import DASH_MM, Box, Line, Shape, Text
from tapewright.ground.units import INCH_M, MM_M

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

    from tapewright.drawing.paper import Sheet

PT = 72.0 * MM_M / INCH_M  # points in one millimetre
FONTS = {False: "DejaVuSansCondensed", True: "DejaVuSansCondensed-Bold"}
BUTT_CAP = 0  # a stroke ends exactly at its point


def pdf_bytes(sheets: tuple[Sheet, ...]) -> bytes:
    """Sheets as one PDF, a page each.

    Two runs give the same bytes. Viewers are asked not to scale the page.

    Parameters
    ----------
    sheets : tuple of Sheet
        At least one.

    Returns
    -------
    bytes
        The file.
    """
    from reportlab.pdfgen.canvas import Canvas  # noqa: PLC0415 - 0.17 s, only for who prints

    _register_fonts()
    file = io.BytesIO()
    canvas = Canvas(file, invariant=1, pageCompression=1)
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setTitle(printable(sheets[0].title))
    canvas.setCreator("Tapewright")
    for sheet in sheets:
        high_mm = sheet.paper.height_mm
        canvas.setPageSize((sheet.paper.width_mm * PT, high_mm * PT))
        canvas.setLineCap(BUTT_CAP)
        for shape in sheet.shapes:
            _draw(canvas, shape, high_mm)
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def _register_fonts() -> None:
    """Tell reportlab our two faces, once in a process."""
    from reportlab.pdfbase import pdfmetrics  # noqa: PLC0415 - see pdf_bytes
    from reportlab.pdfbase.ttfonts import TTFont  # noqa: PLC0415 - see pdf_bytes

    known = pdfmetrics.getRegisteredFontNames()
    for name in FONTS.values():
        if name not in known:
            with as_file(files("tapewright.drawing") / "fonts" / f"{name}.ttf") as path:
                pdfmetrics.registerFont(TTFont(name, str(path)))


def _draw(canvas: Canvas, shape: Shape, high_mm: float) -> None:
    """One shape; y turns from down to up here."""
    if isinstance(shape, Text):
        _draw_text(canvas, shape, high_mm)
    elif isinstance(shape, Line):
        canvas.setStrokeGray(shape.grey)
        canvas.setLineWidth(shape.width_mm * PT)
        canvas.setDash([dash_mm * PT for dash_mm in DASH_MM] if shape.dashed else [])
        canvas.line(
            shape.x1_mm * PT,
            (high_mm - shape.y1_mm) * PT,
            shape.x2_mm * PT,
            (high_mm - shape.y2_mm) * PT,
        )
    else:
        _draw_box(canvas, shape, high_mm)


def _draw_box(canvas: Canvas, box: Box, high_mm: float) -> None:
    is_filled = box.line_mm == 0.0
    if is_filled:
        canvas.setFillGray(box.grey)
    else:
        canvas.setStrokeGray(box.grey)
        canvas.setLineWidth(box.line_mm * PT)
        canvas.setDash([])
    canvas.rect(
        box.x_mm * PT,
        (high_mm - box.y_mm - box.height_mm) * PT,
        box.width_mm * PT,
        box.height_mm * PT,
        stroke=int(not is_filled),
        fill=int(is_filled),
    )


def _draw_text(canvas: Canvas, text: Text, high_mm: float) -> None:
    words = printable(text.words)
    share = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor]
    canvas.saveState()
    canvas.translate(text.x_mm * PT, (high_mm - text.y_mm) * PT)
    canvas.rotate(-text.turn_deg)
    canvas.setFillGray(text.grey)
    canvas.setFont(FONTS[text.bold], text.em_mm * PT)
    canvas.drawString(-share * width_mm(words, text.em_mm, bold=text.bold) * PT, 0.0, words)
    canvas.restoreState()
