"""Page: strips, rulers and small print laid out on paper.

     margin
    ┌─────────────────────────────┐
    │ title                       │   Everything is laid out in true mm on the part
    │ ┌─┐ ┌─┐ ┌─┐  strips, in     │   of paper the printer will cover; at the end all
    │ │ │ │ │ │ │  words          │   places are divided by the printer's own error.
    │ │ │ │ │ │ │  proof rulers   │
    │ │ │ │ │ │ │  notes          │
    │ └─┘ └─┘ └─┘  cautions       │
    └─────────────────────────────┘

Holds:  the layout of a sheet with words; how many pieces it takes, and whether there is room for
        how to stick them on.
Never:  what a piece is, file formats, points.
"""

from tapewright.drawing.blocks import (
    BOX_WIDE_MM,
    answer_box,
    heading,
    paragraph,
    ruler_across,
    ruler_down,
)
from tapewright.drawing.page_parts import (
    BETWEEN_MM,
    GUTTER_MM,
    MARGIN_MM,
    STRIP_TOP_MM,
    WORDS_MM,
    Page,
    Piece,
    listed,
    on_paper,
    page_title,
    placed,
)
from tapewright.drawing.paper import PROOF_MM, Sheet
from tapewright.drawing.qr import code_side_mm, code_square
from tapewright.drawing.shapes import Shape
from tapewright.drawing.sticking import sticking_block
from tapewright.ground.errors import DoesNotFit

__all__ = ["Page", "Piece", "composed", "groups", "sticking_sheet", "takes_sticking"]

WORDS_TOP_MM = 26.0
UNDER_MM = 9.0  # from the longest strip to what stands under it
CODE_WORDS = "Scan for rig, date and the marks of all pins as plain text. No signal is needed."


