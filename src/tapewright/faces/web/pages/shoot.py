"""Shoot: a rig's sessions and their groups, and what to shoot next.

Holds:  /rigs/{rig_id}/shoot, its sessions; shots taken in from a file.
Never:  one group (groups.py), what rows mean (reading/shots_reader.py).
"""

import hashlib
from dataclasses import replace

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.kept_tapes import tape_called
from tapewright.faces.settings import new_id
from tapewright.faces.web import session_lists
from tapewright.faces.web.forms import Form, seen_number
from tapewright.faces.web.group_form import free_name
from tapewright.faces.web.page_request import At, Fields, Files, PageRequest
from tapewright.faces.web.pages.plan import ahead_of
from tapewright.faces.web.session_choice import save_begun, session_for
from tapewright.faces.web.session_lists import kept_of_rig
from tapewright.ground.errors import BadShots, EditedMeanwhile
from tapewright.reading.shots_reader import read_shots
from tapewright.reading.text_file import decode_text
from tapewright.services.keep import Entry, KeptGroup, KeptSession, Write, kept_as
from tapewright.services.record_groups import Observation

ROUTER = APIRouter(include_in_schema=False)

MOST_NOTE = 2000
PLACE_DIGITS = 4  # of a group's id, behind what the whole form has in common


@ROUTER.get("/rigs/{rig_id}/shoot")
def shoot_page(at: At, rig_id: str) -> Response:
    """What to shoot next, and everything shot."""
    lines = session_lists.session_lines(at, rig_id)
    today = [one.session for one in lines if kept_as(one.session, KeptSession).shot_on == at.today]
    proofs = [session_lists.proof_needs(at, rig_id, one.id) for one in today]
    return at.page(
        "shoot.html",
        rig=at.rig(rig_id),
        ahead=ahead_of(at, rig_id),
        sessions=lines,
        proof=next((one for one in proofs if one and not one.is_enough), None),
        aside=at.notebook.entries("group", rig_id, withdrawn=True),
    )


@ROUTER.get("/rigs/{rig_id}/sessions/{session_id}")
def session_page(at: At, rig_id: str, session_id: str) -> Response:
    """Date and note of a session."""
    session = kept_of_rig(at, rig_id, session_id)
    body = kept_as(session, KeptSession)
    form = Form({"shot_on": body.shot_on, "note": body.note})
    return _session_page(at, session, form, session.number)


@ROUTER.post("/rigs/{rig_id}/sessions/{session_id}")
def save_session(at: At, rig_id: str, session_id: str, fields: Fields) -> Response:
    """Keep date and note of a session."""
    session, seen = kept_of_rig(at, rig_id, session_id), seen_number(fields)
    body = kept_as(session, KeptSession)
    form = Form({name: fields.get(name, "") for name in ("shot_on", "note")})
    day, note = form["shot_on"].strip(), form["note"].strip()[:MOST_NOTE]
    body = form.read("shot_on", lambda: replace(body, shot_on=day, note=note), body)
    form.read("shot_on", lambda: at.past_day(body.shot_on, "shot_on"), "")
    if not form.is_good:
        return _session_page(at, session, form, seen)
    try:
        at.notebook.save(session_id, body, seen=seen, now=at.now)
    except EditedMeanwhile as other:
        return _session_page(at, session, form, other.newer.number, other.newer)
    return at.go(f"/rigs/{rig_id}/shoot")


def _session_page(
    at: PageRequest, session: Entry, form: Form, seen: int, newer: Entry | None = None
) -> Response:
    things = {"session": session, "form": form, "seen": seen, "newer": newer}
    return at.page("session.html", rig=at.rig(session.rig_id or ""), **things)


@ROUTER.get("/rigs/{rig_id}/shots")
def shots_page(at: At, rig_id: str) -> Response:
    """Take shots in from a file."""
    return _shots_page(
        at, rig_id, _shots_form({"session": at.request.query_params.get("session", "")})
    )


@ROUTER.post("/rigs/{rig_id}/shots")
def take_shots(at: At, rig_id: str, fields: Fields, files: Files) -> Response:
    """Keep the groups of a file, all or none; oddities are shown before anything is kept."""
    form, (name, raw) = _shots_form(fields), files.get("file", ("", b""))
    name = name or "your rows"
    if raw:
        form.texts["rows"] = form.read("rows", lambda: decode_text(raw, name, BadShots), "")
    observations: tuple[Observation, ...] = ()
    notes: tuple[str, ...] = ()
    try:
        observations, notes = read_shots(
            form["rows"], name, at.kept(rig_id).rig, tape_called(at.notebook, rig_id)
        )
    except BadShots as refused:
        form.faults.setdefault("rows", str(refused))
    if not observations:
        form.faults.setdefault("rows", " ".join(notes))
    part = _part_id(form["batch"], 0)[:-PLACE_DIGITS]  # the same form sent twice is no second offer
    form.read("rows", lambda: session_lists.refuse_known(at, rig_id, observations, part), None)
    day, wanted = form["shot_on"].strip(), form["session"]
    none: tuple[str, list[Write]] = ("", [])
    form.read("shot_on", lambda: session_for(at, rig_id, wanted, day), none)
    form.read("shot_on", lambda: at.past_day(day, "shot_on"), "")
    if not form.is_good or (notes and not fields.get("anyway")):
        return _shots_page(at, rig_id, form, notes)

    def writes() -> list[Write]:
        session_id, found = session_for(at, rig_id, wanted, day)
        taken = session_lists.names_taken(at, rig_id)
        for place, one in enumerate(observations):
            label = free_name(one.group.name, taken)
            taken.add(label)
            kept = KeptGroup(session_id, replace(one, group=replace(one.group, name=label)), "")
            found.append(Write(_part_id(form["batch"], place), kept, rig_id=rig_id))
        return found

    try:
        save_begun(at, writes)
    except EditedMeanwhile:
        return at.go(f"/rigs/{rig_id}/shoot")  # the same form, sent twice
    return at.changed(rig_id, "/shoot")


def _shots_form(fields: dict[str, str]) -> Form:
    texts = {name: fields.get(name, "") for name in ("rows", "session", "shot_on", "batch")}
    rows, batch = texts["rows"].replace("\r\n", "\n"), texts["batch"][:40] or new_id()
    return Form(texts | {"rows": rows, "batch": batch})


def _part_id(batch: str, place: int) -> str:
    """Id of one group of a form: the same however often it is sent, and in the file's order."""
    return f"{hashlib.sha256(batch.encode()).hexdigest()[:16]}{place:0{PLACE_DIGITS}x}"


def _shots_page(at: PageRequest, rig_id: str, form: Form, notes: tuple[str, ...] = ()) -> Response:
    return at.page(
        "shots.html",
        rig=at.rig(rig_id),
        form=form,
        sessions=[one.session for one in session_lists.session_lines(at, rig_id)],
        notes=notes if form.is_good else (),
    )
