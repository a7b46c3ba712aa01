"""Groups: one group written down or tapped, and what it tells at once.

Holds:  /rigs/{rig_id}/groups: a new one, one kept, putting it aside and taking it back.
Never:  what its fields mean (group_form.py), what is told (questions/group.py).
"""

import re
from dataclasses import dataclass
from functools import partial

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.kept_rigs import rig_of
from tapewright.faces.settings import new_id
from tapewright.faces.web.forms import Form, seen_number
from tapewright.faces.web.group_form import (
    USUAL_ROWS,
    group_form,
    group_texts,
    has_several,
    is_untouched,
    next_name,
    read_group,
    rows_of,
)
from tapewright.faces.web.next_shots import Ahead, ahead_of
from tapewright.faces.web.page_request import At, Fields, PageRequest
from tapewright.faces.web.pages.question import find
from tapewright.faces.web.photo_form import Pictured
from tapewright.faces.web.sessions import (
    group_line,
    kept_of_rig,
    names_taken,
    refuse_back,
    refuse_known,
    session_for,
    told_after,
)
from tapewright.ground.errors import EditedMeanwhile, TapewrightError
from tapewright.services.keep import Entry, KeptGroup, Write, kept_as
from tapewright.services.record_groups import Observation
from tapewright.words.blocks import Blocks

ROUTER = APIRouter(include_in_schema=False)

MOST_NOTE = 2000
ID = re.compile(r"[0-9a-f]{20}")


@dataclass(frozen=True, slots=True)
class Sheet:
    """What the form of a group needs beside its texts."""

    address: str  # where the form is sent
    entry_id: str  # id of the group; the session it goes into, empty for today's
    session_id: str
    seen: int  # version that the person saw; 0 for a new group
    usual_name: str  # its name when none is typed


@ROUTER.get("/rigs/{rig_id}/groups/new")
def new_group(at: At, rig_id: str) -> Response:
    """An empty group, or one filled in by the address."""
    asked = dict(at.request.query_params)
    rows = asked.get("rows", "")
    count = int(rows) if rows.isascii() and rows.isdigit() and len(rows) < 3 else USUAL_ROWS
    sheet = _new_sheet(at, rig_id, asked)
    return _group_page(at, rig_id, group_form(asked, count), sheet)


@ROUTER.post("/rigs/{rig_id}/groups/new")
def add_group(at: At, rig_id: str, fields: Fields) -> Response:
    """Keep a new group; today's session begins with its first."""
    sheet, form = _new_sheet(at, rig_id, fields), group_form(fields)
    if "add" in fields:
        return _group_page(at, rig_id, group_form(fields, rows_of(form) + 1), sheet)
    shot = _shot(at, rig_id, form, sheet)
    if shot is None:
        return _group_page(at, rig_id, form, sheet)
    session_id, writes = session_for(at, rig_id, sheet.session_id)
    body = KeptGroup(session_id, shot, form["note"].strip()[:MOST_NOTE])
    try:
        at.notebook.save_all([*writes, Write(sheet.entry_id, body, rig_id=rig_id)], now=at.now)
    except EditedMeanwhile as other:
        if other.newer.rig_id != rig_id or other.newer.body != body:
            kept = _kept_sheet(rig_id, kept_of_rig(at, rig_id, sheet.entry_id))
            return _group_page(at, rig_id, form, kept, newer=other.newer)
        # the same form sent twice: it was kept the first time
    at.recalibrate(rig_id)
    return at.go(f"/rigs/{rig_id}/groups/{sheet.entry_id}")


@ROUTER.get("/rigs/{rig_id}/groups/{group_id}")
def group_page(at: At, rig_id: str, group_id: str) -> Response:
    """What a group tells, what to shoot next, and the group itself to be changed."""
    group = kept_of_rig(at, rig_id, group_id)
    body = kept_as(group, KeptGroup)
    texts = group_texts(body.observation, body.note, rig_of(at.rig(rig_id)), at.units)
    return _group_page(at, rig_id, group_form(texts), _kept_sheet(rig_id, group), group=group)


@ROUTER.post("/rigs/{rig_id}/groups/{group_id}")
def save_group(at: At, rig_id: str, group_id: str, fields: Fields) -> Response:
    """Keep a group as it was changed."""
    group, form = kept_of_rig(at, rig_id, group_id), group_form(fields)
    body, seen = kept_as(group, KeptGroup), seen_number(fields)
    sheet = _kept_sheet(rig_id, group, seen)
    if "add" in fields:
        more = group_form(fields, rows_of(form) + 1)
        return _group_page(at, rig_id, more, sheet, group=group)
    shot = _shot(at, rig_id, form, sheet)
    if shot is None:
        return _group_page(at, rig_id, form, sheet, group=group)
    texts = group_texts(body.observation, body.note, rig_of(at.rig(rig_id)), at.units)
    if is_untouched(form, texts):
        shot = body.observation  # to the last digit
    kept = KeptGroup(body.session_id, shot, form["note"].strip()[:MOST_NOTE])
    try:
        at.notebook.save(group_id, kept, seen=seen, now=at.now)
    except EditedMeanwhile as other:
        sheet = _kept_sheet(rig_id, other.newer)
        return _group_page(at, rig_id, form, sheet, group=group, newer=other.newer)
    at.recalibrate(rig_id)
    return at.go(f"/rigs/{rig_id}/groups/{group_id}")


