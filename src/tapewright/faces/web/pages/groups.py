"""Groups: one group written down or tapped, and what it tells at once.

Holds:  /rigs/{rig_id}/groups: a new one, one kept, putting it aside and taking it back.
Never:  what its fields mean (group_form.py), what is told (questions/group.py).
"""

import re
from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from urllib.parse import parse_qsl

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.kept_rigs import rig_of
from tapewright.faces.kept_stops import kept_stops
from tapewright.faces.kept_tapes import tape_said, tape_under
from tapewright.faces.settings import new_id
from tapewright.faces.web import session_lists
from tapewright.faces.web.forms import Form, seen_number
from tapewright.faces.web.group_form import (
    USUAL_ROWS,
    GroupForm,
    group_texts,
    next_name,
    read_group,
)
from tapewright.faces.web.page_request import At, Fields, PageRequest
from tapewright.faces.web.pages.plan import Ahead, NextShots, ahead_of, next_shots
from tapewright.faces.web.pages.question import find
from tapewright.faces.web.photo_form import Pictured
from tapewright.faces.web.session_choice import save_begun, session_for
from tapewright.faces.web.session_lists import kept_of_rig
from tapewright.ground.errors import EditedMeanwhile, TapewrightError
from tapewright.reading.csv_columns import CHOICES
from tapewright.services.keep import Entry, KeptGroup, KeptSession, Write, kept_as
from tapewright.services.record_groups import Observation
from tapewright.services.stick_tape import Tape
from tapewright.services.stops import questions
from tapewright.services.what_now import NextStep
from tapewright.words.answer_blocks import Blocks, Mind
from tapewright.words.cautions import OTHER_POINT
from tapewright.words.stops import question_lines

ROUTER = APIRouter(include_in_schema=False)

KEPT, DAY_S = "kept", 86_400
ID = re.compile(r"[0-9a-f]{20}")


@ROUTER.get("/rigs/{rig_id}/groups/new")
def new_group(at: At, rig_id: str) -> Response:
    """An empty group, one filled in by the address, or the next after one that was just kept."""
    asked, before = dict(at.request.query_params), None
    if after := asked.pop("after", ""):
        before = kept_of_rig(at, rig_id, after)
        kept_as(before, KeptGroup)
        if not (shots := _next_shots(at, rig_id)):
            return at.go(f"/rigs/{rig_id}/groups/{after}")
        asked |= parse_qsl(shots[0][1])
    rows = asked.get("rows", "")
    count = int(rows) if rows.isascii() and rows.isdigit() and len(rows) < 3 else USUAL_ROWS
    planned = None if before or asked.get("session") else _planned(at, rig_id, asked)
    return shown_group(at, rig_id, new_form(asked, count), before=before, planned=planned)


def _planned(at: PageRequest, rig_id: str, asked: Mapping[str, str]) -> Ahead | None:
    """How the plan's first group is to be shot, if the address fills that one in."""
    if "reading" not in asked:  # the first arrow of all has words of its own
        return None
    ahead = ahead_of(at, rig_id)
    first = dict(parse_qsl(ahead.shots[0][1])) if ahead.shots else {}
    is_it = all(first.get(name) == asked.get(name) for name in ("distance", "reading"))
    return ahead if is_it else None


@ROUTER.post("/rigs/{rig_id}/groups/new")
def add_group(at: At, rig_id: str, fields: Fields) -> Response:
    """Keep a new group; today's session begins with its first."""
    return _keep(at, rig_id, new_form(fields), None, 0)


@ROUTER.post("/rigs/{rig_id}/groups/so-far")
def tell_so_far(at: At, rig_id: str, fields: Fields) -> Response:
    """What to turn after the arrows typed so far, as a piece of the page; nothing is kept."""
    if stops := kept_stops(at.rig(rig_id)):
        return at.page("so_far.html", blocks=tuple(map(Mind, stops)))
    form, groups = new_form(fields), at.notebook.entries("group", rig_id)
    group = next((one for one in groups if one.id == form["entry"]), None)
    rig, tape = rig_of(at.rig(rig_id)), _tape(at, rig_id, group, form)
    shot = read_group(form, rig, at.units, (), "so far", tape)
    blocks = session_lists.told_so_far(at, rig_id, shot, form["session"]) if shot else ()
    return at.page("so_far.html", blocks=blocks)


