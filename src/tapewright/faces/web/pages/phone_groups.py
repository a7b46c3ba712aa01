"""Phone groups: what a phone kept and no line could carry; what waits for a person to settle it.

Holds:  /hand-over, which takes a phone's file or its codes; /rigs/{rig_id}/parked.
Never:  what becomes of a group (phone_sync), codes to text.
"""

from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from json import JSONDecoder
from urllib.parse import urlencode

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.web import session_lists
from tapewright.faces.web.forms import Form, seen_number
from tapewright.faces.web.page_request import At, Fields, FilesInOrder, PageRequest
from tapewright.faces.web.phone_sync.erased_rigs import was_erased
from tapewright.faces.web.phone_sync.message_format import HandedGroup, UnreadGroup, read_handed
from tapewright.faces.web.phone_sync.parked import (
    fields_to_mend,
    handed,
    park_unread,
    parked_of,
    session_of,
    take_in_parked,
    was_taken_in,
)
from tapewright.faces.web.phone_sync.scanned_codes import FRAME, joined_frames
from tapewright.faces.web.phone_sync.take_in import moves_marks, take_over
from tapewright.faces.web.session_choice import kept_under
from tapewright.ground.errors import BadInput, NotKept, TapewrightError
from tapewright.reading.text_file import decode_text
from tapewright.services.keep import Entry, KeptParked, KeptRig, kept_as
from tapewright.services.read_codes import codes_in

ROUTER = APIRouter(include_in_schema=False)

