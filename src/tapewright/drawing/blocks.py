"""Blocks: the printed words and rulers around the strips.

Each block is given its place and width, and tells how far down it reached.

Holds:  heads of pages, headings, paragraphs, proof rulers.
Never:  strips, paper sizes, what the words say about a rig.
"""

from tapewright.drawing.lettering import CAP, shortened, wrapped
from tapewright.drawing.paper import PROOF_MM
from tapewright.drawing.shapes import Box, Line, Shape, Text

TITLE_EM_MM, SUBTITLE_EM_MM, BODY_EM_MM = 6.0, 2.8, 2.6
LINE_FEED = 1.38  # baseline to baseline, in ems
HAIR_MM = 0.1
SOFT_GREY = 0.6
BOX_WIDE_MM, BOX_HIGH_MM = 24.0, 7.5

Block = tuple[list[Shape], float]


def heading(words: str, x_mm: float, y_mm: float, width_mm: float) -> Block:
    """Small bold heading over a hairline.

    Parameters
    ----------
    words : str
        The heading.
    x_mm, y_mm : float
        Its top left corner. [mm]
    width_mm : float
        Length of the hairline. [mm]

    Returns
    -------
    list of shapes, float
        The drawing, and where the next block may begin. [mm]
    """
    base_mm = y_mm + CAP * 3.0
    rule_mm = base_mm + 1.5
    shapes: list[Shape] = [
        Text(x_mm, base_mm, words, 3.0, bold=True),
        Line(x_mm, rule_mm, x_mm + width_mm, rule_mm, HAIR_MM, SOFT_GREY),
    ]
    return shapes, rule_mm + 2.2


def page_head(title: str, subtitle: str, x_mm: float, width_mm: float) -> list[Shape]:
    """Title and subtitle of a whole page, over a line.

    Parameters
    ----------
    title, subtitle : str
        Shortened to the width.
    x_mm, width_mm : float
        Left edge and width. [mm]

    Returns
    -------
    list of shapes
        Down to 27.5 mm from the top.
    """
    shown = shortened(title, TITLE_EM_MM, width_mm, bold=True)
    return [
        Text(x_mm, 19.0, shown, TITLE_EM_MM, bold=True),
        Text(x_mm, 24.5, shortened(subtitle, SUBTITLE_EM_MM, width_mm), SUBTITLE_EM_MM, grey=0.3),
        Line(x_mm, 27.5, x_mm + width_mm, 27.5, 0.25),
    ]


def paragraph(
    words: str,
    x_mm: float,
    y_mm: float,
    width_mm: float,
    em_mm: float = BODY_EM_MM,
    *,
    bold: bool = False,
    grey: float = 0.0,
) -> Block:
    """Words broken into lines.

    Parameters
    ----------
    words : str
        The words.
    x_mm, y_mm : float
        Top left corner. [mm]
    width_mm : float
        Widest line. [mm]
    em_mm : float, default 2.6
        Size of the lettering. [mm]
    bold : bool, default False
        The bold face.
    grey : float, default 0
        0 black to 1 white. [-]

    Returns
    -------
    list of shapes, float
        The drawing, and where the next block may begin. [mm]
    """
    lines = wrapped(words, em_mm, width_mm, bold=bold)
    feed_mm = LINE_FEED * em_mm
    first_mm = y_mm + CAP * em_mm
    shapes: list[Shape] = [
        Text(x_mm, first_mm + index * feed_mm, line, em_mm, bold=bold, grey=grey)
        for index, line in enumerate(lines)
    ]
    return shapes, y_mm + len(lines) * feed_mm


def ruler_across(x_mm: float, y_mm: float) -> list[Shape]:
    """Horizontal ruler of 100 mm, its ticks upward, its numbers below.

    Parameters
    ----------
    x_mm, y_mm : float
        Its zero, on the axis. [mm]

    Returns
    -------
    list of shapes
        The drawing.
    """
    shapes: list[Shape] = [Line(x_mm, y_mm, x_mm + PROOF_MM, y_mm, 0.2)]
    for step in range(PROOF_MM + 1):
        reach_mm, stroke_mm = _tick_size(step)
        at_mm = x_mm + step
        shapes.append(Line(at_mm, y_mm, at_mm, y_mm - reach_mm, stroke_mm))
        if step % 10 == 0:
            shapes.append(Text(at_mm, y_mm + 2.6, f"{step}", 2.1, anchor="middle"))
    return shapes


def ruler_down(x_mm: float, y_mm: float) -> list[Shape]:
    """Upright ruler of 100 mm, its ticks to the left, its numbers to the right.

    Parameters
    ----------
    x_mm, y_mm : float
        Its zero, on the axis. [mm]

    Returns
    -------
    list of shapes
        The drawing.
    """
    shapes: list[Shape] = [Line(x_mm, y_mm, x_mm, y_mm + PROOF_MM, 0.2)]
    for step in range(PROOF_MM + 1):
        reach_mm, stroke_mm = _tick_size(step)
        at_mm = y_mm + step
        shapes.append(Line(x_mm, at_mm, x_mm - reach_mm, at_mm, stroke_mm))
        if step % 10 == 0:
            shapes.append(Text(x_mm + 1.0, at_mm + CAP * 2.1 / 2.0, f"{step}", 2.1))
    return shapes


def answer_box(words: str, x_mm: float, y_mm: float) -> Block:
    """Box to write a measured length into.

    Parameters
    ----------
    words : str
        What to write, above the box.
    x_mm, y_mm : float
        Top left corner. [mm]

    Returns
    -------
    list of shapes, float
        The drawing, and where the next block may begin. [mm]
    """
    shapes, top_mm = paragraph(words, x_mm, y_mm, BOX_WIDE_MM, 2.3)
    top_mm += 0.4
    base_mm = top_mm + BOX_HIGH_MM - 2.2
    shapes += [
        Box(x_mm, top_mm, BOX_WIDE_MM, BOX_HIGH_MM, 0.2),
        Text(x_mm + BOX_WIDE_MM - 1.5, base_mm, "mm", 2.6, anchor="end", grey=SOFT_GREY),
    ]
    return shapes, top_mm + BOX_HIGH_MM


def _tick_size(step: int) -> tuple[float, float]:
    """Length and stroke of a tick of the proof rulers [mm]."""
    if step % PROOF_MM == 0:
        return 4.4, 0.2
    if step % 10 == 0:
        return 3.2, 0.16
    return (2.3, 0.13) if step % 5 == 0 else (1.5, 0.1)
