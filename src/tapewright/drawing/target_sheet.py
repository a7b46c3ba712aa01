"""Target sheet: a measured target on one sheet, or on as many as it takes.

    ┌─┬─ title, ruler ───┬─┐
    │▦│                  │▦│   The four corners of every sheet that is aimed at, 22 mm square,
    ├─┘  ┌────────────┐  └─┤   hold nothing but marks by which a camera finds the sheet.
    │    │    grid    │    │
    ├─┐  └────────────┘  ┌─┤
    │▦│                  │▦│
    └─┴─ boxes, notes ───┴─┘

Holds:  target_sheets; the largest grid of one sheet and the largest aiming mark.
Never:  file formats, sentences about a rig, what is aimed at it.
"""

from tapewright.drawing.aiming_mark import mark_shapes, plumb_shapes
from tapewright.drawing.blocks import paragraph, ruler_across, ruler_down
from tapewright.drawing.camera_marks import (
    MARK_MM,
    RIM_OF_PAPER_MM,
    CameraMark,
    camera_mark_shapes,
    sheet_marks,
    tile_marks,
)
from tapewright.drawing.clipping import Area, inside
from tapewright.drawing.lettering import shortened, width_mm
from tapewright.drawing.paper import NO_CORRECTION, PROOF_MM, Paper, PrinterCorrection, Sheet
from tapewright.drawing.plan_sheet import plan_shapes
from tapewright.drawing.shapes import Box, Line, Shape, Text, moved
from tapewright.drawing.target_grid import (
    FINE_MM,
    RIM_MM,
    Target,
    circle_shapes,
    grid_shapes,
    number_shapes,
)
from tapewright.drawing.target_page import TargetPage, TargetWords, field_row
from tapewright.drawing.tile_sheet import face_room_mm, seam_shapes, tile_shapes
from tapewright.drawing.tiles import CLEAR_MM, OFF_AIMING_MARK_MM, Tiling, tiling

__all__ = [
    "Target",
    "TargetWords",
    "grid_room_mm",
    "largest_aiming_mark_mm",
    "target_marks",
    "target_sheets",
    "target_tiling",
]

MARGIN_MM = 10.0
SIDE_MM = 25.0  # from the paper's edge to the frame: margin, ruler, numbers
NUMBERS_MM = 4.5
TITLE_EM_MM, LEAST_TITLE_EM_MM = 5.6, 3.6
TINY_EM_MM = 2.1
CAUTIONS_BASE_MM = 33.9
OFF_EDGE_MM = 1.0  # of the page, for a mark
AIMING_MARK_SHARE = 0.75  # of the grid's half that the mark may fill


def grid_room_mm(
    unit: str, paper: Paper, correction: PrinterCorrection = NO_CORRECTION
) -> tuple[float, float]:
    """Largest grid of whole squares on one sheet.

    Parameters
    ----------
    unit : str
        ``"in"`` or ``"cm"``.
    paper : Paper
        What it is printed on.
    correction : PrinterCorrection
        The printer's own error.

    Returns
    -------
    float, float
        Width and height of its frame. [mm]
    """
    rooms_mm = _frame_room_mm(TargetPage(TargetWords("", ""), paper, correction))
    fine_mm = FINE_MM[unit]
    across, down = (int(room_mm / (2.0 * fine_mm) + 1e-6) for room_mm in rooms_mm)
    return 2.0 * fine_mm * across, 2.0 * fine_mm * down


def largest_aiming_mark_mm(
    wide_mm: float,
    high_mm: float,
    paper: Paper,
    correction: PrinterCorrection = NO_CORRECTION,
) -> float:
    """Largest aiming mark that leaves enough of the grid, and no seam through it.

    Parameters
    ----------
    wide_mm, high_mm : float
        Of the frame. [mm]
    paper : Paper
        What it is printed on.
    correction : PrinterCorrection
        The printer's own error.

    Returns
    -------
    float
        Half its diagonal. [mm]
    """
    faces_mm = face_room_mm(TargetPage(TargetWords("", ""), paper, correction))
    on_grid_mm = AIMING_MARK_SHARE * min(wide_mm, high_mm) / 2.0
    return min(on_grid_mm, min(faces_mm) / 2.0 - OFF_AIMING_MARK_MM)


