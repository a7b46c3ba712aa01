"""Lanes: one run of ticks and numbers beside another on the same strip.

    edge ┃━━━━━━ 20        ticks grow inward from the edge the pointer runs along;
         ┃━━               numbers stand upright at their inner ends, so a number
         ┃━━━━  25         can only ever meet another number of its own lane

Holds:  Lane; what is drawn of it (Settled): ticks, numbers, their height and face; its drawing.
Never:  strips, sheets, how many pins there are.
Source: heights of at least 16 minutes of arc, better 20, at an arm's length [ISO9241-3,
        NUREG0700]; which ticks and numbers stand: ticks.py.
"""

from dataclasses import dataclass
from functools import lru_cache
from math import pi, tan
from typing import Literal

from tapewright.drawing.lettering import CAP, ink_mm, width_mm
from tapewright.drawing.shapes import Anchor, Figures, Line, Shape, Text
from tapewright.drawing.ticks import (
    LINE,
    Rank,
    coarseness,
    fives_between,
    kept_ticks,
    numbered,
    numbered_by_rule,
    roundness,
    thinned_between,
    tick_rank,
)
from tapewright.ground.errors import DoesNotFit

ARM_MM = 600.0  # from the eye to the sight, or to a strip held in the hand
_ARC = pi / 180.0 / 60.0
READ_MM = round(2.0 * ARM_MM * tan(16.0 * _ARC / 2.0), 1)  # 2.8: least height at an arm's length
LARGEST_MM = round(2.0 * ARM_MM * tan(20.0 * _ARC / 2.0), 1)  # 3.5: what is preferred
SMALLEST_MM = 1.3  # of numbers on a strip too narrow or too short for the least
SMALLEST_CLOSE_MM, USUAL_CLOSE_MM, LARGEST_CLOSE_MM = 0.95, 1.4, 2.2
STEP_MM = 0.1  # between heights that are tried
FEWEST = 3  # numbers for which the height is lowered below the least
FIVES = 0.85  # height of the fives against the tens, but never below the least for it
TEN_SHARE, SHORTEST_TEN_MM, LONGEST_TEN_MM = 0.3, 1.5, 5.0
CROWDED_TEN_MM = 1.2  # where numbers would be below the least
LEAST_WHITE_MM = 0.25  # behind a number: half of the heaviest seam, and 0.1 mm
WITHOUT_WHITES = 0.925  # of a narrow lane's width, what is left beside its whites
STROKE_MM: dict[Rank, float] = {"long": 0.3, "medium": 0.22, "short": 0.15}
REACH: dict[Rank, float] = {"long": 1.0, "medium": 0.8, "short": 0.58}
LIGHTER = 0.65  # stroke of an untrusted tick against a trusted one
LIGHT_GREY = 0.4


@dataclass(frozen=True, slots=True)
class Lane:
    """Marks that share one run of ticks.

    Parameters
    ----------
    edge_mm : float
        Where the ticks begin. [mm]
    inward : int
        Direction of the ticks: 1 to the right, -1 to the left. [-]
    width_mm : float
        Room for ticks and numbers. [mm]
    distances : tuple of float
        Growing. [yd or m]
    places_mm : tuple of float
        Where each mark stands, down the paper. [mm]
    trusted : tuple of bool
        Whether each mark lies within the trusted distance.
    number_every : int
        10: tens only; 5: fives too, where they fit. Close lanes number what fits.
    kind : str, default "far"
        ``"far"`` or ``"close"``: beyond or nearer than the turning distance.
    """

    edge_mm: float
    inward: int
    width_mm: float
    distances: tuple[float, ...]
    places_mm: tuple[float, ...]
    trusted: tuple[bool, ...]
    number_every: int
    kind: Literal["far", "close"] = "far"

    @property
    def gap_mm(self) -> float:
        """White between a long tick and its number [mm]."""
        return min(0.045 * self.width_mm, 0.6)

    @property
    def white_mm(self) -> float:
        """White on both sides of a number [mm]."""
        return self.gap_mm + max(min(0.03 * self.width_mm, 0.5), LEAST_WHITE_MM)

    def place_mm(self, distance: float) -> float:
        """Where the mark of a distance stands [mm]."""
        return self.places_mm[self.distances.index(distance)]

    def is_trusted(self, distance: float) -> bool:
        """Whether the mark of a distance lies within the trusted distance."""
        return self.trusted[self.distances.index(distance)]


@dataclass(frozen=True, slots=True)
class Number:
    """One number on a lane."""

    distance: float
    height_mm: float
    figures: Figures

    @property
    def words(self) -> str:
        """What is printed."""
        return f"{self.distance:g}"


