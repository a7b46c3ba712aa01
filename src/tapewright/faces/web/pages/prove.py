"""Prove: a session shot with the printed tape, the verdict on it, and taking it in.

Holds:  /rigs/{rig_id}/prove: beginning, looking, accepting.
Never:  groups written down (groups.py), what the verdict says (questions/prove.py).
"""

from dataclasses import dataclass, replace
from functools import lru_cache, partial

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.kept_rigs import Kept, rig_of, setup_now
from tapewright.faces.settings import new_id
from tapewright.faces.web.forms import Form, seen_number
from tapewright.faces.web.page_request import At, Fields, PageRequest
from tapewright.faces.web.session_lists import (
    SessionLines,
    kept_of_rig,
    may_count,
    proof_needs,
    session_lines,
)
from tapewright.ground.errors import EditedMeanwhile, NotKept
from tapewright.ground.units import UNITS
from tapewright.questions.prove import QUESTION, TapeProof, accepted_blocks, prove_groups
from tapewright.questions.question import Said, heard
from tapewright.questions.shared_fields import BETWEEN
from tapewright.services.calibrate import Answer, answer_at
from tapewright.services.keep import Entry, KeptGroup, KeptSession, Source, kept_as
from tapewright.services.prove import Accepted, Proving, is_few, joined_groups
from tapewright.services.record_groups import Observation
from tapewright.services.stops import refuse_stopped
from tapewright.words.answer_blocks import Blocks
from tapewright.words.unit_system import Units

ROUTER = APIRouter(include_in_schema=False)

SHOWN = range(10, 101, 10)  # marks that may move, in the person's unit
MOST_REMEMBERED = 32


@dataclass(frozen=True, slots=True)
class Proofs:
    """Proving sessions since the last change, and the one looked at."""

    line: SessionLines | None  # the one looked at; None: there is none
    others: tuple[SessionLines, ...]  # all others that question the calibration, newest first

    @property
    def groups(self) -> tuple[Entry, ...]:
        """Groups of the session."""
        return self.line.groups if self.line else ()

    @property
    def shot(self) -> tuple[Observation, ...]:
        """What the groups of the session tell."""
        return tuple(kept_as(one, KeptGroup).observation for one in self.groups)

    @property
    def is_taken(self) -> bool:
        """Whether its arrows calibrate already."""
        return self.line is not None and _body(self.line).purpose == "sighting"


def _body(line: SessionLines) -> KeptSession:
    return kept_as(line.session, KeptSession)


@ROUTER.get("/rigs/{rig_id}/prove")
def prove_page(at: At, rig_id: str, session: str = "", look: str = "") -> Response:
    """The newest proving session, or the one asked for, and the verdict."""
    at.rig(rig_id)
    said = heard((BETWEEN,), at.request.query_params)
    form = Form({BETWEEN.name: said.get(BETWEEN.name, "")})
    return _page(at, rig_id, session, form, looks_ahead=look == "accept")


@ROUTER.post("/rigs/{rig_id}/prove")
def begin(at: At, rig_id: str) -> Response:
    """Begin a proving session; an empty one of today is taken up again."""
    refuse_stopped(rig_of(at.rig(rig_id)))
    body = KeptSession(at.today, "proving", "", setup_now(at.notebook, rig_id))
    line = _proofs(at, rig_id, "").line
    if line is not None and not line.groups and line.session.body == body:
        return _next_group(at, rig_id, line.session.id)
    session_id = new_id()
    at.notebook.add(body, rig_id=rig_id, now=at.now, entry_id=session_id)
    return _next_group(at, rig_id, session_id)


def _next_group(at: PageRequest, rig_id: str, session_id: str) -> Response:
    needs = proof_needs(at, rig_id, session_id)
    query = needs.query if needs else f"session={session_id}"
    return at.go(f"/rigs/{rig_id}/groups/new?{query}")


