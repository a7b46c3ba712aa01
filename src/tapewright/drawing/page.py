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

Holds:  Piece and Page records; their layout; how many pieces one sheet takes.
Never:  what a piece is, file formats, points.
"""

from dataclasses import dataclass

from tapewright.drawing.blocks import (
    BODY_EM_MM,
    BOX_WIDE_MM,
    answer_box,
    heading,
    paragraph,
    ruler_across,
    ruler_down,
)
from tapewright.drawing.lettering import balanced, shortened, width_mm
from tapewright.drawing.paper import PROOF_MM, Paper, PrinterCorrection, Sheet
from tapewright.drawing.qr import code_square
from tapewright.drawing.shapes import WHITE, Box, Line, Shape, Text, moved, stretched
from tapewright.ground.errors import DoesNotFit

MARGIN_MM = 10.0  # most printers leave the outer 3 to 6 mm blank; common practice, no source
WORDS_MM = 112.0  # width of the words' side: a ruler of 100 mm and its end numbers
GUTTER_MM = 6.0
BETWEEN_MM = 8.0  # least white between two strips: corner marks of both
TITLE_EM_MM = 6.0
SMALLEST_TITLE_EM_MM = 4.0
STRIP_TOP_MM = 36.0
WORDS_TOP_MM = 26.0
CODE_MM = 26.0  # cells of 0.4 mm and more, which a phone reads from a hand's breadth
CODE_WORDS = "Scan for rig, date and marks as plain text. No signal is needed."


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
    """

    name: str
    sentence: str
    width_mm: float
    length_mm: float
    shapes: tuple[Shape, ...]
    is_first_choice: bool = False


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
    """

    title: str
    subtitle: str
    hints: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    paper: Paper
    correction: PrinterCorrection
    cells: tuple[tuple[bool, ...], ...] = ()

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


def groups(pieces: list[Piece], middle: int, page: Page) -> list[list[Piece]]:
    """Pieces sheet by sheet: all on one, or the middle one first and the rest after it.

    Parameters
    ----------
    pieces : list of Piece
        In order, all of one width.
    middle : int
        Which of them must be on the first sheet. [-]
    page : Page
        Where they will stand.

    Returns
    -------
    list of list of Piece
        One list for each sheet.
    """
    per_sheet = max(int(page.strips_mm // (pieces[0].width_mm + BETWEEN_MM)), 1)
    if len(pieces) <= per_sheet:
        return [pieces]
    rest = pieces[:middle] + pieces[middle + 1 :]
    later = [rest[start : start + per_sheet] for start in range(0, len(rest), per_sheet)]
    return [[pieces[middle]], *later]


def composed(page: Page, pieces: list[Piece], number: tuple[int, int]) -> Sheet:
    """One sheet, divided by the printer's own error.

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
    shapes = _title(page, number)
    pitch_mm = page.strips_mm / len(pieces)
    for index, piece in enumerate(pieces):
        room_mm = page.bottom_mm - STRIP_TOP_MM
        if piece.length_mm > room_mm:
            raise DoesNotFit(
                piece.length_mm, room_mm, "Print fewer distances, or take longer paper"
            )
        middle_mm = MARGIN_MM + (index + 0.5) * pitch_mm
        shapes += _placed(piece, middle_mm, pitch_mm)
    shapes += _words(page, pieces)
    across, down = 1.0 / page.correction.across, 1.0 / page.correction.down
    return Sheet(page.paper, tuple(stretched(one, across, down) for one in shapes), page.title)


def _title(page: Page, number: tuple[int, int]) -> list[Shape]:
    """Line over the page."""
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


