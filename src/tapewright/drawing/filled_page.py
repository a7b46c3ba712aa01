"""Filled page: as many pieces as one sheet takes, side by side and in rows.

     title
    ┌─────────────────────────────┐
    │ ┌─┐ ┌─┐ ┌─┐ ┌─┐ ┌─┐ ┌─┐   ╷ │   Families of strips, and label film that is to be used up.
    │ └─┘ └─┘ └─┘ └─┘ └─┘ └─┘   │ │   Both proof rulers stand on every sheet; words only on
    │ ┌─┐ ┌─┐ ┌─┐ ┌─┐ ┌─┐ ┌─┐   ╵ │   the first one.
    │ └─┘ └─┘ └─┘ └─┘ └─┘ └─┘     │
    │ words, proof ruler          │
    └─────────────────────────────┘

Holds:  how many pieces a sheet takes; sheets full of pieces.
Never:  what a piece is, file formats.
"""

from collections.abc import Sequence

from tapewright.drawing.blocks import (
    BOX_WIDE_MM,
    answer_box,
    paragraph,
    ruler_across,
    ruler_down,
)
from tapewright.drawing.page_parts import (
    BETWEEN_MM,
    GUTTER_MM,
    MARGIN_MM,
    STRIP_TOP_MM,
    Page,
    Piece,
    listed,
    on_paper,
    page_title,
    placed,
)
from tapewright.drawing.paper import PROOF_MM, Sheet
from tapewright.drawing.shapes import Shape, moved
from tapewright.ground.errors import DoesNotFit

__all__ = ["filled_room_mm", "filled_sheets", "fullest"]

RULER_MM = 10.0  # room of the upright proof ruler at the right edge
ROW_MM = 15.0  # from one row's strips to the next one's: names, corner marks
NOTE_EM_MM = 2.4


def filled_room_mm(page: Page) -> float:
    """Longest piece that every sheet takes.

    Parameters
    ----------
    page : Page
        What all sheets of this print share.

    Returns
    -------
    float
        Length of a piece. [mm]
    """
    return _below_mm(page, with_words=True) - STRIP_TOP_MM


