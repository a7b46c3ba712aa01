"""PDF: sheets as the bytes of one PDF file.

The only file that knows a point: 1/72 inch.

Holds:  Sheets → PDF bytes, fonts embedded, print scaling off.
Never:  tapes, ticks, what is said to who hears a page read (pdf_tags.py); any other unit.
Source: ISO 32000-1 §8.3.2.3 (user unit 1/72 inch), §12.2 (viewer preferences), §14.3.3 (the
        document information: entries that are not known are left out), §7.9.4 (dates).
"""

from __future__ import annotations

import io
from importlib.resources import as_file, files
from typing import TYPE_CHECKING, Any

from tapewright import __version__
from tapewright.drawing.lettering import printable, width_mm
from tapewright.drawing.shapes import DASH_MM, Box, Line, Shape, Text
from tapewright.ground.units import INCH_M, MM_M

if TYPE_CHECKING:
    from reportlab.pdfbase.pdfdoc import PDFInfo
    from reportlab.pdfgen.canvas import Canvas

    from tapewright.drawing.paper import Sheet
    from tapewright.drawing.pdf_tags import Tags

PT = 72.0 * MM_M / INCH_M  # points in one millimetre
REGULAR = "DejaVuSansCondensed"
FONTS = {
    ("", False): REGULAR,
    ("", True): "DejaVuSansCondensed-Bold",
    **{("figures", bold): "TapewrightFigures" for bold in (False, True)},
    **{("narrow", bold): "TapewrightFigures-Narrow" for bold in (False, True)},
}
BUTT_CAP = 0  # a stroke ends exactly at its point


def pdf_bytes(sheets: tuple[Sheet, ...], printed: str = "") -> bytes:
    """Sheets as one PDF, a page each.

    Two runs of one day give the same bytes. Viewers are asked not to scale the page.

    Parameters
    ----------
    sheets : tuple of Sheet
        At least one.
    printed : str, default ""
        Date of the print, as ``"2026-11-30"``; absent: the file has none.

    Returns
    -------
    bytes
        The file.
    """
    from reportlab.pdfgen.canvas import Canvas  # noqa: PLC0415 - 0.17 s, only for who prints

    _register_fonts()
    file = io.BytesIO()
    face: Any = REGULAR  # a word, whatever the library's types say; else a font is named, not held
    canvas: Any = Canvas(file, invariant=1, pageCompression=1, initialFontName=face)
    canvas.setViewerPreference("PrintScaling", "None")
    canvas._doc.info = _information(sheets[0].title, printed)  # noqa: SLF001 - else names untrue
    tags = _tags(canvas, sheets)
    for sheet in sheets:
        high_mm = sheet.paper.height_mm
        canvas.setPageSize((sheet.paper.width_mm * PT, high_mm * PT))
        canvas.setLineCap(BUTT_CAP)
        for shape in sheet.shapes:
            if tags:
                tags.begin(shape)
            _draw(canvas, shape, high_mm)
            if tags:
                tags.end()
        canvas.showPage()
        if tags:
            tags.turn_page()
    if tags:
        tags.write()
    canvas.save()
    return file.getvalue()


def _tags(canvas: Any, sheets: tuple[Sheet, ...]) -> Tags | None:  # noqa: ANN401 - see pdf_bytes
    """What tells a screen reader what each text is; None where no text says it."""
    shapes = (shape for sheet in sheets for shape in sheet.shapes)
    if not any(isinstance(shape, Text) and shape.role for shape in shapes):
        return None
    from tapewright.drawing.pdf_tags import Tags  # noqa: PLC0415 - see pdf_bytes

    return Tags(canvas)


def _information(title: str, printed: str) -> PDFInfo:
    """What a file says of itself: title, day of the print and program, and nothing else."""
    import reportlab  # noqa: PLC0415 - see pdf_bytes
    from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFInfo, PDFString  # noqa: PLC0415

    class Information(PDFInfo):
        """The entries that are true."""

        def format(self, document: Any) -> bytes:  # noqa: ANN401 - reportlab has no types
            entries = {"Title": title, "Creator": f"Tapewright {__version__}"}
            entries["Producer"] = f"ReportLab {reportlab.Version}"
            if printed:
                day = "D:" + printed.replace("-", "")
                entries |= {"CreationDate": day, "ModDate": day}
            written = PDFDictionary({key: PDFString(words) for key, words in entries.items()})
            return bytes(written.format(document))

    return Information()


def _register_fonts() -> None:
    """Tell reportlab our faces, once in a process."""
    from reportlab.pdfbase import pdfmetrics  # noqa: PLC0415 - see pdf_bytes
    from reportlab.pdfbase.ttfonts import TTFont  # noqa: PLC0415 - see pdf_bytes

    known = pdfmetrics.getRegisteredFontNames()
    for name in set(FONTS.values()):
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
    canvas.setFont(FONTS[text.figures, text.bold], text.em_mm * PT)
    wide_mm = width_mm(words, text.em_mm, bold=text.bold, figures=text.figures)
    canvas.drawString(-share * wide_mm * PT, 0.0, words)
    canvas.restoreState()
