"""Target grid: lines, numbers and tolerance circle of a target, in mm from the aim.

            −1        0        +1        x grows to the right and y downward from the aim, as
        ┌────┬────────┼────────┬────┐    everywhere in this wing; the printed numbers count
     +1 ├────┼────────┼────────┼────┤ +1 right + and up +, as people do.
        │    │        │        │    │
      0 ├────┼────────┼────────┼────┤ 0
        │    │        │        │    │

Holds:  Target record; its grid, its numbers, the circle.
Never:  the mark in the middle (aiming_mark.py), paper, tiles, what is aimed at it.
"""

from dataclasses import dataclass
from math import asin, cos, pi, sin
from typing import Literal

from tapewright.drawing.lettering import CAP
from tapewright.drawing.shapes import Line, Text
from tapewright.ground.errors import BadInput

FINE_MM = {"in": 12.7, "cm": 10.0}
CELL = 2  # fine squares in one numbered square
STRONG = 10  # fine squares from one strong line to the next
NUMBER_PER_CELL = {"in": 1, "cm": 2}
NARROWEST_MM, WIDEST_MM = 40.0, 2500.0
RIM_MM = 8.0  # around the frame, for its numbers
DASH_MM, DASH_GAP_MM = 1.2, 0.9  # chords of a circle: 0.01 mm off it at a radius of 20 mm
CIRCLE_MM, CIRCLE_GREY = 0.45, 0.35
FRAME_MM, FRAME_GREY = 0.4, 0.3
NUMBER_EM_MM, CROSSING_EM_MM = 2.5, 2.0

Rank = Literal["axis", "strong", "cell", "fine"]
# Greys light enough that a hole shows dark against every line but the axes.
INK: dict[Rank, tuple[float, float]] = {
    "axis": (0.4, 0.35),
    "strong": (0.35, 0.5),
    "cell": (0.22, 0.62),
    "fine": (0.12, 0.74),
}


@dataclass(frozen=True, slots=True)
class Target:
    """A measured grid around an aim.

    Parameters
    ----------
    unit : str
        ``"in"``: a line each half inch, numbered each inch; ``"cm"``: a line each
        centimetre, numbered each second one.
    width_mm, height_mm : float
        Of the frame; the aim is in its middle. [mm]
    aiming_mark_mm : float
        Half the diagonal of the aiming mark. [mm]
    circle_mm : float or None, default None
        Radius of the broken circle around the aim; None for no circle. [mm]
    """

    unit: Literal["in", "cm"]
    width_mm: float
    height_mm: float
    aiming_mark_mm: float
    circle_mm: float | None = None

    def __post_init__(self) -> None:
        for side_mm in (self.width_mm, self.height_mm):
            if not NARROWEST_MM <= side_mm <= WIDEST_MM:
                raise BadInput(
                    "size",
                    f"{side_mm / 10.0:g} cm cannot be printed well",
                    f"Choose {NARROWEST_MM / 10:g} to {WIDEST_MM / 10:g} cm each way",
                )
        if not 0.0 < self.aiming_mark_mm < min(self.width_mm, self.height_mm) / 2.0:
            raise BadInput(
                "Aiming mark",
                f"{2.0 * self.aiming_mark_mm:g} mm is wider than the target, or nothing",
                "Choose a larger target or a smaller mark",
            )
        if self.circle_mm is not None and not self.circle_mm > 0.0:
            raise BadInput(
                "tolerance", f"a radius of {self.circle_mm:g} mm", "Choose a radius over 0"
            )

    @property
    def fine_mm(self) -> float:
        """Distance of neighbouring lines [mm]."""
        return FINE_MM[self.unit]


def grid_shapes(target: Target) -> tuple[Line, ...]:
    """Lines of the grid, light ones first, and its frame.

    Parameters
    ----------
    target : Target
        The target.

    Returns
    -------
    tuple of Line
        From frame to frame; the upright line through the aim is the plumb line's.
    """
    half_mm, tall_mm = target.width_mm / 2.0, target.height_mm / 2.0
    lines = [
        _ruled(target, step, tall_mm, upright=True) for step in _steps(target, half_mm) if step
    ]
    lines += [_ruled(target, step, half_mm, upright=False) for step in _steps(target, tall_mm)]
    ordered = [line for _, line in sorted(lines, key=lambda row: -row[0])]
    corners = ((-half_mm, -tall_mm), (half_mm, -tall_mm), (half_mm, tall_mm), (-half_mm, tall_mm))
    frame = [
        Line(*start, *end, FRAME_MM, FRAME_GREY)
        for start, end in zip(corners, (*corners[1:], corners[0]), strict=True)
    ]
    return (*ordered, *frame)


