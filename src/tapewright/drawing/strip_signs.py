"""Strip signs: what a strip still tells after cutting: its pointer's edge, close lane and name.

Holds:  an arrowhead at the pointer's edge; the heavy seam and the word of a close lane; the name
        at its foot.
Never:  ticks, numbers; what stands outside the cut (edges.py).
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

from tapewright.drawing.lettering import CAP, balanced, width_mm
from tapewright.drawing.shapes import Line, Shape, Text

CLOSE_WORD, CLOSE_EM_MM = "close", 1.7
CLOSE_CLEAR_MM = 1.2  # from a close mark to the word in its lane
CLOSE_SEAM_MM = 0.3
ARROW_MM, ARROW_HIGH_MM, ARROW_TOP_MM, ARROW_OUT_MM, STROKE_MM = 0.9, 1.3, 2.7, 0.25, 0.3

TINY_EM_MM, TINY_LINE_MM, SMALLEST_HEAD_EM_MM = 1.35, 1.5, 0.95
FOOT_LINES = 2


def pointer_sign(wide_mm: float, pointer: Literal["right", "left"]) -> list[Shape]:
    """Arrowhead in a strip's head, at the edge along which the pointer runs, pointing inward.

    Parameters
    ----------
    wide_mm : float
        Width of the strip. [mm]
    pointer : str
        ``"right"`` or ``"left"``.

    Returns
    -------
    list of shapes
        Two strokes, none of them level, so that none is a tick.
    """
    is_right = pointer == "right"
    outer_mm = wide_mm - ARROW_OUT_MM if is_right else ARROW_OUT_MM
    tip_mm = outer_mm - ARROW_MM if is_right else outer_mm + ARROW_MM
    top_mm, bottom_mm = ARROW_TOP_MM, ARROW_TOP_MM + ARROW_HIGH_MM
    middle_mm = (top_mm + bottom_mm) / 2.0
    corners = ((outer_mm, top_mm), (tip_mm, middle_mm), (outer_mm, bottom_mm))
    return [Line(*start, *end, STROKE_MM) for start, end in pairwise(corners)]


def close_sign(
    places_mm: Sequence[float], seam_mm: float, inner_mm: float, run_mm: tuple[float, float]
) -> list[Shape]:
    """What tells a close lane from the others: a heavy seam, and the word along it.

    The word reads upward in the lane itself, after its marks or else before them; in a lane that
    is full of marks the seam alone stands.

    Parameters
    ----------
    places_mm : sequence of float
        Where its marks stand, down the strip. [mm]
    seam_mm, inner_mm : float
        Its two edges; the seam parts it from the far marks. [mm]
    run_mm : float, float
        Between which places it may be drawn, down the strip. [mm]

    Returns
    -------
    list of shapes
        The word, if there is room for it, and the seam.
    """
    top_mm, bottom_mm = min(places_mm) - CLOSE_CLEAR_MM, max(places_mm) + CLOSE_CLEAR_MM
    long_mm = width_mm(CLOSE_WORD, CLOSE_EM_MM)
    shapes: list[Shape] = []
    is_after = bottom_mm + long_mm <= run_mm[1]
    if is_after or top_mm - long_mm >= run_mm[0]:
        base_mm = bottom_mm + long_mm if is_after else top_mm  # words read upward from here
        x_mm = (seam_mm + inner_mm) / 2.0 + CAP * CLOSE_EM_MM / 2.0
        shapes.append(Text(x_mm, base_mm, CLOSE_WORD, CLOSE_EM_MM, turn_deg=-90.0))
        top_mm, bottom_mm = min(top_mm, base_mm - long_mm), max(bottom_mm, base_mm)
    ends_mm = max(top_mm, run_mm[0]), min(bottom_mm, run_mm[1])
    shapes.append(Line(seam_mm, ends_mm[0], seam_mm, ends_mm[1], CLOSE_SEAM_MM))
    return shapes


def foot_words(words: str, wide_mm: float, length_mm: float) -> list[Shape]:
    """Name of a strip at its foot, in two tiny lines at most.

    Parameters
    ----------
    words : str
        The name.
    wide_mm, length_mm : float
        Of the strip. [mm]

    Returns
    -------
    list of shapes
        The lines.
    """
    em_mm, room_mm = TINY_EM_MM, wide_mm - 1.0
    lines = balanced(words, em_mm, room_mm)
    while len(lines) > FOOT_LINES and em_mm > SMALLEST_HEAD_EM_MM:
        em_mm = max(em_mm - 0.05, SMALLEST_HEAD_EM_MM)
        lines = balanced(words, em_mm, room_mm)
    lines = lines[:FOOT_LINES]
    base_mm = length_mm - 0.75 - (len(lines) - 1) * TINY_LINE_MM
    return [
        Text(wide_mm / 2.0, base_mm + place * TINY_LINE_MM, line, em_mm, anchor="middle")
        for place, line in enumerate(lines)
    ]
