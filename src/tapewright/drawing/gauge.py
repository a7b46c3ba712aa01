"""Gauge: the gauge strip, a plain mm ruler to take readings with.

Holds:  Gauge record; the drawing of one gauge strip.
Never:  distances, paper.
"""

from dataclasses import dataclass
from typing import Literal

from tapewright.drawing.lettering import CAP, width_mm
from tapewright.drawing.shapes import Anchor, Box, Line, Shape, Text
from tapewright.drawing.tape import CUT_GREY, CUT_MM, SMALL_EM_MM, Look
from tapewright.ground.errors import BadInput

HALVES = 2  # ticks in one millimetre
HEAD_MM = 4.6
END_MM = 2.2
LARGEST_EM_MM = 2.9
LONGEST_MM, SHORTEST_MM = 300.0, 5.0


@dataclass(frozen=True, slots=True)
class Gauge:
    """A ruler of whole millimetres.

    Parameters
    ----------
    start_mm : int, default 0
        Number at its low end. [mm]
    length_mm : int, default 80
        How far it reaches from there, 5 to 300. [mm]
    grows : str, default "down"
        Which way its numbers grow: ``"down"`` or ``"up"``.
    """

    start_mm: int = 0
    length_mm: int = 80
    grows: Literal["down", "up"] = "down"

    def __post_init__(self) -> None:
        if not SHORTEST_MM <= self.length_mm <= LONGEST_MM:
            raise BadInput(
                "reach",
                f"a length of {self.length_mm:g} mm cannot be drawn",
                f"Choose {SHORTEST_MM:g} to {LONGEST_MM:g} mm",
            )


def gauge_length_mm(gauge: Gauge) -> float:
    """Length of the strip from cut to cut.

    Parameters
    ----------
    gauge : Gauge
        The ruler.

    Returns
    -------
    float
        Its ticks and the white at both ends. [mm]
    """
    return gauge.length_mm + HEAD_MM + END_MM


def gauge_places_mm(gauge: Gauge) -> dict[float, float]:
    """Where the tens of a gauge strip stand, down from its top.

    Parameters
    ----------
    gauge : Gauge
        The ruler.

    Returns
    -------
    dict of float to float
        Number to place. [mm]
    """
    values = range(gauge.start_mm, gauge.start_mm + gauge.length_mm + 1)
    return {
        float(value): _place_mm(gauge, value - gauge.start_mm) for value in values if not value % 10
    }


def draw_gauge(gauge: Gauge, look: Look) -> tuple[Shape, ...]:
    """One gauge strip, its top left corner at the origin.

    Parameters
    ----------
    gauge : Gauge
        The ruler.
    look : Look
        Its width, its side and how often it is numbered.

    Returns
    -------
    tuple of shapes
        Cut line, ticks, numbers and the unit.
    """
    inward = -1 if look.number_side == "right" else 1
    edge_mm = look.width_mm if inward < 0 else 0.0
    anchor: Anchor = "end" if inward < 0 else "start"
    long_mm = min(0.36 * look.width_mm, 5.0)
    number_mm = edge_mm + inward * (long_mm + 0.6)
    em_mm = _number_em_mm(gauge, look, long_mm)
    shapes: list[Shape] = [
        Box(0.0, 0.0, look.width_mm, gauge_length_mm(gauge), CUT_MM, CUT_GREY, layer="cut"),
        Text(number_mm, 2.3, "mm", SMALL_EM_MM, anchor=anchor),
    ]
    for half in range(HALVES * gauge.length_mm + 1):
        y_mm = _place_mm(gauge, half / HALVES)
        reach, stroke_mm = _tick_size(gauge.start_mm * HALVES + half)
        end_mm = edge_mm + inward * reach * long_mm
        shapes.append(Line(edge_mm, y_mm, end_mm, y_mm, stroke_mm, layer="tick"))
    for value in range(gauge.start_mm, gauge.start_mm + gauge.length_mm + 1):
        if value % look.number_every == 0:
            size_mm = em_mm if value % 10 == 0 else 0.82 * em_mm
            y_mm = _place_mm(gauge, value - gauge.start_mm) + CAP * size_mm / 2.0
            words = _number(value)
            is_ten = value % 10 == 0
            shapes.append(
                Text(number_mm, y_mm, words, size_mm, is_ten, anchor, layer="number"),
            )
    return tuple(shapes)


def _place_mm(gauge: Gauge, along_mm: float) -> float:
    """Where a number stands, down from the top of the strip [mm]."""
    return HEAD_MM + (along_mm if gauge.grows == "down" else gauge.length_mm - along_mm)


def _tick_size(halves: int) -> tuple[float, float]:
    """Share of the longest tick, and stroke [mm]."""
    for step, reach, stroke_mm in ((20, 1.0, 0.24), (10, 0.74, 0.18), (2, 0.5, 0.14)):
        if halves % step == 0:
            return reach, stroke_mm
    return 0.28, 0.1


def _number(value: int) -> str:
    return f"{value}".replace("-", "−")


def _number_em_mm(gauge: Gauge, look: Look, long_mm: float) -> float:
    """Lettering that lets the widest number stay on the strip [mm]."""
    ends = (gauge.start_mm, gauge.start_mm + gauge.length_mm)
    widest = max(width_mm(_number(end), 1.0, bold=True) for end in ends)
    return min((look.width_mm - long_mm - 1.1) / widest, LARGEST_EM_MM)
