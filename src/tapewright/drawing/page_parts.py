"""Page parts: what every layout of a page is made of.

Holds:  Piece and Page records; title, a piece in its place, small print; the sheet at last.
Never:  which pieces stand on which sheet (page.py, filled_page.py), what a piece is.
"""

from dataclasses import dataclass
from typing import Literal

from tapewright.drawing.blocks import BODY_EM_MM, heading, paragraph
from tapewright.drawing.edges import corner_marks, edge_words
from tapewright.drawing.lettering import balanced, shortened, width_mm
from tapewright.drawing.paper import Paper, PrinterCorrection, Sheet
from tapewright.drawing.shapes import WHITE, Box, Line, Shape, Text, moved, stretched
from tapewright.drawing.sticking import Sticking

MARGIN_MM = 10.0  # most printers leave the outer 3 to 6 mm blank; common practice, no source
WORDS_MM = 112.0  # width of the words' side: a ruler of 100 mm and its end numbers
GUTTER_MM = 6.0
BETWEEN_MM = 8.0  # least white between two strips: what stands beside the edges of both
TITLE_EM_MM = 6.0
SMALLEST_TITLE_EM_MM = 4.0
STRIP_TOP_MM = 36.0


@dataclass(frozen=True, slots=True)
class Piece:
    """Something to cut out, with its words.

    Parameters
    ----------
    name : str
        Stands above it.
    sentence : str
        What to do with it.
    width_mm, length_mm : float
        From cut to cut. [mm]
    shapes : tuple of shapes
        Drawn with the top left corner at the origin.
    is_first_choice : bool, default False
        Whether to flag it as the one to start with.
    pointer : str or None, default None
        Side of the pointer, which is written beside it; None: nothing is.
    meets_mm : float or None, default None
        Where the pointer is when it is stuck on, down from its top; None: not said. [mm]
    """

    name: str
    sentence: str
    width_mm: float
    length_mm: float
    shapes: tuple[Shape, ...]
    is_first_choice: bool = False
    pointer: Literal["right", "left"] | None = None
    meets_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Page:
    """What all sheets of one print share.

    Parameters
    ----------
    title, subtitle : str
        Over the page, left and right.
    hints : tuple of str
        How to read the strips.
    notes, cautions : tuple of str
        Small print.
    paper : Paper
        What it is printed on.
    correction : PrinterCorrection
        The printer's own error.
    cells : tuple of rows of bool, default none
        Black and white of a code to scan, without its border.
    sticking : Sticking or None, default None
        How a strip is stuck on; None: not told.
    """

    title: str
    subtitle: str
    hints: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    paper: Paper
    correction: PrinterCorrection
    cells: tuple[tuple[bool, ...], ...] = ()
    sticking: Sticking | None = None

    @property
    def wide_mm(self) -> float:
        """Width of paper in true mm as this printer prints [mm]."""
        return self.paper.width_mm * self.correction.across

    @property
    def high_mm(self) -> float:
        """Height of paper in true mm as this printer prints [mm]."""
        return self.paper.height_mm * self.correction.down

    @property
    def strips_mm(self) -> float:
        """Width of the strips' side [mm]."""
        return self.wide_mm - 2.0 * MARGIN_MM - WORDS_MM - GUTTER_MM

    @property
    def bottom_mm(self) -> float:
        """Lowest place that may be printed [mm]."""
        return self.high_mm - MARGIN_MM


def page_title(page: Page, number: tuple[int, int]) -> list[Shape]:
    """Line over the page.

    Parameters
    ----------
    page : Page
        What all sheets of this print share.
    number : tuple of int, int
        Which sheet, of how many.

    Returns
    -------
    list of shapes
        The drawing.
    """
    right_mm = page.wide_mm - MARGIN_MM
    count = f"  ·  sheet {number[0]} of {number[1]}" if number[1] > 1 else ""
    small = f"{page.subtitle}  ·  {page.paper.name}, print at 100 %{count}"
    room_mm = right_mm - MARGIN_MM - width_mm(small, BODY_EM_MM) - GUTTER_MM
    fitting_mm = room_mm / max(width_mm(page.title, 1.0, bold=True), 1.0)
    em_mm = max(min(TITLE_EM_MM, fitting_mm), SMALLEST_TITLE_EM_MM)
    return [
        Text(MARGIN_MM, 16.5, shortened(page.title, em_mm, room_mm, bold=True), em_mm, bold=True),
        Text(right_mm, 16.5, small, BODY_EM_MM, anchor="end", grey=0.3),
        Line(MARGIN_MM, 20.0, right_mm, 20.0, 0.25),
    ]


def placed(
    piece: Piece, middle_mm: float, pitch_mm: float, top_mm: float = STRIP_TOP_MM
) -> list[Shape]:
    """Piece in its place, with its name above, marks at its corners, and which side is which.

    Parameters
    ----------
    piece : Piece
        What is cut out.
    middle_mm, top_mm : float
        Its middle across, and its upper end. [mm]
    pitch_mm : float
        Room for it and its name. [mm]

    Returns
    -------
    list of shapes
        The drawing.
    """
    left_mm = middle_mm - piece.width_mm / 2.0
    shapes = [moved(shape, left_mm, top_mm) for shape in piece.shapes]
    if piece.is_first_choice:
        shapes += _flag(piece.name, middle_mm, top_mm - 6.6)
    else:
        lines = balanced(piece.name, 2.4, pitch_mm - 2.0)[:2]
        base_mm = top_mm - 3.6 - 3.0 * (len(lines) - 1)
        for index, line in enumerate(lines):
            shapes.append(Text(middle_mm, base_mm + 3.0 * index, line, 2.4, anchor="middle"))
    shapes += corner_marks(left_mm, top_mm, piece.width_mm, piece.length_mm)
    if piece.pointer:
        size = piece.width_mm, piece.length_mm
        shapes += edge_words(left_mm, top_mm, *size, piece.pointer, piece.meets_mm)
    return shapes


def _flag(words: str, middle_mm: float, top_mm: float) -> list[Shape]:
    """White words on black."""
    wide_mm = width_mm(words, 2.0, bold=True) + 2.4
    return [
        Box(middle_mm - wide_mm / 2.0, top_mm, wide_mm, 3.2, 0.0),
        Text(middle_mm, top_mm + 2.33, words, 2.0, True, "middle", grey=WHITE),  # noqa: FBT003 - bold
    ]


def listed(
    head: str, lines: tuple[str, ...], x_mm: float, y_mm: float, room_mm: float
) -> tuple[list[Shape], float]:
    """Heading and its lines in small print.

    Parameters
    ----------
    head : str
        The heading.
    lines : tuple of str
        Each a paragraph.
    x_mm, y_mm : float
        Top left corner. [mm]
    room_mm : float
        Widest line. [mm]

    Returns
    -------
    list of shapes, float
        The drawing, and where the next block may begin. [mm]
    """
    shapes, y_mm = heading(head, x_mm, y_mm, room_mm)
    for line in lines:
        more, y_mm = paragraph(line, x_mm, y_mm, room_mm, 2.4)
        shapes += more
        y_mm += 0.7
    return shapes, y_mm + 2.0


def on_paper(page: Page, shapes: list[Shape]) -> Sheet:
    """Sheet of shapes that were laid out in true mm, divided by the printer's own error.

    Parameters
    ----------
    page : Page
        What all sheets of this print share.
    shapes : list of shapes
        All that stands on it.

    Returns
    -------
    Sheet
        The page.
    """
    across, down = 1.0 / page.correction.across, 1.0 / page.correction.down
    return Sheet(page.paper, tuple(stretched(one, across, down) for one in shapes), page.title)