def fullest(strips: Sequence[list[Piece]], page: Page) -> list[Piece]:
    """Pieces of these strips as often as one sheet has room for.

    Half of the places go to the middle strip, the others to its neighbours alike; each stands
    there once, even if that takes a further sheet.

    Parameters
    ----------
    strips : sequence of list of Piece
        The pieces of each strip, in order.
    page : Page
        Where they will stand; its words are told elsewhere.

    Returns
    -------
    list of Piece
        In order.
    """
    pieces = [piece for strip in strips for piece in strip]
    long_mm = max(piece.length_mm for piece in pieces)
    high_mm = _below_mm(page, with_words=False) - STRIP_TOP_MM
    rows = 1 + max(int((high_mm - long_mm) // (long_mm + ROW_MM)), 0)
    sets = _across(pieces, page) * rows // len(strips[0])
    beside = max(sets // (2 * max(len(strips) - 1, 1)), 1) if len(strips) > 1 else 0
    middle = max(sets - beside * (len(strips) - 1), 1)
    return [
        piece
        for index, strip in enumerate(strips)
        for _ in range(middle if index == len(strips) // 2 else beside)
        for piece in strip
    ]


def filled_sheets(
    pieces: list[Piece], page: Page, *, before: int = 0, has_words: bool = True
) -> tuple[Sheet, ...]:
    """Sheets full of pieces, in rows, as many as are needed.

    Parameters
    ----------
    pieces : list of Piece
        In order; they stand in it.
    page : Page
        What all sheets of this print share.
    before : int, default 0
        How many sheets of the same print come before these. [-]
    has_words : bool, default True
        Whether hints, notes and cautions stand on the first one.

    Returns
    -------
    tuple of Sheet
        One or more.

    Raises
    ------
    DoesNotFit
        If a piece is longer than the room that the words leave.
    """
    groups: list[list[list[Piece]]] = []
    across = _across(pieces, page)
    rest = [pieces[start : start + across] for start in range(0, len(pieces), across)]
    while rest:
        rows = _rows(rest, page, with_words=has_words and not groups)
        groups.append(rest[:rows])
        rest = rest[rows:]
    count = before + len(groups)
    return tuple(
        _sheet(page, group, (number, count), with_words=has_words and number == before + 1)
        for number, group in enumerate(groups, before + 1)
    )


def _across(pieces: list[Piece], page: Page) -> int:
    """How many pieces stand side by side [-]."""
    wide_mm = max(piece.width_mm for piece in pieces)
    return max(int(_wide_mm(page) // (wide_mm + BETWEEN_MM)), 1)


def _rows(rows: list[list[Piece]], page: Page, *, with_words: bool) -> int:
    """How many of these rows one sheet takes [-]."""
    room_mm = _below_mm(page, with_words=with_words) - STRIP_TOP_MM
    taken_mm = 0.0
    for number, row in enumerate(rows):
        long_mm = max(piece.length_mm for piece in row)
        if taken_mm + long_mm > room_mm:
            if number == 0:
                raise DoesNotFit(long_mm, room_mm, "Print fewer distances, or take longer paper")
            return number
        taken_mm += long_mm + ROW_MM
    return len(rows)


def _wide_mm(page: Page) -> float:
    """Width of the strips' part of a sheet [mm]."""
    return page.wide_mm - 2.0 * MARGIN_MM - RULER_MM


def _below_mm(page: Page, *, with_words: bool) -> float:
    """Where words and ruler under the strips begin [mm]."""
    _, high_mm = _under(page, with_words=with_words)
    return page.bottom_mm - high_mm - 6.0


def _sheet(
    page: Page, rows: list[list[Piece]], number: tuple[int, int], *, with_words: bool
) -> Sheet:
    pitch_mm = _wide_mm(page) / _across([piece for row in rows for piece in row], page)
    shapes = page_title(page, number)
    top_mm = STRIP_TOP_MM
    for row in rows:
        for column, piece in enumerate(row):
            middle_mm = MARGIN_MM + (column + 0.5) * pitch_mm
            shapes += placed(piece, middle_mm, pitch_mm, top_mm)
        top_mm += max(piece.length_mm for piece in row) + ROW_MM
    shapes += ruler_down(page.wide_mm - MARGIN_MM - RULER_MM + 5.0, STRIP_TOP_MM)
    under, high_mm = _under(page, with_words=with_words)
    shapes += [moved(one, 0.0, page.bottom_mm - high_mm) for one in under]
    return on_paper(page, shapes)


def _under(page: Page, *, with_words: bool) -> tuple[list[Shape], float]:
    """What stands under the strips, from 0 down: words, the level proof ruler, both boxes."""
    left_mm, wide_mm = MARGIN_MM, page.wide_mm - 2.0 * MARGIN_MM
    shapes: list[Shape] = []
    y_mm = 0.0
    if with_words:
        half_mm = (wide_mm - GUTTER_MM) / 2.0
        ends_mm = [0.0]
        columns = (("Notes", (*page.hints, *page.notes)), ("Before you shoot", page.cautions))
        for place, (head, lines) in enumerate(columns):
            if lines:
                x_mm = left_mm + place * (half_mm + GUTTER_MM)
                more, below_mm = listed(head, lines, x_mm, 0.0, half_mm)
                shapes += more
                ends_mm.append(below_mm)
        y_mm = max(ends_mm)
    more, y_mm = paragraph(
        f"Measure both proof rulers with a steel rule. If one is not {PROOF_MM} mm, tell the "
        "program both lengths and print again: the next sheet comes out true.",
        left_mm,
        y_mm,
        wide_mm,
        NOTE_EM_MM,
    )
    shapes += more
    axis_mm = y_mm + 7.0
    shapes += ruler_across(left_mm + 2.0, axis_mm)
    box_mm = left_mm + 2.0 + PROOF_MM + 10.0
    for words in ("across measures", "down measures"):
        more, below_mm = answer_box(words, box_mm, axis_mm - 6.0)
        shapes += more
        box_mm += BOX_WIDE_MM + 6.0
    return shapes, below_mm
