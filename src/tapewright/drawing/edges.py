"""Edges: what stands beside a strip on paper, outside the cut: where to cut, which side is which.

Holds:  corner marks; the side of the pointer, and where it is when the strip is stuck on;
        which end goes up.
Never:  the strip itself; where on a page it stands.
"""

from typing import Literal

from tapewright.drawing.lettering import CAP, width_mm
from tapewright.drawing.shapes import Line, Shape, Text

OUT_MM = 2.6  # from the cut to the base of words that run along it
EM_MM = 2.2
ARROW_EM_MM = 2.8
POINTER_WORDS = "pointer this side"
UP_WORDS = "this end up →"  # turned to read upward, so the arrow points up


def corner_marks(left_mm: float, top_mm: float, wide_mm: float, long_mm: float) -> list[Shape]:
    """Short strokes that prolong the cut lines beyond each corner.

    Parameters
    ----------
    left_mm, top_mm : float
        Where the strip's top left corner is. [mm]
    wide_mm, long_mm : float
        Its size. [mm]

    Returns
    -------
    list of shapes
        The drawing.
    """
    shapes: list[Shape] = []
    for x_mm, out in ((left_mm, -1), (left_mm + wide_mm, 1)):
        for y_mm, off in ((top_mm, -1), (top_mm + long_mm, 1)):
            near, far = 0.8, 2.4
            across = (x_mm + out * near, y_mm, x_mm + out * far, y_mm)
            along = (x_mm, y_mm + off * near, x_mm, y_mm + off * far)
            shapes += [Line(*across, 0.15, layer="cut"), Line(*along, 0.15, layer="cut")]
    return shapes


def edge_words(
    left_mm: float,
    top_mm: float,
    wide_mm: float,
    long_mm: float,
    pointer: Literal["right", "left"],
    meets_mm: float | None,
) -> list[Shape]:
    """Side of the pointer beside a strip, and at the other edge which end goes up.

    Parameters
    ----------
    left_mm, top_mm : float
        Where the strip's top left corner is. [mm]
    wide_mm, long_mm : float
        Its size. [mm]
    pointer : str
        ``"right"`` or ``"left"``.
    meets_mm : float or None
        Where the pointer is when the strip is stuck on, down from its top; None: not said. [mm]

    Returns
    -------
    list of shapes
        The drawing, up to 3 mm outside the cut.
    """
    out = 1 if pointer == "right" else -1
    edge_mm = left_mm + (wide_mm if out > 0 else 0.0)
    free_mm = left_mm + (0.0 if out > 0 else wide_mm)
    words_mm = width_mm(POINTER_WORDS, EM_MM)
    shapes: list[Shape] = []
    if meets_mm is None:
        from_mm = top_mm + max((long_mm - words_mm) / 2.0, 4.0)
    else:
        arrow_mm = top_mm + meets_mm
        shapes.append(
            Text(
                edge_mm + 0.4 * out,
                arrow_mm + 0.37 * ARROW_EM_MM,
                "◀" if out > 0 else "▶",
                ARROW_EM_MM,
                anchor="start" if out > 0 else "end",
            )
        )
        below_mm = arrow_mm + 2.4
        fits = below_mm + words_mm <= top_mm + long_mm - 3.0
        from_mm = below_mm if fits else arrow_mm - 2.4 - words_mm
    shapes.append(_along(POINTER_WORDS, edge_mm, out, from_mm, down=out > 0))
    up_mm = width_mm(UP_WORDS, EM_MM)
    shapes.append(_along(UP_WORDS, free_mm, -out, top_mm + 3.4, down=False, long_mm=up_mm))
    return shapes


def _along(
    words: str,
    edge_mm: float,
    out: int,
    from_mm: float,
    *,
    down: bool,
    long_mm: float | None = None,
) -> Text:
    """Words that run along an edge outside it, from a height downward, or up to it."""
    long_mm = width_mm(words, EM_MM) if long_mm is None else long_mm
    high_mm = CAP * EM_MM
    # the base of words that read downward is on their left, of those that read upward on the right
    inner_mm, outer_mm = OUT_MM - high_mm, OUT_MM
    base_mm = (inner_mm if out > 0 else outer_mm) if down else (outer_mm if out > 0 else inner_mm)
    y_mm = from_mm if down else from_mm + long_mm
    return Text(edge_mm + out * base_mm, y_mm, words, EM_MM, turn_deg=90.0 if down else -90.0)
