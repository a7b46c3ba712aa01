"""Rig: one rig at a glance: the next step, its tape, the marks people look for, the last session.

A rig whose calibration was kept opens without computing: its next step comes a moment later, or is
asked for by a link where there is no script.

Holds:  /rigs/{rig_id}; withdrawing and restoring a rig.
Never:  the list of rigs (rigs.py), what is next (services/what_now.py), the sheet (sheet.py).
"""

from dataclasses import dataclass
from math import isfinite
from typing import Any

import numpy as np
from fastapi import APIRouter
from fastapi.responses import Response
from markupsafe import Markup

from tapewright.faces.kept_house import house_in, read_kept
from tapewright.faces.kept_prints import waiting_print
from tapewright.faces.kept_rigs import Kept, rig_of, still_holds
from tapewright.faces.kept_stops import kept_stops
from tapewright.faces.web.forms import Form, seen_number
from tapewright.faces.web.next_step_card import NextCard, next_card
from tapewright.faces.web.page_request import At, Fields, PageRequest
from tapewright.faces.web.pages.marks import fan_of
from tapewright.faces.web.pages.plan import NextShots, mend_links, next_shots
from tapewright.faces.web.pages.question import find
from tapewright.faces.web.session_lists import SessionLines, session_lines
from tapewright.faces.web.tape_picture import strip
from tapewright.ground.errors import TapewrightError
from tapewright.ground.units import UNITS
from tapewright.reading.house_values import filled_rig
from tapewright.services import keep
from tapewright.services.calibrate import Answer
from tapewright.services.keep import Entry, kept_as
from tapewright.services.look_up_marks import bands_at
from tapewright.services.what_now import NextStep
from tapewright.words.answer_blocks import Blocks
from tapewright.words.house_value_sentences import house_words
from tapewright.words.next_shot import PLANNED_PIN, tenths
from tapewright.words.readings_on_tape import dial_words
from tapewright.words.stops import check_list, unjudged_words
from tapewright.words.trust_sentences import plain_trust_words, trust_words
from tapewright.words.unit_system import Units, distance_words

ROUTER = APIRouter(include_in_schema=False)

# Marks that people look for, in their unit: what walks and rounds are shot at
LOOKED_FOR = {"yd": (20, 30, 40, 50, 60, 80), "m": (18, 30, 40, 50, 60, 70)}
CLOSE_M = 1e-6


@dataclass(frozen=True, slots=True)
class MarkSeen:
    """One mark at a glance."""

    where: str
    dial: str
    behind: str  # the mm behind what a tape shows; empty without a tape
    miss: str  # half of its band on the target
    is_trusted: bool


@dataclass(frozen=True, slots=True)
class Glance:
    """What a rig's page shows first."""

    trust: str = ""  # how far it is trusted, as a sentence
    tape: str = ""  # its picture; empty for none
    card: NextCard | None = None  # None: it comes a moment later
    mends: NextShots | None = None  # of a slip
    marks: tuple[MarkSeen, ...] = ()
    pin: str = ""  # which they are of; empty where there is one only
    picture: str = ""  # the bands over distance
    checks: Blocks = ()  # what to look at before the first arrow
    wrong: str = ""  # why there is no calibration


@ROUTER.get("/rigs/{rig_id}")
def rig_page(at: At, rig_id: str, now: str = "") -> Response:
    """One rig at a glance; with ``now`` its next step is worked out whatever it takes."""
    rig = at.rig(rig_id)
    unjudged, house = "", tuple[str, ...]()
    try:
        kept = at.kept(rig_id)
        unjudged, house = unjudged_words(kept.rig), _house_told(at, rig)
        glance = _glance(at, rig, kept, waits=not now)
    except TapewrightError as refused:
        glance = Glance(wrong=str(refused))
    printed = waiting_print(at.notebook, rig_id)
    last = next(iter(session_lines(at, rig_id)), None)
    things = {"unjudged": unjudged, "house": house, "printed": printed}
    return at.page("rig.html", rig=rig, glance=glance, last=_session(last), **things)


