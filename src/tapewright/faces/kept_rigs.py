"""Kept rigs: what the notebook holds of a rig becomes what can be calibrated.

Holds:  set-ups of a kept rig with what they were made from, house values in them and no impossible
        group among them; its calibration, kept in turn; a refit.
Never:  rows and tables (storage), formulas, pages.
"""

from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import datetime
from itertools import pairwise
from math import inf, isfinite

from tapewright import __version__
from tapewright.faces.impossible_groups import refuse_impossible
from tapewright.faces.kept_house import house_in, read_kept
from tapewright.faces.kept_stops import kept_stops, read_once
from tapewright.faces.kept_tapes import Laid, tapes_of
from tapewright.faces.settings import new_id
from tapewright.ground.errors import (
    EditedMeanwhile,
    LaunchUnreachable,
    TapewrightError,
    Withheld,
)
from tapewright.ground.units import UNITS
from tapewright.questions.plan import plan_order
from tapewright.questions.question import Said
from tapewright.services import keep
from tapewright.services.advise import GROWTH, planned
from tapewright.services.calibrate_kept import Answer, Setup, calibrate_setups
from tapewright.services.equip import Rig, with_house
from tapewright.services.keep import Entry, Notebook, Source, kept_as
from tapewright.services.record_groups import Observation, of_point
from tapewright.services.there_and_back import is_same_setup
from tapewright.words.cautions import caution_words
from tapewright.words.next_shot import step_words
from tapewright.words.trust_sentences import trust_words
from tapewright.words.unit_system import IMPERIAL, Units

FARTHEST = {"yd": (125, 80, 50, 30), "m": (115, 73, 45, 27)}  # the later for slow bows
NEAREST, NEAREST_TRUSTED = 3, 9
SEED = 1
SAME_M = 1e-6  # distances nearer to each other are one
ASK_FIRST = "answer what the rig sheet must tell first"


@dataclass(frozen=True, slots=True)
class Kept:
    """A kept rig, ready to be calibrated; what was read from the same versions is the same."""

    # Of set-ups that follow from each other, the first first; one gone back from is not among them
    setups: tuple[Setup, ...] = field(compare=False)
    sources: tuple[Source, ...]  # the versions all this was read from, groups by their set-up
    groups: tuple[int, ...] = field(init=False)  # of each set-up, to which sessions move them

    def __post_init__(self) -> None:
        counts = tuple(len(setup.observations) for setup in self.setups)
        object.__setattr__(self, "groups", counts)

    @property
    def rig(self) -> Rig:
        """The rig as it stands now."""
        return self.setups[-1].rig

    @property
    def observations(self) -> tuple[Observation, ...]:
        """Groups shot with the rig as it stands now."""
        return self.setups[-1].observations


def rig_of(entry: Entry) -> Rig:
    """Rig of a kept sheet, as the sheet alone tells it."""
    kept = kept_as(entry, keep.KeptRig)
    return read_once(kept.sheet, kept.name)


def kept_trust(calibration: Entry, rig: Entry) -> tuple[float, ...]:
    """Trusted distance of each pin as it was kept; 0 for none. [m]

    Without arrows nothing is trusted, though 0.1 kept what the bands alone would carry; nor is a
    rig that must not be shot now.
    """
    body = kept_as(calibration, keep.KeptCalibration)
    is_earned = body.arrows and not kept_stops(rig)
    return body.trusted_m if is_earned else tuple(0.0 for _ in body.trusted_m)


def kept_rig(notebook: Notebook, rig_id: str) -> Kept:
    """Everything of a rig that a calibration is made from."""
    return kept_ways(notebook, rig_id)[-1]