def target_tiling(
    target: Target, paper: Paper, correction: PrinterCorrection = NO_CORRECTION
) -> Tiling | None:
    """Sheets that a target is divided among; None if one sheet holds it all.

    Parameters
    ----------
    target : Target
        The target.
    paper : Paper
        What it is printed on.
    correction : PrinterCorrection
        The printer's own error.

    Returns
    -------
    Tiling or None
        Its tiles.

    Raises
    ------
    BadInput
        If there would be too many.
    """
    page = TargetPage(TargetWords("", ""), paper, correction)
    room_mm = _frame_room_mm(page)
    if target.width_mm <= room_mm[0] + 1e-6 and target.height_mm <= room_mm[1] + 1e-6:
        return None
    across_mm, down_mm = target.width_mm / 2.0 + RIM_MM, target.height_mm / 2.0 + RIM_MM
    whole = Area(-across_mm, -down_mm, across_mm, down_mm)
    return tiling(whole, face_room_mm(page), target.aiming_mark_mm)


def target_marks(
    target: Target, paper: Paper, correction: PrinterCorrection = NO_CORRECTION
) -> tuple[CameraMark, ...]:
    """Every mark by which a camera finds a target.

    Parameters
    ----------
    target : Target
        The target.
    paper : Paper
        What it is printed on.
    correction : PrinterCorrection
        The printer's own error.

    Returns
    -------
    tuple of CameraMark
        From the aim, as they lie when all sheets are glued.
    """
    tiles = target_tiling(target, paper, correction)
    if tiles is None:
        return sheet_marks(paper, target.unit)
    return tuple(mark for index, tile in enumerate(tiles.tiles) for mark in tile_marks(index, tile))


def target_sheets(
    target: Target,
    words: TargetWords,
    *,
    paper: Paper,
    correction: PrinterCorrection = NO_CORRECTION,
) -> tuple[Sheet, ...]:
    """Sheets of a target.

    Parameters
    ----------
    target : Target
        The target.
    words : TargetWords
        What it says.
    paper : Paper
        What it is printed on.
    correction : PrinterCorrection
        The printer's own error.

    Returns
    -------
    tuple of Sheet
        One; or a plan first and then the tiles, row by row.

    Raises
    ------
    BadInput
        If it takes too many sheets.
    DoesNotFit
        If the words are longer than the paper.
    """
    page = TargetPage(words, paper, correction)
    tiles = target_tiling(target, paper, correction)
    if tiles is None:
        return (page.finished(_one_sheet(target, page)),)
    drawing = (*_drawing(target, crossings=True), *seam_shapes(tiles))
    sheets = [plan_shapes(target, tiles, page)]
    sheets += [
        tile_shapes(tile, tiles, (*drawing, *_marks(tile_marks(index, tile))), page)
        for index, tile in enumerate(tiles.tiles)
    ]
    return tuple(page.finished(shapes) for shapes in sheets)


def _frame_room_mm(page: TargetPage) -> tuple[float, float]:
    """Room for the frame on one sheet; marks keep their places though a printer errs [mm]."""
    ends_mm = RIM_OF_PAPER_MM + CLEAR_MM + NUMBERS_MM
    wide_mm = min(page.wide_mm, page.paper.width_mm)
    return wide_mm - 2.0 * SIDE_MM, min(page.high_mm, page.paper.height_mm) - 2.0 * ends_mm


def _drawing(target: Target, *, crossings: bool) -> tuple[Line | Text, ...]:
    """The whole target from the aim, what lies lowest first."""
    frame = Area(
        -target.width_mm / 2.0,
        -target.height_mm / 2.0,
        target.width_mm / 2.0,
        target.height_mm / 2.0,
    )
    return (
        *grid_shapes(target),
        *(part for chord in circle_shapes(target) for part in inside(chord, frame)),
        *plumb_shapes(target),
        *mark_shapes(target),
        *number_shapes(target, crossings=crossings),
    )


