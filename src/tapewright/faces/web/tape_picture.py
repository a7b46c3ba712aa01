"""Tape picture: a tape as a small picture for a screen: its ticks, and how far it is trusted.

Holds:  places of ticks and numbers along a line, from marks to SVG.
Never:  what is printed (drawing), how far a mark is trusted, colours (style.css).
"""

from collections.abc import Iterable
from dataclasses import dataclass

from markupsafe import Markup

from tapewright.faces.web.templating import TEMPLATES
from tapewright.ground.units import UNITS
from tapewright.words.quantity_parser import in_unit
from tapewright.words.unit_system import Units, distance_words

LEFT, RIGHT = 14.0, 346.0  # ends of the line in the picture
LEAST_SHOWN, PAST_TRUSTED = 60, 1.12  # how far it is drawn: a little past what is trusted
CROWDED, NUMBER_WIDE = 2.2, 21.0  # ticks and numbers nearer than that are left out
LENGTHS = ((10, 26.0), (5, 18.0), (1, 11.0))  # of ticks, by what their distance is a multiple of
CLOSE = 1e-6


@dataclass(frozen=True, slots=True)
class _Tick:
    """A tick in the picture."""

    x: float
    long: float
    number: str  # empty: none
    is_trusted: bool


def strip(marks_m: Iterable[tuple[float, float]], trusted_m: float, units: Units) -> Markup:
    """A picture of the marks, distance and reading in m; empty where they are too few for a tape.

    Close marks, which run back, are not on it.
    """
    unit_m = UNITS[units.distance].factor
    whole = [(round(at_m / unit_m), reading_m) for at_m, reading_m in marks_m
             if abs(at_m / unit_m - round(at_m / unit_m)) < CLOSE]  # fmt: skip
    last = max(LEAST_SHOWN, PAST_TRUSTED * in_unit(trusted_m, units.distance))
    shown = _one_way([one for one in whole if one[0] <= last])
    if len(shown) < 2:
        return Markup()
    ticks = _ticks(shown, in_unit(trusted_m, units.distance))
    trusted = [one.x for one in ticks if one.is_trusted]
    drawn = TEMPLATES.get_template("strip.html").render(
        ticks=ticks,
        left=LEFT,
        right=RIGHT,
        ends=(shown[0][0], shown[-1][0]),
        trusted_x=trusted[-1] if trusted else None,
        trusted=distance_words(trusted_m, units) if trusted_m else "",
        units=units,
    )
    return Markup(drawn.replace("\n", ""))  # noqa: S704 — the template escapes


def _one_way(marks: list[tuple[int, float]]) -> list[tuple[int, float]]:
    """From the first mark on from which readings run one way to the last."""
    if len(marks) < 2:
        return marks
    way = marks[-1][1] - marks[-2][1]
    first = len(marks) - 1
    while first and (marks[first][1] - marks[first - 1][1]) * way > 0.0:
        first -= 1
    return marks[first:]


def _ticks(shown: list[tuple[int, float]], trusted: float) -> list[_Tick]:
    """Ticks along the line; among crowded ones fives and tens stay."""
    (_, near_m), (_, far_m) = shown[0], shown[-1]
    places = [(at, LEFT + (RIGHT - LEFT) * (reading_m - near_m) / (far_m - near_m))
              for at, reading_m in shown]  # fmt: skip
    numbered = _numbered(places)
    kept: list[_Tick] = []
    for at, x in places:
        long = next(size for step, size in LENGTHS if at % step == 0)
        if kept and x - kept[-1].x < CROWDED and long <= kept[-1].long:
            continue
        if kept and x - kept[-1].x < CROWDED:
            kept.pop()
        kept.append(_Tick(x, long, str(at) if at in numbered else "", at <= trusted + CLOSE))
    return kept


def _numbered(places: list[tuple[int, float]]) -> set[int]:
    """Tens that have room for their number, from the far end on, where there is most."""
    last, found = RIGHT + NUMBER_WIDE, set()
    for at, x in reversed(places):
        if at % 10 == 0 and last - x >= NUMBER_WIDE:
            found.add(at)
            last = x
    return found
