"""Family sheet: many strips of one family, in order, with proof rulers on every sheet.

Holds:  strips to sheets.
Never:  the layout of a page (page.py), file formats; how a mark was found.
"""

from tapewright.drawing.legibility import reading_hints
from tapewright.drawing.page import BETWEEN_MM, Page, Piece, composed
from tapewright.drawing.paper import A4, NO_CORRECTION, Paper, PrinterCorrection, Sheet
from tapewright.drawing.tape import Look, Strip, draw_strip, strip_length_mm

__all__ = ["family_sheets"]


def family_sheets(
    strips: tuple[Strip, ...],
    look: Look,
    title: str,
    subtitle: str,
    *,
    paper: Paper = A4,
    notes: tuple[str, ...] = (),
    cautions: tuple[str, ...] = (),
    correction: PrinterCorrection = NO_CORRECTION,
) -> tuple[Sheet, ...]:
    """Sheets for a family of strips, none of them the first choice.

    Parameters
    ----------
    strips : tuple of Strip
        In order; they stand in it.
    look : Look
        How strips are drawn.
    title, subtitle : str
        Over each sheet, left and right.
    paper : Paper, default A4
        What it is printed on.
    notes, cautions : tuple of str
        Small print.
    correction : PrinterCorrection
        The printer's own error.

    Returns
    -------
    tuple of Sheet
        One or more.

    Raises
    ------
    DoesNotFit
        If a strip or the words are larger than the paper.
    """
    pieces = [
        Piece(
            strip.name,
            strip.align,
            look.width_mm,
            strip_length_mm(strip, look),
            draw_strip(strip, look),
        )
        for strip in strips
    ]
    page = Page(title, subtitle, reading_hints(strips, look), notes, cautions, paper, correction)
    each = max(int(page.strips_mm // (look.width_mm + BETWEEN_MM)), 1)
    sheets = [pieces[start : start + each] for start in range(0, len(pieces), each)]
    return tuple(
        composed(page, group, (number, len(sheets))) for number, group in enumerate(sheets, 1)
    )
