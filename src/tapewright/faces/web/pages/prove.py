"""Prove: a session shot with the printed tape, the verdict on it, and taking it in.

Holds:  /rigs/{rig_id}/prove: beginning, looking, accepting.
Never:  groups written down (groups.py), what the verdict says (questions/prove.py).
"""

from dataclasses import dataclass, replace
from functools import lru_cache

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.kept_rigs import Kept, rig_of, setup_now
from tapewright.faces.settings import new_id
from tapewright.faces.web.calibrations import Known
from tapewright.faces.web.forms import Form, seen_number
from tapewright.faces.web.page_request import At, Fields, PageRequest
from tapewright.faces.web.sessions import (
    SessionLines,
    groups_of,
    kept_of_rig,
    refuse_known,
    session_lines,
)
from tapewright.ground.errors import BadInput, EditedMeanwhile, NotKept, TapewrightError
from tapewright.ground.units import UNITS
from tapewright.questions.prove import QUESTION, TapeProof, accepted_blocks, prove_groups
from tapewright.questions.question import Said
from tapewright.questions.shared_fields import SPAN
from tapewright.services.calibrate import answer_at
from tapewright.services.keep import KeptGroup, KeptSession, Source, kept_as
from tapewright.services.prove import Accepted, Proving, joined_groups
from tapewright.services.record_groups import Observation
from tapewright.services.stops import refuse_stopped
from tapewright.words.blocks import Blocks
from tapewright.words.causes import is_few
from tapewright.words.units import Units

ROUTER = APIRouter(include_in_schema=False)

SHOWN = range(10, 101, 10)  # marks that may move, in the person's unit
OK = 200
MOST_REMEMBERED = 32


@dataclass(frozen=True, slots=True)
class Proofs:
    """Proving sessions since the last change, and the one looked at."""

    line: SessionLines | None  # the one looked at; None: there is none
    # All others that still question the calibration, the newest first
    others: tuple[SessionLines, ...]

    @property
    def shot(self) -> tuple[Observation, ...]:
        """What the groups of the session tell."""
        groups = self.line.groups if self.line else ()
        return tuple(kept_as(one.group, KeptGroup).observation for one in groups)

    @property
    def is_taken(self) -> bool:
        """Whether its arrows calibrate already."""
        line = self.line
        return line is not None and kept_as(line.session, KeptSession).purpose == "sighting"


@ROUTER.get("/rigs/{rig_id}/prove")
def prove_page(at: At, rig_id: str, session: str = "", span: str = "", look: str = "") -> Response:
    """The newest proving session, or the one asked for, and the verdict."""
    at.rig(rig_id)
    form = Form({"span": span})
    found = _proofs(at, rig_id, session)
    return _page(at, rig_id, found, form, looks_ahead=look == "accept")


@ROUTER.post("/rigs/{rig_id}/prove")
def begin(at: At, rig_id: str) -> Response:
    """Begin a proving session; an empty one of today is taken up again."""
    refuse_stopped(rig_of(at.rig(rig_id)))
    body = KeptSession(at.today, "proving", "", setup_now(at.notebook, rig_id))
    line = _proofs(at, rig_id, "").line
    if line is not None and not line.groups and line.session.body == body:
        return at.go(f"/rigs/{rig_id}/groups/new?session={line.session.id}")
    session_id = new_id()
    at.notebook.add(body, rig_id=rig_id, now=at.now, entry_id=session_id)
    return at.go(f"/rigs/{rig_id}/groups/new?session={session_id}")


