"""Read photo: a photograph of a target becomes proposed impacts, for a person to confirm.

Holds:  the errand; which sheets a photograph may show, from the marks that the drawing puts there.
Never:  what a hole looks like, sentences of a face; keeping the photograph.
"""

import numpy as np

from tapewright.drawing.camera_marks import (
    FIRST_OF_TILES,
    MARK_MM,
    NUMBERS,
    RIM_OF_PAPER_MM,
    CameraMark,
    sheet_marks,
)
from tapewright.drawing.paper import PAPERS, Paper
from tapewright.drawing.target_sheet import target_marks
from tapewright.drawing.tiles import CLEAR_MM
from tapewright.ground.errors import BadInput
from tapewright.photograph.marks import FoundMark, PrintedMark, find_marks
from tapewright.photograph.picture import Picture, read_picture
from tapewright.photograph.propose import (
    PhotoReading,
    PrintedSheet,
    Proposal,
    check_readable,
    check_sharp,
    propose,
)
from tapewright.photograph.straighten import LEAST_MARKS, straighten, straighten_by_taps
from tapewright.services.print_target import plan_of_code

__all__ = ["PhotoReading", "Proposal", "propose_impacts"]

WORDS_MM = 1.5  # of the room beside the marks that carries no words
EDGE_MM = 2.0  # of the sheet around the marks that is shown
NARROWEST_M, WIDEST_M = 0.03, 3.0
THINNEST_M, THICKEST_M = 3.0e-3, 12.0e-3


def propose_impacts(
    content: bytes,
    shaft_diameter_m: float | None = None,
    *,
    corners: tuple[tuple[float, float], ...] | None = None,
    size_m: tuple[float, float] | None = None,
    code: str | None = None,
    name: str = "photograph",
) -> PhotoReading:
    """Impacts that a photograph seems to show."""
    if shaft_diameter_m is not None and not THINNEST_M <= shaft_diameter_m <= THICKEST_M:
        wrong = f"{1e3 * shaft_diameter_m:.1f} mm is no arrow"
        raise BadInput("shaft", wrong, "Give 3 to 12 mm")
    if (corners is None) != (size_m is None):
        mend = "Give both, or neither for a target with marks"
        raise BadInput("corners", "corners and size of the rectangle go together", mend)
    if corners is not None and size_m is not None:
        return _by_taps(read_picture(content, name), corners, size_m, shaft_diameter_m)
    sheets = _single_sheets() if code is None else (_tiled(code),)
    picture = read_picture(content, name)
    found = find_marks(picture, range(NUMBERS))
    sheet = _shown(picture, sheets, found, told=code is not None)
    own = {mark.number for mark in sheet.marks}
    found = tuple(mark for mark in found if mark.number in own)
    check_sharp(found, MARK_MM)
    way = straighten(picture, sheet.marks, found)
    return propose(picture, sheet, way, shaft_diameter_m)


def _by_taps(
    picture: Picture,
    corners: tuple[tuple[float, float], ...],
    size_m: tuple[float, float],
    shaft_m: float | None,
) -> PhotoReading:
    """Proposals inside a rectangle whose corners a person tapped."""
    wide_m, high_m = size_m
    if not (NARROWEST_M <= wide_m <= WIDEST_M and NARROWEST_M <= high_m <= WIDEST_M):
        wrong = f"{1e3 * wide_m:g} by {1e3 * high_m:g} mm is not the size of a target"
        raise BadInput("size", wrong, "Give 3 cm to 3 m each way")
    if len(corners) != 4:
        mend = "Give upper left, upper right, lower right, lower left"
        raise BadInput("corners", f"{len(corners)} places are given and four are needed", mend)
    taps = [tuple((one + 0.5) / picture.reduced - 0.5 for one in corner) for corner in corners]
    for index, (x, y) in enumerate(taps, 1):
        if not (-1.0 <= x <= picture.wide and -1.0 <= y <= picture.high):
            wrong = "it lies outside the picture, which is "
            size = f"{picture.wide * picture.reduced} by {picture.high * picture.reduced} pixels"
            raise BadInput(f"corner-{index}", wrong + size, "Tap inside the picture")
    way = straighten_by_taps(picture, np.array(taps), 1e3 * wide_m, 1e3 * high_m)
    window_mm = (-5e2 * wide_m, -5e2 * high_m, 5e2 * wide_m, 5e2 * high_m)
    sheet = PrintedSheet(
        "a rectangle tapped by hand", (), window_mm, window_mm, has_aiming_mark=False
    )
    return propose(picture, sheet, way, shaft_m)


def _single_sheets() -> tuple[PrintedSheet, ...]:
    """Every target that one sheet of paper holds."""
    return tuple(_single(paper, unit) for paper in PAPERS.values() for unit in ("in", "cm"))


def _single(paper: Paper, unit: str) -> PrintedSheet:
    across_mm, down_mm = paper.width_mm / 2.0, paper.height_mm / 2.0
    edge_mm = RIM_OF_PAPER_MM - EDGE_MM
    view_mm = (edge_mm - across_mm, edge_mm - down_mm, across_mm - edge_mm, down_mm - edge_mm)
    half_mm = down_mm - RIM_OF_PAPER_MM - CLEAR_MM + WORDS_MM
    side_mm = across_mm - RIM_OF_PAPER_MM
    unit_words = "inches" if unit == "in" else "centimetres"
    return PrintedSheet(
        f"{paper.name}, {unit_words}",
        _printed(sheet_marks(paper, unit)),
        view_mm,
        (-side_mm, -half_mm, side_mm, half_mm),
    )


def _tiled(code: str) -> PrintedSheet:
    """Target of several sheets, or one, planned again from its code."""
    plan = plan_of_code(code)
    target, paper = plan.target, PAPERS[plan.order.paper]
    if not plan.is_tiled:
        return _single(paper, target.unit)
    marks = target_marks(target, paper, plan.order.correction)
    window_mm = (
        -target.width_mm / 2.0, -target.height_mm / 2.0,
        target.width_mm / 2.0, target.height_mm / 2.0,
    )  # fmt: skip
    words = f"{plan.rows} rows by {plan.columns} columns of {paper.name}"
    return PrintedSheet(words, _printed(marks), window_mm, window_mm)


def _printed(marks: tuple[CameraMark, ...]) -> tuple[PrintedMark, ...]:
    return tuple(PrintedMark(mark.number, mark.x_mm, mark.y_mm, MARK_MM) for mark in marks)


def _shown(
    picture: Picture, sheets: tuple[PrintedSheet, ...], found: tuple[FoundMark, ...], *, told: bool
) -> PrintedSheet:
    """The sheet with most of its marks in the picture."""
    numbers = {mark.number for mark in found}
    most = max(sheets, key=lambda sheet: len(numbers & {mark.number for mark in sheet.marks}))
    seen = len(numbers & {mark.number for mark in most.marks})
    if seen >= LEAST_MARKS:
        return most
    tiles = sum(number >= FIRST_OF_TILES for number in numbers)
    if tiles > seen and not told:
        mend = "Give its code, too: it stands in the notes of the plan sheet"
        raise BadInput("Photograph", "it shows a target of several sheets", mend)
    if told and len(numbers) >= LEAST_MARKS:
        mend = "Give the code of this target, or none if it is one sheet"
        raise BadInput("Photograph", "its marks are those of another target", mend)
    check_sharp(found, MARK_MM)
    check_readable(picture)
    return most
