"""Clipping: which part of a stroke lies inside an upright rectangle, and which outside.

Holds:  Area record; parts of lines inside and outside it; the room that words take.
Never:  grids, tiles, paper.
Source: parametric clipping of a segment, Liang and Barsky, ACM Trans. Graphics 3 (1984) 1.
"""

from dataclasses import dataclass, replace

from tapewright.drawing.lettering import CAP, width_mm
from tapewright.drawing.shapes import Line, Text

DESCENT = 0.24  # of a comma or a p below the baseline, in ems
LEAST_MM = 1e-6  # shorter pieces are rounding, not ink


@dataclass(frozen=True, slots=True)
class Area:
    """An upright rectangle.

    Parameters
    ----------
    left_mm, top_mm, right_mm, bottom_mm : float
        Its edges; right and down positive. [mm]
    """

    left_mm: float
    top_mm: float
    right_mm: float
    bottom_mm: float

    @property
    def wide_mm(self) -> float:
        """Width [mm]."""
        return self.right_mm - self.left_mm

    @property
    def high_mm(self) -> float:
        """Height [mm]."""
        return self.bottom_mm - self.top_mm

    @property
    def middle_mm(self) -> tuple[float, float]:
        """Its middle, across and down [mm]."""
        return (self.left_mm + self.right_mm) / 2.0, (self.top_mm + self.bottom_mm) / 2.0

    def meets(self, other: "Area") -> bool:
        """Whether two rectangles share more than an edge."""
        return (
            self.left_mm < other.right_mm
            and other.left_mm < self.right_mm
            and self.top_mm < other.bottom_mm
            and other.top_mm < self.bottom_mm
        )

    def grown(self, right_mm: float, down_mm: float) -> "Area":
        """Return the rectangle with its right and its lower edge moved outward."""
        return replace(self, right_mm=self.right_mm + right_mm, bottom_mm=self.bottom_mm + down_mm)


def words_area(text: Text) -> Area:
    """Room that one line of words takes, if it is not turned.

    Parameters
    ----------
    text : Text
        The words.

    Returns
    -------
    Area
        From the top of a capital to the foot of a comma.
    """
    wide_mm = width_mm(text.words, text.em_mm, bold=text.bold, figures=text.figures)
    left_mm = text.x_mm - wide_mm * {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor]
    return Area(
        left_mm,
        text.y_mm - CAP * text.em_mm,
        left_mm + wide_mm,
        text.y_mm + DESCENT * text.em_mm,
    )


def inside(line: Line, area: Area) -> tuple[Line, ...]:
    """Part of a line inside a rectangle.

    Parameters
    ----------
    line : Line
        The line.
    area : Area
        The rectangle; a line along its edge counts as inside.

    Returns
    -------
    tuple of Line
        One, or none.
    """
    shares = _shares(line, area)
    return () if shares is None else _pieces(line, (shares,))


def outside(line: Line, area: Area) -> tuple[Line, ...]:
    """Parts of a line outside a rectangle.

    Parameters
    ----------
    line : Line
        The line.
    area : Area
        The rectangle; a line along its edge counts as outside.

    Returns
    -------
    tuple of Line
        None, one or two.
    """
    shrunk = Area(
        area.left_mm + LEAST_MM,
        area.top_mm + LEAST_MM,
        area.right_mm - LEAST_MM,
        area.bottom_mm - LEAST_MM,
    )
    shares = _shares(line, shrunk)
    if shares is None:
        return (line,)
    enters, leaves = shares
    return _pieces(line, ((0.0, enters), (leaves, 1.0)))


def _shares(line: Line, area: Area) -> tuple[float, float] | None:
    """Where along a line a rectangle is entered and left, 0 to 1; None if it is missed."""
    run_mm, fall_mm = line.x2_mm - line.x1_mm, line.y2_mm - line.y1_mm
    enters, leaves = 0.0, 1.0
    for step_mm, room_mm in (
        (-run_mm, line.x1_mm - area.left_mm),
        (run_mm, area.right_mm - line.x1_mm),
        (-fall_mm, line.y1_mm - area.top_mm),
        (fall_mm, area.bottom_mm - line.y1_mm),
    ):
        if step_mm == 0.0:
            if room_mm < 0.0:
                return None
        elif step_mm < 0.0:
            enters = max(enters, room_mm / step_mm)
        else:
            leaves = min(leaves, room_mm / step_mm)
    return (enters, leaves) if enters < leaves else None


def _pieces(line: Line, shares: tuple[tuple[float, float], ...]) -> tuple[Line, ...]:
    """Pieces of a line between shares of its length, those too short to see left out."""
    run_mm, fall_mm = line.x2_mm - line.x1_mm, line.y2_mm - line.y1_mm
    long_mm = (run_mm**2 + fall_mm**2) ** 0.5
    return tuple(
        replace(
            line,
            x1_mm=line.x1_mm + start * run_mm,
            y1_mm=line.y1_mm + start * fall_mm,
            x2_mm=line.x1_mm + end * run_mm,
            y2_mm=line.y1_mm + end * fall_mm,
        )
        for start, end in shares
        if (end - start) * long_mm > 2.0 * LEAST_MM
    )
