"""Drift: whether the marks of a season slowly leave what was calibrated, and where to look.

Holds:  the question ``drift``: its field, columns, sentences and cautions.
Never:  formulas, how a face asks and shows.
"""

from collections.abc import Sequence
from operator import attrgetter
from typing import Any

from tapewright.ground.units import UNITS
from tapewright.questions.question import Field, Question, Said
from tapewright.reading.csv_columns import read_day
from tapewright.services.calibrate import Answer
from tapewright.services.draw_season import draw_season
from tapewright.services.watch_drift import (
    BETWEEN_ALARMS,
    Drift,
    Season,
    Watched,
    watch_drift,
)
from tapewright.words.answer_blocks import Blocks, Drawing, Mind
from tapewright.words.answer_columns import Column, each, records, rounded, table
from tapewright.words.number_format import counted, told
from tapewright.words.trust_sentences import head_json
from tapewright.words.unit_system import Units, amount, distance_words

SINCE = Field("since", "Watched since", takes="DAY",
              hint="Groups shot before this day calibrate, later ones are watched; as 2026-05-14. "
              "Left open: since the tape was stuck on, or from the sixth group on.")  # fmt: skip
SHOWN = 12  # groups in the table: the newest
MOST_TOLD = 999  # of what speaks for a change: beyond it nobody asks
LOOK_AT = {
    "zero": "Look at peep and string first: a peep that slid or turned, a serving that moved, a "
    "string that stretched; then the nocking point or loop, and the bolts of the sight.",
    "far": "Look at string and cables first, which stretch and slow a bow; then brace height, limb "
    "bolts, draw length, and whether arrows were changed.",
    "right": "Look at the rest and the windage of the sight first: a rest that moved, a screw that "
    "came loose; then a peep that turns, and your own hold of the bow.",
}
PRESS = "A string that must be twisted or replaced means press work: for a qualified technician."
THEN = (
    "Once it is mended, shoot a near group first. What was mended is a change of the set-up: carry "
    "it over, and the watch begins anew."
)
HOW = (
    "Each group is foretold by the calibration and by the groups before it, its doubt counted. "
    "A bow that does not change raises such an alarm once in {groups:.0f} groups in the mean, or "
    "more rarely, over high and low, near and far, left and right together."
)
STILL = "Left and right are watched as if nobody turned the windage without writing it down."


def _told_statistic(one: Watched) -> str:
    return told(one.statistic, 0) if one.statistic <= MOST_TOLD else f"over {MOST_TOLD}"


def _miss_columns() -> tuple[Column[Sequence[Watched]], ...]:
    return (
        Column("day", "date", each(attrgetter("group.date"))),
        Column("group", "group", each(attrgetter("group.group.name"))),
        Column("{unit}", "distance_{unit}", each(attrgetter("group.distance_m")), "distance", None,
               4),
        Column("up {unit}", "up_{unit}", "up_m", "miss", 2, 4, signed=True),
        Column("right {unit}", "right_{unit}", "right_m", "miss", 2, 4, signed=True),
        Column("± {unit}", "", each(lambda one: 1.645 * one.up_sd_m), "miss", 2, spare=True),
        Column("", "up_sd_{unit}", "up_sd_m", "miss", kept=4),
        Column("", "right_sd_{unit}", "right_sd_m", "miss", kept=4),
        Column("", "up_error", "up_error", kept=3),
        Column("", "right_error", "right_error", kept=3),
        Column("alarm at 40", "", each(_told_statistic)),
        Column("", "statistic", "statistic", kept=3),
    )  # fmt: skip


COLUMNS = _miss_columns()


def _ask(subject: Answer | Season, said: Said, _: Units) -> Drift:
    season = subject if isinstance(subject, Season) else Season(subject)
    return watch_drift(season, read_day(said.text("since"), said.place("since")))


def _way(drift: Drift, *, going: bool) -> str:
    """Which way it goes, or went."""
    is_more = (drift.a_month_m if going else drift.moved_m) > 0.0
    if drift.is_sideways:
        side = "right" if is_more else "left"
        return f"going {side}" if going else f"went {side} by"
    return ("rising" if is_more else "sinking") if going else ("rose by" if is_more else "sank by")


