"""Tape: one strip of a sight tape, drawn in mm.

The strip stands upright with its top left corner at the origin; whoever
composes a sheet moves it to its place.

Holds:  Mark, Column, Strip, Look records; the drawing of one strip, with the
        signs that stay on it after cutting.
Never:  paper, margins, how a mark was found.
"""

from dataclasses import dataclass
from math import isfinite
from typing import Literal

from tapewright.drawing.lanes import READ_MM, Lane, Settled, lane_shapes, settled
from tapewright.drawing.lettering import shortened, width_mm
from tapewright.drawing.notches import END_MM, NOTCH_MM, notch_lines
from tapewright.drawing.shapes import Box, Line, Shape, Text
from tapewright.drawing.side_scale import SIDE_MM, side_scale
from tapewright.drawing.strip_signs import (
    SMALLEST_HEAD_EM_MM,
    close_sign,
    foot_words,
    pointer_sign,
)
from tapewright.ground.errors import BadInput, DoesNotFit

NARROWEST_MM, WIDEST_MM = 8.0, 50.0
NARROWEST_CLOSE_MM, WIDEST_CLOSE_MM = 2.8, 3.9
MOST_PINS = 5
HEAD_MM = 5.2
FOOT_MM = 6.2
RULES_ABOVE_FOOT_MM = 3.8
LEAST_END_MM = 1.6  # white beyond the last tick, half a number
SMALL_EM_MM = 1.7
HEAD_BASE_MM = 2.3
CUT_MM = 0.1
CUT_GREY = 0.5
LEAST_DISTANCE, MOST_DISTANCE = 1e-3, 1e6  # that a number is written of, without an exponent


@dataclass(frozen=True, slots=True)
class Mark:
    """The reading for a distance, as a place along the strip.

    Parameters
    ----------
    distance : float
        In the unit that the look names; above 0, as its number is written in digits. [yd or m]
    position_mm : float
        Along the strip, from any zero, growing either way. [mm]
    trusted : bool, default True
        Whether the distance lies within the trusted distance.
    close : bool, default False
        Whether it is nearer than the turning distance, where marks run back.
    """

    distance: float
    position_mm: float
    trusted: bool = True
    close: bool = False

    def __post_init__(self) -> None:
        if not (LEAST_DISTANCE <= self.distance < MOST_DISTANCE and isfinite(self.position_mm)):
            wrong = f"a tick of {self.distance:g} at {self.position_mm:g} mm cannot be drawn"
            raise BadInput("distances", wrong, "Ask for distances above 0, such as 20:80:1yd")


@dataclass(frozen=True, slots=True)
class Column:
    """The marks of one pin.

    Parameters
    ----------
    name : str
        Head of the column, such as "pin 1".
    marks : tuple of Mark
        In any order.
    """

    name: str
    marks: tuple[Mark, ...]

    def lane_marks(self, *, close: bool) -> tuple[Mark, ...]:
        """One lane of marks, nearest first.

        Parameters
        ----------
        close : bool
            Those nearer than the turning distance, or the others.

        Returns
        -------
        tuple of Mark
            In order of distance.
        """
        lane = (mark for mark in self.marks if mark.close is close)
        return tuple(sorted(lane, key=lambda mark: mark.distance))


@dataclass(frozen=True, slots=True)
class Strip:
    """One strip to cut out.

    Parameters
    ----------
    name : str
        What it is called: "−2 %", "start here", "7 of 33".
    columns : tuple of Column
        One for each pin, 1 to 5.
    align : str, default ""
        One sentence: where on the sight to stick it.
    foot : str, default ""
        What it is called once it is cut out; empty: its name.
    align_at : float or None, default None
        Distance of the first pin's tick that comes to the pointer; None: not said. [yd or m]
    side_zero_mm : float, default 0
        Position at which a side scale counts from 0. [mm]
    notches : tuple of float, default none
        Distances of the first pin's far marks that are notched, the nearest first. [yd or m]
    """

    name: str
    columns: tuple[Column, ...]
    align: str = ""
    foot: str = ""
    align_at: float | None = None
    side_zero_mm: float = 0.0
    notches: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if not 1 <= len(self.columns) <= MOST_PINS or not all(one.marks for one in self.columns):
            raise BadInput(
                f"Strip {self.name}",
                f"it has {len(self.columns)} columns, or one without marks",
                f"Give it 1 to {MOST_PINS} columns with a mark each",
            )


