"""Season: misses of groups over the days as a picture: high and low, and left and right below it.

Holds:  the Season record with its panels; days and misses to lines, boxes and words.
Never:  what drifts, units; how a face shows it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, isfinite

from tapewright.drawing.paper import Paper, Sheet
from tapewright.drawing.shapes import Box, Line, Shape, Text

WIDE_MM, PANEL_MM, GAP_MM = 100.0, 40.0, 9.0
LEFT_MM, RIGHT_MM, TOP_MM = 11.0, 97.0, 6.0
EM_MM, DOT_MM, ROW_MM = 3.1, 1.5, 4.4
SOFT, PALE = 0.45, 0.82  # greys
STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
MOST_LINES = 6
LETTER_MM = 1.65  # that a letter takes, on the wide side


@dataclass(frozen=True, slots=True)
class Dot:
    """One group.

    Parameters
    ----------
    day : float
        On which it was shot. [day]
    miss, half : float
        How far from where it was foretold, and half of what chance explains; nan: not measured.
        In whatever the panel's head says.
    is_old : bool
        Whether it was shot before the set-up of now.
    """

    day: float
    miss: float
    half: float
    is_old: bool = False


@dataclass(frozen=True, slots=True)
class Panel:
    """Misses along one axis.

    Parameters
    ----------
    head : str
        What it shows, and its unit.
    dots : tuple of Dot
        The groups.
    trend : tuple of (float, float)
        Days and misses of a line through what has likeliest changed; empty: none. [day], as dots
    """

    head: str
    dots: tuple[Dot, ...]
    trend: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class SeasonPicture:
    """What is drawn of a season.

    Parameters
    ----------
    title : str
        Of the picture.
    panels : tuple of Panel
        One below the other.
    months : tuple of (float, str)
        First days of months, and what is written there. [day]
    changes : tuple of (float, str)
        Days on which the set-up was changed, and in which words. [day]
    alarm : float
        Day on which an alarm was raised; nan: none. [day]
    """

    title: str
    panels: tuple[Panel, ...]
    months: tuple[tuple[float, str], ...]
    changes: tuple[tuple[float, str], ...] = ()
    alarm: float = float("nan")


@dataclass(frozen=True, slots=True)
class _Frame:
    """From days and misses to places. [mm]"""

    first: float
    last: float
    most: float
    top_mm: float

    def x_mm(self, day: float) -> float:
        share = (day - self.first) / max(self.last - self.first, 1.0)
        return LEFT_MM + 3.0 + (RIGHT_MM - LEFT_MM - 6.0) * share

    def y_mm(self, miss: float) -> float:
        inside = min(max(miss, -self.most), self.most)
        return self.top_mm + 0.5 * PANEL_MM * (1.0 - inside / self.most)


def season_sheet(picture: SeasonPicture) -> Sheet:
    """The picture of a season.

    Parameters
    ----------
    picture : SeasonPicture
        What is drawn.

    Returns
    -------
    Sheet
        As high as it must be.
    """
    days = [one.day for panel in picture.panels for one in panel.dots]
    days += [day for day, _ in picture.changes]
    shapes: list[Shape] = []
    top_mm = TOP_MM
    for panel in picture.panels:
        frame = _Frame(min(days), max(days), _most(panel), top_mm)
        shapes += _panel(panel, frame)
        shapes += _uprights(picture, frame)
        top_mm += PANEL_MM + GAP_MM
    last = _Frame(min(days), max(days), 1.0, top_mm - GAP_MM - PANEL_MM)
    shapes += _months(picture.months, last)
    y_mm = top_mm + 1.0
    for number, (_, words) in enumerate(picture.changes, 1):
        told = words[: int((RIGHT_MM - LEFT_MM) / LETTER_MM)]
        shapes.append(Text(LEFT_MM, y_mm, f"{number}  {told}", EM_MM))
        y_mm += ROW_MM
    return Sheet(Paper("picture", WIDE_MM, y_mm), tuple(shapes), picture.title)


def _most(panel: Panel) -> float:
    """Largest miss shown, to each side."""
    ends = [abs(one.miss) + one.half for one in panel.dots if isfinite(one.miss)]
    ends += [abs(miss) for _, miss in panel.trend]
    return 1.08 * max(ends, default=1.0) or 1.0


def _panel(panel: Panel, frame: _Frame) -> list[Shape]:
    """Frame, lines across with their numbers, the trend and the groups of one panel."""
    step = next((one for one in STEPS if 2.0 * frame.most / one <= MOST_LINES), 2.0 * frame.most)
    shapes: list[Shape] = [Text(LEFT_MM, frame.top_mm - 1.3, panel.head, EM_MM, bold=True)]
    for line in range(ceil(-frame.most / step), floor(frame.most / step) + 1):
        y_mm = frame.y_mm(line * step)
        grey, wide = (0.0, 0.25) if line == 0 else (PALE, 0.15)
        shapes.append(Line(LEFT_MM, y_mm, RIGHT_MM, y_mm, wide, grey))
        number = f"{line * step:+g}".replace("-", "−") if line else "0"
        shapes.append(Text(LEFT_MM - 1.0, y_mm + 1.1, number, EM_MM, anchor="end"))
    for one in panel.dots:
        if not isfinite(one.miss):
            continue
        x_mm, grey = frame.x_mm(one.day), PALE - 0.2 if one.is_old else SOFT
        ends = (frame.y_mm(one.miss + one.half), frame.y_mm(one.miss - one.half))
        shapes.append(Line(x_mm, ends[0], x_mm, ends[1], 0.2, grey))
        corner = (x_mm - 0.5 * DOT_MM, frame.y_mm(one.miss) - 0.5 * DOT_MM)
        shapes.append(Box(*corner, DOT_MM, DOT_MM, 0.0, grey if one.is_old else 0.0))
    for (day, miss), (other_day, other) in zip(panel.trend, panel.trend[1:], strict=False):
        start, end = (frame.x_mm(day), frame.y_mm(miss)), (frame.x_mm(other_day), frame.y_mm(other))
        shapes.append(Line(*start, *end, 0.6))
    return shapes


def _uprights(picture: SeasonPicture, frame: _Frame) -> list[Shape]:
    """Changes of the set-up with their numbers, and the alarm."""
    bottom_mm = frame.top_mm + PANEL_MM
    shapes: list[Shape] = []
    for number, (day, _) in enumerate(picture.changes, 1):
        x_mm = frame.x_mm(day)
        shapes.append(Line(x_mm, frame.top_mm, x_mm, bottom_mm, 0.3, dashed=True))
        shapes.append(Text(x_mm + 0.8, frame.top_mm + 2.6, str(number), EM_MM, bold=True))
    if isfinite(picture.alarm):
        x_mm = frame.x_mm(picture.alarm)
        is_far = x_mm > 0.5 * (LEFT_MM + RIGHT_MM)
        shapes.append(Line(x_mm, frame.top_mm, x_mm, bottom_mm, 0.3))
        place = (x_mm + (-0.8 if is_far else 0.8), bottom_mm - 0.9)
        shapes.append(Text(*place, "alarm", EM_MM, bold=True, anchor="end" if is_far else "start"))
    return shapes


def _months(months: Sequence[tuple[float, str]], frame: _Frame) -> list[Shape]:
    """Months under the lowest panel, as many as there is room for."""
    shapes: list[Shape] = []
    bottom_mm, free_mm = frame.top_mm + PANEL_MM, -1.0
    for day, name in months:
        x_mm = frame.x_mm(day)
        if not LEFT_MM <= x_mm <= RIGHT_MM - LETTER_MM * len(name) or x_mm < free_mm:
            continue
        shapes.append(Line(x_mm, bottom_mm, x_mm, bottom_mm + 1.2, 0.2))
        shapes.append(Text(x_mm, bottom_mm + 4.2, name, EM_MM))
        free_mm = x_mm + LETTER_MM * len(name) + 2.0
    return shapes
