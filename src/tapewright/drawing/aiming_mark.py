"""Aiming mark: a bold diamond with an open centre, and the plumb line through it.

             ◇   a weighted thread hangs from here
             │
            ◆◆◆      Seen from the line the stroke of the diamond must be thicker than the eye
           ◆◆ ◆◆     can part, and its open centre wider than the pin that is held in it; who
          ◆◆ + ◆◆    orders the mark knows the distance and says how large.
           ◆◆ ◆◆
            ◆◆◆
             │
             ◆

Holds:  the mark, the plumb line, the diamond of which they are made.
Never:  the grid, distances.
"""

from tapewright.drawing.shapes import BLACK, Line
from tapewright.drawing.target_grid import Target

OPEN = 0.55  # half diagonal of the open centre against that of the whole mark
PLUMB_MM, PLUMB_GREY = 0.6, 0.2
LOOP_MM, BOB_MM = 2.4, 1.8
LOOP_IN_MM = 4.0  # from the frame
CROSS_MM = 0.3


def plumb_shapes(target: Target) -> tuple[Line, ...]:
    """Upright line through the aim: a loop at its top, a bob at its foot, open at the mark.

    Parameters
    ----------
    target : Target
        The target.

    Returns
    -------
    tuple of Line
        Two long strokes and the strokes of two small diamonds.
    """
    top_mm = -target.height_mm / 2.0 + LOOP_IN_MM
    foot_mm = -top_mm
    aiming_mark_mm = target.aiming_mark_mm
    return (
        Line(0.0, top_mm, 0.0, -aiming_mark_mm, PLUMB_MM, PLUMB_GREY),
        Line(0.0, aiming_mark_mm, 0.0, foot_mm, PLUMB_MM, PLUMB_GREY),
        *diamond(0.0, top_mm, LOOP_MM, OPEN * LOOP_MM),
        *diamond(0.0, foot_mm, BOB_MM, 0.0),
    )


def mark_shapes(target: Target) -> tuple[Line, ...]:
    """Aiming mark: a bold diamond whose open centre carries a fine cross.

    Parameters
    ----------
    target : Target
        The target.

    Returns
    -------
    tuple of Line
        Four thick strokes and two fine ones.
    """
    open_mm = OPEN * target.aiming_mark_mm
    arm_mm = 0.5 * open_mm
    return (
        *diamond(0.0, 0.0, target.aiming_mark_mm, open_mm),
        Line(-arm_mm, 0.0, arm_mm, 0.0, CROSS_MM),
        Line(0.0, -arm_mm, 0.0, arm_mm, CROSS_MM),
    )


def diamond(x_mm: float, y_mm: float, outer_mm: float, open_mm: float) -> tuple[Line, ...]:
    """Square standing on its corner, with an open centre of the same shape.

    Parameters
    ----------
    x_mm, y_mm : float
        Its middle. [mm]
    outer_mm, open_mm : float
        Half diagonals of the whole and of the open centre; 0 for a solid one. [mm]

    Returns
    -------
    tuple of Line
        Four strokes; each runs half its width past its corners, so that these come out sharp.
    """
    stroke_mm = (outer_mm - open_mm) / 2.0**0.5
    middle_mm = (outer_mm + open_mm) / 2.0
    past_mm = stroke_mm / 2.0 / 2.0**0.5
    lines = []
    for right, down in ((1, 1), (-1, 1), (-1, -1), (1, -1)):
        # from the upper or lower corner to the right or left one, and past both
        start = (x_mm - right * past_mm, y_mm + down * (middle_mm + past_mm))
        end = (x_mm + right * (middle_mm + past_mm), y_mm - down * past_mm)
        lines.append(Line(*start, *end, stroke_mm, BLACK))
    return tuple(lines)
