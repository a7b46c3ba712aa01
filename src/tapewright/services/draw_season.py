"""Draw season: the watched groups of a season, and those before a change, as a picture.

Holds:  the errand from what drifts to a picture in the reader's unit.
Never:  shapes (drawing/season.py), what drifts (watch_drift.py), sentences.
"""

from contextlib import suppress
from datetime import date
from math import nan

from tapewright.drawing.season import Dot, Panel, SeasonPicture, season_sheet
from tapewright.drawing.svg import svg_text
from tapewright.ground.errors import TapewrightError
from tapewright.services.watch_drift import Drift, Watched, watch_earlier

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
CHANCE = 1.645  # standard deviations of what chance explains nine times in ten


def draw_season(drift: Drift, unit_m: float, heads: tuple[str, str], title: str) -> str:
    """SVG of the misses of a season, told for the distance at which the change is told.

    Heads stand over high and low and over left and right; earlier set-ups are watched by
    themselves, against their own first groups, and left out where those are too few.
    """
    earlier: list[Watched] = []
    for shot in drift.season.earlier:
        with suppress(TapewrightError):
            earlier += watch_earlier(shot)
    panels = tuple(
        Panel(head, _dots(drift, earlier, unit_m, side), _trend(drift, unit_m, side))
        for head, side in zip(heads, ("up", "right"), strict=True)
    )
    days = [_day(one.group.date) for one in (*earlier, *drift.watched)]
    changes = [(_day(one.day), f"{one.day}: {one.words}") for one in drift.season.changes]
    shown = tuple(one for one in changes if one[0] >= min(days) or one is changes[-1])
    days += [day for day, _ in shown]
    alarm = nan if drift.alarm is None else _day(drift.watched[drift.alarm].group.date)
    picture = SeasonPicture(title, panels, _months(min(days), max(days)), shown, alarm)
    return svg_text(season_sheet(picture))


def _day(text: str) -> float:
    return float(date.fromisoformat(text).toordinal())


def _dots(drift: Drift, earlier: list[Watched], unit_m: float, side: str) -> tuple[Dot, ...]:
    def dot(one: Watched, *, is_old: bool) -> Dot:
        per_m = drift.at_m / one.group.distance_m / unit_m
        miss, sd = getattr(one, f"{side}_m"), getattr(one, f"{side}_sd_m")
        return Dot(_day(one.group.date), per_m * miss, CHANCE * per_m * sd, is_old)

    old = (dot(one, is_old=True) for one in earlier)
    return (*old, *(dot(one, is_old=False) for one in drift.watched))


def _trend(drift: Drift, unit_m: float, side: str) -> tuple[tuple[float, float], ...]:
    """What has likeliest changed, from the level before it; nothing while there is no alarm."""
    if drift.alarm is None or drift.is_sideways != (side == "right"):
        return ()
    first, days = drift.found.first, [_day(one.group.date) for one in drift.watched]
    level = drift.level_m / unit_m
    began = days[max(first - 1, 0)] if drift.is_slow else days[first]
    end = level + drift.moved_m / unit_m
    corner = () if drift.is_slow else ((began, end),)
    return ((days[0], level), (began, level), *corner, (days[-1], end))


def _months(first: float, last: float) -> tuple[tuple[float, str], ...]:
    """First days of months between two days; the year with the first and with each January."""
    found: list[tuple[float, str]] = []
    year, month = date.fromordinal(int(first)).year, date.fromordinal(int(first)).month
    while date(year, month, 1).toordinal() <= last:
        day = float(max(date(year, month, 1).toordinal(), first))
        name = MONTHS[month - 1]
        found.append((day, f"{name} {year}" if month == 1 or not found else name))
        year, month = (year + 1, 1) if month == 12 else (year, month + 1)
    return tuple(found)