@ROUTER.post("/rigs/{rig_id}/groups/{group_id}/withdraw")
def withdraw_group(at: At, rig_id: str, group_id: str, fields: Fields) -> Response:
    """Put a group aside; it can be taken back."""
    kept_as(kept_of_rig(at, rig_id, group_id), KeptGroup)
    at.notebook.withdraw(group_id, seen=seen_number(fields), now=at.now)
    at.recalibrate(rig_id)
    return at.go(f"/rigs/{rig_id}/shoot")


@ROUTER.post("/rigs/{rig_id}/groups/{group_id}/restore")
def restore_group(at: At, rig_id: str, group_id: str, fields: Fields) -> Response:
    """Take a group back that was put aside."""
    group = kept_of_rig(at, rig_id, group_id)
    kept_as(group, KeptGroup)
    refuse_back(at, rig_id, group)
    at.notebook.restore(group_id, seen=seen_number(fields), now=at.now)
    at.recalibrate(rig_id)
    return at.go(f"/rigs/{rig_id}/groups/{group_id}")


def proposed_group(
    at: PageRequest, rig_id: str, texts: dict[str, str], photo: Pictured
) -> Response:
    """A new group as a photograph proposes it, to be confirmed by tapping."""
    return _group_page(at, rig_id, group_form(texts), _new_sheet(at, rig_id, texts), photo=photo)


def _shot(at: PageRequest, rig_id: str, form: Form, sheet: Sheet) -> Observation | None:
    """Group as typed; None when something is wrong, or its arrows count already."""
    rig, taken = rig_of(at.rig(rig_id)), names_taken(at, rig_id, sheet.entry_id)
    shot = read_group(form, rig, at.units, taken, sheet.usual_name)
    if shot is not None:
        form.read("", partial(refuse_known, at, rig_id, (shot,), sheet.entry_id), None)
    return shot if form.is_good else None


def _new_sheet(at: PageRequest, rig_id: str, texts: dict[str, str]) -> Sheet:
    entry_id = texts.get("entry", "")
    if not ID.fullmatch(entry_id):
        entry_id = new_id()
    usual = next_name(names_taken(at, rig_id, entry_id))
    address = f"/rigs/{rig_id}/groups/new"
    return Sheet(address, entry_id, texts.get("session", ""), 0, usual)


def _kept_sheet(rig_id: str, group: Entry, seen: int | None = None) -> Sheet:
    body = kept_as(group, KeptGroup)
    address, name = f"/rigs/{rig_id}/groups/{group.id}", body.observation.group.name
    return Sheet(address, group.id, body.session_id, seen or group.number, name)


def _group_page(
    at: PageRequest,
    rig_id: str,
    form: Form,
    sheet: Sheet,
    group: Entry | None = None,
    newer: Entry | None = None,
    photo: Pictured | None = None,
) -> Response:
    rig = at.rig(rig_id)
    blocks, ahead, wrong = _told(at, rig_id, group)
    status = 409 if newer else 200 if form.is_good else 422
    things = {
        "form": form,
        "sheet": sheet,
        "group": group,
        "line": group_line(group, at.units) if group else None,
        "newer": newer,
        "photo": photo,
        "newer_line": group_line(newer, at.units) if newer else None,
        "pins": 1 + len(rig_of(rig).sight.pins_below_first_m),
        "several": has_several(form),
        "rows": range(1, rows_of(form) + 1),
        "blocks": blocks,
        "ahead": ahead,
        "wrong": wrong,
    }
    return at.page("group.html", status=status, rig=rig, **things)


def _told(at: PageRequest, rig_id: str, group: Entry | None) -> tuple[Blocks, Ahead | None, str]:
    """What a kept group tells, what to shoot next, or why the rig cannot be calibrated."""
    if group is None or group.is_withdrawn:
        return (), None, ""
    try:
        answer = at.answer(rig_id)
        ahead = ahead_of(lambda: find(at, answer, "plan", Form()), at.units)
        return told_after(at, group, answer), ahead, ""
    except TapewrightError as refused:
        return (), None, str(refused)
