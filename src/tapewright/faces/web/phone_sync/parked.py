"""Parked: what a phone handed over and the notebook did not take in, until it is settled.

Holds:  which groups wait; what was handed over of them, readable or not; taking one in after all;
        its fields for the form in which it is mended.
Never:  parking (take_in.py), pages.
"""

from contextlib import suppress

from tapewright.faces.kept_tapes import on_tape, tape_called, tape_under
from tapewright.faces.web.group_form import MOST_NOTE, group_texts, turned_texts
from tapewright.faces.web.page_request import PageRequest
from tapewright.faces.web.phone_sync.message_format import HandedGroup, UnreadGroup, read_group_text
from tapewright.faces.web.phone_sync.take_in import ONE_AT_A_TIME, Taking, form_of
from tapewright.faces.web.session_choice import TRIES, kept_under, save_begun
from tapewright.ground.errors import BadInput, EditedMeanwhile, TapewrightError
from tapewright.services.keep import Entry, KeptGroup, KeptParked, Notebook, Write, kept_as
from tapewright.words.stops import refused_words


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


def park_unread(at: PageRequest, one: UnreadGroup) -> bool:
    """Park what is no group, once; whether it names a rig of this notebook."""
    rig = kept_under(at.notebook, one.rig) if one.rig else None
    if rig is None or rig.kind != "rig":
        return False
    if kept_under(at.notebook, one.parked_id) is None:
        parked = Write(one.parked_id, KeptParked(one.id, one.text, one.why), rig_id=rig.id)
        with suppress(EditedMeanwhile):  # it came twice in one moment
            at.notebook.save_all((parked,), now=at.now)
    return True


def handed(entry: Entry) -> HandedGroup:
    """What was handed over of a parked group. BadInput if it cannot be read."""
    parked = kept_as(entry, KeptParked)
    one = read_group_text(parked.sent)
    if one.id != parked.group_id:
        wrong = "it names another group than it was parked for"
        raise BadInput("the group", wrong, "Save its text and write the group down anew")
    return one


def was_taken_in(at: PageRequest, entry: Entry) -> bool:
    """Whether a version that is kept says what was parked."""
    try:
        one = handed(entry)
    except BadInput:
        return False
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
    is_gone = bool(one.tape) and tape is None
    on_now, before = rig.sight.tape if is_gone else tape, dict[str, str]()
    if there is not None:
        shot = kept_as(there, KeptGroup).observation
        on_now = tape_under(at.notebook, rig_id, shot)
        before = group_texts(shot, "", rig, at.units, on_now) | {"note": "", "distances": ""}
    told = turned_texts(one.fields, (one.read_in, tape), (at.units, on_now))
    is_length = form_of(one)["reading"].strip().endswith(("mm", "cm", "in"))
    if is_gone and not is_length:
        told["reading"] = ""  # a number of a tape that is gone: it means nothing elsewhere
    if there is None and not is_gone:
        told["tape"] = on_tape(tape)
    told["note"] = told.get("note", "")[:MOST_NOTE]
    return {name: told.get(name, "") for name in (*before, *told) if name in before or told[name]}


def take_in_parked(at: PageRequest, entry: Entry) -> str:
    """Take a parked group in after all, into the set-up it was shot with; why not, if it cannot be.

    A name that is taken gets a number behind it; on top of a group that is known otherwise it is a
    new version.
    """
    try:
        one = handed(entry)
    except BadInput as unread:
        return refused_words(unread)
    for left in reversed(range(TRIES)):
        try:
            with ONE_AT_A_TIME:
                return _take_in(at, entry, one)
        except EditedMeanwhile:
            if not left:
                raise
            if kept_under(at.notebook, entry.id) != entry:
                break  # somebody else has just settled it
    return ""


def _take_in(at: PageRequest, entry: Entry, one: HandedGroup) -> str:
    """Keep a group and put what was parked of it aside, both or neither."""
    rig_id = str(entry.rig_id)
    taking = Taking(at, rig_id, is_settled=True)
    there = kept_under(at.notebook, one.id)
    body = taking.judge(one, there)
    if isinstance(body, str):
        return body
    writes = [*taking.begun, Write(one.id, body, there.number if there else 0, rig_id=rig_id)]
    is_there = there is not None and there.body == body
    at.notebook.save_all(() if is_there else writes, now=at.now, aside=(entry,))
    return ""


def session_of(at: PageRequest, entry: Entry) -> str:
    """The session that a parked group belongs to, begun if it must be; for its form."""
    one = handed(entry)
    found: list[str] = []

    def begun() -> list[Write]:
        taking = Taking(at, str(entry.rig_id), is_settled=True)
        found.append(taking.session(one))
        return taking.begun

    save_begun(at, begun)
    return found[-1]
