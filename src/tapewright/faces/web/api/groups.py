"""Groups: sessions and groups for other programs.

Holds:  /api/rigs/{rig_id}/sessions and /groups: list, create, save, withdraw, restore.
Never:  what groups tell (questions.py).
"""

from dataclasses import replace

from fastapi import APIRouter

from tapewright.faces.group_limits import refuse_impossible
from tapewright.faces.kept_rigs import rig_of, setup_now
from tapewright.faces.settings import new_id
from tapewright.faces.web.api.aside import offer_aside
from tapewright.faces.web.api.bodies import (
    GroupBody,
    GroupKept,
    GroupSaved,
    SessionBody,
    SessionKept,
    SessionSaved,
)
from tapewright.faces.web.api.kept_shapes import all_shaped, observation_of, shaped
from tapewright.faces.web.api.refusals import REFUSED, Aside, EntryId, RigId
from tapewright.faces.web.page_request import At, PageRequest
from tapewright.faces.web.sessions import groups_of, kept_of_rig, names_taken, refuse_known
from tapewright.ground.errors import BadInput
from tapewright.services.keep import KeptGroup, KeptSession, kept_as
from tapewright.words.unit_names import quoted

ROUTER = APIRouter(prefix="/api/rigs/{rig_id}", tags=["shooting"], responses=REFUSED)


@ROUTER.get("/sessions")
def list_sessions(at: At, rig_id: RigId, *, withdrawn: Aside = False) -> list[SessionKept]:
    """Sessions of a rig, in the order they were kept."""
    at.rig(rig_id)
    return all_shaped(SessionKept, at.notebook.entries("session", rig_id, withdrawn=withdrawn))


@ROUTER.post("/sessions", status_code=201)
def create_session(at: At, rig_id: RigId, sent: SessionBody) -> SessionKept:
    """Keep a new session."""
    at.rig(rig_id)
    body = _session(at, rig_id, sent, None)
    return shaped(SessionKept, at.notebook.add(body, rig_id=rig_id, entry_id=new_id(), now=at.now))


@ROUTER.get("/sessions/{entry_id}")
def read_session(at: At, rig_id: RigId, entry_id: EntryId) -> SessionKept:
    """One session."""
    return shaped(SessionKept, kept_of_rig(at, rig_id, entry_id))


@ROUTER.put("/sessions/{entry_id}")
def save_session(at: At, rig_id: RigId, entry_id: EntryId, sent: SessionSaved) -> SessionKept:
    """Save a session as a new version."""
    before = kept_as(kept_of_rig(at, rig_id, entry_id), KeptSession)
    body = _session(at, rig_id, sent, before.setup)
    if (before.purpose, body.purpose) == ("proving", "sighting"):
        refuse_known(at, rig_id, groups_of(at, rig_id, entry_id), proving=False)
    entry = at.notebook.save(entry_id, body, seen=sent.seen, now=at.now)
    at.recalibrate(rig_id)
    return shaped(SessionKept, entry)


@ROUTER.get("/groups")
def list_groups(at: At, rig_id: RigId, *, withdrawn: Aside = False) -> list[GroupKept]:
    """Groups of a rig, in the order they were kept."""
    at.rig(rig_id)
    return all_shaped(GroupKept, at.notebook.entries("group", rig_id, withdrawn=withdrawn))


@ROUTER.post("/sessions/{session_id}/groups", status_code=201)
def create_group(at: At, rig_id: RigId, session_id: EntryId, sent: GroupBody) -> GroupKept:
    """Keep a new group of a session and calibrate anew."""
    kept_as(kept_of_rig(at, rig_id, session_id), KeptSession)
    group_id = new_id()
    body = _group(at, rig_id, session_id, sent, None, group_id)
    entry = at.notebook.add(body, rig_id=rig_id, entry_id=group_id, now=at.now)
    at.recalibrate(rig_id)
    return shaped(GroupKept, entry)


@ROUTER.get("/groups/{entry_id}")
def read_group(at: At, rig_id: RigId, entry_id: EntryId) -> GroupKept:
    """One group."""
    return shaped(GroupKept, kept_of_rig(at, rig_id, entry_id))


@ROUTER.put("/groups/{entry_id}")
def save_group(at: At, rig_id: RigId, entry_id: EntryId, sent: GroupSaved) -> GroupKept:
    """Save a group as a new version and calibrate anew."""
    before = kept_as(kept_of_rig(at, rig_id, entry_id), KeptGroup)
    body = _group(at, rig_id, before.session_id, sent, before, entry_id)
    entry = at.notebook.save(entry_id, body, seen=sent.seen, now=at.now)
    at.recalibrate(rig_id)
    return shaped(GroupKept, entry)


def _session(at: PageRequest, rig_id: str, sent: SessionBody, before: int | None) -> KeptSession:
    setup = sent.setup
    if setup is None:
        setup = setup_now(at.notebook, rig_id) if before is None else before
    return KeptSession(sent.shot_on, sent.purpose, sent.note, setup)


def _group(
    at: PageRequest,
    rig_id: str,
    session_id: str,
    sent: GroupBody,
    before: KeptGroup | None,
    entry_id: str,
) -> KeptGroup:
    """Group ready to be kept; its air stays as it was but for what was sent of it."""
    rig = rig_of(at.rig(rig_id))
    observation = observation_of(sent, rig)
    if observation.group.name in names_taken(at, rig_id, entry_id):
        wrong = f"another group of this rig is called {quoted(observation.group.name)}"
        raise BadInput("name", wrong, "Take another name")
    air = before.observation.air if before else None
    if air is not None and observation.air is not None:
        sent_air = observation.air
        if sent.pressure_hpa is None and sent.altitude_m is None:
            sent_air = replace(air, temperature_k=sent_air.temperature_k)
        observation = replace(observation, air=sent_air)
    refuse_impossible(observation, rig)
    refuse_known(at, rig_id, (observation,), entry_id)
    return KeptGroup(session_id, observation, sent.note)


offer_aside(ROUTER, "/sessions", SessionKept, "a session; its groups count no more")
offer_aside(ROUTER, "/groups", GroupKept, "a group; it counts no more")
