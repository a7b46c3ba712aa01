"""Tiles: how a drawing larger than the paper is divided among sheets.

           seam                Each sheet shows its own face and, right and below, a tab of its
     ┌──────┊──┐ ┌ ┌──────┐    neighbours' faces. The neighbour is cut along its left and upper
     │ face ┊▒▒│   │ face │    edge and laid on the tab up to the seam, so that places simply
     ├┈┈┈┈┈┈┼▒▒│   │      │    continue from sheet to sheet.
     │▒▒▒▒▒▒▒▒▒│   │      │

Holds:  Tile, Tiling and Seam records; the least number of sheets; seams kept off the aim; corners
        left free of ink.
Never:  what is drawn on a sheet, paper.
"""

from dataclasses import dataclass
from math import ceil

from tapewright.drawing.clipping import Area
from tapewright.ground.errors import BadInput

TAB_MM = 10.0  # enough for a glue stick; common practice, no source
CLEAR_MM = 22.0  # square in each corner of a face where a mark for a camera can stand later
OFF_AIMING_MARK_MM = 2.0
MOST_SHEETS = 120


@dataclass(frozen=True, slots=True)
class Tile:
    """One sheet's part of the whole, in mm from the aim.

    Parameters
    ----------
    row, column : int
        From the upper left, counted from 1. [-]
    face : Area
        What is seen of it when all are glued.
    """

    row: int
    column: int
    face: Area


@dataclass(frozen=True, slots=True)
class Tiling:
    """All sheets of one drawing.

    Parameters
    ----------
    rows, columns : int
        How many. [-]
    tiles : tuple of Tile
        Row by row from the upper left.
    """

    rows: int
    columns: int
    tiles: tuple[Tile, ...]


@dataclass(frozen=True, slots=True)
class Seam:
    """Where two neighbouring faces meet.

    Parameters
    ----------
    number : int
        Counted from 1. [-]
    x1_mm, y1_mm, x2_mm, y2_mm : float
        Its two ends, from the aim. [mm]
    """

    number: int
    x1_mm: float
    y1_mm: float
    x2_mm: float
    y2_mm: float

    @property
    def is_upright(self) -> bool:
        """Whether it lies between two sheets side by side."""
        return self.x1_mm == self.x2_mm


def tiling(whole: Area, face_mm: tuple[float, float], aiming_mark_mm: float) -> Tiling:
    """Fewest sheets that cover a drawing, with no seam through the mark around the aim.

    Parameters
    ----------
    whole : Area
        What must be covered, from the aim.
    face_mm : float, float
        Width and height of one face. [mm]
    aiming_mark_mm : float
        Reach of the aiming mark around the aim, at most half a face less 2 mm. [mm]

    Returns
    -------
    Tiling
        The sheets.

    Raises
    ------
    BadInput
        If there would be too many.
    """
    lefts_mm = _starts((whole.left_mm, whole.right_mm), face_mm[0], aiming_mark_mm)
    tops_mm = _starts((whole.top_mm, whole.bottom_mm), face_mm[1], aiming_mark_mm)
    sheets = len(lefts_mm) * len(tops_mm)
    if sheets > MOST_SHEETS:
        raise BadInput(
            "size",
            f"it would take {sheets} sheets",
            f"Choose a smaller one; {MOST_SHEETS} sheets are the most",
        )
    tiles = tuple(
        Tile(row, column, Area(left_mm, top_mm, left_mm + face_mm[0], top_mm + face_mm[1]))
        for row, top_mm in enumerate(tops_mm, 1)
        for column, left_mm in enumerate(lefts_mm, 1)
    )
    return Tiling(len(tops_mm), len(lefts_mm), tiles)


def seams(tiles: Tiling) -> tuple[Seam, ...]:
    """Every place where two faces meet.

    Parameters
    ----------
    tiles : Tiling
        The sheets.

    Returns
    -------
    tuple of Seam
        Tile by tile: the one at its right, then the one under it.
    """
    ends = []
    for tile in tiles.tiles:
        face = tile.face
        if tile.column < tiles.columns:
            ends.append((face.right_mm, face.top_mm, face.right_mm, face.bottom_mm))
        if tile.row < tiles.rows:
            ends.append((face.left_mm, face.bottom_mm, face.right_mm, face.bottom_mm))
    return tuple(Seam(number, *places) for number, places in enumerate(ends, 1))


def clear_corners(face: Area) -> tuple[Area, ...]:
    """Corners of a face that stay free of ink.

    Parameters
    ----------
    face : Area
        The face.

    Returns
    -------
    four Area
        Upper left, upper right, lower left, lower right; 22 mm square.
    """
    return tuple(
        Area(left_mm, top_mm, left_mm + CLEAR_MM, top_mm + CLEAR_MM)
        for top_mm in (face.top_mm, face.bottom_mm - CLEAR_MM)
        for left_mm in (face.left_mm, face.right_mm - CLEAR_MM)
    )


def _starts(ends_mm: tuple[float, float], face_mm: float, aiming_mark_mm: float) -> list[float]:
    """Where each face begins along one axis; the last one may use its tab, too."""
    long_mm = ends_mm[1] - ends_mm[0]
    # No seam through the mark; and the clear corners that meet at a seam, 22 mm square, keep
    # off a diamond if the seams across and down are each this far away.
    reach_mm = aiming_mark_mm + OFF_AIMING_MARK_MM
    wanted_mm = max(reach_mm, CLEAR_MM + reach_mm / 2.0)
    count = max(ceil((long_mm - TAB_MM) / face_mm), 1)
    while True:
        spare_mm = count * face_mm + TAB_MM - long_mm
        for first_mm in _firsts(ends_mm[0], spare_mm, face_mm):
            seams_mm = [first_mm + face_mm * index for index in range(1, count)]
            if all(abs(seam_mm) >= wanted_mm for seam_mm in seams_mm):
                return [first_mm, *seams_mm]
        count += 1


def _firsts(start_mm: float, spare_mm: float, face_mm: float) -> list[float]:
    """Places for the first face to begin, the evenest first, then those with the aim mid-face."""
    farthest_mm = start_mm - spare_mm
    even_mm = start_mm - spare_mm / 2.0
    steps = ceil(farthest_mm / face_mm - 0.5), ceil(start_mm / face_mm - 0.5)
    centred = [(step + 0.5) * face_mm for step in range(steps[0] - 1, steps[1] + 1)]
    inside = [first for first in centred if farthest_mm <= first <= start_mm]
    inside.sort(key=lambda first: abs(first - even_mm))
    return [even_mm, *inside, start_mm, farthest_mm]