@dataclass(frozen=True, slots=True)
class Look:
    """How a strip is drawn.

    Parameters
    ----------
    unit : str, default "yd"
        ``"yd"`` or ``"m"``: the unit of all distances.
    width_mm : float, default 12
        Width of the strip, 8 to 50. [mm]
    number_side : str, default "right"
        Edge along which the pointer runs; ticks begin there.
    far_end : str, default "down"
        End at which the far distances stand: ``"down"`` or ``"up"``.
    number_every : int, default 5
        Numbers at multiples of 5 or of 10.
    length_mm : float or None, default None
        Length of the strip; None: as long as its marks need. [mm]
    side_scale : bool, default False
        Whether millimetres run along the free edge; they take `SIDE_MM` of the width.
    has_foot : bool, default True
        Whether the strip's name stands at its foot.
    has_notches : bool, default False
        Whether the free edge is notched for fingers; that takes `NOTCH_MM` of the width.
    """

    unit: Literal["yd", "m"] = "yd"
    width_mm: float = 12.0
    number_side: Literal["right", "left"] = "right"
    far_end: Literal["down", "up"] = "down"
    number_every: Literal[5, 10] = 5
    length_mm: float | None = None
    side_scale: bool = False
    has_foot: bool = True
    has_notches: bool = False

    def __post_init__(self) -> None:
        if self.side_scale and self.has_notches:
            wrong = "millimetres and notches both want the free edge"
            raise BadInput("notches", wrong, "Choose one of them")
        if not NARROWEST_MM <= self.lanes_mm <= WIDEST_MM:
            wide_mm, what = self._taken
            took = f"; {what} {wide_mm:g} mm of it" if what else ""
            raise BadInput(
                "width",
                f"{self.width_mm:g} mm cannot be drawn well{took}",
                f"Choose {NARROWEST_MM + wide_mm:g} to {WIDEST_MM + wide_mm:g} mm",
            )

    @property
    def lanes_mm(self) -> float:
        """Width that is left for the pins' lanes [mm]."""
        return self.width_mm - self._taken[0]

    @property
    def _taken(self) -> tuple[float, str]:
        """Width that is taken along the free edge [mm], and by what."""
        if self.side_scale:
            return SIDE_MM, "the side scale takes"
        return (NOTCH_MM, "notches take") if self.has_notches else (0.0, "")


@dataclass(frozen=True, slots=True)
class _Plan:
    """Where the marks of a strip come to stand: ``y = zero_mm + sense × position``."""

    length_mm: float
    zero_mm: float
    sense: float
    has_head: bool
    has_foot: bool

    @property
    def rules_end_mm(self) -> float:
        """Where lines between lanes stop, down from the top [mm]."""
        return self.length_mm - (RULES_ABOVE_FOOT_MM if self.has_foot else LEAST_END_MM / 2.0)


def strip_length_mm(strip: Strip, look: Look, stretch: float = 1.0) -> float:
    """Length of a strip as it will be drawn.

    Parameters
    ----------
    strip : Strip
        The strip.
    look : Look
        How it is drawn.
    stretch : float, default 1
        Printed length over reading length; not 1 on a wheel. [-]

    Returns
    -------
    float
        From cut to cut. [mm]

    Raises
    ------
    DoesNotFit
        If the look's length is too short for the marks.
    """
    return _plan(strip, look, stretch).length_mm


def draw_strip(strip: Strip, look: Look, stretch: float = 1.0) -> tuple[Shape, ...]:
    """One strip, its top left corner at the origin.

    Parameters
    ----------
    strip : Strip
        The strip.
    look : Look
        How it is drawn.
    stretch : float, default 1
        Printed length over reading length; not 1 on a wheel. [-]

    Returns
    -------
    tuple of shapes
        Cut line, ticks, numbers, heads and foot.

    Raises
    ------
    DoesNotFit
        If the marks are longer than the look allows, or the strip too narrow.
    """
    plan = _plan(strip, look, stretch)
    shapes: list[Shape] = [
        Box(0.0, 0.0, look.width_mm, plan.length_mm, CUT_MM, CUT_GREY, layer="cut")
    ]
    for number, drawn in enumerate(_settled(strip, look, plan)):
        shapes += _column_shapes(strip, number, drawn, look, plan)
    if look.side_scale:
        shapes += _side_shapes(strip, look, plan)
    if plan.has_head:
        shapes += pointer_sign(look.width_mm, look.number_side)
    if plan.has_foot and look.has_foot:
        shapes += _foot(strip, look, plan)
    if look.has_notches:
        is_right, places_mm = look.number_side == "right", tick_places_mm(strip, look, stretch)
        edge_mm, inward = (0.0, 1) if is_right else (look.width_mm, -1)
        shapes += notch_lines(edge_mm, inward, [places_mm[one] for one in strip.notches])
    return tuple(shapes)