def _placed(piece: Piece, middle_mm: float, pitch_mm: float) -> list[Shape]:
    """Piece in its place, with its name above and marks at its corners."""
    left_mm = middle_mm - piece.width_mm / 2.0
    shapes = [moved(shape, left_mm, STRIP_TOP_MM) for shape in piece.shapes]
    if piece.is_first_choice:
        shapes += _flag(piece.name, middle_mm, STRIP_TOP_MM - 6.6)
    else:
        lines = balanced(piece.name, 2.4, pitch_mm - 2.0)[:2]
        base_mm = STRIP_TOP_MM - 3.6 - 3.0 * (len(lines) - 1)
        for index, line in enumerate(lines):
            shapes.append(Text(middle_mm, base_mm + 3.0 * index, line, 2.4, anchor="middle"))
    return shapes + _corners(left_mm, STRIP_TOP_MM, piece.width_mm, piece.length_mm)


def _flag(words: str, middle_mm: float, top_mm: float) -> list[Shape]:
    """White words on black."""
    wide_mm = width_mm(words, 2.0, bold=True) + 2.4
    return [
        Box(middle_mm - wide_mm / 2.0, top_mm, wide_mm, 3.2, 0.0),
        Text(middle_mm, top_mm + 2.33, words, 2.0, True, "middle", grey=WHITE),  # noqa: FBT003 - bold
    ]


def _corners(left_mm: float, top_mm: float, wide_mm: float, long_mm: float) -> list[Shape]:
    """Short strokes that prolong the cut lines beyond each corner."""
    shapes: list[Shape] = []
    for x_mm, out in ((left_mm, -1), (left_mm + wide_mm, 1)):
        for y_mm, off in ((top_mm, -1), (top_mm + long_mm, 1)):
            near, far = 0.8, 2.4
            across = (x_mm + out * near, y_mm, x_mm + out * far, y_mm)
            along = (x_mm, y_mm + off * near, x_mm, y_mm + off * far)
            shapes += [Line(*across, 0.15, layer="cut"), Line(*along, 0.15, layer="cut")]
    return shapes


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
        more, y_mm = _listed("Before you shoot", page.cautions, x_mm, y_mm, WORDS_MM)
        shapes += more
    if y_mm > page.bottom_mm:
        raise DoesNotFit(y_mm, page.bottom_mm, "Shorten the notes or the cautions")
    return shapes


def _proof(page: Page, x_mm: float, y_mm: float) -> tuple[list[Shape], float]:
    """Both proof rulers with their boxes, and the notes beside the upright one."""
    shapes, y_mm = heading("Proof rulers", x_mm, y_mm, WORDS_MM)
    more, y_mm = paragraph(
        f"Measure both with a steel rule. If one is not {PROOF_MM} mm, enter the two lengths "
        "and print again: the next sheet comes out true.",
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
        more, box_mm = _listed("Notes", page.notes, boxes_mm, box_mm + 6.0, side_mm)
        shapes += more
    if page.cells:
        more, box_mm = _code(page.cells, boxes_mm, max(box_mm, top_mm + PROOF_MM - CODE_MM))
        shapes += more
    return shapes, max(box_mm, top_mm + PROOF_MM + 5.0)


def _code(
    cells: tuple[tuple[bool, ...], ...], x_mm: float, y_mm: float
) -> tuple[list[Shape], float]:
    """Code to scan at the right edge, and beside it what it is."""
    left_mm = x_mm + WORDS_MM - 15.0 - CODE_MM
    words_mm = left_mm - x_mm - GUTTER_MM
    shapes, _ = paragraph(CODE_WORDS, x_mm, y_mm + 3.0, words_mm, 2.4)
    return [*shapes, *code_square(cells, left_mm, y_mm, CODE_MM)], y_mm + CODE_MM


def _listed(
    head: str, lines: tuple[str, ...], x_mm: float, y_mm: float, room_mm: float
) -> tuple[list[Shape], float]:
    """Heading and its lines in small print."""
    shapes, y_mm = heading(head, x_mm, y_mm, room_mm)
    for line in lines:
        more, y_mm = paragraph(line, x_mm, y_mm, room_mm, 2.4)
        shapes += more
        y_mm += 0.7
    return shapes, y_mm + 2.0