def kept_ways(notebook: Notebook, rig_id: str) -> tuple[Kept, ...]:
    """The same as it was with each set-up, the last as it is now.

    A session belongs to the last change made before it; a change taken back joins its sessions
    to those before it. Proving sessions prove; only sighting sessions calibrate. House values
    stand in where any of the sheets is silent.
    """
    rig = notebook.entry(rig_id)
    changes = [(one, kept_as(one, keep.KeptChange)) for one in notebook.entries("change", rig_id)]
    sighting = {
        one.id: body
        for one in notebook.entries("session", rig_id)
        if (body := kept_as(one, keep.KeptSession)).purpose == "sighting"
    }
    groups = [(one, kept_as(one, keep.KeptGroup)) for one in notebook.entries("group", rig_id)]
    sheets = [*(notebook.entry(rig_id, change.from_rig) for _, change in changes), rig]
    begun = [0, *(change.setup for _, change in changes), inf]
    laid = Laid(tapes_of(notebook, rig_id))
    house = house_in(notebook)
    values = read_kept(house)
    ways: dict[float | None, tuple[Setup, ...]] = {}
    sources = [*sheets, *(one for one, _ in changes)]
    found: list[tuple[Setup, ...]] = []
    for place, (sheet, (since, until)) in enumerate(zip(sheets, pairwise(begun), strict=True)):
        change = changes[place - 1][1] if place else None
        counts = {one for one, body in sighting.items() if since <= body.setup < until}
        mine = [pair for pair in groups if pair[1].session_id in counts]
        sources += [one for one, _ in mine]
        observations = tuple(dated(kept.observation, sighting[kept.session_id]) for _, kept in mine)
        rig_then = laid.on(with_house(rig_of(sheet), values), (since, until))
        setup = Setup(rig_then, observations, bool(change and change.new_string))
        for one in observations:
            refuse_impossible(one, setup.rig)
        before = () if change is None else ways.get(change.back_to, ways[begun[place - 1]])
        ways[since] = (*before, setup)
        found.append(ways[since])
    if house is not None and any(setup.rig.house for way in found for setup in way):
        sources.append(house)
    sources += [one.entry for one in laid.tapes]
    made_from = tuple(Source(one.id, one.number) for one in sources)
    earlier = (Kept(way, (*made_from, Source("way", at))) for at, way in enumerate(found[:-1]))
    return (*earlier, Kept(found[-1], made_from))


def dated(one: Observation, session: keep.KeptSession) -> Observation:
    """A group as it is calibrated with: its day is its session's unless it has one of its own."""
    return replace(one, date=one.date or session.shot_on, proved=one.proved or session.proved)


def session_writes(
    rig_id: str, session: keep.KeptSession, observations: Iterable[Observation]
) -> list[keep.Write]:
    """A new session of a rig with its groups, ready to be kept."""
    session_id = new_id()
    groups = (keep.KeptGroup(session_id, one, "") for one in observations)
    writes = (keep.Write(new_id(), one, rig_id=rig_id) for one in groups)
    return [keep.Write(session_id, session, rig_id=rig_id), *writes]


def way_back(notebook: Notebook, rig_id: str) -> tuple[int, Kept] | None:
    """An earlier set-up with arrows of its own that stands again since the last change, if any.

    Its number, and all that its calibration was made from. A new string since then is another bow;
    a change that went back already asks for nothing.
    """
    changes = [kept_as(one, keep.KeptChange) for one in notebook.entries("change", rig_id)]
    if not changes or changes[-1].back_to is not None:
        return None
    *ways, now = kept_ways(notebook, rig_id)
    numbers = [0, *(change.setup for change in changes)]
    for place in reversed(range(len(ways))):
        if changes[place].new_string:
            return None
        if ways[place].observations and is_same_setup(ways[place].rig, now.rig):
            return numbers[place], ways[place]
    return None


def setup_now(notebook: Notebook, rig_id: str) -> int:
    """Number of the last change that stands, which a new session belongs to; 0 for none. [-]"""
    return _last_setup(notebook.entries("change", rig_id))


def next_setup(notebook: Notebook, rig_id: str) -> int:
    """Number of the next change: one that no change ever had, taken back or not. [-]"""
    gone = notebook.entries("change", rig_id, withdrawn=True)
    return 1 + max(setup_now(notebook, rig_id), _last_setup(gone))


def _last_setup(changes: Iterable[Entry]) -> int:
    return max((kept_as(one, keep.KeptChange).setup for one in changes), default=0)


def kept_answer(kept: Kept, units: Units) -> Answer:
    """Calibration of a kept rig, with a mark for each yard or metre as far as its arrows fly."""
    unit = UNITS[units.distance].factor
    *farther, nearest = FARTHEST[units.distance]
    for last in farther:
        with suppress(LaunchUnreachable):
            return _answer_to(last, kept, unit)
    return _answer_to(nearest, kept, unit)


def _answer_to(last: int, kept: Kept, unit: float) -> Answer:
    """Calibration with marks up to so many yards or metres."""
    distances_m = [step * unit for step in range(NEAREST, last + 1)]
    grid_m = [step * unit for step in range(NEAREST_TRUSTED, last + 1)]
    return calibrate_setups(kept.setups, distances_m, grid_m, SEED)