def _one_sheet(target: Target, page: TargetPage) -> list[Shape]:
    """Target, rulers, boxes and notes on one sheet."""
    middle_mm = page.wide_mm / 2.0, page.high_mm / 2.0
    shapes: list[Shape] = [moved(one, *middle_mm) for one in _drawing(target, crossings=False)]
    shapes += [moved(one, *middle_mm) for one in _sheet_marks(target, page)]
    shapes += ruler_down(MARGIN_MM + 4.4, middle_mm[1] - PROOF_MM / 2.0)
    return [*shapes, *_top(page), *_cautions(page), *_bottom(page)]


def _marks(marks: tuple[CameraMark, ...]) -> tuple[Box, ...]:
    return tuple(shape for mark in marks for shape in camera_mark_shapes(mark))


def _sheet_marks(target: Target, page: TargetPage) -> tuple[Box, ...]:
    """Marks of one sheet; none if a printer shrinks so much that they would leave the page."""
    marks = sheet_marks(page.paper, target.unit)
    reach_mm = MARK_MM / 2.0 + OFF_EDGE_MM
    fits = page.high_mm / 2.0 >= marks[-1].y_mm + reach_mm
    return _marks(marks) if fits and page.wide_mm / 2.0 >= marks[-1].x_mm + reach_mm else ()


def _between_marks(page: TargetPage) -> tuple[float, float]:
    """Where words between two marks begin, and the room for them [mm]."""
    half_mm = page.paper.width_mm / 2.0 - RIM_OF_PAPER_MM - CLEAR_MM - 2.0
    return page.wide_mm / 2.0 - half_mm, 2.0 * half_mm


def _top(page: TargetPage) -> list[Shape]:
    """Title and the ruler across, between the two upper corners."""
    x_mm, room_mm = _between_marks(page)
    words = page.words
    fitting_mm = room_mm / max(width_mm(words.title, 1.0, bold=True), 1.0)
    em_mm = max(min(TITLE_EM_MM, fitting_mm), LEAST_TITLE_EM_MM)
    title = shortened(words.title, em_mm, room_mm, bold=True)
    shapes: list[Shape] = [
        Text(x_mm, 14.8, title, em_mm, bold=True),
        Text(x_mm, 19.2, shortened(words.subtitle, 2.4, room_mm), 2.4, grey=0.3),
    ]
    shapes += ruler_across(x_mm + 1.0, 27.8)
    beside_mm = x_mm + PROOF_MM + 5.0
    more, _ = paragraph(words.proof, beside_mm, 22.6, x_mm + room_mm - beside_mm, TINY_EM_MM)
    return shapes + more


def _cautions(page: TargetPage) -> list[Shape]:
    """What must be read before shooting, in one line over the target."""
    told, room_mm = " ".join(page.words.cautions), page.wide_mm - 2.0 * MARGIN_MM
    if not told:
        return []
    em_mm = min(TINY_EM_MM, room_mm / width_mm(told, 1.0))
    return [Text(page.wide_mm / 2.0, CAUTIONS_BASE_MM, told, em_mm, anchor="middle")]


def _bottom(page: TargetPage) -> list[Shape]:
    """Boxes to write into, how to hang it and the small print, between the lower corners."""
    x_mm, room_mm = _between_marks(page)
    y_mm = page.high_mm - MARGIN_MM - CLEAR_MM + 0.5
    shapes, y_mm = field_row(page.words.fields, x_mm, y_mm, room_mm)
    half_mm = 0.56 * room_mm
    more, _ = paragraph(page.words.hanging, x_mm, y_mm + 2.2, half_mm - 3.0, TINY_EM_MM)
    shapes += more
    notes, _ = paragraph(
        "  ·  ".join(page.words.notes), x_mm + half_mm, y_mm + 2.2, room_mm - half_mm, TINY_EM_MM
    )
    return shapes + notes
