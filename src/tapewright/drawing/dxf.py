"""DXF: a sheet for an engraver or a cutter.

Holds:  Sheet → DXF text in mm, y up, a layer for each kind of stroke, strokes with their weight.
Never:  tapes, ticks, points.
Source: AutoCAD 2010 DXF reference, header variables $INSUNITS (4: millimetres) and $MEASUREMENT.
"""

from __future__ import annotations

import io
import re
from importlib import import_module
from math import cos, radians, sin
from typing import TYPE_CHECKING, Any

from tapewright.drawing.cutter import cutter_sheet
from tapewright.drawing.lettering import CAP, advances_mm, outline, printable, units_per_em
from tapewright.drawing.shapes import Box, Line, Shape, Text
from tapewright.ground.errors import MissingExtra

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tapewright.drawing.paper import Sheet

# Layer, its colour index and the weight of its strokes in hundredths of a millimetre
LAYERS = {
    "cut": (1, 9),
    "tick": (7, 20),
    "number": (5, 9),
    "note": (8, 9),
    "untrusted": (6, 13),
}
MILLIMETRES = 4
CHORDS = 6  # straight pieces for one curve of a letter: within 0.01 mm at the sizes of a strip
DIGITS = 6
WEIGHTS = (5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50)  # those of the format up to half a millimetre
COMMANDS = re.compile(r"([MLHVQZ])([^MLHVQZ]*)")
NUMBERS = re.compile(r"-?\d+(?:\.\d+)?")

Point = tuple[float, float]


def dxf_text(sheet: Sheet, *, outlines: bool = True) -> str:
    """One sheet as DXF, version AutoCAD 2010.

    Two runs give the same text, in any process. Broken strokes are written as their pieces.

    Parameters
    ----------
    sheet : Sheet
        What to write.
    outlines : bool, default True
        Letters as closed outlines, which need no font at the machine; False: as text.

    Returns
    -------
    str
        The file; lengths in mm, the origin at the lower left corner of the sheet, y up.

    Raises
    ------
    MissingExtra
        If the library for DXF is not installed.
    """
    try:
        ezdxf: Any = import_module("ezdxf")  # an optional extra, which hides some names from types
    except ImportError as error:
        raise MissingExtra("DXF for engraving", "engrave") from error
    fixed_before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True  # no clock, no random identity
    try:
        drawing = ezdxf.new("R2010", units=MILLIMETRES)
        for layer, (colour, weight) in LAYERS.items():
            drawing.layers.add(layer, color=colour, lineweight=weight)
        drawing.styles.add("tape", font="DejaVuSansCondensed.ttf")
        space = drawing.modelspace()
        for shape in cutter_sheet(sheet).shapes:
            _add(space, shape, sheet.paper.height_mm, outlines=outlines)
        for kind in sorted(drawing.entitydb.dxf_types_in_use()):
            drawing.classes.add_class(kind)  # else in an order that each process takes by chance
        file = io.StringIO()
        drawing.write(file)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = fixed_before
    return file.getvalue()


def _add(space: Any, shape: Shape, high_mm: float, *, outlines: bool) -> None:  # noqa: ANN401 - ezdxf has no types
    """One shape; y turns from down to up here."""
    look: dict[str, Any] = {"layer": shape.layer}
    if isinstance(shape, Text):
        if outlines:
            for ring in _letter_rings(shape, high_mm):
                space.add_lwpolyline(ring, close=True, dxfattribs=look)
        else:
            _add_text(space, shape, high_mm)
    elif isinstance(shape, Line):
        start, end = (shape.x1_mm, high_mm - shape.y1_mm), (shape.x2_mm, high_mm - shape.y2_mm)
        look["lineweight"] = _weight(shape.width_mm)
        space.add_line(_rounded(start), _rounded(end), dxfattribs=look)
    else:
        look["lineweight"] = _weight(shape.line_mm)
        space.add_lwpolyline(_box_ring(shape, high_mm), close=True, dxfattribs=look)