@dataclass(frozen=True, slots=True)
class Settled:
    """What is drawn of a lane.

    Parameters
    ----------
    lane : Lane
        The lane.
    ten_mm : float
        Length of the tick of a ten. [mm]
    ticks : tuple of float
        Distances whose tick is drawn; growing. [yd or m]
    numbers : tuple of Number
        In any order.
    """

    lane: Lane
    ten_mm: float
    ticks: tuple[float, ...]
    numbers: tuple[Number, ...]

    @property
    def height_mm(self) -> float:
        """Height of the lowest number; infinite for none [mm]."""
        return min((one.height_mm for one in self.numbers), default=float("inf"))

    @property
    def ten_height_mm(self) -> float:
        """Height of the highest number; infinite for none [mm]."""
        return max((one.height_mm for one in self.numbers), default=float("inf"))

    @property
    def coarse(self) -> tuple[tuple[float, int], ...]:
        """From which distance on ticks stand at which step; empty where all are drawn."""
        return coarseness(self.lane.distances, self.ticks)

    @property
    def wide_enough_mm(self) -> float:
        """Width of a lane in which all its numbers would have the least height [mm]."""
        widest = max((ink_mm(one.words, 1.0, "narrow") for one in self.numbers), default=0.0)
        need_mm = SHORTEST_TEN_MM + widest * READ_MM / CAP
        return (need_mm + LEAST_WHITE_MM) / WITHOUT_WHITES


@lru_cache(maxsize=256)  # hints, page and every file of a sheet ask for the same lanes
def settled(lane: Lane, most_mm: float = LARGEST_MM) -> Settled:
    """Which ticks and numbers of a lane are drawn, and how large.

    Parameters
    ----------
    lane : Lane
        The lane.
    most_mm : float, default 3.5
        Height that its numbers shall not exceed. [mm]

    Returns
    -------
    Settled
        Ready to be drawn.

    Raises
    ------
    DoesNotFit
        If the lane is too narrow for numbers that can be read.
    """
    keep = kept_ticks(lane.distances, lane.places_mm, evenly=lane.kind == "far")
    if not any(keep):  # crowded beyond any step: the roundest stand for all
        keep = kept_ticks(lane.distances, lane.places_mm, evenly=False)
    ticks = tuple(one for one, kept in zip(lane.distances, keep, strict=True) if kept)
    return _far(lane, ticks, most_mm) if lane.kind == "far" else _close(lane, ticks)


def lane_shapes(drawn: Settled) -> tuple[Shape, ...]:
    """Ticks and numbers of one lane.

    Parameters
    ----------
    drawn : Settled
        The lane, and what is drawn of it.

    Returns
    -------
    tuple of Line and Text
        Ticks on the layer "tick", numbers on the layer "number".
    """
    return (
        *(_tick(drawn, distance) for distance in drawn.ticks),
        *(_number_text(drawn, number) for number in drawn.numbers),
    )


def _far(lane: Lane, ticks: tuple[float, ...], most_mm: float) -> Settled:
    """As high as width and crowding allow; below the least height only for want of numbers."""
    places_mm = tuple(lane.place_mm(one) for one in ticks)
    wanted = [one for one in ticks if _may_be_numbered(one, ticks)] or list(ticks)
    ten_mm, widest_mm = _heights(lane, wanted)
    largest_mm = min(widest_mm, most_mm)
    heights_mm = _tried(largest_mm, SMALLEST_MM)
    found = {high: numbered_by_rule(ticks, places_mm, high) for high in heights_mm}
    readable = [high for high in heights_mm if high >= READ_MM - 1e-9] or heights_mm[:1]
    most = len(found[readable[-1]])
    high_mm = next(high for high in readable if len(found[high]) == most)
    tens = sum(roundness(one) == 0 for one in lane.distances)
    if most < min(FEWEST, tens):
        high_mm = max(heights_mm, key=lambda high: (min(len(found[high]), FEWEST), high))
    chosen = found[high_mm]
    fives_mm = max(FIVES * high_mm, min(READ_MM, high_mm))
    fives: tuple[float, ...] = ()
    if lane.number_every == 5:
        clear_mm = (high_mm + fives_mm) / 2.0 + (LINE - 1.0) * fives_mm
        fives = fives_between(chosen, ticks, places_mm, clear_mm)
    heights = dict.fromkeys(chosen, high_mm) | dict.fromkeys(fives, fives_mm)
    drawn = thinned_between(ticks, sorted(heights))
    numbers = tuple(_fitted(lane, ten_mm, one, high) for one, high in heights.items())
    return Settled(lane, ten_mm, drawn, numbers)


def _close(lane: Lane, ticks: tuple[float, ...]) -> Settled:
    """Small numbers, as many as stand clear, in one size."""
    places_mm = tuple(lane.place_mm(one) for one in ticks)
    ten_mm = min(max(0.28 * lane.width_mm, 0.8), 1.6)
    widest = max(ink_mm(f"{one:g}", 1.0, "narrow") for one in ticks)
    room_mm = lane.width_mm - ten_mm - lane.white_mm
    largest_mm = min(room_mm * CAP / widest, LARGEST_CLOSE_MM)
    if largest_mm < SMALLEST_CLOSE_MM:
        _refuse(lane, widest * SMALLEST_CLOSE_MM / CAP - room_mm)
    tries = {
        high: numbered(ticks, places_mm, roundness, high)
        for high in _tried(largest_mm, min(largest_mm, USUAL_CLOSE_MM))
    }
    high_mm = max(tries, key=lambda high: (sum(tries[high]), high))
    numbers = tuple(
        Number(one, high_mm, "narrow")
        for one, is_shown in zip(ticks, tries[high_mm], strict=True)
        if is_shown
    )
    return Settled(lane, ten_mm, ticks, numbers)