def tick_places_mm(strip: Strip, look: Look, stretch: float = 1.0) -> dict[float, float]:
    """Where the far marks of the first pin stand, down from the strip's top.

    Parameters
    ----------
    strip : Strip
        The strip.
    look : Look
        How it is drawn.
    stretch : float, default 1
        Printed length over reading length; not 1 on a wheel. [-]

    Returns
    -------
    dict of float to float
        Distance [yd or m] to place [mm]; also of marks whose tick is thinned out.
    """
    plan = _plan(strip, look, stretch)
    marks = strip.columns[0].lane_marks(close=False)
    return {mark.distance: plan.zero_mm + plan.sense * mark.position_mm for mark in marks}


def _sense(strip: Strip, look: Look) -> float:
    """1 if positions grow down the paper, else -1."""
    down = 1.0 if look.far_end == "down" else -1.0
    for column in strip.columns:
        far = column.lane_marks(close=False)
        if len(far) > 1:
            return down if far[-1].position_mm >= far[0].position_mm else -down
    return down


def _plan(strip: Strip, look: Look, stretch: float) -> _Plan:
    """Length, zero and direction of a strip; heads and foot where there is room for them."""
    sense = stretch * _sense(strip, look)
    ends_mm = [sense * mark.position_mm for column in strip.columns for mark in column.marks]
    marks_mm = max(ends_mm) - min(ends_mm)
    needs_head = len(strip.columns) > 1
    full_mm = marks_mm + HEAD_MM + FOOT_MM
    length_mm = full_mm if look.length_mm is None else look.length_mm
    end_mm = END_MM if look.has_notches else LEAST_END_MM
    least_mm = marks_mm + end_mm + (HEAD_MM if needs_head else end_mm)
    if length_mm < least_mm:
        raise DoesNotFit(
            least_mm, length_mm, "Leave out the farthest distances, or allow a longer strip"
        )
    has_foot = length_mm >= full_mm
    has_head = needs_head or length_mm >= marks_mm + HEAD_MM + end_mm
    head_mm = HEAD_MM if has_head else end_mm
    foot_mm = FOOT_MM if has_foot else end_mm
    spare_mm = length_mm - marks_mm - head_mm - foot_mm
    zero_mm = head_mm + spare_mm / 2.0 - min(ends_mm)
    return _Plan(length_mm, zero_mm, sense, has_head, has_foot)


@dataclass(frozen=True, slots=True)
class _Places:
    """Where one pin's lanes stand: its outer edge, the seam between them, its inner edge [mm]."""

    outer_mm: float
    seam_mm: float
    inner_mm: float
    inward: int


def _places(strip: Strip, number: int, look: Look) -> _Places:
    """The far lane at the pointer's side, the close lane opposite."""
    closes_mm = _close_rooms(strip, look)
    far_mm = (look.lanes_mm - sum(closes_mm)) / len(strip.columns)  # equal for every pin
    inward = -1 if look.number_side == "right" else 1
    before_mm = number * far_mm + sum(closes_mm[:number])
    outer_mm = (look.width_mm if inward < 0 else 0.0) + inward * before_mm
    inner_mm = outer_mm + inward * (far_mm + closes_mm[number])
    return _Places(outer_mm, inner_mm - inward * closes_mm[number], inner_mm, inward)


Drawn = tuple[Settled | None, Settled | None]  # far and close lane of one pin


def strip_lanes(strip: Strip, look: Look, stretch: float = 1.0) -> tuple[Drawn, ...]:
    """What is drawn of each pin, for what a sheet says of it.

    Parameters
    ----------
    strip : Strip
        The strip.
    look : Look
        How it is drawn.
    stretch : float, default 1
        Printed length over reading length; not 1 on a wheel. [-]

    Returns
    -------
    tuple of (Settled or None, Settled or None)
        Far and close lane of each column.

    Raises
    ------
    DoesNotFit
        If the marks are longer than the look allows, or the strip too narrow.
    """
    return tuple(_settled(strip, look, _plan(strip, look, stretch)))


def _settled(strip: Strip, look: Look, plan: _Plan) -> list[Drawn]:
    """Each pin's lanes; far numbers of all pins are of one height where each may be read."""
    try:
        lanes = [_pin_lanes(strip, number, look, plan) for number in range(len(strip.columns))]
        alone = [settled(far) for far, _ in lanes if far]
        same_mm = min((max(one.ten_height_mm, READ_MM) for one in alone), default=READ_MM)
        return [
            (settled(far, same_mm) if far else None, settled(close) if close else None)
            for far, close in lanes
        ]
    except DoesNotFit as lane:
        taken_mm = look.width_mm - look.lanes_mm
        wanted_mm = taken_mm + look.lanes_mm * lane.wanted_mm / lane.room_mm
        raise DoesNotFit(wanted_mm, look.width_mm, lane.advice) from lane


