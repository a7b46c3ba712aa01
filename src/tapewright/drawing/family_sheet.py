"""Family sheet: many strips of one family, in order, as many on a sheet as it takes.

Holds:  strips to sheets.
Never:  the layout of a page (filled_page.py), file formats; how a mark was found.
"""

from tapewright.drawing.filled_page import filled_room_mm, filled_sheets
from tapewright.drawing.legibility import reading_hints
from tapewright.drawing.page_parts import Page
from tapewright.drawing.paper import A4, NO_CORRECTION, Paper, PrinterCorrection, Sheet
from tapewright.drawing.strip_pieces import strip_pieces
from tapewright.drawing.tape import Look, Strip

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
        Small print, on the first sheet.
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
    page = Page(title, subtitle, reading_hints(strips, look), notes, cautions, paper, correction)
    room_mm = filled_room_mm(page)
    pieces = [piece for strip in strips for piece in strip_pieces(strip, look, room_mm)]
    return filled_sheets(pieces, page)