def _tried(largest_mm: float, smallest_mm: float) -> list[float]:
    """Heights from the largest down."""
    steps = max(int((largest_mm - smallest_mm) / STEP_MM + 1e-9), 0)
    heights = [largest_mm - STEP_MM * step for step in range(steps + 1)]
    if largest_mm > READ_MM:
        heights.append(READ_MM)
    return sorted(heights, reverse=True)


def _may_be_numbered(distance: float, ticks: tuple[float, ...]) -> bool:
    """Tens and fives; everything where there are few."""
    return roundness(distance) < 2 or len(ticks) < 10


def _heights(lane: Lane, distances: list[float]) -> tuple[float, float]:
    """Length of a ten's tick, and how high numbers of two digits may be beside it [mm]."""
    words = [f"{one:g}" for one in distances]
    usual_mm = min(max(TEN_SHARE * lane.width_mm, SHORTEST_TEN_MM), LONGEST_TEN_MM)
    room_mm = lane.width_mm - lane.white_mm

    def highest(ten_mm: float, faces: tuple[Figures, Figures]) -> float:
        """As high as all are in their face, two digits and more than two."""
        widths = [ink_mm(one, 1.0 / CAP, faces[len(one) > 2]) for one in words]
        return (room_mm - ten_mm) / max(widths)

    for faces in (("figures", "narrow"), ("narrow", "narrow")):
        for ten_mm in (usual_mm, SHORTEST_TEN_MM):
            if (high_mm := highest(ten_mm, faces)) >= READ_MM:
                spare_mm = (1.0 - READ_MM / high_mm) * (room_mm - ten_mm)
                longer_mm = min(ten_mm + spare_mm / 2.0, usual_mm)
                return longer_mm, highest(longer_mm, faces)
    shorter = [one for one in words if len(one) < 3] or words
    widest = max(ink_mm(one, 1.0, "narrow") for one in shorter)
    high_mm = min((room_mm - CROWDED_TEN_MM) * CAP / widest, READ_MM)
    if high_mm < SMALLEST_MM:
        _refuse(lane, widest * SMALLEST_MM / CAP + CROWDED_TEN_MM - room_mm)
    return CROWDED_TEN_MM, high_mm


def _fitted(lane: Lane, ten_mm: float, distance: float, high_mm: float) -> Number:
    """A number in the widest face that fits, lower only where the narrow one does not."""
    words = f"{distance:g}"
    room_mm = lane.width_mm - lane.white_mm - ten_mm + 1e-9
    faces: tuple[Figures, ...] = ("figures", "narrow")
    for figures in faces:
        if ink_mm(words, high_mm / CAP, figures) <= room_mm:
            return Number(distance, high_mm, figures)
    lower_mm = room_mm * CAP / ink_mm(words, 1.0, "narrow")
    if lower_mm < SMALLEST_CLOSE_MM:
        _refuse(lane, ink_mm(words, SMALLEST_CLOSE_MM / CAP, "narrow") - room_mm)
    return Number(distance, lower_mm, "narrow")


def _refuse(lane: Lane, missing_mm: float) -> None:
    raise DoesNotFit(
        lane.width_mm + missing_mm / WITHOUT_WHITES,
        lane.width_mm,
        "Make the strip wider, or print fewer pins on it",
    )


def _tick(drawn: Settled, distance: float) -> Line:
    lane, rank = drawn.lane, tick_rank(distance)
    place_mm, trusted = lane.place_mm(distance), lane.is_trusted(distance)
    return Line(
        lane.edge_mm,
        place_mm,
        lane.edge_mm + lane.inward * REACH[rank] * drawn.ten_mm,
        place_mm,
        width_mm=STROKE_MM[rank] * (1.0 if trusted else LIGHTER),
        grey=0.0 if trusted else LIGHT_GREY / 2.0,
        dashed=not trusted,
        layer="tick",
    )


def _number_text(drawn: Settled, number: Number) -> Text:
    lane = drawn.lane
    anchor: Anchor = "start" if lane.inward > 0 else "end"
    em_mm = number.height_mm / CAP
    bare_mm = (
        width_mm(number.words, em_mm, figures=number.figures)
        - ink_mm(number.words, em_mm, number.figures)
    ) / 2.0
    return Text(
        lane.edge_mm + lane.inward * (drawn.ten_mm + lane.gap_mm - bare_mm),
        lane.place_mm(number.distance) + number.height_mm / 2.0,
        number.words,
        em_mm,
        anchor=anchor,
        grey=0.0 if lane.is_trusted(number.distance) else LIGHT_GREY,
        layer="number",
        figures=number.figures,
    )