def _weight(stroke_mm: float) -> int:
    """Nearest weight that the format knows [0.01 mm]."""
    return min(WEIGHTS, key=lambda weight: abs(weight - 100.0 * stroke_mm))


def _add_text(space: Any, text: Text, high_mm: float) -> None:  # noqa: ANN401 - ezdxf has no types
    """Words as a text entity; its height is that of a capital."""
    from ezdxf.enums import TextEntityAlignment  # noqa: PLC0415 - an optional extra

    places = {
        "start": TextEntityAlignment.LEFT,
        "middle": TextEntityAlignment.CENTER,
        "end": TextEntityAlignment.RIGHT,
    }
    entity = space.add_text(
        printable(text.words),
        height=round(CAP * text.em_mm, DIGITS),
        rotation=-text.turn_deg,
        dxfattribs={"layer": text.layer, "style": "tape"},
    )
    place = _rounded((text.x_mm, high_mm - text.y_mm))
    entity.set_placement(place, align=places[text.anchor])


def _rounded(point: Point) -> Point:
    return round(point[0], DIGITS), round(point[1], DIGITS)


def _box_ring(box: Box, high_mm: float) -> list[Point]:
    left, right = box.x_mm, box.x_mm + box.width_mm
    top, bottom = high_mm - box.y_mm, high_mm - box.y_mm - box.height_mm
    corners = ((left, top), (right, top), (right, bottom), (left, bottom))
    return [_rounded(corner) for corner in corners]


def _letter_rings(text: Text, high_mm: float) -> Iterator[list[Point]]:
    """Polygons of all letters of a line of words, on the sheet."""
    words = printable(text.words)
    steps_mm = advances_mm(words, text.em_mm, bold=text.bold, figures=text.figures)
    pen_mm = -sum(steps_mm) * {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor]
    scale = text.em_mm / units_per_em()
    turn = radians(-text.turn_deg)
    for letter, step_mm in zip(words, steps_mm, strict=True):
        for ring in rings(outline(letter, bold=text.bold, figures=text.figures)):
            local = [(pen_mm + scale * x, scale * y) for x, y in ring]
            yield [
                _rounded(
                    (
                        text.x_mm + x * cos(turn) - y * sin(turn),
                        high_mm - text.y_mm + x * sin(turn) + y * cos(turn),
                    )
                )
                for x, y in local
            ]
        pen_mm += step_mm


def rings(commands: str) -> Iterator[list[Point]]:
    """Polygons that a letter's outline is made of.

    Parameters
    ----------
    commands : str
        Path text with M, L, H, V, Q and Z, absolute.

    Yields
    ------
    list of (float, float)
        One polygon, its curves broken into chords. [font units]
    """
    ring: list[Point] = []
    for command, words in COMMANDS.findall(commands):
        numbers = [float(number) for number in NUMBERS.findall(words)]
        if command == "Z":
            yield ring
            ring = []
        elif command == "H":
            ring += [(x, ring[-1][1]) for x in numbers]
        elif command == "V":
            ring += [(ring[-1][0], y) for y in numbers]
        elif command == "Q":
            for x1, y1, x2, y2 in zip(*[iter(numbers)] * 4, strict=True):
                ring += _chords(ring[-1], (x1, y1), (x2, y2))
        else:
            ring += list(zip(*[iter(numbers)] * 2, strict=True))


def _chords(start: Point, pull: Point, end: Point) -> list[Point]:
    """Points on a quadratic curve, the start left out."""
    shares = [step / CHORDS for step in range(1, CHORDS + 1)]
    return [
        (
            (1 - t) ** 2 * start[0] + 2 * t * (1 - t) * pull[0] + t * t * end[0],
            (1 - t) ** 2 * start[1] + 2 * t * (1 - t) * pull[1] + t * t * end[1],
        )
        for t in shares
    ]
