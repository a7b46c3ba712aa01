"""Kept rigs: what the notebook holds of a rig becomes what can be calibrated.

Holds:  set-ups of a kept rig with what they were made from; its calibration, kept in turn.
Never:  rows and tables (storage), formulas, pages.
"""

from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from math import isfinite

from tapewright import __version__
from tapewright.faces.group_limits import refuse_impossible
from tapewright.faces.kept_stops import kept_stops, read_once
from tapewright.ground.errors import LaunchUnreachable, TapewrightError, Withheld
from tapewright.ground.units import UNITS
from tapewright.questions.plan import plan_order
from tapewright.questions.question import Said
from tapewright.services.advise import GROWTH, plan_shots
from tapewright.services.calibrate_kept import Answer, Setup, calibrate_setups
from tapewright.services.equip import Rig
from tapewright.services.keep import (
    Entry,
    KeptCalibration,
    KeptChange,
    KeptGroup,
    KeptRig,
    KeptSession,
    Notebook,
    Source,
    kept_as,
)
from tapewright.services.record_groups import Observation
from tapewright.words.answer import caution_words
from tapewright.words.next_shot import step_words
from tapewright.words.units import IMPERIAL, Units

__all__ = [
    "Kept",
    "calibration_of",
    "kept_answer",
    "kept_rig",
    "kept_trust",
    "next_setup",
    "rig_of",
    "setup_now",
    "setups_of",
    "still_holds",
]

FARTHEST = {"yd": (125, 80, 50, 30), "m": (115, 73, 45, 27)}  # the later for slow bows
NEAREST, NEAREST_TRUSTED = 3, 9
SEED = 1
SAME_M = 1e-6  # distances nearer to each other are one
ASK_FIRST = "answer what the rig sheet must tell first"


@dataclass(frozen=True, slots=True)
class Kept:
    """A kept rig, ready to be calibrated."""

    setups: tuple[Setup, ...]  # one more than the rig had changes, the first first
    sources: tuple[Source, ...]  # the versions all this was read from

    @property
    def rig(self) -> Rig:
        """The rig as it stands now."""
        return self.setups[-1].rig

    @property
    def observations(self) -> tuple[Observation, ...]:
        """Groups shot with the rig as it stands now."""
        return self.setups[-1].observations


def rig_of(entry: Entry) -> Rig:
    """Rig of a kept sheet."""
    kept = kept_as(entry, KeptRig)
    return read_once(kept.sheet, kept.name)


def kept_trust(calibration: Entry, rig: Entry) -> tuple[float, ...]:
    """Trusted distance of each pin as it was kept; 0 for none. [m]

    Without arrows nothing is trusted, though 0.1 kept what the bands alone would carry; nor is a
    rig that must not be shot now.
    """
    body = kept_as(calibration, KeptCalibration)
    is_earned = body.arrows and not kept_stops(rig)
    return body.trusted_m if is_earned else tuple(0.0 for _ in body.trusted_m)


def kept_rig(notebook: Notebook, rig_id: str) -> Kept:
    """Everything of a rig that a calibration is made from.

    A session belongs to the last change made before it; a change taken back joins its sessions
    to those before it. Proving sessions prove; only sighting sessions calibrate.
    """
    rig = notebook.entry(rig_id)
    changes = notebook.entries("change", rig_id)
    sessions = {one.id: one for one in notebook.entries("session", rig_id)}
    groups = notebook.entries("group", rig_id)
    begun = [0, *(kept_as(one, KeptChange).setup for one in changes)]
    sheets = [
        *(notebook.entry(rig_id, kept_as(one, KeptChange).from_rig) for one in changes),
        rig,
    ]
    setups, sources = [], [Source(one.id, one.number) for one in (*sheets, *changes)]
    for place, sheet in enumerate(sheets):
        until = begun[place + 1] if place + 1 < len(begun) else None
        mine = [
            group
            for group in groups
            if _is_within(sessions.get(kept_as(group, KeptGroup).session_id), begun[place], until)
        ]
        sources += [Source(one.id, one.number) for one in mine]
        new_string = place > 0 and kept_as(changes[place - 1], KeptChange).new_string
        observations = tuple(kept_as(one, KeptGroup).observation for one in mine)
        setup = Setup(rig_of(sheet), observations, new_string)
        for one in observations:
            refuse_impossible(one, setup.rig)
        setups.append(setup)
    return Kept(tuple(setups), tuple(sources))


