"""Lanes: one run of ticks and numbers beside another on the same strip.

    edge ┃━━━━━━ 20        ticks grow inward from the edge the pointer runs along;
         ┃━━               numbers stand upright at their inner ends, so a number
         ┃━━━━  25         can only ever meet another number of its own lane

Holds:  Lane; sizes of ticks and lettering for a lane's width; its drawing.
Never:  strips, sheets, how many pins there are.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from tapewright.drawing.lettering import CAP, width_mm
from tapewright.drawing.shapes import Anchor, Line, Shape, Text
from tapewright.drawing.ticks import Rank, kept_ticks, numbered, roundness, tick_rank
from tapewright.ground.errors import DoesNotFit

INK = 1.03  # digits with round tops reach 1.5 % beyond the height of a flat one, both ways
INNER_WHITE_MM = 0.6
LARGEST_EM_MM = {"far": 3.5, "close": 1.9}
CLOSE_EM = 0.55  # largest lettering of a close lane against its width
SMALLEST_EM_MM = 1.3  # capital 0.95 mm, about the small print of a map
SHORTEST_TEN_MM = 1.2
SIZES = (1.0, 0.9, 0.8, 0.7)
FIVES = 0.82  # lettering of the fives against the tens
STROKE_MM: dict[Rank, float] = {"long": 0.26, "medium": 0.19, "short": 0.15}
REACH: dict[Rank, float] = {"long": 1.0, "medium": 0.74, "short": 0.48}
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
        Numbers wanted at multiples of this, 5 or 10; close lanes number what fits.
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
    def longest_tick_mm(self) -> float:
        """Length of a tick at a ten; far ones give way to numbers that could not be read [mm]."""
        if self.kind == "close":
            return min(max(0.3 * self.width_mm, 0.8), 1.6)
        usual_mm = min(max(0.36 * self.width_mm, 1.5), 5.0)
        spare_mm = self.width_mm - self.white_mm - SMALLEST_EM_MM * self.per_em
        return max(min(usual_mm, spare_mm), SHORTEST_TEN_MM)

    @property
    def number_gap_mm(self) -> float:
        """White between a long tick and its number [mm]."""
        return min(0.06 * self.width_mm, 0.6)

    @property
    def white_mm(self) -> float:
        """White on both sides of a number [mm]."""
        return self.number_gap_mm + min(0.06 * self.width_mm, INNER_WHITE_MM)

    @property
    def per_em(self) -> float:
        """Width of the widest number that may be wanted, for an em of 1 [-]."""
        return _widest(self)

    def urgency(self, distance: float) -> int | None:
        """How early a distance gets its number; None for never [-]."""
        rank = roundness(distance)
        if self.kind == "close":
            return rank
        return rank if distance % self.number_every == 0 else None


@lru_cache(maxsize=32)  # asked for at every tick
def _widest(lane: Lane) -> float:
    """Width of the widest number that a lane may want, for an em of 1 [-]."""
    numbers = [_number(one) for one in lane.distances if lane.urgency(one) is not None]
    is_far = lane.kind == "far"
    return max((width_mm(number, 1.0, bold=is_far) for number in numbers), default=1e-3)


def largest_em_mm(lane: Lane) -> float:
    """Largest lettering that the lane is wide enough for.

    Parameters
    ----------
    lane : Lane
        The lane.

    Returns
    -------
    float
        The em of its tens. [mm]

    Raises
    ------
    DoesNotFit
        If it would be too small to read.
    """
    room_mm = lane.width_mm - lane.longest_tick_mm - lane.white_mm
    per_em = lane.per_em
    em_mm = min(room_mm / per_em, LARGEST_EM_MM[lane.kind])
    if lane.kind == "close":
        em_mm = min(em_mm, CLOSE_EM * lane.width_mm)
    if em_mm < SMALLEST_EM_MM - 1e-9:
        missing_mm = (SMALLEST_EM_MM - em_mm) * per_em
        raise DoesNotFit(
            lane.width_mm + missing_mm,
            lane.width_mm,
            "Make the strip wider, or print fewer pins on it",
        )
    return em_mm


def lane_shapes(lane: Lane) -> tuple[Shape, ...]:
    """Ticks and numbers of one lane.

    Parameters
    ----------
    lane : Lane
        The lane.

    Returns
    -------
    tuple of Line and Text
        Ticks on the layer "tick", numbers on the layer "number".

    Raises
    ------
    DoesNotFit
        If the lane is too narrow for numbers that can be read.
    """
    keep = kept_ticks(lane.distances, lane.places_mm, evenly=lane.kind == "far")
    rows = [
        row
        for row, kept in zip(
            zip(lane.distances, lane.places_mm, lane.trusted, strict=True), keep, strict=True
        )
        if kept
    ]
    em_mm, chosen = _best_numbers(lane, rows)
    shapes: list[Shape] = [_tick(lane, *row) for row in rows]
    shapes += [
        _number_text(lane, *row, em_mm) for row, shown in zip(rows, chosen, strict=True) if shown
    ]
    return tuple(shapes)


def _best_numbers(
    lane: Lane, rows: list[tuple[float, float, bool]]
) -> tuple[float, tuple[bool, ...]]:
    """Largest lettering with which the most tens (close lanes: numbers) stand clear."""
    largest_mm = largest_em_mm(lane)
    distances = [row[0] for row in rows]
    places_mm = [row[1] for row in rows]

    def worth(size: float) -> tuple[int, float, tuple[bool, ...]]:
        em_mm = max(size * largest_mm, SMALLEST_EM_MM)
        shown = numbered(
            distances, places_mm, lane.urgency, lambda one: _digit_mm(lane, one, em_mm)
        )
        tens = [
            is_shown
            for distance, is_shown in zip(distances, shown, strict=True)
            if lane.kind == "close" or distance % 10 == 0
        ]
        return sum(tens), em_mm, shown

    _, em_mm, shown = max((worth(size) for size in SIZES), key=lambda found: found[:2])
    return em_mm, shown


def _number(distance: float) -> str:
    return f"{distance:g}"


def _number_em_mm(lane: Lane, distance: float, em_mm: float) -> float:
    """Lettering of one number: tens full size, the rest smaller [mm]."""
    return em_mm if lane.kind == "close" or distance % 10 == 0 else FIVES * em_mm


def _digit_mm(lane: Lane, distance: float, em_mm: float) -> float:
    """Height of the ink of one number [mm]."""
    return INK * CAP * _number_em_mm(lane, distance, em_mm)


def _tick(lane: Lane, distance: float, place_mm: float, trusted: bool) -> Line:  # noqa: FBT001 - a row
    rank = tick_rank(distance)
    reach_mm = lane.inward * REACH[rank] * lane.longest_tick_mm
    return Line(
        lane.edge_mm,
        place_mm,
        lane.edge_mm + reach_mm,
        place_mm,
        width_mm=STROKE_MM[rank] * (1.0 if trusted else LIGHTER),
        grey=0.0 if trusted else LIGHT_GREY / 2.0,
        dashed=not trusted,
        layer="tick",
    )


def _number_text(
    lane: Lane,
    distance: float,
    place_mm: float,
    trusted: bool,  # noqa: FBT001 - a row
    em_mm: float,
) -> Text:
    size_mm = _number_em_mm(lane, distance, em_mm)
    anchor: Anchor = "start" if lane.inward > 0 else "end"
    return Text(
        lane.edge_mm + lane.inward * (lane.longest_tick_mm + lane.number_gap_mm),
        place_mm + CAP * size_mm / 2.0,
        _number(distance),
        size_mm,
        bold=trusted and lane.kind == "far" and distance % 10 == 0,
        anchor=anchor,
        grey=0.0 if trusted else LIGHT_GREY,
        layer="number",
    )
