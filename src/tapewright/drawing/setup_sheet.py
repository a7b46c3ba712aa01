"""Setup sheet: one page of what makes a bow itself, with room to measure it again by hand.

    ┌─────────────────────────────┐
    │ title                       │   One row for each thing: what was recorded, how well it is
    │ thing   recorded  ±   [  ]  │   set again, from where on it counts as moved, and boxes to
    │ thing   recorded  ±   [  ]  │   write in what it is now; then what to look at first.
    │ ☐ look first                │
    └─────────────────────────────┘

Holds:  the SetupWords record; the page.
Never:  what the words say, file formats.
"""

from dataclasses import dataclass

from tapewright.drawing.blocks import heading, page_head, paragraph
from tapewright.drawing.lettering import CAP, shortened
from tapewright.drawing.paper import A4, Paper, Sheet
from tapewright.drawing.shapes import Box, Shape, Text
from tapewright.ground.errors import DoesNotFit

MARGIN_MM = 12.0
HEAD_EM_MM, ROW_EM_MM, NOTE_EM_MM = 2.5, 3.5, 3.1
ROW_MM = 9.0
BOXES, BOX_MM, GAP_MM = 3, 19.0, 2.0  # to be written in: after a journey, after the next
VALUES_MM = (26.0, 22.0, 20.0)  # widths of the columns between name and boxes
BESIDE_MM = 6.0  # between the last of them and the boxes: "moved from" is no head of "now"


@dataclass(frozen=True, slots=True)
class SetupWords:
    """What stands on the page.

    Parameters
    ----------
    title, subtitle : str
        Over the page.
    heads : tuple of str
        Of the columns: thing, recorded, ±, moved from.
    rows : tuple of tuple of str
        As many cells each.
    steps : tuple of str
        What is to be looked at and done, a line with a box to tick each.
    small : tuple of str
        Small print.
    """

    title: str
    subtitle: str
    heads: tuple[str, str, str, str]
    rows: tuple[tuple[str, str, str, str], ...]
    steps: tuple[str, ...]
    small: tuple[str, ...] = ()


def setup_sheet(words: SetupWords, paper: Paper = A4) -> Sheet:
    """The page.

    Parameters
    ----------
    words : SetupWords
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
        If there is more than the paper holds.
    """
    room_mm = paper.width_mm - 2.0 * MARGIN_MM
    shapes = page_head(words.title, words.subtitle, MARGIN_MM, room_mm)
    y_mm = 31.0
    for place, row in enumerate((words.heads, *words.rows)):
        shapes += _row(row, y_mm, room_mm, is_head=place == 0)
        y_mm += ROW_MM if place else 5.0
    more, y_mm = heading("Then, in this order", MARGIN_MM, y_mm + 3.0, room_mm)
    shapes += more
    for line in words.steps:
        shapes.append(Box(MARGIN_MM, y_mm + 0.1, 2.6, 2.6, 0.25))
        more, y_mm = paragraph(line, MARGIN_MM + 4.8, y_mm, room_mm - 4.8, NOTE_EM_MM)
        shapes += more
        y_mm += 1.4
    more, y_mm = paragraph(" ".join(words.small), MARGIN_MM, y_mm + 2.0, room_mm, HEAD_EM_MM)
    shapes += more
    bottom_mm = paper.height_mm - MARGIN_MM
    if y_mm > bottom_mm:
        raise DoesNotFit(y_mm, bottom_mm, "Shorten the note, or print on A4")
    return Sheet(paper, tuple(shapes), words.title)


def _row(
    row: tuple[str, str, str, str], y_mm: float, room_mm: float, *, is_head: bool
) -> list[Shape]:
    """One thing: its name to the left, its numbers to the right, and boxes behind them."""
    em_mm = HEAD_EM_MM if is_head else ROW_EM_MM
    base_mm = y_mm + (CAP * em_mm if is_head else 0.5 * (ROW_MM + CAP * em_mm) - 1.0)
    boxes_mm = MARGIN_MM + room_mm - BOXES * (BOX_MM + GAP_MM) + GAP_MM
    wide_mm = boxes_mm - MARGIN_MM - sum(VALUES_MM) - BESIDE_MM
    name = shortened(row[0], em_mm, wide_mm)
    shapes: list[Shape] = [Text(MARGIN_MM, base_mm, name, em_mm)]
    end_mm = MARGIN_MM + wide_mm
    for column, (cell, column_mm) in enumerate(zip(row[1:], VALUES_MM, strict=True)):
        end_mm += column_mm
        bold = not is_head and column == 0
        shapes.append(Text(end_mm, base_mm, cell, em_mm, anchor="end", bold=bold))
    for box in range(BOXES):
        x_mm = boxes_mm + box * (BOX_MM + GAP_MM)
        if is_head:
            shapes.append(Text(x_mm, base_mm, ("now", "again", "again")[box], em_mm))
        else:
            shapes.append(Box(x_mm, y_mm, BOX_MM, ROW_MM - 2.0, 0.2))
    return shapes