@ROUTER.get("/rigs/{rig_id}/groups/{group_id}")
def group_page(at: At, rig_id: str, group_id: str) -> Response:
    """What a group tells, what to shoot next, and the group itself to be changed.

    The address may fill fields in otherwise: a mend that is offered, to be looked at and kept.
    """
    group = kept_of_rig(at, rig_id, group_id)
    texts = _texts(at, rig_id, kept_as(group, KeptGroup))
    mend = dict(at.request.query_params)
    return shown_group(at, rig_id, GroupForm(texts | mend | _hidden(group)), group, mend=bool(mend))


@ROUTER.post("/rigs/{rig_id}/groups/{group_id}")
def save_group(at: At, rig_id: str, group_id: str, fields: Fields) -> Response:
    """Keep a group as it was changed."""
    group, seen = kept_of_rig(at, rig_id, group_id), seen_number(fields)
    return _keep(at, rig_id, GroupForm(fields | _hidden(group, seen)), group, seen)


@ROUTER.post("/rigs/{rig_id}/groups/{group_id}/withdraw")
@ROUTER.post("/rigs/{rig_id}/groups/{group_id}/restore")
def mark_group(at: At, rig_id: str, group_id: str, fields: Fields) -> Response:
    """Put a group aside, or take it back."""
    group = kept_of_rig(at, rig_id, group_id)
    kept_as(group, KeptGroup)
    if at.way == "restore":
        session_lists.refuse_back(at, rig_id, group)
    at.mark(group_id, seen_number(fields))
    return at.changed(rig_id, f"/groups/{group_id}" if at.way == "restore" else "/shoot")


def _keep(
    at: PageRequest, rig_id: str, form: GroupForm, group: Entry | None, seen: int
) -> Response:
    """Keep a group as typed, new or changed, or show what is wrong with it."""
    shot = None if form.is_longer else _shot(at, rig_id, form, group)
    if shot is None:
        return shown_group(at, rig_id, form, group)
    session_id, group_id = form["session"], form["entry"]
    if group and form.is_untouched(_texts(at, rig_id, kept_as(group, KeptGroup))):
        shot = kept_as(group, KeptGroup).observation  # to the last digit
    bodies: list[KeptGroup] = []

    def writes() -> list[Write]:
        of_day = (session_id, []) if group else session_for(at, rig_id, session_id)
        bodies.append(KeptGroup(of_day[0], shot, form.note))
        return [*of_day[1], Write(group_id, bodies[-1], seen=seen, rig_id=rig_id)]

    try:
        save_begun(at, writes)
    except EditedMeanwhile as other:
        if group or (other.newer.rig_id, other.newer.body) != (rig_id, bodies[-1]):
            newer = kept_of_rig(at, rig_id, group_id)
            form.texts |= _hidden(newer)
            return shown_group(at, rig_id, form, group, newer)
        # the same form sent twice: it was kept the first time
    session_id = bodies[-1].session_id
    proof = None if group else session_lists.proof_needs(at, rig_id, session_id)
    page = f"/groups/{group_id}"
    if proof is not None and proof.is_enough:
        page = f"/prove?session={session_id}"
    elif group is None and proof is None and _is_today(at, bodies[-1]) and _next_shots(at, rig_id):
        page = f"/groups/new?after={group_id}"  # what to turn, and the form of the next
    return _said_kept(at.changed(rig_id, page), rig_id, group_id, form["seen"])


def _is_today(at: PageRequest, kept: KeptGroup) -> bool:
    """Whether a group was shot just now: one of another day is written down, none follows it."""
    session = kept_as(at.notebook.entry(kept.session_id), KeptSession)
    return (kept.observation.date or session.shot_on) == at.today


def _next_shots(at: PageRequest, rig_id: str) -> NextShots:
    """Groups of the plan, if nothing else is to be done before them."""
    try:
        step: NextStep = find(at, at.answer(rig_id), "next", Form(at.place), rig_id)
    except TapewrightError:
        return []
    return next_shots(step.plan, at.units) if step.plan and step.kind == "shoot" else []


def _said_kept(answer: Response, rig_id: str, group_id: str, seen: str) -> Response:
    """Answer that tells the page's script which form was kept, so that its draft may go."""
    page = f"/rigs/{rig_id}"
    answer.set_cookie(KEPT, f"{group_id}.{seen}", DAY_S, path=page, samesite="strict")
    return answer


def _shot(at: PageRequest, rig_id: str, form: GroupForm, group: Entry | None) -> Observation | None:
    """Group as typed; None when something is wrong, or its arrows count already."""
    rig, taken = rig_of(at.rig(rig_id)), session_lists.names_taken(at, rig_id, form["entry"])
    tape = _tape(at, rig_id, group, form)
    shot = read_group(form, rig, at.units, taken, _usual_name(taken, group), tape)
    if shot is not None and group is not None:
        shot = replace(shot, proved=kept_as(group, KeptGroup).observation.proved)
    if shot is not None and shot.date:
        form.read("date", partial(at.past_day, shot.date, "date"), "")
    if shot is not None:
        form.read("", partial(session_lists.refuse_known, at, rig_id, (shot,), form["entry"]), None)
    return shot if form.is_good else None


