"""Sticking: how a cut strip gets onto the sight, in four numbered steps with small drawings.

    set          lock         peel         stick        The same bar of a sight four times, its
    ┃┊◀ 15.6     ┃┊◀ locked   ┃╲           ┃┊◀ 20       pointer on the side where the archer's is.

Holds:  the Sticking record; its block of drawings and words.
Never:  where it stands on a page (page.py), what the words say of a rig.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import cos, pi, sin
from typing import Literal

from tapewright.drawing.blocks import Block, heading, paragraph
from tapewright.drawing.lettering import CAP
from tapewright.drawing.shapes import WHITE, Box, Line, Shape, Text

PICTURE_WIDE_MM, PICTURE_HIGH_MM = 19.0, 15.0
BETWEEN_MM = 2.6  # white between two steps
POINTER_MM = 6.0  # height of the pointer in each picture
BAR_MM, STRIP_MM = 7.0, 4.4  # widths of the bar and of the strip on it
STEP_MM = 1.25  # between two ticks of a picture
WORDS_EM_MM, NOTES_EM_MM = 2.6, 2.3
STROKE_MM, SOFT_GREY = 0.18, 0.45
HEADS = ("set", "lock", "peel", "stick")


@dataclass(frozen=True, slots=True)
class Sticking:
    """What is to be told of sticking a strip on.

    Parameters
    ----------
    steps : tuple of four str
        What to do: set, lock, peel, stick.
    notes : tuple of str
        What else to know: which end goes up, wheels, paper and cover.
    reading, tick : str
        What the pointer shows in the first picture, and which tick it meets in the last.
    far : str
        A farther tick, which stands toward the far end.
    number_side : str, default "right"
        Side of the pointer.
    far_end : str, default "down"
        End at which the far distances stand.
    """

    steps: tuple[str, str, str, str]
    notes: tuple[str, ...]
    reading: str
    tick: str
    far: str
    number_side: Literal["right", "left"] = "right"
    far_end: Literal["down", "up"] = "down"


def sticking_block(sticking: Sticking, x_mm: float, y_mm: float, width_mm: float) -> Block:
    """Four pictures below each other with their words beside them, and the notes.

    Parameters
    ----------
    sticking : Sticking
        What is told.
    x_mm, y_mm : float
        Top left corner. [mm]
    width_mm : float
        Room for pictures and words. [mm]

    Returns
    -------
    list of shapes, float
        The drawing, and where the next block may begin. [mm]
    """
    shapes, y_mm = heading("Stick it on, once both rulers measure 100 mm", x_mm, y_mm, width_mm)
    words_mm = x_mm + PICTURE_WIDE_MM + 3.0
    room_mm = x_mm + width_mm - words_mm
    steps = zip(HEADS, sticking.steps, (_set, _lock, _peel, _stick), strict=True)
    for number, (head, words, picture) in enumerate(steps, 1):
        shapes += [_placed(one, sticking, x_mm, y_mm) for one in picture(sticking)]
        shapes += _numbered(number, words_mm, y_mm)
        more, below_mm = paragraph(head, words_mm + 5.6, y_mm + 0.9, room_mm, 3.0, bold=True)
        shapes += more
        more, below_mm = paragraph(words, words_mm, below_mm + 1.6, room_mm, WORDS_EM_MM)
        shapes += more
        y_mm = max(y_mm + PICTURE_HIGH_MM, below_mm) + BETWEEN_MM
    for note in sticking.notes:
        more, y_mm = paragraph(note, x_mm, y_mm, width_mm, NOTES_EM_MM)
        shapes += more
        y_mm += 0.7
    return shapes, y_mm


def _numbered(number: int, x_mm: float, y_mm: float) -> list[Shape]:
    """White number on black."""
    return [
        Box(x_mm, y_mm, 4.2, 4.2, 0.0),
        Text(x_mm + 2.1, y_mm + 2.1 + CAP * 1.5, f"{number}", 3.0, True, "middle", grey=WHITE),  # noqa: FBT003 - bold
    ]


def _placed(shape: Shape, sticking: Sticking, x_mm: float, y_mm: float) -> Shape:
    """Shape of a picture in its place; pictures are drawn with the pointer on the right."""
    mirrored = sticking.number_side == "left"

    def across(at_mm: float) -> float:
        return x_mm + (PICTURE_WIDE_MM - at_mm if mirrored else at_mm)

    if isinstance(shape, Line):
        ends = (across(shape.x1_mm), y_mm + shape.y1_mm, across(shape.x2_mm), y_mm + shape.y2_mm)
        return Line(*ends, shape.width_mm, shape.grey)
    if isinstance(shape, Box):
        left_mm = min(across(shape.x_mm), across(shape.x_mm + shape.width_mm))
        size = (shape.width_mm, shape.height_mm, shape.line_mm, shape.grey)
        return Box(left_mm, y_mm + shape.y_mm, *size)
    anchors = {"start": "end", "end": "start", "middle": "middle"} if mirrored else {}
    turned = {"◀": "▶"} if mirrored else {}
    return Text(
        across(shape.x_mm),
        y_mm + shape.y_mm,
        turned.get(shape.words, shape.words),
        shape.em_mm,
        shape.bold,
        anchors.get(shape.anchor, shape.anchor),  # type: ignore[arg-type]
        grey=shape.grey,
    )


def _bar() -> Iterator[Shape]:
    """The bar of a sight, broken off above and below."""
    for x_mm in (0.0, BAR_MM):
        yield Line(x_mm, 0.0, x_mm, PICTURE_HIGH_MM, 0.3)


def _strip(
    from_mm: float = 0.6, to_mm: float = PICTURE_HIGH_MM - 0.6, ticks: range = range(-5, 8)
) -> Iterator[Shape]:
    """A strip on the bar, its ticks toward the pointer; tick 0 is at the pointer's height."""
    left_mm = BAR_MM - STRIP_MM - 0.5
    yield Box(left_mm, from_mm, STRIP_MM, to_mm - from_mm, STROKE_MM)
    for index in ticks:
        y_mm = POINTER_MM + STEP_MM * index
        if from_mm + 0.4 < y_mm < to_mm - 0.4:
            reach_mm = 1.5 if index in (0, 5, -3) else 0.8
            yield Line(left_mm + STRIP_MM, y_mm, left_mm + STRIP_MM - reach_mm, y_mm, STROKE_MM)


