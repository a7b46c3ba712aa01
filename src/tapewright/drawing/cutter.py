"""Cutter: a strip for a machine that cuts or engraves: plain strokes, each on its layer.

Such a machine knows neither broken lines nor grey: dashes become strokes of their own, and what
lies beyond the trusted distance gets a layer of its own, so that a guess cannot pass for a fact.

Holds:  a sheet without dashes; the layer of what is beyond the trusted distance.
Never:  file formats, paper, which distance is trusted.
"""

from collections.abc import Iterator
from dataclasses import replace
from math import hypot

from tapewright.drawing.paper import Sheet
from tapewright.drawing.shapes import BLACK, DASH_MM, Line, Shape, Text

__all__ = ["cutter_sheet"]

SHORTEST_MM = 1e-3  # a dash shorter than this is rounding


def cutter_sheet(sheet: Sheet) -> Sheet:
    """Sheet of a strip as a machine needs it.

    Parameters
    ----------
    sheet : Sheet
        A bare strip.

    Returns
    -------
    Sheet
        The same lengths; broken strokes as their pieces, and broken ticks and grey numbers on
        the layer "untrusted".
    """
    return replace(sheet, shapes=tuple(one for shape in sheet.shapes for one in _plain(shape)))


def _plain(shape: Shape) -> Iterator[Shape]:
    """Plain shapes that stand for one."""
    if isinstance(shape, Line) and shape.dashed:
        yield from _dashes(replace(shape, layer="untrusted" if shape.layer == "tick" else "note"))
    elif isinstance(shape, Text) and shape.layer == "number" and shape.grey > BLACK:
        yield replace(shape, layer="untrusted")
    else:
        yield shape


def _dashes(line: Line) -> Iterator[Line]:
    """Pieces of a broken line, the first at its first end."""
    run_mm, fall_mm = line.x2_mm - line.x1_mm, line.y2_mm - line.y1_mm
    long_mm = hypot(run_mm, fall_mm)
    dash_mm, gap_mm = DASH_MM
    start_mm = 0.0
    while long_mm - start_mm > SHORTEST_MM:
        near, far = start_mm / long_mm, min(start_mm + dash_mm, long_mm) / long_mm
        yield replace(
            line,
            x1_mm=line.x1_mm + near * run_mm,
            y1_mm=line.y1_mm + near * fall_mm,
            x2_mm=line.x1_mm + far * run_mm,
            y2_mm=line.y1_mm + far * fall_mm,
            dashed=False,
        )
        start_mm += dash_mm + gap_mm