def calibration_of(answer: Answer, units: Units = IMPERIAL) -> keep.KeptCalibration:
    """What is kept of a calibration; all else can be computed again from its sources."""
    found = answer.bands
    ends = (found.distance_m, found.reading_m, found.low_m, found.high_m)
    marks = zip(*(one.tolist() for one in ends), strict=True)
    return keep.KeptCalibration(
        fingerprint=answer.fingerprint,
        program=__version__,
        seed=SEED,
        probability=found.probability,
        trusted_m=answer.trusted_m,
        arrows=sum(one.group.arrows for one in answer.observations),
        groups=len(answer.observations),
        cautions=tuple(caution_words(one, answer, units) for one in answer.cautions),
        next_shot="",  # planned later: it takes as long again
        marks=tuple(row for row in marks if all(map(isfinite, row))),  # an arm ends somewhere
    )


def keep_calibration(
    notebook: Notebook,
    rig_id: str,
    kept: Kept,
    answer: Answer,
    entry_id: str,
    now: datetime,
    units: Units = IMPERIAL,
) -> Entry | None:
    """Keep a calibration with what it was made from, unless the same one was kept last."""
    last = notebook.newest("calibration", rig_id)
    body = calibration_of(answer, units)
    before = None if last is None else kept_as(last, keep.KeptCalibration)
    if before and (before.fingerprint, before.trusted_m) == (body.fingerprint, body.trusted_m):
        if last and set(last.sources) != set(kept.sources):  # the same, of other versions
            same = replace(body, next_shot=before.next_shot)
            with suppress(EditedMeanwhile):
                notebook.save(last.id, same, seen=last.number, sources=kept.sources, now=now)
        return None
    return notebook.add(body, rig_id=rig_id, sources=kept.sources, now=now, entry_id=entry_id)


def refit_rig(
    notebook: Notebook,
    rig_id: str,
    units: Units,
    clock: Callable[[], datetime],
    new_id: Callable[[], str],
) -> str:
    """Calibrate a kept rig and keep the answer, unless the same one was kept last."""
    kept = kept_rig(notebook, rig_id)
    answer = kept_answer(kept, units)
    entry = keep_calibration(notebook, rig_id, kept, answer, new_id(), clock(), units)
    if entry is not None:
        keep_next_shot(notebook, entry, answer, clock(), units)
    return trust_words(answer, units)


def still_holds(
    notebook: Notebook, rig_id: str, kept: Kept, units: Units
) -> keep.KeptCalibration | None:
    """The calibration kept last, if to calibrate now would say the same and warn of nothing."""
    last = notebook.newest("calibration", rig_id)
    if last is None or set(last.sources) != set(kept.sources):
        return None
    body = kept_as(last, keep.KeptCalibration)
    starts_m, unit_m = body.marks[0][0] if body.marks else 0.0, UNITS[units.distance].factor
    in_these_units = abs(starts_m - NEAREST * unit_m) < SAME_M
    is_ours = (body.program, body.seed) == (__version__, SEED) and in_these_units
    own, _ = of_point(kept.observations, kept.rig.arrow.point)
    is_ours &= body.groups == len(own)  # a session moved to another set-up
    # Trust may be less than the bands carry, which the page must then say.
    hit_m = max((one.distance_m for one in own), default=0.0)
    is_held_back = any(one_m > GROWTH * hit_m - unit_m for one_m in body.trusted_m)
    return body if is_ours and not body.cautions and not is_held_back else None


def keep_next_shot(
    notebook: Notebook, entry: Entry, answer: Answer, now: datetime, units: Units = IMPERIAL
) -> None:
    """Add what to shoot next to a kept calibration; it takes as long as a calibration again."""
    words = _next_shot(answer, units)
    if words:
        body = replace(kept_as(entry, keep.KeptCalibration), next_shot=words)
        notebook.save(entry.id, body, seen=entry.number, sources=entry.sources, now=now)


def _next_shot(answer: Answer, units: Units) -> str:
    """What to shoot next, in a few words; empty when nothing is asked for."""
    try:
        plan = planned(answer, plan_order(answer, Said({}), units))
    except Withheld as refused:
        return ASK_FIRST if refused.questions else ""
    except TapewrightError:
        return ""
    return step_words(plan, 0, units) if plan.steps else ""