def groups(strips: list[list[Piece]], middle: int, page: Page) -> list[list[Piece]]:
    """Pieces sheet by sheet: all on one, or those of the middle strip first and the rest after.

    Parameters
    ----------
    strips : list of list of Piece
        The pieces of each strip, one or two, in order, all of one width.
    middle : int
        Which strip must be on the first sheet. [-]
    page : Page
        Where they will stand.

    Returns
    -------
    list of list of Piece
        One list for each sheet.
    """
    per_sheet = max(int(page.strips_mm // (strips[0][0].width_mm + BETWEEN_MM)), 1)
    if sum(map(len, strips)) <= per_sheet:
        return [[piece for strip in strips for piece in strip]]
    each = max(per_sheet // len(strips[0]), 1)  # strips that stay together on a sheet
    rest = strips[:middle] + strips[middle + 1 :]
    together = [strips[middle : middle + 1]]
    together += [rest[start : start + each] for start in range(0, len(rest), each)]
    sheets = []
    for group in together:
        pieces = [piece for strip in group for piece in strip]
        sheets += [pieces[at : at + per_sheet] for at in range(0, len(pieces), per_sheet)]
    return sheets


def takes_sticking(page: Page, pieces: list[Piece]) -> bool:
    """Whether there is room under these pieces for how a strip is stuck on.

    Parameters
    ----------
    page : Page
        What all sheets of this print share.
    pieces : list of Piece
        What stands on the sheet.

    Returns
    -------
    bool
        False also where nothing is to be told.
    """
    if page.sticking is None:
        return False
    _, below_mm = sticking_block(page.sticking, MARGIN_MM, _under_mm(pieces), page.strips_mm)
    return below_mm <= page.bottom_mm


def sticking_sheet(page: Page, number: tuple[int, int]) -> Sheet:
    """Sheet that tells how a strip is stuck on, where no other has room for it.

    Parameters
    ----------
    page : Page
        What all sheets of this print share; it has something to tell.
    number : tuple of int, int
        Which sheet, of how many.

    Returns
    -------
    Sheet
        The page.
    """
    assert page.sticking is not None
    more, _ = sticking_block(page.sticking, MARGIN_MM, WORDS_TOP_MM, WORDS_MM)
    return on_paper(page, [*page_title(page, number), *more])


def composed(page: Page, pieces: list[Piece], number: tuple[int, int]) -> Sheet:
    """One sheet, divided by the printer's own error; how to stick a strip on where it has room.

    Parameters
    ----------
    page : Page
        What all sheets of this print share.
    pieces : list of Piece
        What stands on this one.
    number : tuple of int, int
        Which sheet, of how many.

    Returns
    -------
    Sheet
        The page.

    Raises
    ------
    DoesNotFit
        If a piece or the words are larger than the paper.
    """
    shapes = page_title(page, number)
    pitch_mm = page.strips_mm / len(pieces)
    for index, piece in enumerate(pieces):
        room_mm = page.bottom_mm - STRIP_TOP_MM
        if piece.length_mm > room_mm:
            raise DoesNotFit(
                piece.length_mm, room_mm, "Print fewer distances, or take longer paper"
            )
        middle_mm = MARGIN_MM + (index + 0.5) * pitch_mm
        shapes += placed(piece, middle_mm, pitch_mm)
    shapes += _words(page, pieces)
    if page.sticking is not None and number[0] == 1 and takes_sticking(page, pieces):
        more, _ = sticking_block(page.sticking, MARGIN_MM, _under_mm(pieces), page.strips_mm)
        shapes += more
    return on_paper(page, shapes)


def _under_mm(pieces: list[Piece]) -> float:
    """Where there is room under the longest piece [mm]."""
    return STRIP_TOP_MM + max(piece.length_mm for piece in pieces) + UNDER_MM


def _words(page: Page, pieces: list[Piece]) -> list[Shape]:
    """Side of the words: strips, proof rulers, notes, cautions."""
    x_mm = page.wide_mm - MARGIN_MM - WORDS_MM
    shapes, y_mm = heading("Strips", x_mm, WORDS_TOP_MM, WORDS_MM)
    for piece in pieces:
        for words, bold in ((piece.name, True), (piece.sentence, False)):
            more, y_mm = paragraph(words, x_mm, y_mm, WORDS_MM, bold=bold)
            shapes += more
        y_mm += 1.4
    for hint in page.hints:
        more, y_mm = paragraph(hint, x_mm, y_mm, WORDS_MM, grey=0.3)
        shapes += more
    more, y_mm = _proof(page, x_mm, y_mm + 3.0)
    shapes += more
    if page.cautions:
        more, y_mm = listed("Before you shoot", page.cautions, x_mm, y_mm, WORDS_MM)
        shapes += more
    if y_mm > page.bottom_mm:
        raise DoesNotFit(y_mm, page.bottom_mm, "Shorten the notes or the cautions")
    return shapes


def _proof(page: Page, x_mm: float, y_mm: float) -> tuple[list[Shape], float]:
    """Both proof rulers with their boxes, and the notes beside the upright one."""
    shapes, y_mm = heading("Proof rulers", x_mm, y_mm, WORDS_MM)
    more, y_mm = paragraph(
        f"Measure both with a steel rule. If one is not {PROOF_MM} mm, tell the program "
        "both lengths and print again: the next sheet comes out true.",
        x_mm,
        y_mm,
        WORDS_MM,
    )
    shapes += more
    axis_mm = y_mm + 6.0
    shapes += ruler_across(x_mm + 6.0, axis_mm)
    top_mm = axis_mm + 8.0
    shapes += ruler_down(x_mm + 5.0, top_mm)
    boxes_mm = x_mm + 15.0
    more, _ = answer_box("across measures", boxes_mm, top_mm)
    shapes += more
    more, box_mm = answer_box("down measures", boxes_mm + BOX_WIDE_MM + 8.0, top_mm)
    shapes += more
    side_mm = WORDS_MM - 15.0
    if page.notes:
        more, box_mm = listed("Notes", page.notes, boxes_mm, box_mm + 6.0, side_mm)
        shapes += more
    if page.cells:
        code_mm = top_mm + PROOF_MM - code_side_mm(page.cells)
        more, box_mm = _code(page.cells, boxes_mm, max(box_mm, code_mm))
        shapes += more
    return shapes, max(box_mm, top_mm + PROOF_MM + 5.0)


def _code(
    cells: tuple[tuple[bool, ...], ...], x_mm: float, y_mm: float
) -> tuple[list[Shape], float]:
    """Code to scan at the right edge, and beside it what it is."""
    wide_mm = code_side_mm(cells)
    left_mm = x_mm + WORDS_MM - 15.0 - wide_mm
    words_mm = left_mm - x_mm - GUTTER_MM
    shapes, _ = paragraph(CODE_WORDS, x_mm, y_mm + 3.0, words_mm, 2.4)
    return [*shapes, *code_square(cells, left_mm, y_mm, wide_mm)], y_mm + wide_mm
