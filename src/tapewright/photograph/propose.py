"""Propose: a picture of a known sheet becomes places where arrows are or have been.

Holds:  PrintedSheet, Proposal and PhotoReading records; from picture to proposals; refusals.
Never:  which sheets there are (services/read_photo.py), files, faces.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tapewright.ground.errors import BadInput
from tapewright.photograph.drawn_on import annotated
from tapewright.photograph.lying_on import lying_on
from tapewright.photograph.marks import FoundMark, PrintedMark
from tapewright.photograph.picture import Picture, jpeg_bytes
from tapewright.photograph.spots import Spot, find_spots
from tapewright.photograph.straighten import Straightening, camera_foot_mm, flat_view
from tapewright.photograph.vision import Field, Floats, vision

USUAL_SHAFT_M = 6.5e-3  # between thin and thick shafts; common practice, no source
PX_MM = 0.2
MOST_FLAT_PIXELS = 4_000_000
MOST_SOFT_MM = 2.0  # edges as soft as this let neighbouring cells of a mark run together
MOST_ERROR_MM = 3.0
MOST_TAPPED_MM = 15.0  # fingers are worse than marks, and rectangles larger than sheets
BLURRED_PX = 10.0  # width of the steepest edges in a picture that nothing can be read in
MM_PER_M = 1000.0
# How far the middle of a hole, or of where a shaft goes in, is off in a picture that is rightly
# straightened, with 95 % chance less: of made pictures, docs/reliability.md
HOLE_MM, ENTRY_MM = 0.8, 2.5
TAKE_SHARP = "Hold the telephone still, wait until it is sharp, and take it again"

WindowMm = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class PrintedSheet:
    """What is known of a sheet in a picture.

    Parameters
    ----------
    name : str
        What people call it.
    marks : tuple of PrintedMark
        Its marks.
    view_mm : four float
        What is shown of it: left, top, right, bottom; right and down from the aim. [mm]
    search_mm : four float
        Where arrows are looked for. [mm]
    has_aiming_mark : bool
        Whether our own aiming mark stands around the aim.
    """

    name: str
    marks: tuple[PrintedMark, ...]
    view_mm: WindowMm
    search_mm: WindowMm
    has_aiming_mark: bool = True


@dataclass(frozen=True, slots=True)
class Proposal:
    """An impact that the picture seems to show.

    Parameters
    ----------
    right_m, up_m : float
        From the aim. [m]
    kind : str
        ``"hole"`` or ``"shaft"``.
    confidence : float
        From 0 to 1; a rank, no probability. [-]
    """

    right_m: float
    up_m: float
    kind: str
    confidence: float


@dataclass(frozen=True, slots=True, eq=False)
class PhotoReading:
    """What a photograph tells, for a person to confirm.

    Parameters
    ----------
    sheet : str
        Which sheet it shows.
    proposals : tuple of Proposal
        The surest first.
    error_mm : float
        How far any place may be off by straightening, with 95 % chance less, if the sheet hung
        flat or curled evenly. [mm]
    marks : int
        Marks that it was straightened by; 0: corners were tapped. [-]
    straight_jpeg, annotated_jpeg : bytes
        The sheet from straight before, bare and with the proposals drawn on it; no metadata.
    px_mm : float
        Length of paper on one pixel of both. [mm]
    aim_x, aim_y : float
        Where the aim is in both, in pixels right and down of the upper left corner. [-]
    wide, high : int
        Their size in pixels. [-]
    shaft_m : float
        Diameter of the shafts that were looked for. [m]
    """

    sheet: str
    proposals: tuple[Proposal, ...]
    error_mm: float
    marks: int
    straight_jpeg: bytes
    annotated_jpeg: bytes
    px_mm: float
    aim_x: float
    aim_y: float
    wide: int
    high: int
    shaft_m: float

    @property
    def place_error_mm(self) -> float:
        """How far the place of an impact may be off, with 95 % chance less. [mm]"""
        found_mm = ENTRY_MM if any(one.kind == "shaft" for one in self.proposals) else HOLE_MM
        return float(np.hypot(self.error_mm, found_mm))


def check_sharp(found: Sequence[FoundMark], side_mm: float) -> None:
    """Refuse a picture whose marks are too soft.

    Parameters
    ----------
    found : sequence of FoundMark
        Marks of the sheet.
    side_mm : float
        Length of their sides. [mm]

    Raises
    ------
    BadInput
        If half of them are softer than allowed.
    """
    if not found:
        return
    soft_mm = side_mm * float(np.median([mark.softness for mark in found]))
    if soft_mm > MOST_SOFT_MM:
        wrong = f"it is blurred: edges of the marks are {soft_mm:.1f} mm soft, more than "
        raise BadInput("Photograph", f"{wrong}{MOST_SOFT_MM:g} mm", TAKE_SHARP)


def check_readable(picture: Picture) -> None:
    """Refuse a picture in which nothing is sharp, when marks could not be read.

    Parameters
    ----------
    picture : Picture
        The picture.

    Raises
    ------
    BadInput
        If even its steepest edges are wide.
    """
    cv = vision()
    grey = cv.cvtColor(picture.pixels, cv.COLOR_RGB2GRAY)
    small = cv.resize(grey, None, fx=0.5, fy=0.5, interpolation=cv.INTER_AREA)
    smooth = cv.GaussianBlur(small.astype(np.float32), (0, 0), 1.0)
    slope = np.hypot(
        cv.Sobel(smooth, -1, 1, 0, scale=0.125), cv.Sobel(smooth, -1, 0, 1, scale=0.125)
    )
    low, high = np.quantile(smooth[::4, ::4], (0.01, 0.99))
    wide_px = 2.0 * float(high - low) / max(float(np.quantile(slope[::2, ::2], 0.9995)), 1e-3)
    if wide_px > BLURRED_PX:
        wrong = f"it is blurred: its sharpest edges are {wide_px:.0f} pixels wide"
        raise BadInput("Photograph", wrong, TAKE_SHARP)


def propose(
    picture: Picture, sheet: PrintedSheet, way: Straightening, shaft_m: float | None = None
) -> PhotoReading:
    """Impacts that a straightened picture seems to show.

    Parameters
    ----------
    picture : Picture
        The picture.
    sheet : PrintedSheet
        What it shows.
    way : Straightening
        Where places of the sheet are in it.
    shaft_m : float, optional
        Diameter of the shafts; absent: a usual one. [m]

    Returns
    -------
    PhotoReading
        Proposals, and pictures to judge them by.

    Raises
    ------
    BadInput
        If places are too unsure.
    """
    error_mm = float(way.errors_mm(_grid(sheet.search_mm)).max())
    if error_mm > (MOST_ERROR_MM if way.marks else MOST_TAPPED_MM):
        wrong = f"places on the sheet are unsure by {error_mm:.1f} mm"
        raise BadInput("Photograph", wrong, "Take it from nearer, and less from the side")
    shaft_mm = MM_PER_M * (USUAL_SHAFT_M if shaft_m is None else shaft_m)
    left_mm, top_mm, right_mm, bottom_mm = sheet.view_mm
    area_mm2 = (right_mm - left_mm) * (bottom_mm - top_mm)
    px_mm = max(PX_MM, float(np.sqrt(area_mm2 / MOST_FLAT_PIXELS)))
    flat = flat_view(picture, way, sheet.view_mm, px_mm)
    aim = (-left_mm / px_mm - 0.5, -top_mm / px_mm - 0.5)
    field = lying_on(flat, px_mm, aim if sheet.has_aiming_mark else None, shaft_mm)
    _leave_out(field, sheet, px_mm)
    spots = find_spots(field, px_mm, (left_mm, top_mm), shaft_mm, camera_foot_mm(way))
    drawn = annotated(flat, spots, aim, px_mm, shaft_mm)
    return PhotoReading(
        sheet.name,
        tuple(_proposal(spot) for spot in spots),
        error_mm,
        way.marks,
        jpeg_bytes(flat),
        jpeg_bytes(drawn),
        px_mm,
        aim[0] + 0.5,
        aim[1] + 0.5,
        int(flat.shape[1]),
        int(flat.shape[0]),
        shaft_mm / MM_PER_M,
    )


def _proposal(spot: Spot) -> Proposal:
    confidence = round(spot.confidence, 3)
    return Proposal(spot.x_mm / MM_PER_M, -spot.y_mm / MM_PER_M, spot.kind, confidence)


def _grid(window_mm: WindowMm) -> Floats:
    """Five by five places over a window [mm]."""
    left_mm, top_mm, right_mm, bottom_mm = window_mm
    return np.array(
        [
            (x_mm, y_mm)
            for x_mm in np.linspace(left_mm, right_mm, 5)
            for y_mm in np.linspace(top_mm, bottom_mm, 5)
        ]
    )


def _leave_out(field: Field, sheet: PrintedSheet, px_mm: float) -> None:
    """Put −1 where no arrow is looked for: outside the search, and on marks with their white."""
    cv = vision()
    left_mm, top_mm, _, _ = sheet.view_mm
    outside = np.ones(field.shape, np.uint8)

    def paint(window_mm: WindowMm, value: int) -> None:
        places = [
            round((at_mm - origin_mm) / px_mm)
            for at_mm, origin_mm in zip(window_mm, (left_mm, top_mm) * 2, strict=True)
        ]
        cv.rectangle(outside, places[:2], places[2:], value, -1)

    paint(sheet.search_mm, 0)
    for mark in sheet.marks:
        half_mm = 0.65 * mark.side_mm
        paint(
            (mark.x_mm - half_mm, mark.y_mm - half_mm, mark.x_mm + half_mm, mark.y_mm + half_mm), 1
        )
    field[outside > 0] = -1.0