def setup_now(notebook: Notebook, rig_id: str) -> int:
    """Number of the last change that stands, which a new session belongs to; 0 for none. [-]"""
    changes = notebook.entries("change", rig_id)
    return max((kept_as(one, KeptChange).setup for one in changes), default=0)


def next_setup(notebook: Notebook, rig_id: str) -> int:
    """Number of the next change: one that no change ever had, taken back or not. [-]"""
    changes = (
        *notebook.entries("change", rig_id),
        *notebook.entries("change", rig_id, withdrawn=True),
    )
    return 1 + max((kept_as(one, KeptChange).setup for one in changes), default=0)


def setups_of(notebook: Notebook, rig_id: str) -> tuple[Setup, ...]:
    """Set-ups of a kept rig, the first first."""
    return kept_rig(notebook, rig_id).setups


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


def calibration_of(answer: Answer, units: Units = IMPERIAL, next_shot: str = "") -> KeptCalibration:
    """What is kept of a calibration; all else can be computed again from its sources."""
    found = answer.bands
    ends = (found.distance_m, found.reading_m, found.low_m, found.high_m)
    marks = zip(*(one.tolist() for one in ends), strict=True)
    return KeptCalibration(
        fingerprint=answer.fingerprint,
        program=__version__,
        seed=SEED,
        probability=found.probability,
        trusted_m=answer.trusted_m,
        arrows=sum(one.group.arrows for one in answer.observations),
        groups=len(answer.observations),
        cautions=tuple(caution_words(one, answer, units) for one in answer.cautions),
        next_shot=next_shot,
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
    if last is not None and _says_the_same(kept_as(last, KeptCalibration), body):
        return None
    return notebook.add(body, rig_id=rig_id, sources=kept.sources, now=now, entry_id=entry_id)


def still_holds(
    notebook: Notebook, rig_id: str, kept: Kept, units: Units
) -> KeptCalibration | None:
    """The calibration kept last, if to calibrate now would say the same and warn of nothing."""
    last = notebook.newest("calibration", rig_id)
    if last is None or set(last.sources) != set(kept.sources):
        return None
    body = kept_as(last, KeptCalibration)
    starts_m = body.marks[0][0] if body.marks else 0.0
    is_ours = body.program == __version__ and body.seed == SEED
    unit_m = UNITS[units.distance].factor
    in_these_units = abs(starts_m - NEAREST * unit_m) < SAME_M
    says_all = not body.cautions and not _may_be_held_back(kept, body, unit_m)
    return body if is_ours and in_these_units and says_all else None


def _may_be_held_back(kept: Kept, body: KeptCalibration, unit_m: float) -> bool:
    """Whether trust may be less than the bands carry, which the page must then say."""
    hit_m = max((one.distance_m for one in kept.setups[-1].observations), default=0.0)
    return any(one_m > GROWTH * hit_m - unit_m for one_m in body.trusted_m)


def _says_the_same(kept: KeptCalibration, body: KeptCalibration) -> bool:
    return (kept.fingerprint, kept.trusted_m) == (body.fingerprint, body.trusted_m)


def keep_next_shot(
    notebook: Notebook, entry: Entry, answer: Answer, now: datetime, units: Units = IMPERIAL
) -> None:
    """Add what to shoot next to a kept calibration; it takes as long as a calibration again."""
    words = _next_shot(answer, units)
    if words:
        body = replace(kept_as(entry, KeptCalibration), next_shot=words)
        notebook.save(entry.id, body, seen=entry.number, sources=entry.sources, now=now)


def _next_shot(answer: Answer, units: Units) -> str:
    """What to shoot next, in a few words; empty when nothing is asked for."""
    try:
        plan = plan_shots(answer, plan_order(answer, Said({}), units))
    except Withheld as refused:
        return ASK_FIRST if refused.questions else ""
    except TapewrightError:
        return ""
    return step_words(plan, 0, units) if plan.steps else ""


def _is_within(session: Entry | None, begun: int, until: int | None) -> bool:
    """Whether a session calibrates, and was held between two changes."""
    if session is None:
        return False
    body = kept_as(session, KeptSession)
    return (
        body.purpose == "sighting" and begun <= body.setup and (until is None or body.setup < until)
    )