def _pointer() -> Iterator[Shape]:
    """The pointer beside the bar."""
    yield Text(BAR_MM + 0.2, POINTER_MM + 0.37 * 2.8, "◀", 2.8)
    yield Line(BAR_MM + 2.0, POINTER_MM, BAR_MM + 4.2, POINTER_MM, 0.5)


def _beside(words: str, below_mm: float = 0.0) -> Text:
    """Words beside the pointer."""
    return Text(BAR_MM + 4.8, POINTER_MM + CAP * 1.3 + below_mm, words, 2.6, bold=True)


def _set(sticking: Sticking) -> Iterator[Shape]:
    """Pointer run up and down to its reading on the gauge strip."""
    yield from (*_bar(), *_strip(), *_pointer())
    yield _beside(sticking.reading)
    for y_mm, way in ((1.2, -1), (POINTER_MM + 5.4, 1)):
        end_mm = y_mm + 1.1 * way + 1.1
        yield Line(BAR_MM + 3.1, end_mm - 1.6 * way, BAR_MM + 3.1, end_mm, STROKE_MM, SOFT_GREY)
        for side in (-0.7, 0.7):
            yield Line(
                BAR_MM + 3.1 + side, end_mm - 0.8 * way, BAR_MM + 3.1, end_mm, STROKE_MM, SOFT_GREY
            )


def _lock(_sticking: Sticking) -> Iterator[Shape]:
    """A closed lock beside the pointer."""
    yield from (*_bar(), *_strip(), *_pointer())
    left_mm, top_mm = BAR_MM + 5.4, POINTER_MM - 0.8
    yield Box(left_mm, top_mm, 4.6, 3.6, 0.0)
    middle_mm, radius_mm = left_mm + 2.3, 1.5
    turns = [pi * step / 10.0 for step in range(11)]
    arch = [(middle_mm + radius_mm * cos(one), top_mm - radius_mm * sin(one)) for one in turns]
    for (x1_mm, y1_mm), (x2_mm, y2_mm) in pairwise(arch):
        yield Line(x1_mm, y1_mm - 0.5, x2_mm, y2_mm - 0.5, 0.5)
    for side in (-radius_mm, radius_mm):
        yield Line(middle_mm + side, top_mm - 0.6, middle_mm + side, top_mm, 0.5)


def _peel(_sticking: Sticking) -> Iterator[Shape]:
    """The gauge strip lifted off from below, the pointer where it was."""
    bend_mm = POINTER_MM + 2.4
    yield from (*_bar(), *_strip(to_mm=bend_mm), *_pointer())
    left_mm = BAR_MM - STRIP_MM - 0.5
    for x_mm in (left_mm, left_mm + STRIP_MM):
        yield Line(x_mm, bend_mm, x_mm + 6.5, bend_mm + 4.4, STROKE_MM)
    yield Line(left_mm + 6.5, bend_mm + 4.4, left_mm + STRIP_MM + 6.5, bend_mm + 4.4, STROKE_MM)
    tip = (left_mm + STRIP_MM + 9.0, bend_mm + 3.2)
    yield Line(tip[0] - 3.2, tip[1] - 2.2, *tip, STROKE_MM, SOFT_GREY)
    yield Line(tip[0] - 1.1, tip[1] + 0.1, *tip, STROKE_MM, SOFT_GREY)
    yield Line(tip[0] - 0.3, tip[1] - 1.1, *tip, STROKE_MM, SOFT_GREY)


def _stick(sticking: Sticking) -> Iterator[Shape]:
    """The tape on the bar, its tick at the pointer, all others toward the far end."""
    down = sticking.far_end == "down"
    yield from (*_bar(), *_strip(ticks=range(8) if down else range(-5, 1)), *_pointer())
    yield _beside(sticking.tick)
    left_mm = BAR_MM - STRIP_MM - 0.2
    far_mm = POINTER_MM + STEP_MM * (5 if down else -3)
    for words, y_mm in ((sticking.tick, POINTER_MM), (sticking.far, far_mm)):
        yield Text(left_mm, y_mm + CAP * 0.85, words, 1.7)
