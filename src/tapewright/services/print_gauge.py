"""Print gauge: a gauge strip to a sheet, a sheet to files.

Holds:  the errand of a gauge strip.
Never:  formulas, sentences, file names.
"""

from tapewright.drawing.files import sheet_files
from tapewright.drawing.gauge import Gauge
from tapewright.drawing.paper import PAPERS
from tapewright.drawing.sheet import gauge_sheets, gauge_strip_sheet
from tapewright.drawing.svg import svg_text
from tapewright.services.print_tape import TapeOrder

__all__ = ["Gauge", "gauge_preview", "print_gauge"]


def gauge_preview(gauge: Gauge, order: TapeOrder) -> str:
    """One gauge strip alone as SVG, to be looked at on a screen."""
    return svg_text(gauge_strip_sheet(gauge, order.look))


def print_gauge(
    gauge: Gauge,
    order: TapeOrder,
    title: str,
    notes: tuple[str, ...],
    formats: tuple[str, ...],
    cautions: tuple[str, ...] = (),
    printed: str = "",
) -> tuple[tuple[str, bytes], ...]:
    """The files of a gauge strip."""
    sheets = gauge_sheets(
        gauge,
        order.look,
        title,
        paper=PAPERS[order.paper],
        notes=notes,
        cautions=cautions,
        correction=order.correction,
    )
    return sheet_files(sheets, formats, printed=printed)