def _usual_name(taken: set[str], group: Entry | None) -> str:
    """Name of a group when none is typed."""
    return kept_as(group, KeptGroup).observation.group.name if group else next_name(taken)


def _texts(at: PageRequest, rig_id: str, kept: KeptGroup) -> dict[str, str]:
    tape = tape_under(at.notebook, rig_id, kept.observation)
    return group_texts(kept.observation, kept.note, rig_of(at.rig(rig_id)), at.units, tape)


def _tape(at: PageRequest, rig_id: str, group: Entry | None, form: GroupForm) -> Tape | None:
    """The tape that a group was shot on; of a new one as its form says, else the one on now."""
    if group is not None:
        return tape_under(at.notebook, rig_id, kept_as(group, KeptGroup).observation)
    now = at.kept(rig_id).rig.sight.tape
    return form.read("reading", lambda: tape_said(at.notebook, rig_id, form["tape"], now), None)


def new_form(texts: Mapping[str, str], rows: int = USUAL_ROWS) -> GroupForm:
    """Form of a group that is not kept yet."""
    entry = texts.get("entry", "")
    entry = entry if ID.fullmatch(entry) else new_id()
    return GroupForm({**texts, "entry": entry, "seen": "0"}, rows)


def _hidden(group: Entry, seen: int = 0) -> dict[str, str]:
    """What the form of a kept group says of it unseen."""
    session_id = kept_as(group, KeptGroup).session_id
    return {"entry": group.id, "session": session_id, "seen": str(seen or group.number)}


def shown_group(
    at: PageRequest,
    rig_id: str,
    form: GroupForm,
    group: Entry | None = None,
    newer: Entry | None = None,
    photo: Pictured | None = None,
    *,
    before: Entry | None = None,
    planned: Ahead | None = None,
    mend: bool = False,
) -> Response:
    """Page of a group, with the picture that proposes it or what somebody else kept meanwhile.

    A new one tells above it what the group before it, just kept, says.

    A mend that is filled in is shown open, and nothing else is told before it is kept.
    """
    rig = at.rig(rig_id)
    blocks, ahead, wrong = _told(at, rig_id, None if mend else before or group)
    pins, is_first = session_lists.pin_count(rig), not at.notebook.entries("group", rig_id)
    first = planned or (ahead_of(at, rig_id) if is_first else None)
    return at.page(
        "group.html",
        rig=rig,
        form=form,
        group=group,
        before=before,
        is_first=is_first,
        missing=question_lines(questions(at.kept(rig_id).rig)) if is_first else (),
        newer=newer,
        photo=photo,
        mend=mend,
        usual_name=_usual_name(
            session_lists.names_taken(at, rig_id, form["entry"]), newer or group
        ),
        sources=("", *CHOICES["distances"]),
        heads=("", *CHOICES["head"]),
        numbered=form.is_numbered or _are_numbered(at, rig_id),
        pins=pins,
        pin_choices=[(str(pin), str(pin)) for pin in range(1, pins + 1)],
        proof=session_lists.proof_needs(at, rig_id, form["session"]),
        tape=_tape(at, rig_id, newer or group, form),
        blocks=blocks,
        ahead=ahead,
        planned=planned,
        butt=first.butt if first else "",
        wrong=wrong,
    )


def _are_numbered(at: PageRequest, rig_id: str) -> bool:
    """Whether the newest group of a rig says which arrows it was shot with."""
    groups = at.notebook.entries("group", rig_id)[-1:]
    return any(
        hit.arrow for one in groups for hit in kept_as(one, KeptGroup).observation.group.impacts
    )


def _told(at: PageRequest, rig_id: str, group: Entry | None) -> tuple[Blocks, Ahead | None, str]:
    """What a kept group tells, what to shoot next, or why the rig cannot be calibrated."""
    if group is None or group.is_withdrawn:
        return (), None, ""
    is_proof = session_lists.is_proving(at, rig_id, kept_as(group, KeptGroup).session_id)
    try:
        told = session_lists.told_after(at, group, at.answer(rig_id))
        is_apart = is_proof or told == (OTHER_POINT,)
        return told, None if is_apart else ahead_of(at, rig_id), ""
    except TapewrightError as refused:
        return (), None, str(refused)
