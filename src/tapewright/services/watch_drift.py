"""Watch drift: groups of a season, one after the other, against what was calibrated before them.

Holds:  the Season record; which groups calibrate and which are watched; the errand from them to
        what has changed, and what it does at the target.
Never:  formulas (confidence/drift.py), what to look at in words.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from tapewright.calibration.fit import fit_bow
from tapewright.calibration.rig import Rig
from tapewright.confidence.diagnosis import NEAR_M
from tapewright.confidence.drift import (
    BETWEEN_ALARMS,
    LAWS,
    Change,
    Found,
    Running,
    changes_seen,
    growths_of,
    likeliest,
    run_watch,
)
from tapewright.confidence.misses import Misses, misses_of
from tapewright.confidence.posterior import Posterior, draw_posterior
from tapewright.confidence.signatures import DOUBT_FREEDOMS, shapes_at
from tapewright.ground.errors import BadInput
from tapewright.services.calibrate import Answer
from tapewright.services.record_groups import Observation, of_point

__all__ = [
    "BETWEEN_ALARMS",
    "Drift",
    "Found",
    "Season",
    "SetupChange",
    "Shot",
    "Watched",
    "watch_drift",
    "watch_earlier",
]

Floats = NDArray[np.float64]

CALIBRATING = 5  # groups that calibrate where nobody says since when to watch
MOST = 250  # groups watched: the newest
NEVER = "9999-12-31"
WELL_KNOWN_ARROWS, MOST_FREEDOMS = 30, 60.0  # see ``DOUBT_FREEDOMS``


@dataclass(frozen=True, slots=True)
class SetupChange:
    """A change of the set-up, as a picture of the season marks it."""

    day: str
    words: str


@dataclass(frozen=True)
class Shot:
    """What was shot with one set-up."""

    rig: Rig
    observations: tuple[Observation, ...]
    posterior: Posterior | None = None  # draws by all of them; None: not drawn


@dataclass(frozen=True, slots=True)
class Season:
    """A calibration with all that was shot with the same set-up, and what went before."""

    answer: Answer
    proofs: tuple[Observation, ...] = ()  # groups that question the calibration and are none of it
    since: str = ""  # day on which the tape was stuck on; empty: not known
    changes: tuple[SetupChange, ...] = ()  # of the set-up, the first first
    earlier: tuple[Shot, ...] = ()  # with set-ups before it


@dataclass(frozen=True, slots=True)
class Watched:
    """One group of a season that was watched."""

    group: Observation
    right_m: float  # from where the calibration foretells it; nan if not measured
    up_m: float
    right_sd_m: float  # by chance, and by what is not known of the calibration
    up_sd_m: float
    right_error: float  # less what was foretold with the groups before it, over its error
    up_error: float
    statistic: float  # what speaks for a change; an alarm from ``BETWEEN_ALARMS`` on


@dataclass(frozen=True)
class Drift:
    """What the watched groups of a season tell."""

    season: Season
    watched: tuple[Watched, ...]  # in the order shot
    calibrating: tuple[Observation, ...]  # groups that they are measured against
    left_out: int  # groups that say no day, or were shot before the newest
    found: Found  # what has likeliest changed
    alarm: int | None  # first watched group of the alarm that stands; None: there is none
    at_m: float  # distance for which it is told
    moved_m: float  # by how much the impact moved there until now; up or right positive
    half_m: float  # half of that band of 90 %
    a_month_m: float  # and in a month, if it came slowly
    level_m: float  # where the groups lay before it, from where they were foretold

    @property
    def is_sideways(self) -> bool:
        """Whether left and right has changed, not high and low."""
        return self.found.name == "right"

    @property
    def is_slow(self) -> bool:
        """Whether it came slowly rather than at once."""
        return self.found.slow_chance > 0.5


@dataclass(frozen=True)
class _Run:
    """A watch of one set-up: its groups, and what was worked out of them."""

    calibrating: tuple[Observation, ...]
    each: tuple[Watched, ...]
    running: Running
    changes: tuple[Change, ...]
    shapes: dict[str, Floats]
    days: Floats
    left_out: int


def watch_drift(season: Season, since: str = "") -> Drift:
    """Whether the marks drift.

    BadInput where no group says its day, or none is left to watch.
    """
    answer = season.answer
    shot = Shot(answer.rig, answer.observations, answer.posterior)
    run = _run(shot, season.proofs, since, season.since)
    watched = [one.group for one in run.each]
    found = likeliest(run.running, run.days, run.changes)
    at_m = _told_for(found.name, watched)
    place = next(row for row, one in enumerate(watched) if one.distance_m == at_m)
    per_unit = at_m * run.shapes[LAWS[found.name]][place + len(watched) * (found.name == "right")]
    moved_m = float(found.size * per_unit)
    return Drift(
        season=season,
        watched=run.each,
        calibrating=run.calibrating,
        left_out=run.left_out,
        found=found,
        alarm=_standing(run.running.statistic),
        at_m=at_m,
        moved_m=moved_m,
        half_m=float(abs(found.half * per_unit)),
        a_month_m=float(found.a_month * per_unit),
        level_m=_level(run, found, at_m, moved_m),
    )


def watch_earlier(shot: Shot) -> tuple[Watched, ...]:
    """Groups of a set-up that is no more, against its own first ones."""
    return _run(shot, (), "", "").each


def _run(shot: Shot, proofs: tuple[Observation, ...], since: str, stuck_on: str) -> _Run:
    calibrating, every = _parted(shot, proofs, since, stuck_on)
    watched = every[-MOST:]
    undated = sum(not one.date for one in proofs)
    misses = misses_of(_calibrated(shot, calibrating), watched, (NEAR_M, 2.0 * NEAR_M))
    days = np.array([_day(one) for one in watched], dtype=np.float64)
    at_m, measured = misses.evidence.distance_m, misses.measured.reshape(2, -1)
    changes = changes_seen(at_m[measured[0]], at_m[measured[1]])
    running, order, shapes = _weighed(misses, days, changes, calibrating)
    each = _each(misses, running, order)
    left_out = len(every) - len(watched) + undated
    return _Run(calibrating, each, running, changes, shapes, days, left_out)


def _day(one: Observation) -> int:
    return date.fromisoformat(one.date).toordinal()


def _parted(
    shot: Shot, proofs: tuple[Observation, ...], since: str, stuck_on: str
) -> tuple[tuple[Observation, ...], tuple[Observation, ...]]:
    """Groups that calibrate, and those that are watched, each in the order shot."""
    parted = (of_point(some, shot.rig.arrow.point)[0] for some in (shot.observations, proofs))
    own, questions = ([one for one in some if one.group.counted] for some in parted)
    undated = [one for one in own if not one.date]
    known = sorted((one for one in own if one.date), key=lambda one: one.date)
    days = sorted({one.date for one in (*known, *questions) if one.date})
    if not days:
        wrong = "no group of this rig says on which day it was shot"
        raise BadInput("drift", wrong, "Write it in a column date, as 2026-05-14")
    first = since or _first_watched(undated, known, days, stuck_on)
    calibrating = (*undated, *(one for one in known if one.date < first))
    later = (one for one in (*known, *questions) if one.date >= first)
    watched = tuple(sorted(later, key=lambda one: one.date))
    if not calibrating:
        wrong = f"no group was shot before {first}, so there is nothing to watch against"
        raise BadInput("since", wrong, f"Name a later day; the first group is of {days[0]}")
    if not watched:
        wrong = f"no group was shot since {first}"
        if not since:
            wrong = f"the groups up to {days[-1]} are those watched against, and none came after"
        raise BadInput("since", wrong, "Shoot on at the tape's marks, or name an earlier day")
    return calibrating, watched


def _first_watched(
    undated: Sequence[Observation], known: Sequence[Observation], days: list[str], stuck_on: str
) -> str:
    """Day from which on to watch, where nobody says it."""
    if stuck_on and (undated or any(one.date < stuck_on for one in known)):
        return stuck_on
    enough = CALIBRATING - len(undated)
    if enough <= 0 or not known:
        return days[0]
    last = known[min(enough, len(known)) - 1].date
    return next((day for day in days if day > last), NEVER)


def _calibrated(shot: Shot, calibrating: tuple[Observation, ...]) -> Posterior:
    """Draws of the calibration by these groups alone."""
    if shot.posterior is not None and set(calibrating) == set(shot.observations):
        return shot.posterior
    return draw_posterior(fit_bow(shot.rig, calibrating), np.random.default_rng(1))


def _weighed(
    misses: Misses,
    days: Floats,
    changes: tuple[Change, ...],
    calibrating: tuple[Observation, ...],
) -> tuple[Running, NDArray[np.int64], dict[str, Floats]]:
    """The running sum, the place of each of its rows among the misses, and what each law does."""
    evidence, groups = misses.evidence, len(days)
    shapes = shapes_at(misses, evidence.distance_m, evidence.reading_m, misses.aim)
    order = np.arange(2 * groups).reshape(2, groups).T.ravel()  # up and right of each group
    order = order[misses.measured[order]]
    group = order % groups
    rows = {name: shapes[law][order] for name, law in LAWS.items()}
    arrows = sum(one.group.arrows for one in calibrating)
    freedoms = DOUBT_FREEDOMS * max(arrows / WELL_KNOWN_ARROWS, 0.25)
    running = run_watch(
        misses.miss_rad[order],
        misses.covariance[np.ix_(order, order)],
        growths_of(rows, days, group, changes),
        group,
        [one.usual for one in changes],
        min(freedoms, MOST_FREEDOMS),
        [one.believed for one in changes],
    )
    return running, order, shapes


def _each(misses: Misses, running: Running, order: NDArray[np.int64]) -> tuple[Watched, ...]:
    at_m, statistic = misses.evidence.distance_m, running.statistic
    groups = len(at_m)
    error = np.full(2 * groups, np.nan)
    error[order] = running.innovation
    miss_m = np.where(misses.measured, misses.miss_rad, np.nan) * np.tile(at_m, 2)
    sd_m = np.sqrt(np.diag(misses.covariance)) * np.tile(at_m, 2)
    rows = zip(miss_m[groups:], miss_m, sd_m[groups:], sd_m, error[groups:], error, statistic,
               strict=False)  # fmt: skip
    shot = misses.evidence.observations
    return tuple(Watched(one, *map(float, row)) for one, row in zip(shot, rows, strict=True))


def _told_for(name: str, watched: Sequence[Observation]) -> float:
    """Distance for which a change is told: of far marks the farthest, else that shot most often."""
    every = [one.distance_m for one in watched]
    return max(every) if name == "far" else max(every, key=lambda one: (every.count(one), -one))


def _level(run: _Run, found: Found, at_m: float, moved_m: float) -> float:
    """Mean of the groups less what has changed. [m]"""
    days, first = run.days, found.first
    grown = (days >= days[first]).astype(np.float64)
    if found.slow_chance > 0.5:
        begun = days[max(first - 1, 0)]
        grown = np.clip((days - begun) / max(days[-1] - begun, 1.0), 0.0, 1.0)
    side = "right_m" if found.name == "right" else "up_m"
    misses = [at_m / one.group.distance_m * getattr(one, side) for one in run.each]
    return float(np.nanmean(np.array(misses) - moved_m * grown))


def _standing(statistic: Floats) -> int | None:
    """Where the alarm that stands was raised first."""
    if statistic[-1] < BETWEEN_ALARMS:
        return None
    below = np.flatnonzero(statistic < BETWEEN_ALARMS)
    return int(below[-1]) + 1 if len(below) else 0