def drift_words(drift: Drift, units: Units) -> str:
    """What has changed, in a sentence."""
    at, since = distance_words(drift.at_m, units), drift.watched[drift.found.first].group.date
    half = amount(drift.half_m, units.miss)
    if drift.is_slow:
        a_month = amount(abs(drift.a_month_m), units.miss)
        moved = amount(abs(drift.moved_m), units.miss)
        way = _way(drift, going=True)
        return f"{at} is {way} {a_month} a month: {moved} ± {half} until now, since {since}."
    moved = amount(abs(drift.moved_m), units.miss)
    return f"{at} {_way(drift, going=False)} {moved} ± {half} at once, about {since}."


def _verdict(drift: Drift, units: Units) -> tuple[str, ...]:
    if drift.alarm is None:
        groups = counted(len(drift.watched), "group")
        last = drift.watched[-1].group.date
        return (f"Nothing drifts that shows: {groups} watched, the last of {last}.",)
    raised = drift.watched[drift.alarm].group.date
    seen = f"Seen first on {raised}." if drift.alarm < len(drift.watched) - 1 else ""
    said = " ".join(filter(None, (drift_words(drift, units), seen)))
    press = (PRESS,) if drift.found.name != "right" else ()
    return (said, LOOK_AT[drift.found.name], *press, THEN)


def _notes(drift: Drift) -> tuple[str, ...]:
    against = counted(len(drift.calibrating), "group")
    left = f" {counted(drift.left_out, 'group')} left out: older than these, or without a day."
    return (
        f"Watched against {against} shot before {drift.watched[0].group.date}."
        + (left if drift.left_out else ""),
        HOW.format(groups=BETWEEN_ALARMS),
        STILL,
    )


def season_svg(drift: Drift, units: Units) -> str:
    """The season as a picture."""
    at, miss = distance_words(drift.at_m, units), units.miss
    heads = (f"high and low at {at}, {miss}", f"left and right at {at}, {miss}")
    name = f"{drift.season.answer.rig.name}, misses over the season"
    return draw_season(drift, UNITS[miss].factor, heads, name)


def _tell(drift: Drift, units: Units) -> Blocks:
    verdict = _verdict(drift, units)
    rows, is_alarm = drift.watched[-SHOWN:], drift.alarm is not None
    faint = [place for place, one in enumerate(rows) if one.statistic < BETWEEN_ALARMS]
    title = "The newest groups, from where they were foretold"
    if len(drift.watched) <= SHOWN:
        title = "Groups, from where they were foretold"
    words = "Misses of the groups over the season; what they say stands beside."
    return (
        *(map(Mind, verdict) if is_alarm else verdict),
        Drawing(season_svg(drift, units), words),
        table(title, COLUMNS, rows, units, faint if is_alarm else ()),
        *_notes(drift),
    )


def _write(drift: Drift, units: Units) -> dict[str, Any]:
    found, miss, is_alarm = drift.found, units.miss, drift.alarm is not None
    return head_json("tapewright.drift/1", drift.season.answer) | {
        "is_drifting": is_alarm,
        "drifts": found.name if is_alarm else None,
        "chance": rounded(found.chance, "", 4),
        "slow_chance": rounded(found.slow_chance, "", 4),
        f"at_{units.distance}": rounded(drift.at_m, units.distance, 4),
        f"moved_{miss}": rounded(drift.moved_m, miss, 4),
        f"moved_half_{miss}": rounded(drift.half_m, miss, 4),
        f"a_month_{miss}": rounded(drift.a_month_m, miss, 4),
        "began": drift.watched[found.first].group.date,
        "alarm_since": None if drift.alarm is None else drift.watched[drift.alarm].group.date,
        "groups_between_false_alarms": BETWEEN_ALARMS,
        "calibrating_groups": len(drift.calibrating),
        "left_out": drift.left_out,
        "changes": [{"date": one.day, "words": one.words} for one in drift.season.changes],
        "groups": records(COLUMNS, drift.watched, units),
        "cautions": [*_verdict(drift, units), *_notes(drift)],
    }


QUESTION = Question(
    "drift", "Drift over the season",
    "Whether the zero, the far marks or left and right slowly leave what was calibrated, since "
    "when, how fast, and where to look.",
    (SINCE,), _ask, _tell, _write, shelf="check", short="Drift", first=1, is_of_season=True,
    more="Ordinary practice groups at the tape's marks are enough, each with its day in the column "
    "date of SHOTS.csv.",
)  # fmt: skip