@ROUTER.post("/rigs/{rig_id}/prove/{session_id}/accept")
def accept(at: At, rig_id: str, session_id: str, fields: Fields) -> Response:
    """Let the arrows of a proof calibrate, too."""
    refuse_stopped(rig_of(at.rig(rig_id)))
    entry = kept_of_rig(at, rig_id, session_id)
    body = replace(kept_as(entry, KeptSession), purpose="sighting")
    if body != entry.body:
        refuse_known(at, rig_id, groups_of(at, rig_id, session_id), proving=False)
    try:
        at.notebook.save(session_id, body, seen=seen_number(fields), now=at.now)
    except EditedMeanwhile as other:
        if kept_as(other.newer, KeptSession) == body:  # the same button twice
            return at.go(f"/rigs/{rig_id}/marks")
        form = Form({"span": ""})
        form.refuse("", other)
        return _page(at, rig_id, _proofs(at, rig_id, session_id), form, status=409)
    at.recalibrate(rig_id)
    return at.go(f"/rigs/{rig_id}/marks")


def _proofs(at: PageRequest, rig_id: str, wanted: str) -> Proofs:
    """Proving sessions, and the one asked for or the newest. NotKept if there is no such one."""
    lines, setup = session_lines(at, rig_id), setup_now(at.notebook, rig_id)
    proving = [
        one
        for one in lines
        if (kept_as(one.session, KeptSession).purpose, kept_as(one.session, KeptSession).setup)
        == ("proving", setup)
    ]
    proving.sort(key=lambda one: one.session.saved_at, reverse=True)
    line = next((one for one in lines if one.session.id == wanted), None)
    if wanted and line is None:
        raise NotKept(wanted)
    line = line or next(iter(proving), None)
    return Proofs(line, tuple(one for one in proving if one is not line))


def _page(
    at: PageRequest,
    rig_id: str,
    found: Proofs,
    form: Form,
    *,
    looks_ahead: bool = False,
    status: int = OK,
) -> Response:
    blocks: Blocks = ()
    ahead: Blocks = ()
    is_right = False
    shot = found.shot
    if shot and form.is_good and not found.is_taken:
        try:
            proving = _prove(at, rig_id, shot, form.said)
            blocks = QUESTION.tell(TapeProof(proving), at.units)
            is_right = proving.cause is None
            ahead = _ahead(at, rig_id, found, proving) if looks_ahead else ()
        except TapewrightError as refused:
            form.refuse("", refused)
    return at.page(
        "prove.html",
        status=422 if status == OK and not form.is_good else status,
        rig=at.rig(rig_id),
        form=form,
        found=found,
        blocks=blocks,
        ahead=ahead,
        is_right=is_right,
        few=is_few(shot),
        span=SPAN,
    )


def _prove(at: PageRequest, rig_id: str, shot: tuple[Observation, ...], said: Said) -> Proving:
    answer = at.answer(rig_id)
    if not answer.observations:
        wrong = "nothing was shot to make a tape from yet"
        raise BadInput("Prove", wrong, "Shoot two groups first and print the tape")
    return _proved(Known(answer), shot, said.text("span"), at.units)


@lru_cache(maxsize=MOST_REMEMBERED)
def _proved(known: Known, shot: tuple[Observation, ...], span: str, units: Units) -> Proving:
    return prove_groups(known.answer, shot, Said({"span": span}), units)


def _ahead(at: PageRequest, rig_id: str, found: Proofs, proving: Proving) -> Blocks:
    """How marks would move if the proof were taken in."""
    kept = at.kept(rig_id)
    last = kept.setups[-1]
    joined = replace(last, observations=joined_groups(last.observations, found.shot))
    groups = [one.group for one in found.line.groups] if found.line else []
    sources = tuple(Source(one.id, one.number) for one in groups)
    more = Kept((*kept.setups[:-1], joined), (*kept.sources, *sources))
    shown_m = [step * UNITS[at.units.distance].factor for step in SHOWN]
    before = answer_at(proving.answer, shown_m)
    after = answer_at(at.app_state.answers.of(more, at.units), shown_m)
    moved_m = after.bands.reading_m - before.bands.reading_m
    return accepted_blocks(Accepted(before, after, after.bands.distance_m, moved_m), at.units)
