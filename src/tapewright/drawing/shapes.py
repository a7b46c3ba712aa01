"""Shapes: lines, boxes and words, in millimetres.

x grows to the right and y grows downward, both from the top left corner of
the paper, as a person measures a printed sheet with a ruler.

Holds:  Line, Box, Text; moving and stretching them; nothing else exists on paper.
Never:  ticks, tapes, points (pdf.py), pixels.
"""

from dataclasses import dataclass, replace
from typing import Literal

Layer = Literal["cut", "tick", "number", "note", "untrusted"]
Anchor = Literal["start", "middle", "end"]
Figures = Literal["", "figures", "narrow"]
Role = Literal["", "title", "head", "first", "cell", "words", "on"]
BLACK = 0.0
WHITE = 1.0
DASH_MM = (0.45, 0.3)  # ink and white of a broken stroke


@dataclass(frozen=True, slots=True)
class Line:
    """A straight stroke with square ends that stop at its two points.

    Parameters
    ----------
    x1_mm, y1_mm, x2_mm, y2_mm : float
        The two ends. [mm]
    width_mm : float, default 0.15
        Width of the stroke. [mm]
    grey : float, default 0
        0 black to 1 white. [-]
    dashed : bool, default False
        Broken into short dashes.
    layer : str, default "note"
        What an engraver treats alike: cut, tick, number or note.
    """

    x1_mm: float
    y1_mm: float
    x2_mm: float
    y2_mm: float
    width_mm: float = 0.15
    grey: float = BLACK
    dashed: bool = False
    layer: Layer = "note"


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle: filled, or outlined, never both.

    Parameters
    ----------
    x_mm, y_mm : float
        Its top left corner. [mm]
    width_mm, height_mm : float
        Its size. [mm]
    line_mm : float, default 0.15
        Width of the outline, centred on the edge; 0 for a filled box. [mm]
    grey : float, default 0
        0 black to 1 white; of the outline or of the filling. [-]
    layer : str, default "note"
        What an engraver treats alike: cut, tick, number or note.
    """

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    line_mm: float = 0.15
    grey: float = BLACK
    layer: Layer = "note"


@dataclass(frozen=True, slots=True)
class Text:
    """One line of words.

    Parameters
    ----------
    x_mm, y_mm : float
        Where the baseline begins, has its middle or ends; see `anchor`. [mm]
    words : str
        What it says.
    em_mm : float
        Size of the lettering as its em; a capital or digit is 0.729 of it high. [mm]
    bold : bool, default False
        The bold face.
    anchor : str, default "start"
        Which part of the line stands on the point: start, middle or end.
    turn_deg : float, default 0
        Turned about the point, clockwise as seen on paper. [deg]
    grey : float, default 0
        0 black to 1 white. [-]
    layer : str, default "note"
        What an engraver treats alike: cut, tick, number or note.
    figures : str, default ""
        ``"figures"`` or ``"narrow"``: a face of digits that has the stroke of a scale's numbers.
    role : str, default ""
        What it is to who hears a sheet read: ``"title"``; of a table ``"head"`` of a column,
        ``"first"`` of a row, ``"cell"``; ``"words"``; ``"on"``, which goes on with the text before
        it. Empty: not said.
    """

    x_mm: float
    y_mm: float
    words: str
    em_mm: float
    bold: bool = False
    anchor: Anchor = "start"
    turn_deg: float = 0.0
    grey: float = BLACK
    layer: Layer = "note"
    figures: Figures = ""
    role: Role = ""


Shape = Line | Box | Text


def moved(shape: Shape, right_mm: float, down_mm: float) -> Shape:
    """Shape of the same kind elsewhere on the paper.

    Parameters
    ----------
    shape : Line, Box or Text
        What to move.
    right_mm, down_mm : float
        How far; right and down positive. [mm]

    Returns
    -------
    Line, Box or Text
        The moved shape.
    """
    if isinstance(shape, Line):
        return replace(
            shape,
            x1_mm=shape.x1_mm + right_mm,
            y1_mm=shape.y1_mm + down_mm,
            x2_mm=shape.x2_mm + right_mm,
            y2_mm=shape.y2_mm + down_mm,
        )
    return replace(shape, x_mm=shape.x_mm + right_mm, y_mm=shape.y_mm + down_mm)


def stretched(shape: Shape, across: float, down: float) -> Shape:
    """Shape of the same kind with all places stretched from the paper's top left corner.

    Strokes keep their width; lettering follows the direction down.

    Parameters
    ----------
    shape : Line, Box or Text
        What to stretch.
    across, down : float
        Factors for x and for y. [-]

    Returns
    -------
    Line, Box or Text
        The stretched shape.
    """
    if isinstance(shape, Line):
        return replace(
            shape,
            x1_mm=shape.x1_mm * across,
            y1_mm=shape.y1_mm * down,
            x2_mm=shape.x2_mm * across,
            y2_mm=shape.y2_mm * down,
        )
    x_mm, y_mm = shape.x_mm * across, shape.y_mm * down
    if isinstance(shape, Box):
        width_mm, height_mm = shape.width_mm * across, shape.height_mm * down
        return replace(shape, x_mm=x_mm, y_mm=y_mm, width_mm=width_mm, height_mm=height_mm)
    return replace(shape, x_mm=x_mm, y_mm=y_mm, em_mm=shape.em_mm * down)