def number_shapes(target: Target, *, crossings: bool) -> tuple[Text, ...]:
    """Numbers around the frame, and where wanted at the crossings of strong lines.

    Parameters
    ----------
    target : Target
        The target.
    crossings : bool
        Whether each crossing of strong lines says where it is: for a target of several sheets,
        where the frame may be far away.

    Returns
    -------
    tuple of Text
        In the unit of the target; right and up positive.
    """
    half_mm, tall_mm = target.width_mm / 2.0, target.height_mm / 2.0
    across = [step for step in _steps(target, half_mm) if step % CELL == 0]
    down = [step for step in _steps(target, tall_mm) if step % CELL == 0]
    em_mm, cap_mm = NUMBER_EM_MM, CAP * NUMBER_EM_MM
    texts = []
    for step in across:
        x_mm, words, bold = step * target.fine_mm, _number(target, step), step % STRONG == 0
        texts += [
            Text(x_mm, y_mm, words, em_mm, bold, "middle", layer="number")
            for y_mm in (-tall_mm - 1.4, tall_mm + 1.4 + cap_mm)
        ]
    for step in down:
        y_mm, words = step * target.fine_mm + cap_mm / 2.0, _number(target, -step)
        bold = step % STRONG == 0
        texts.append(Text(-half_mm - 1.2, y_mm, words, em_mm, bold, "end", layer="number"))
        texts.append(Text(half_mm + 1.2, y_mm, words, em_mm, bold, layer="number"))
    if crossings:
        texts += _crossings(target, across, down)
    return tuple(texts)


def circle_shapes(target: Target) -> tuple[Line, ...]:
    """Broken circle around the aim.

    Parameters
    ----------
    target : Target
        The target.

    Returns
    -------
    tuple of Line
        Short chords, each end on the circle; none without a circle.
    """
    radius_mm = target.circle_mm
    if radius_mm is None:
        return ()
    half_rad = asin(min(DASH_MM / (2.0 * radius_mm), 0.2))
    dashes = 4 * max(round(pi * radius_mm / (2.0 * (DASH_MM + DASH_GAP_MM))), 2)
    lines = []
    for dash in range(dashes):
        ends = [
            (radius_mm * cos(angle_rad), radius_mm * sin(angle_rad))
            for angle_rad in (
                2.0 * pi * (dash + 0.5) / dashes - half_rad,
                2.0 * pi * (dash + 0.5) / dashes + half_rad,
            )
        ]
        lines.append(Line(*ends[0], *ends[1], CIRCLE_MM, CIRCLE_GREY))
    return tuple(lines)


def _steps(target: Target, half_mm: float) -> range:
    """Every fine line inside the frame, counted from the aim."""
    most = int((half_mm - 1e-6) / target.fine_mm)
    return range(-most, most + 1)


def _rank(step: int) -> Rank:
    if step == 0:
        return "axis"
    if step % STRONG == 0:
        return "strong"
    return "cell" if step % CELL == 0 else "fine"


def _ruled(target: Target, step: int, reach_mm: float, *, upright: bool) -> tuple[int, Line]:
    """One line of the grid, and how light it is."""
    rank = _rank(step)
    stroke_mm, grey = INK[rank]
    at_mm = step * target.fine_mm
    ends = (at_mm, -reach_mm, at_mm, reach_mm) if upright else (-reach_mm, at_mm, reach_mm, at_mm)
    return list(INK).index(rank), Line(*ends, stroke_mm, grey, layer="tick")


def _number(target: Target, step: int) -> str:
    """Coordinate of a line with its sign."""
    value = step // CELL * NUMBER_PER_CELL[target.unit]
    return f"{value:+d}".replace("-", "−") if value else "0"


def _crossings(target: Target, across: list[int], down: list[int]) -> list[Text]:
    """Where each crossing of strong lines is, right of it and above it."""
    texts = []
    for right in across:
        for below in down:
            if right % STRONG == 0 and below % STRONG == 0 and (right or below):
                words = f"{_number(target, right)}, {_number(target, -below)}"
                x_mm, y_mm = right * target.fine_mm + 0.8, below * target.fine_mm - 0.8
                texts.append(Text(x_mm, y_mm, words, CROSSING_EM_MM, grey=0.3, layer="number"))
    return texts
