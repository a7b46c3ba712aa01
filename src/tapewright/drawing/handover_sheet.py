"""Handover sheet: one page for the person who takes a bow.

    ┌─────────────────────────────┐
    │ title                       │   What is known stands under its label, the marks below,
    │ label  what is known ┌────┐ │   those that are guesses less strongly; then what stops a
    │ label  …             │code│ │   shot, small print, and places to sign where a shop wants
    │ marks                └────┘ │   them.
    │ stop signs, small print     │
    │ places to sign              │
    └─────────────────────────────┘

Holds:  the HandoverWords record; the page.
Never:  what the words say, file formats.
"""

from dataclasses import dataclass

from tapewright.drawing.blocks import Block, heading, page_head, paragraph
from tapewright.drawing.lettering import CAP, shortened
from tapewright.drawing.paper import A4, Paper, Sheet
from tapewright.drawing.qr import code_side_mm, code_square
from tapewright.drawing.shapes import Box, Line, Shape, Text
from tapewright.ground.errors import DoesNotFit

MARGIN_MM = 12.0
LABEL_MM = 30.0  # width of the labels' column
FACT_EM_MM, ROW_EM_MM, STOP_EM_MM, SMALL_EM_MM = 3.3, 3.6, 3.1, 2.5
ROW_MM = 6.0
COLUMN_MM = (20.0, 30.0, 45.0)  # of marks, as many as there are; the last is repeated
FAINT = 0.45
SIGN_MM = 15.0  # height of a place to sign
SIGN_GAP_MM = 4.0


@dataclass(frozen=True, slots=True)
class HandoverWords:
    """What stands on the page.

    Parameters
    ----------
    title, subtitle : str
        Over the page.
    facts : tuple of (str, str)
        Label and what is known.
    heads : tuple of str
        Of the columns of marks.
    rows : tuple of tuple of str
        Marks; empty for none.
    faint : frozenset of int
        Rows that are guesses.
    stops : tuple of str
        What stops a shot, a line each.
    small : tuple of str
        Small print.
    cells : tuple of rows of bool
        Black and white of a code to scan, without its border; empty for none.
    signs : tuple of str
        What stands under each place to sign; empty for none.
    """

    title: str
    subtitle: str
    facts: tuple[tuple[str, str], ...]
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    faint: frozenset[int]
    stops: tuple[str, ...]
    small: tuple[str, ...]
    cells: tuple[tuple[bool, ...], ...] = ()
    signs: tuple[str, ...] = ()


def handover_sheet(words: HandoverWords, paper: Paper = A4) -> Sheet:
    """The page.

    Parameters
    ----------
    words : HandoverWords
        What stands on it.
    paper : Paper, default A4
        What it is printed on.

    Returns
    -------
    Sheet
        The page.

    Raises
    ------
    DoesNotFit
        If the words are longer than the paper.
    """
    room_mm = paper.width_mm - 2.0 * MARGIN_MM
    side_mm = code_side_mm(words.cells) if words.cells else 0.0
    shapes = page_head(words.title, words.subtitle, MARGIN_MM, room_mm)
    if words.cells:
        shapes += code_square(words.cells, MARGIN_MM + room_mm - side_mm, 29.0, side_mm)
    more, y_mm = _facts(words, 32.0, room_mm - (side_mm + 4.0 if side_mm else 0.0))
    shapes += more
    y_mm = max(y_mm, 31.0 + side_mm)
    if words.rows:
        more, y_mm = _marks(words, y_mm + 2.0, room_mm)
        shapes += more
    more, y_mm = heading("Stop signs", MARGIN_MM, y_mm + 3.0, room_mm)
    shapes += more
    for line in words.stops:
        shapes.append(Box(MARGIN_MM, y_mm + 0.1, 2.4, 2.4, 0.25))
        more, y_mm = paragraph(line, MARGIN_MM + 4.5, y_mm, room_mm - 4.5, STOP_EM_MM)
        shapes += more
        y_mm += 1.0
    more, y_mm = paragraph(" ".join(words.small), MARGIN_MM, y_mm + 2.0, room_mm, SMALL_EM_MM)
    shapes += more
    if words.signs:
        more, y_mm = _signs(words.signs, y_mm + 4.0, room_mm)
        shapes += more
    bottom_mm = paper.height_mm - MARGIN_MM
    if y_mm > bottom_mm:
        raise DoesNotFit(y_mm, bottom_mm, "Shorten the names, or print on A4")
    return Sheet(paper, tuple(shapes), words.title)


def _facts(words: HandoverWords, y_mm: float, room_mm: float) -> Block:
    """Labels with what is known."""
    shapes: list[Shape] = []
    for label, known in words.facts:
        shapes.append(Text(MARGIN_MM, y_mm + CAP * FACT_EM_MM, label, FACT_EM_MM, bold=True))
        at_mm = MARGIN_MM + LABEL_MM
        more, y_mm = paragraph(known, at_mm, y_mm, room_mm - LABEL_MM, FACT_EM_MM)
        shapes += more
        y_mm += 1.6
    return shapes, y_mm


def _marks(words: HandoverWords, y_mm: float, room_mm: float) -> Block:
    """Marks, one a row, each column to the right of its head."""
    shapes, y_mm = heading("Marks", MARGIN_MM, y_mm, room_mm)
    for place, row in enumerate((words.heads, *words.rows)):
        is_head, grey = place == 0, FAINT if place - 1 in words.faint else 0.0
        em_mm = SMALL_EM_MM if is_head else ROW_EM_MM
        end_mm = MARGIN_MM
        for column, cell in enumerate(row):
            end_mm += COLUMN_MM[min(column, len(COLUMN_MM) - 1)]
            bold = not is_head and column < 2 and not grey
            base_mm = y_mm + CAP * em_mm
            shapes.append(Text(end_mm, base_mm, cell, em_mm, anchor="end", bold=bold, grey=grey))
        y_mm += ROW_MM
    return shapes, y_mm


def _signs(signs: tuple[str, ...], y_mm: float, room_mm: float) -> Block:
    """Places to sign beside each other, each with what it is for under its line."""
    wide_mm = (room_mm - SIGN_GAP_MM * (len(signs) - 1)) / len(signs)
    base_mm = y_mm + SIGN_MM
    shapes: list[Shape] = []
    for place, under in enumerate(signs):
        x_mm = MARGIN_MM + place * (wide_mm + SIGN_GAP_MM)
        shapes.append(Line(x_mm, base_mm, x_mm + wide_mm, base_mm, 0.25))
        told = shortened(under, SMALL_EM_MM, wide_mm)
        shapes.append(Text(x_mm, base_mm + 3.2, told, SMALL_EM_MM, grey=0.3))
    return shapes, base_mm + 4.5
