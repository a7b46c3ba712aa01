"""Peep drawing: eye, peep, housing and pin to scale, as the eye sees them and from the side.

Holds:  the PeepDrawing record; its sheet.
Never:  which sizes there are, formulas of sights, file formats.
Source: docs/physics.md eq. (5.23), (5.26): what is seen small stands for its angle.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, cos, pi, sin

from tapewright.drawing.paper import Paper, Sheet
from tapewright.drawing.shapes import Line, Shape, Text

WIDE_MM = 96.0
MIDDLES_MM = (24.0, 72.0)  # of the two views
LARGEST_MM = 40.0  # ring in a view
READ_FROM_MM = 500.0  # a page in the hand
SIDES = 90  # of what stands for a circle
EM_MM = 2.9
VIEW_MM, SIDE_MM = 28.0, 62.0  # middle of the views, axis of the side view, down
SIDE_LONG_MM, SIDE_HALF_MM = 84.0, 6.0
GREY = 0.45


@dataclass(frozen=True, slots=True)
class PeepDrawing:
    """What is drawn; widths from edge to edge.

    Parameters
    ----------
    peep_mm, housing_mm, pin_mm : float
        Hole of the peep, inside of the housing, pin. [mm]
    eye_behind_mm, sight_radius_mm : float
        Pupil to peep, peep to pin. [mm]
    pins_above_mm : tuple of float
        Each pin above the middle of the housing, the first first. [mm]
    """

    peep_mm: float
    housing_mm: float
    pin_mm: float
    eye_behind_mm: float
    sight_radius_mm: float
    pins_above_mm: tuple[float, ...]

    @property
    def away_mm(self) -> float:
        """Pupil to pin. [mm]"""
        return self.eye_behind_mm + self.sight_radius_mm

    @property
    def from_mm(self) -> float:
        """From how far away the drawing, at its own size, looks as the sight does. [mm]"""
        largest = max(self.peep_mm / self.eye_behind_mm, self.housing_mm / self.away_mm)
        return min(READ_FROM_MM, LARGEST_MM / largest)

    @property
    def side_scale(self) -> float:
        """How many times smaller the side view is: a whole number. [-]"""
        return float(ceil(self.away_mm / SIDE_LONG_MM))


def peep_sheet(drawing: PeepDrawing) -> Sheet:
    """The views through the peep, and the side view under them.

    Parameters
    ----------
    drawing : PeepDrawing
        What is drawn.

    Returns
    -------
    Sheet
        As small as its drawing.
    """
    first_mm = drawing.pins_above_mm[0]
    views = [("housing in the middle", 0.0), ("first pin in the middle", -first_mm)]
    shown = views if first_mm else [("through the peep", 0.0)]
    places = MIDDLES_MM if first_mm else (WIDE_MM / 2.0,)
    shapes: list[Shape] = []
    for x_mm, (words, middle_mm) in zip(places, shown, strict=True):
        shapes += _view(drawing, x_mm, middle_mm)
        shapes.append(Text(x_mm, 4.0, words, EM_MM, anchor="middle"))
    shapes += _side(drawing)
    return Sheet(Paper("peep", WIDE_MM, SIDE_MM + 16.0), tuple(shapes), "Peep, housing and pin")


def _ring(
    x_mm: float, y_mm: float, radius_mm: float, width_mm: float, grey: float = 0.0
) -> Iterator[Line]:
    turns_rad = (2.0 * pi * at / SIDES for at in range(SIDES + 1))
    corners = ((x_mm + radius_mm * cos(at), y_mm + radius_mm * sin(at)) for at in turns_rad)
    for (x1, y1), (x2, y2) in pairwise(corners):
        yield Line(x1, y1, x2, y2, width_mm, grey)


def _view(drawing: PeepDrawing, x_mm: float, middle_mm: float) -> Iterator[Shape]:
    """Through the peep, the housing's middle so far above the peep's."""
    small = drawing.from_mm / drawing.away_mm  # of what stands at the sight
    peep_mm = drawing.from_mm * drawing.peep_mm / drawing.eye_behind_mm
    yield from _ring(x_mm, VIEW_MM, peep_mm / 2.0 + 0.2, 0.4, GREY)
    housing_y_mm = VIEW_MM - small * middle_mm
    yield from _ring(x_mm, housing_y_mm, small * drawing.housing_mm / 2.0 + 0.15, 0.3)
    pin_mm = small * drawing.pin_mm
    for above_mm in drawing.pins_above_mm:
        y_mm = housing_y_mm - small * above_mm
        yield from _ring(x_mm, y_mm, pin_mm / 4.0, pin_mm / 2.0)
        yield Line(x_mm + pin_mm + 1.0, y_mm, x_mm + pin_mm + 4.0, y_mm, 0.12)  # points at it


def _side(drawing: PeepDrawing) -> Iterator[Shape]:
    """From the side: pupil, peep and housing, and what the peep lets through."""
    scale = drawing.side_scale
    eye_mm = (WIDE_MM - drawing.away_mm / scale) / 2.0
    peep_x_mm, sight_x_mm = (
        eye_mm + along / scale for along in (drawing.eye_behind_mm, drawing.away_mm)
    )
    peep_mm, housing_mm = (
        half / 2.0 / scale for half in (drawing.peep_mm, drawing.housing_mm)
    )  # fmt: skip
    lit_mm = peep_mm * drawing.away_mm / drawing.eye_behind_mm
    for sign in (-1.0, 1.0):
        long_mm = max(SIDE_HALF_MM, housing_mm + 1.5)
        edge_mm = SIDE_MM + sign * peep_mm
        yield Line(peep_x_mm, edge_mm, peep_x_mm, edge_mm + sign * 4.0, 0.5, GREY)
        edge_mm = SIDE_MM + sign * housing_mm
        yield Line(sight_x_mm, edge_mm, sight_x_mm, SIDE_MM + sign * long_mm, 0.5)
        yield Line(eye_mm, SIDE_MM, sight_x_mm, SIDE_MM + sign * lit_mm, 0.12, dashed=True)
    for above_mm in drawing.pins_above_mm:
        y_mm = SIDE_MM - above_mm / scale
        yield Line(sight_x_mm - 0.6, y_mm, sight_x_mm + 0.6, y_mm, max(drawing.pin_mm / scale, 0.1))
    words_mm = SIDE_MM + SIDE_HALF_MM + 4.0
    yield Text(max(eye_mm - 2.0, 1.0), words_mm, "eye", EM_MM)
    yield Text(peep_x_mm + 3.0, words_mm, "peep", EM_MM)
    yield Text(sight_x_mm + 2.0, words_mm, "housing", EM_MM, anchor="end")
    told = f"from the side, 1 : {scale:.0f}"
    yield Text(WIDE_MM / 2.0, words_mm + 4.5, told, EM_MM, anchor="middle")