def _pin_lanes(
    strip: Strip, number: int, look: Look, plan: _Plan
) -> tuple[Lane | None, Lane | None]:
    """Far and close lane of one pin."""
    column, at = strip.columns[number], _places(strip, number, look)
    far, close = column.lane_marks(close=False), column.lane_marks(close=True)
    # Alone, close ticks stand at the strip's other edge; beside another pin, at their own.
    edge_mm, way = (at.inner_mm, -at.inward) if len(strip.columns) == 1 else (at.seam_mm, at.inward)
    far_mm, close_mm = abs(at.seam_mm - at.outer_mm), abs(at.inner_mm - at.seam_mm)
    return (
        _lane(far, "far", (at.outer_mm, at.inward, far_mm), look, plan) if far else None,
        _lane(close, "close", (edge_mm, way, close_mm), look, plan) if close else None,
    )


def _column_shapes(strip: Strip, number: int, drawn: Drawn, look: Look, plan: _Plan) -> list[Shape]:
    """One pin: its lanes, its seams, its head."""
    at, close = _places(strip, number, look), drawn[1]
    shapes: list[Shape] = [shape for one in drawn if one for shape in lane_shapes(one)]
    if close:
        shapes.append(_seam(at.seam_mm, plan))
        run_mm = (LEAST_END_MM / 2.0, plan.rules_end_mm)
        shapes += close_sign(close.lane.places_mm, at.seam_mm, at.inner_mm, run_mm)
    if number:
        shapes.append(Line(at.outer_mm, 0.0, at.outer_mm, plan.rules_end_mm, CUT_MM, CUT_GREY))
    if plan.has_head:
        head = strip.columns[number].name if len(strip.columns) > 1 else look.unit
        shapes += _head(head, at.outer_mm, at.seam_mm, SMALL_EM_MM)
    return shapes


def _close_rooms(strip: Strip, look: Look) -> list[float]:
    """Width of the close lane of each column, 0 where it has none."""
    usual_mm = 0.3 * look.lanes_mm / len(strip.columns)
    room_mm = min(max(usual_mm, NARROWEST_CLOSE_MM), WIDEST_CLOSE_MM)
    return [room_mm if column.lane_marks(close=True) else 0.0 for column in strip.columns]


def _lane(
    marks: tuple[Mark, ...],
    kind: Literal["far", "close"],
    room: tuple[float, int, float],
    look: Look,
    plan: _Plan,
) -> Lane:
    """Lane of these marks, with this edge, direction and width."""
    return Lane(
        *room,
        distances=tuple(mark.distance for mark in marks),
        places_mm=tuple(plan.zero_mm + plan.sense * mark.position_mm for mark in marks),
        trusted=tuple(mark.trusted for mark in marks),
        number_every=look.number_every,
        kind=kind,
    )


def _seam(x_mm: float, plan: _Plan) -> Line:
    """Between the far and the close marks of one pin."""
    return Line(x_mm, LEAST_END_MM / 2.0, x_mm, plan.rules_end_mm, CUT_MM, CUT_GREY)


def _head(words: str, from_mm: float, to_mm: float, em_mm: float) -> list[Shape]:
    """Word over a lane, in the middle of it, as large as fits."""
    room_mm = abs(to_mm - from_mm) - 0.6
    size_mm = max(min(em_mm, room_mm / width_mm(words, 1.0)), SMALLEST_HEAD_EM_MM)
    shown = shortened(words, size_mm, room_mm)
    middle_mm = (from_mm + to_mm) / 2.0
    return [Text(middle_mm, HEAD_BASE_MM, shown, size_mm, anchor="middle", layer="note")]


def _side_shapes(strip: Strip, look: Look, plan: _Plan) -> list[Shape]:
    """Millimetres along the free edge, their head, and the line beside them."""
    is_right = look.number_side == "right"
    edge_mm, inward = (0.0, 1) if is_right else (look.width_mm, -1)
    rule_mm = edge_mm + inward * SIDE_MM
    first_mm = HEAD_MM - LEAST_END_MM if plan.has_head else LEAST_END_MM / 2.0
    zero_mm = plan.zero_mm + plan.sense * strip.side_zero_mm
    room_mm = (first_mm, plan.rules_end_mm)
    shapes: list[Shape] = [Line(rule_mm, 0.0, rule_mm, plan.rules_end_mm, CUT_MM, CUT_GREY)]
    if plan.has_head:
        shapes += _head("mm", edge_mm, rule_mm, SMALL_EM_MM)
    return shapes + list(side_scale(edge_mm, inward, zero_mm, plan.sense, room_mm))


def _foot(strip: Strip, look: Look, plan: _Plan) -> list[Shape]:
    """Name of the strip, so that it can be told after cutting."""
    name = strip.foot or strip.name
    words = f"{look.unit} · {name}" if len(strip.columns) > 1 else name
    return foot_words(words, look.width_mm, plan.length_mm)
