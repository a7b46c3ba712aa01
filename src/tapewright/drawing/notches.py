"""Notches: cuts along a strip's free edge, for fingers; the nearest is wide and flat.

Holds:  their room and shape; which of several a finger can tell apart.
Never:  distances, the rest of the strip.
Source: two points are told apart by a fingertip from 2 to 3 mm on, and tactile graphics keep 3 mm
        between signs [TOUCH], from memory; old, cold or gloved fingers need more.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from tapewright.drawing.shapes import Line

NOTCH_MM = 2.0  # room across the strip: the notch, and half a millimetre to the lanes
DEEP_MM = 1.5
HALF_MM = 1.0  # half of a notch's mouth
WIDE_HALF_MM = 2.0  # of the nearest, whose bottom is flat
RIDGE_MM = 3.0  # of edge that stays between two
STROKE_MM = 0.15
END_MM = WIDE_HALF_MM + 0.5  # of strip beyond the middle of the last


def notch_lines(edge_mm: float, inward: int, places_mm: Sequence[float]) -> Iterator[Line]:
    """Cuts of the notches at a strip's free edge.

    Parameters
    ----------
    edge_mm : float
        The free edge. [mm]
    inward : int
        Direction of the cuts: 1 to the right, -1 to the left. [-]
    places_mm : sequence of float
        Middle of each notch, down the strip; the first is that of the nearest distance. [mm]

    Yields
    ------
    Line
        On the layer "cut", none of them level.
    """
    bottom_mm = edge_mm + inward * DEEP_MM
    for number, middle_mm in enumerate(places_mm):
        half_mm = HALF_MM if number else WIDE_HALF_MM
        flat_mm = half_mm - HALF_MM  # half of its bottom
        corners = [(edge_mm, middle_mm - half_mm), (bottom_mm, middle_mm - flat_mm)]
        if flat_mm:
            corners.append((bottom_mm, middle_mm + flat_mm))
        corners.append((edge_mm, middle_mm + half_mm))
        for start, end in pairwise(corners):
            yield Line(*start, *end, STROKE_MM, layer="cut")


def told_apart(places_mm: Sequence[Sequence[float]]) -> tuple[int, ...]:
    """Which of several notches may stay, so that a finger tells each from its neighbours.

    Parameters
    ----------
    places_mm : sequence of sequence of float
        Of each distance, the nearest first, where it stands on each strip. [mm]

    Returns
    -------
    tuple of int
        Places in the sequence. The nearest stays, then each next one that is far enough.
    """
    kept: list[int] = []
    for number, here_mm in enumerate(places_mm):
        near = kept[-1:]
        last_half_mm = HALF_MM if len(kept) > 1 else WIDE_HALF_MM
        least_mm = last_half_mm + RIDGE_MM + HALF_MM
        if all(
            abs(one - other) >= least_mm - 1e-9
            for place in near
            for one, other in zip(here_mm, places_mm[place], strict=True)
        ):
            kept.append(number)
    return tuple(kept)