def _house_told(at: PageRequest, rig: Entry) -> tuple[str, ...]:
    """Which house values a rig uses, and which kinds its sheet names in vain."""
    values = read_kept(house_in(at.notebook))
    if values is None:
        return ()
    filled, notes = filled_rig(rig_of(rig), values)
    return tuple(filter(None, (house_words(filled), *notes)))


def _session(line: SessionLines | None) -> dict[str, Any]:
    """The last session, counted; empty for none."""
    if line is None:
        return {}
    shot = [kept_as(one, keep.KeptGroup).observation.group.arrows for one in line.groups]
    return {"body": line.session.body, "groups": len(shot), "arrows": sum(shot)}


def _glance(at: PageRequest, rig: Entry, kept: Kept, *, waits: bool) -> Glance:
    """All that a page shows first; of a kept calibration alone where none was made lately."""
    if waits and not at.app_state.answers.is_known(kept, at.units) and not kept_stops(rig):
        last = still_holds(at.notebook, rig.id, kept, at.units)
        if last and last.trusted_m and last.trusted_m[0]:
            words = plain_trust_words(last.trusted_m[0], kept.rig, last.probability, at.units)
            marks = [row[:2] for row in last.marks]
            return Glance(words, strip(marks, last.trusted_m[0], at.units))
    answer = at.answer(rig.id)
    step: NextStep = find(at, answer, "next", Form(at.place), rig.id)
    mends = mend_links(at, rig.id, answer)
    shots = next_shots(step.plan, at.units) if step.plan is not None else []
    groups = {
        kept_as(one, keep.KeptGroup).observation.group.name: one.id
        for one in at.notebook.entries("group", rig.id)
    }

    def group_address(name: str) -> str:
        return f"/groups/{groups[name]}" if name in groups else "/shoot"

    query = shots[0][1] if shots else ""
    by_eye = answer.posterior.is_set_by_eye
    return Glance(
        trust_words(answer, at.units),
        "" if by_eye else _tape(answer, at.units),
        next_card(step, at.units, query, group_address, mends=bool(mends)),
        mends,
        () if by_eye else marks_seen(answer, at.units),
        PLANNED_PIN if answer.rig.sight.pins_below_first_m else "",
        fan_of(answer, 1, at.units),
        () if answer.is_earned else (check_list(answer.rig),),
    )


def _tape(answer: Answer, units: Units) -> Markup:
    found = answer.bands
    rows = zip(found.distance_m.tolist(), found.reading_m.tolist(), strict=True)
    known = [row for row in rows if isfinite(row[1])]
    return strip(known, answer.trusted_m[0], units)


def _parted(dial: str) -> tuple[str, str]:
    """What to dial, and the mm behind it in brackets."""
    shown, bracket, mm = dial.partition(" (")
    return shown, mm.rstrip(")") if bracket else ""


def marks_seen(answer: Answer, units: Units) -> tuple[MarkSeen, ...]:
    """The marks people look for, as far as the sight reaches."""
    unit_m = UNITS[units.distance].factor
    wanted = np.array(LOOKED_FOR[units.distance], dtype=np.float64) * unit_m
    wanted = wanted[wanted <= answer.bands.distance_m[-1] + CLOSE_M]
    if not len(wanted):
        return ()
    found = bands_at(answer, wanted)
    allowed = answer.limits.allows(found.reading_m)
    half_m = 0.5 * (found.high_m - found.low_m)
    miss_m = 0.5 * (found.impact_high_m - found.impact_low_m)
    return tuple(
        MarkSeen(
            distance_words(at_m, units),
            *_parted(dial_words(answer, found.reading_m[place], half_m[place], at_m=at_m)),
            f"±{tenths(miss_m[place], units)}",
            at_m <= answer.trusted_m[0] + CLOSE_M,
        )
        for place, at_m in enumerate(found.distance_m.tolist())
        if allowed[place] and isfinite(miss_m[place])
    )


@ROUTER.post("/rigs/{rig_id}/withdraw")
@ROUTER.post("/rigs/{rig_id}/restore")
def rig_marked(at: At, rig_id: str, fields: Fields) -> Response:
    """Put a rig aside, or take it back."""
    kept_as(at.notebook.entry(rig_id), keep.KeptRig)
    at.mark(rig_id, seen_number(fields))
    return at.go("/rigs" if at.way == "withdraw" else f"/rigs/{rig_id}")
