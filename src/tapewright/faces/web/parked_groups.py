"""Parked groups: what a phone handed over and the notebook did not take in, until it is settled.

Holds:  which groups wait; what was handed over of them; taking one in after all; its fields for the
        form in which it is mended.
Never:  parking (hand_over.py), pages.
"""

from contextlib import suppress

from tapewright.faces.kept_tapes import tape_called, tape_under
from tapewright.faces.web.group_form import MOST_NOTE, group_texts, turned_texts
from tapewright.faces.web.hand_over import ONE_AT_A_TIME, Taking, form_of, kept_under
from tapewright.faces.web.handed_groups import HandedGroup
from tapewright.faces.web.page_request import PageRequest
from tapewright.ground.errors import TapewrightError
from tapewright.services.keep import Entry, KeptGroup, KeptParked, Notebook, Write, kept_as


def parked_of(notebook: Notebook, rig_id: str) -> tuple[Entry, ...]:
    """Parked groups that nobody settled: one that was kept since is settled.

    Where it waited in several versions by then, that settled none of them.
    """
    parked, waiting = notebook.entries("parked", rig_id), []
    gone = notebook.entries("parked", rig_id, withdrawn=True) if parked else ()
    versions: dict[str, list[Entry]] = {}
    for one in (*parked, *gone):
        versions.setdefault(kept_as(one, KeptParked).group_id, []).append(one)
    for one in parked:
        group_id = kept_as(one, KeptParked).group_id
        there = kept_under(notebook, group_id)
        since = "" if there is None else notebook.entry(there.id, 1).saved_at
        before = [each for each in versions[group_id] if each.saved_at <= since]
        if one not in before or len(before) > 1:
            waiting.append(one)
    return tuple(waiting)


def handed(entry: Entry) -> HandedGroup:
    """What was handed over of a parked group."""
    return HandedGroup.model_validate_json(kept_as(entry, KeptParked).sent)


def was_taken_in(at: PageRequest, entry: Entry) -> bool:
    """Whether a version that is kept says what was parked."""
    one = handed(entry)
    there = kept_under(at.notebook, one.id)
    return there is not None and Taking(at, str(entry.rig_id), is_settled=True).was_this(one, there)


def fields_to_mend(at: PageRequest, entry: Entry, there: Entry | None) -> dict[str, str]:
    """Fields of a parked group, as the form that opens for it now reads them.

    Where the group is kept already, what its form holds and the phone's did not is emptied.
    """
    one, rig_id = handed(entry), str(entry.rig_id)
    rig, tape = at.kept(rig_id).rig, None
    with suppress(TapewrightError):
        tape = tape_called(at.notebook, rig_id)(one.tape, "tape") if one.tape else None
    on_now, before = rig.sight.tape, dict[str, str]()
    if there is not None:
        shot = kept_as(there, KeptGroup).observation
        on_now = tape_under(at.notebook, rig_id, shot)
        before = group_texts(shot, "", rig, at.units, on_now) | {"note": "", "distances": ""}
    told = turned_texts(one.fields, (one.read_in, tape), (at.units, on_now))
    is_length = form_of(one)["reading"].strip().endswith(("mm", "cm", "in"))
    if one.tape and tape is None and not is_length:
        told["reading"] = ""  # a number of a tape that is gone: it means nothing elsewhere
    told["note"] = told.get("note", "")[:MOST_NOTE]
    return {name: told.get(name, "") for name in (*before, *told) if name in before or told[name]}


def take_in_parked(at: PageRequest, entry: Entry) -> str:
    """Take a parked group in after all, into the set-up it was shot with; why not, if it cannot be.

    A name that is taken gets a number behind it; on top of a group that is known otherwise it is a
    new version.
    """
    one, rig_id = handed(entry), str(entry.rig_id)
    with ONE_AT_A_TIME:
        taking = Taking(at, rig_id, is_settled=True)
        there = kept_under(at.notebook, one.id)
        body = taking.judge(one, there)
        if isinstance(body, str):
            return body
        seen = there.number if there else 0
        at.notebook.save_all([*taking.begun, Write(one.id, body, seen, rig_id=rig_id)], now=at.now)
    at.notebook.withdraw(entry.id, seen=entry.number, now=at.now)
    return ""


def session_of(at: PageRequest, entry: Entry) -> str:
    """The session that a parked group belongs to, begun if it must be; for its form."""
    one = handed(entry)
    taking = Taking(at, str(entry.rig_id), is_settled=True)
    session_id = taking.session(one)
    if taking.begun:
        at.notebook.save_all(taking.begun, now=at.now)
    return session_id