PICTURES = (".jpg", ".jpeg", ".png", ".heic", ".heif")
UNKNOWN = (
    "This notebook has no such rig. Hand it over to the notebook that the phone carried it from."
)
NO_RIG = "It names no rig of this notebook either, so it is kept nowhere: keep the file."
MANY = ("arrow", "arrows", "bad", "right", "up")  # cells of a row


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of a group, in a line."""

    name: str  # its rig, distance and day, or where it stands in what came
    rig: str  # id of its rig
    state: str
    why: str
    settle: str = ""  # where a person settles it


@dataclass(frozen=True, slots=True)
class Waiting:
    """A parked group as its page shows it."""

    entry: Entry
    group: HandedGroup | None  # None: it cannot be read as one
    why: str
    there: Entry | None  # what the notebook has under its id

    @property
    def sent(self) -> str:
        """All that came of it, as text."""
        return kept_as(self.entry, KeptParked).sent

    @property
    def said(self) -> tuple[tuple[str, str], ...]:
        """What its form said, arrows aside."""
        of_rows = tuple(f"{cell}-" for cell in MANY)
        return tuple(
            (name.replace("_", " "), text)
            for name, text in self._fields.items()
            if text.strip() and not name.startswith(of_rows) and not name.endswith("_in")
        )

    @property
    def arrows(self) -> tuple[dict[str, str], ...]:
        """Its rows of arrows."""
        rows: dict[str, dict[str, str]] = {}
        for name, text in self._fields.items():
            cell, _, row = name.partition("-")
            if cell in MANY and text.strip():
                rows.setdefault(row, {})[cell] = text
        return tuple(rows.values())

    @property
    def _fields(self) -> dict[str, str]:
        return self.group.fields if self.group else {}


@ROUTER.get("/hand-over")
def hand_over_page(at: At) -> Response:
    """Take in what a phone kept, without a line between the two."""
    return at.page("hand_over.html", form=Form({"text": ""}), taken=None)


@ROUTER.post("/hand-over/take")
def take(at: At, fields: Fields, files: FilesInOrder) -> Response:
    """Take in a file, codes as text, or pictures of codes; sessions that are whole."""
    form = Form({"text": fields.get("text", "")})
    for name, content in files:
        if content:
            form.texts["text"] += "\n" + form.read("file", lambda: _text(name, content), "")  # noqa: B023 — read at once
    none: tuple[HandedGroup | UnreadGroup, ...] = ()
    found = form.read("text", lambda: _groups(form["text"].strip()), none)
    if not form.is_good:
        return at.page("hand_over.html", form=form, taken=None)
    groups = tuple(one for one in found if isinstance(one, HandedGroup))
    taken = [one for each in _sessions(groups) for one in _taken(at, each)]
    taken += [
        _unread_taken(at, place, one)
        for place, one in enumerate(found, 1)
        if isinstance(one, UnreadGroup)
    ]
    return at.page("hand_over.html", form=Form({"text": ""}), taken=taken)


def _text(name: str, content: bytes) -> str:
    """What a file says: itself, or the codes in a picture."""
    if not name.casefold().endswith(PICTURES):
        return decode_text(content, name, BadInput)
    if not (codes := codes_in(content, name)):
        mend = "Fill the picture with the code, sharp and straight; or paste its text"
        raise BadInput("file", f"no code can be read in {name}", mend)
    return "\n".join(codes)


def _groups(text: str) -> tuple[HandedGroup | UnreadGroup, ...]:
    if not text:
        raise BadInput("text", "nothing was given", "Choose the file, or paste the codes' texts")
    wholes = [*joined_frames(text, "text"), *_apart(FRAME.sub("", text).strip())]
    found = {one.parked_id: one for each in wholes for one in read_handed(each, "text")}
    return tuple(found.values())


def _apart(text: str) -> Iterator[str]:
    """Files that stand one behind another, each by itself; what is none is one."""
    while text:
        end = len(text)
        with suppress(ValueError, RecursionError):
            _, end = JSONDecoder().raw_decode(text)
        yield text[:end]
        text = text[end:].lstrip()


def _sessions(groups: tuple[HandedGroup, ...]) -> Iterator[tuple[HandedGroup, ...]]:
    """A session at a time; versions of one group, of files saved at two times, one by one."""
    times: Counter[str] = Counter()
    sessions: dict[tuple[str, str, int], list[HandedGroup]] = {}
    for one in groups:
        times[one.id] += 1
        sessions.setdefault((one.rig, one.part, times[one.id]), []).append(one)
    return map(tuple, sessions.values())


def _taken(at: PageRequest, groups: tuple[HandedGroup, ...]) -> Iterator[Taken]:
    try:
        told = take_over(at, groups[0].rig, groups)
        if moves_marks(told):
            at.recalibrate(groups[0].rig)
        erased = was_erased(at.notebook, groups[0].rig)
        settle = "/erased" if erased else f"/rigs/{groups[0].rig}/parked"
        yield from (
            Taken(_name(one.group), one.group.rig, one.state, one.why, settle) for one in told
        )
    except NotKept:
        yield from (Taken(_name(one), one.rig, "refused", UNKNOWN) for one in groups)


def _name(one: HandedGroup) -> str:
    return f"{one.rig_name}, {one.where}, shot {one.shot_on}"


def _unread_taken(at: PageRequest, place: int, one: UnreadGroup) -> Taken:
    """What is no group is parked all the same, where a rig of this notebook is named."""
    name = f"The group at place {place} of what came"
    if park_unread(at, one):
        return Taken(name, one.rig, "parked", one.why, f"/rigs/{one.rig}/parked")
    return Taken(name, one.rig, "refused", f"{one.why} {NO_RIG}")


@ROUTER.get("/rigs/{rig_id}/parked")
def parked_page(at: At, rig_id: str) -> Response:
    """Groups from phones that a person must settle, and those that were settled."""
    return _parked_page(at, rig_id)


@ROUTER.post("/rigs/{rig_id}/parked/{parked_id}/take-in")
def settle(at: At, rig_id: str, parked_id: str) -> Response:
    """Take a parked group in after all."""
    entry = _parked(at, rig_id, parked_id)
    wrong = "" if entry.is_withdrawn else take_in_parked(at, entry)
    if wrong:
        return _parked_page(at, rig_id, {entry.id: wrong})
    return at.changed(rig_id, f"/groups/{kept_as(entry, KeptParked).group_id}")


@ROUTER.post("/rigs/{rig_id}/parked/{parked_id}/mend")
def mend(at: At, rig_id: str, parked_id: str) -> Response:
    """Open a parked group in its form, in the session it belongs to."""
    entry = _parked(at, rig_id, parked_id)
    there = _there(at, rig_id, kept_as(entry, KeptParked).group_id)
    try:
        one, said = handed(entry), fields_to_mend(at, entry, there)
    except BadInput as unread:
        return _parked_page(at, rig_id, {entry.id: str(unread)})
    if there is not None:
        return at.go(f"/rigs/{rig_id}/groups/{there.id}?{urlencode(said)}")
    try:
        session_id = session_of(at, entry)
    except TapewrightError as refused:
        return _parked_page(at, rig_id, {entry.id: str(refused)})
    said |= {"entry": one.id, "session": session_id}
    return at.go(f"/rigs/{rig_id}/groups/new?{urlencode(said)}")


@ROUTER.post("/rigs/{rig_id}/parked/{parked_id}/withdraw")
@ROUTER.post("/rigs/{rig_id}/parked/{parked_id}/restore")
def mark_parked(at: At, rig_id: str, parked_id: str, fields: Fields) -> Response:
    """Throw a parked group away, or take it back."""
    entry = _parked(at, rig_id, parked_id)
    at.mark(entry.id, seen_number(fields))
    return at.go(f"/rigs/{rig_id}/parked")


def _parked(at: PageRequest, rig_id: str, parked_id: str) -> Entry:
    entry = session_lists.kept_of_rig(at, rig_id, parked_id)
    kept_as(entry, KeptParked)
    return entry


def _parked_page(at: PageRequest, rig_id: str, wrong: dict[str, str] | None = None) -> Response:
    rig = at.rig(rig_id)
    kept_as(rig, KeptRig)
    waiting = [_waiting(at, rig_id, one) for one in parked_of(at.notebook, rig_id)]
    gone = at.notebook.entries("parked", rig_id, withdrawn=True)
    thrown_away = [one for one in gone if not was_taken_in(at, one)]
    return at.page(
        "parked.html",
        rig=rig,
        waiting=waiting,
        settled=[_waiting(at, rig_id, one) for one in thrown_away],
        wrong=wrong or {},
        status=422 if wrong else 0,
    )


def _waiting(at: PageRequest, rig_id: str, entry: Entry) -> Waiting:
    body = kept_as(entry, KeptParked)
    group, why, there = None, body.why, _there(at, rig_id, body.group_id)
    try:
        group = handed(entry)
    except BadInput as unread:
        why = why or str(unread)
    return Waiting(entry, group, why, there)


def _there(at: PageRequest, rig_id: str, group_id: str) -> Entry | None:
    entry = kept_under(at.notebook, group_id)
    is_its_group = entry is not None and entry.kind == "group" and entry.rig_id == rig_id
    return entry if is_its_group else None
