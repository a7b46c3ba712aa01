"""Two pieces: a strip longer than the paper, cut in two that meet at a tick.

The piece that is stuck on first goes on a little past that tick; the other ends in the middle of
it and is laid over the rest, so that the two halves of the tick and of its number meet.

Holds:  where to part a strip; the shapes of both pieces.
Never:  sheets, words; which tick is at the pointer.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from tapewright.drawing.clipping import Area, inside, words_area
from tapewright.drawing.lettering import width_mm
from tapewright.drawing.shapes import Box, Line, Shape, Text, moved
from tapewright.ground.errors import DoesNotFit

__all__ = ["OVERLAP_MM", "Half", "in_two", "parting"]

OVERLAP_MM = 6.0  # of the piece below, past the tick at which both meet
EDGE_MM = 1e-6
WIDER_MM = 5.0  # shapes may stand a little outside the cut


@dataclass(frozen=True, slots=True)
class Half:
    """One of the two pieces, its top left corner at the origin.

    Parameters
    ----------
    shapes : tuple of shapes
        Cut line, ticks, numbers and words.
    from_mm, length_mm : float
        Where on the whole strip it begins, and how long it is. [mm]
    """

    shapes: tuple[Shape, ...]
    from_mm: float
    length_mm: float


def parting(places_mm: Iterable[float], length_mm: float, room_mm: float) -> float:
    """Tick at which a strip is parted: the one nearest its middle of those that serve.

    Parameters
    ----------
    places_mm : iterable of float
        Where ticks stand at which it may be parted, down from the strip's top. [mm]
    length_mm : float
        Of the whole strip. [mm]
    room_mm : float
        Of one piece on paper. [mm]

    Returns
    -------
    float
        One of the places. [mm]

    Raises
    ------
    DoesNotFit
        If two pieces are not enough.
    """
    serve = [
        place_mm
        for place_mm in places_mm
        if max(place_mm, length_mm - place_mm) + OVERLAP_MM <= room_mm
    ]
    if not serve:
        raise DoesNotFit(
            length_mm,
            2.0 * (room_mm - OVERLAP_MM),
            "A strip comes in two pieces at most: print fewer distances; a file for a machine "
            "(DXF, cut.svg) knows no end of paper",
        )
    return min(serve, key=lambda place_mm: abs(place_mm - length_mm / 2.0))


def in_two(
    shapes: Iterable[Shape],
    wide_mm: float,
    length_mm: float,
    at_mm: float,
    *,
    upper_below: bool,
) -> tuple[Half, Half]:
    """Both pieces of a strip, the upper one first.

    Parameters
    ----------
    shapes : iterable of shapes
        The whole strip, its top left corner at the origin.
    wide_mm, length_mm : float
        From cut to cut. [mm]
    at_mm : float
        Where the tick stands at which both meet. [mm]
    upper_below : bool
        Whether the upper piece is stuck on first and goes on past the tick; else the lower one.

    Returns
    -------
    Half, Half
        The upper and the lower piece.
    """
    shapes = tuple(shapes)
    upper_mm = at_mm + (OVERLAP_MM if upper_below else 0.0)
    lower_mm = at_mm - (0.0 if upper_below else OVERLAP_MM)
    return (
        _half(shapes, wide_mm, 0.0, upper_mm),
        _half(shapes, wide_mm, lower_mm, length_mm),
    )


def _half(shapes: tuple[Shape, ...], wide_mm: float, from_mm: float, to_mm: float) -> Half:
    window = Area(-WIDER_MM, from_mm, wide_mm + WIDER_MM, to_mm)
    kept = (part for shape in shapes for part in _inside(shape, window))
    return Half(tuple(moved(one, 0.0, -from_mm) for one in kept), from_mm, to_mm - from_mm)


def _inside(shape: Shape, window: Area) -> Iterator[Shape]:
    """What of a shape belongs to a piece; words at the edge belong to it whole."""
    if isinstance(shape, Line):
        yield from inside(shape, window)
    elif isinstance(shape, Box):
        top_mm = max(shape.y_mm, window.top_mm)
        bottom_mm = min(shape.y_mm + shape.height_mm, window.bottom_mm)
        if bottom_mm - top_mm > EDGE_MM:
            yield replace(shape, y_mm=top_mm, height_mm=bottom_mm - top_mm)
    elif window.meets(_room(shape)):
        yield shape


def _room(text: Text) -> Area:
    """Room of words, upright or turned to run along the strip."""
    area = words_area(text)
    if not text.turn_deg:
        return area
    long_mm = width_mm(text.words, text.em_mm, bold=text.bold) / 2.0
    ahead_mm = {"start": 1.0, "middle": 0.0, "end": -1.0}[text.anchor] * long_mm
    middle_mm = text.y_mm + (ahead_mm if text.turn_deg > 0.0 else -ahead_mm)
    return Area(text.x_mm, middle_mm - long_mm, text.x_mm + text.em_mm, middle_mm + long_mm)