@ROUTER.post("/rigs/{rig_id}/prove/{session_id}/accept")
def accept(at: At, rig_id: str, session_id: str, fields: Fields) -> Response:
    """Let the arrows of a proof calibrate, too."""
    refuse_stopped(rig_of(at.rig(rig_id)))
    entry = kept_of_rig(at, rig_id, session_id)
    body = kept_as(entry, KeptSession)
    if body.purpose == "proving":
        proved = may_count(at, rig_id, session_id)
        body = replace(body, purpose="sighting", proved=proved)
    try:
        at.notebook.save(session_id, body, seen=seen_number(fields), now=at.now)
    except EditedMeanwhile as other:
        if kept_as(other.newer, KeptSession) == body:  # the same button twice
            return at.go(f"/rigs/{rig_id}/prove?session={session_id}")
        form = Form({BETWEEN.name: ""})
        form.refuse("", other)
        return _page(at, rig_id, session_id, form, status=409)
    return at.changed(rig_id, f"/prove?session={session_id}")


def _proofs(at: PageRequest, rig_id: str, wanted: str) -> Proofs:
    """Proving sessions, and the one asked for or the newest. NotKept if there is no such one."""
    lines, wanted_of = session_lines(at, rig_id), ("proving", setup_now(at.notebook, rig_id))
    proving = [one for one in lines if (_body(one).purpose, _body(one).setup) == wanted_of]
    proving.sort(key=lambda one: one.session.saved_at, reverse=True)
    line = next((one for one in lines if one.session.id == wanted), None)
    if wanted and line is None:
        raise NotKept(wanted)
    line = line or next(iter(proving), None)
    return Proofs(line, tuple(one for one in proving if one is not line))


def _page(
    at: PageRequest,
    rig_id: str,
    wanted: str,
    form: Form,
    *,
    looks_ahead: bool = False,
    status: int | None = None,
) -> Response:
    found, ends = _proofs(at, rig_id, wanted), form.said.text(BETWEEN.name)
    proving: Proving | None = None
    blocks: Blocks = ()
    ahead: Blocks = ()
    if found.shot and form.is_good and not found.is_taken:
        proving = form.read(
            "", lambda: _proved(at.answer(rig_id), found.shot, ends, at.units), None
        )
    if proving:
        blocks = form.read("", partial(QUESTION.tell, TapeProof(proving), at.units), blocks)
    if proving and looks_ahead:
        ahead = form.read("", partial(_ahead, at, rig_id, found, proving), ahead)
    telling_m = proving.verdict.telling_m if proving else None
    return at.page(
        "prove.html",
        status=status,
        rig=at.rig(rig_id),
        form=form,
        found=found,
        needs=proof_needs(at, rig_id, found.line.session.id, telling_m) if found.line else None,
        blocks=blocks,
        ahead=ahead,
        is_right=proving is not None and proving.cause is None,
        may_accept=proving is not None and proving.may_accept,
        is_changed=proving is not None
        and proving.cause is not None
        and proving.cause.name == "speed",
        few=is_few(found.shot),
        between=BETWEEN,
    )


@lru_cache(maxsize=MOST_REMEMBERED)
def _proved(answer: Answer, shot: tuple[Observation, ...], ends: str, units: Units) -> Proving:
    return prove_groups(answer, shot, Said({BETWEEN.name: ends}), units)


def _ahead(at: PageRequest, rig_id: str, found: Proofs, proving: Proving) -> Blocks:
    """How marks would move if the proof were taken in."""
    kept = at.kept(rig_id)
    last = kept.setups[-1]
    joined = replace(last, observations=joined_groups(last.observations, found.shot))
    sources = tuple(Source(one.id, one.number) for one in found.groups)
    more = Kept((*kept.setups[:-1], joined), (*kept.sources, *sources))
    shown_m = [step * UNITS[at.units.distance].factor for step in SHOWN]
    before = answer_at(proving.answer, shown_m)
    after = answer_at(at.app_state.answers.of(more, at.units), shown_m)
    moved_m = after.bands.reading_m - before.bands.reading_m
    return accepted_blocks(Accepted(before, after, after.bands.distance_m, moved_m), at.units)
