"""Hand over: groups that a phone kept come into the notebook, once, whatever the line did.

Every group has an id that was made on the phone. A session comes in whole or not at all; a group
that cannot be taken in (impossible, its name taken, the rig changed meanwhile) is parked in the
notebook, where a person settles it, and so is one that the notebook knows otherwise.

Holds:  the shape of what is handed over; taking a session in; parking; settling what is parked.
Never:  pages and addresses, how a group's fields are read (group_form.py), codes (frames.py).
"""

import json
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from hashlib import sha256
from threading import Lock
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator

from tapewright.faces.impossible import refuse_impossible
from tapewright.faces.kept_rigs import setup_now
from tapewright.faces.kept_tapes import tape_called, tape_under
from tapewright.faces.settings import new_id
from tapewright.faces.web import sessions
from tapewright.faces.web.group_form import (
    MOST_NOTE,
    GroupForm,
    free_name,
    group_texts,
    next_name,
    read_group,
    turned_texts,
)
from tapewright.faces.web.page_request import PageRequest
from tapewright.ground.errors import BadInput, EditedMeanwhile, NotKept, TapewrightError
from tapewright.services.keep import (
    Entry,
    KeptChange,
    KeptGroup,
    KeptParked,
    KeptSession,
    Notebook,
    Write,
    kept_as,
)
from tapewright.services.record_groups import Observation, refuse_twice
from tapewright.words.stops import refused_words
from tapewright.words.unit_names import quoted
from tapewright.words.units import IMPERIAL, METRIC, Units

SCHEMA = "tapewright.hand-over/1"
MOST_GROUPS, MOST_IN_FILE, MOST_FIELDS = 500, 20_000, 700
TRIES = 5  # of a session that others write at the same time
NO_REASON = "It cannot be read as a group."
State = Literal["kept", "same", "parked"]
Text = Annotated[str, Field(max_length=200)]
Id = Annotated[str, Field(pattern=r"^[0-9a-f]{20}$")]
Day = Annotated[str, Field(pattern=r"^\d{4}-\d{2}-\d{2}$", json_schema_extra={"format": "date"})]

_ONE_AT_A_TIME = Lock()  # so that two sessions do not choose the same name


class _Strict(BaseModel):
    """What is handed over is taken as documented or not at all."""

    model_config = ConfigDict(strict=True, extra="forbid", allow_inf_nan=False)


class HandedGroup(_Strict):
    """A group as a phone kept it: what its form said, and what it was shot with."""

    id: Id
    rig: Id
    rig_name: Text = ""
    rig_number: int = Field(ge=1, le=2**31 - 1, description="Version of the rig it was shot with.")
    tape: Text = Field("", description="The tape on the sight, by its name; empty: none.")
    units: Literal["imperial", "metric"]
    shot_on: Day
    kept_at: Text = Field(description="When the phone kept it, as UTC ISO time.")
    part: Id = Field(description="The phone's own session: one rig, day and set-up.")
    session: str = Field("", pattern=r"^([0-9a-f]{20})?$", description="Of the notebook, if said.")
    seen: int = Field(0, ge=0, le=2**31 - 1, description="Version that was changed; 0: a new one.")
    fields: dict[str, Annotated[str, Field(max_length=4000)]] = Field(max_length=MOST_FIELDS)

    @property
    def where(self) -> str:
        """The distance as it was typed, with its unit."""
        typed, unit = self.fields.get("distance", "").strip(), self.fields.get("distance_in", "")
        has_unit = any(one.isalpha() for one in typed) or not unit
        return (typed if has_unit else f"{typed} {unit}") or "A group"

    @property
    def text(self) -> str:
        """All of it as one text, always the same for the same."""
        return json.dumps(self.model_dump(), ensure_ascii=False, sort_keys=True)

    @property
    def parked_id(self) -> str:
        """Under which it is parked: the same however often it comes."""
        return sha256(self.text.encode(errors="replace")).hexdigest()[:20]


class HandedSession(_Strict):
    """Groups of one session of a phone."""

    groups: list[HandedGroup] = Field(min_length=1, max_length=MOST_GROUPS)

    @field_validator("groups")
    @classmethod
    def _are_apart(cls, groups: list[HandedGroup]) -> list[HandedGroup]:
        if len({one.id for one in groups}) < len(groups):
            raise ValueError("two groups have the same id")
        if len({(one.rig, one.part) for one in groups}) > 1:
            raise ValueError("groups of more than one rig or session")
        return groups


class HandedFile(_Strict):
    """All that a phone has not handed over, as a file or as codes carry it."""

    schema_name: Literal["tapewright.hand-over/1"] = Field(alias="schema")
    groups: list[HandedGroup] = Field(min_length=1, max_length=MOST_IN_FILE)


@dataclass(frozen=True, slots=True)
class Told:
    """What became of a group."""

    group: HandedGroup
    state: State
    why: str = ""  # it was parked
    is_new: bool = False  # whether this hand-over wrote it
    is_other: bool = False  # whether the notebook has another group of this id


def read_handed(text: str, place: str) -> tuple[HandedGroup, ...]:
    """Groups from a file or from codes put together. BadInput if it is not that."""
    try:
        return tuple(HandedFile.model_validate_json(text).groups)
    except ValidationError as refused:
        first = refused.errors()[0]
        where = ".".join(map(str, first["loc"])) or "the text"
        wrong = f"this is no hand-over of a phone ({where}: {first['msg']})"
        mend = "Take the file that the phone saved, or all its codes, untouched"
        raise BadInput(place, wrong, mend) from None


def take_over(at: PageRequest, rig_id: str, groups: Sequence[HandedGroup]) -> tuple[Told, ...]:
    """Take in a session of a phone, all of it or nothing; what was taken in before is the same.

    Marks are not worked out anew here: a phone must not wait for them.

    Raises
    ------
    NotKept
        If there is no such rig in this notebook.
    EditedMeanwhile
        If others write the same again and again.
    """
    at.rig(rig_id)
    for left in reversed(range(TRIES)):
        with _ONE_AT_A_TIME:
            told, writes = _Taking(at, rig_id).plan(groups)
            try:
                if writes:
                    at.notebook.save_all(writes, now=at.now)
            except EditedMeanwhile:
                if not left:
                    raise
                continue
        break
    return tuple(told)


def moves_marks(told: Sequence[Told]) -> bool:
    """Whether anything was kept just now."""
    return any(one.state == "kept" and one.is_new for one in told)


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
        there = _there(notebook, group_id)
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
    there = _there(at.notebook, one.id)
    return there is not None and _Taking(at, str(entry.rig_id), is_settled=True).was_this(
        one, there
    )


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
    told = turned_texts(one.fields, (_units(one), tape), (at.units, on_now))
    if one.tape and tape is None and not _form(one)["reading"].strip().endswith(("mm", "cm", "in")):
        told["reading"] = ""  # a number of a tape that is gone: it means nothing elsewhere
    told["note"] = told.get("note", "")[:MOST_NOTE]
    return {name: told.get(name, "") for name in (*before, *told) if name in before or told[name]}


def take_in_parked(at: PageRequest, entry: Entry) -> str:
    """Take a parked group in after all, into the set-up it was shot with; why not, if it cannot be.

    A name that is taken gets a number behind it; on top of a group that is known otherwise it is a
    new version.
    """
    one, rig_id = handed(entry), str(entry.rig_id)
    with _ONE_AT_A_TIME:
        taking = _Taking(at, rig_id, is_settled=True)
        there = _there(at.notebook, one.id)
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
    taking = _Taking(at, str(entry.rig_id), is_settled=True)
    session_id = taking.session(one)
    if taking.begun:
        at.notebook.save_all(taking.begun, now=at.now)
    return session_id


class _Taking:
    """One look at a rig, with which groups of a session are taken in."""

    def __init__(self, at: PageRequest, rig_id: str, *, is_settled: bool = False) -> None:
        self._at, self._rig_id, self._is_settled = at, rig_id, is_settled
        self._names = sessions.names_taken(at, rig_id)
        self._fresh: list[Observation] = []
        self.begun: list[Write] = []  # sessions

    def plan(self, groups: Sequence[HandedGroup]) -> tuple[list[Told], list[Write]]:
        """What becomes of each group, and what to write for that."""
        told, writes = [], []
        for one in groups:
            there = _there(self._at.notebook, one.id)
            body = self._unless_known(one, there)
            if isinstance(body, Told):
                told.append(body)
                continue
            if isinstance(body, KeptGroup):
                seen = there.number if there else 0
                writes.append(Write(one.id, body, seen, rig_id=self._rig_id))
                told.append(Told(one, "kept", is_new=True))
                continue
            parked = KeptParked(one.id, one.text, body)
            writes.append(Write(one.parked_id, parked, rig_id=self._rig_id))
            told.append(Told(one, "parked", body, is_new=True, is_other=there is not None))
        return told, [*self.begun, *writes]

    def _unless_known(self, one: HandedGroup, there: Entry | None) -> KeptGroup | Told | str:
        """Group to be kept, why it is to be parked, or that both was done before."""
        if there is not None and self.was_this(one, there):
            return Told(one, "same")
        if (parked := _there(self._at.notebook, one.parked_id)) is not None:
            why = kept_as(parked, KeptParked).why
            return Told(one, "parked", why, is_other=there is not None)
        if there is not None and (one.seen != there.number or there.is_withdrawn):
            return "The notebook knows this group otherwise: it was changed on both sides."
        return self.judge(one, there)

    def judge(self, one: HandedGroup, there: Entry | None) -> KeptGroup | str:
        """Group ready to be kept, or why it cannot be."""
        try:
            wrong = self._not_now(one, there)
            return wrong or self._body(one, there)
        except TapewrightError as refused:
            return refused_words(refused)

    def _not_now(self, one: HandedGroup, there: Entry | None) -> str:
        """What hinders whatever the group says; empty if nothing does."""
        rig = self._at.rig(self._rig_id)
        if rig.is_withdrawn:
            return "The rig was put aside meanwhile. Take it back first."
        if there is not None:
            if there.kind != "group" or there.rig_id != self._rig_id:
                return "Something else has its id."
            return "This group was put aside. Take it back first." if there.is_withdrawn else ""
        if self._is_settled or one.session:
            return ""
        now, then = setup_now(self._at.notebook, self._rig_id), self._setup(one)
        if one.rig_number > rig.number or now != then:
            return (
                "The rig was changed after this phone saw it: was the group shot before or after?"
            )
        return ""

    def _body(self, one: HandedGroup, there: Entry | None) -> KeptGroup | str:
        rig_id, form = self._rig_id, _form(one)
        but = set() if there is None else {kept_as(there, KeptGroup).observation.group.name}
        names = self._names - but
        usual = next(iter(but), "") or next_name(names)
        if self._is_settled and (typed := form["name"].strip()):
            form.texts["name"] = free_name(typed, names)
        shot = self._read(one, form, names, usual)
        if shot is None:
            return _faults(form)
        if there is not None:
            shot = replace(shot, proved=kept_as(there, KeptGroup).observation.proved)
        refuse_impossible(shot, self._at.kept(rig_id).rig)
        sessions.refuse_known(self._at, rig_id, (shot,), one.id)
        refuse_twice((shot,), self._fresh)
        session_id = self.session(one) if there is None else kept_as(there, KeptGroup).session_id
        self._names.add(shot.group.name)
        self._fresh.append(shot)
        return KeptGroup(session_id, shot, form.note)

    def _read(
        self, one: HandedGroup, form: GroupForm, names: set[str], usual: str
    ) -> Observation | None:
        """Observation as the phone's form says it, on the tape that was on the sight."""
        tapes = tape_called(self._at.notebook, self._rig_id)
        tape = tapes(one.tape, "tape") if one.tape else None
        return read_group(form, self._at.kept(self._rig_id).rig, _units(one), names, usual, tape)

    def was_this(self, one: HandedGroup, there: Entry) -> bool:
        """Whether a version of what is kept says what was handed over."""
        if there.kind != "group" or there.rig_id != self._rig_id:
            return False
        for version in self._at.notebook.history(one.id):
            kept = kept_as(version, KeptGroup)
            form, name = _form(one), kept.observation.group.name
            with suppress(TapewrightError):
                shot = self._read(one, form, set(), name)
                is_called = _is_called(one, form["name"].strip(), name)
                if shot is not None and form.note == kept.note and is_called:
                    numbered = replace(shot.group, name=name)  # when it was settled
                    same = replace(shot, group=numbered, proved=kept.observation.proved)
                    if same == kept.observation:
                        return True
        return False

    def session(self, one: HandedGroup) -> str:
        """The session it belongs to: the one it says, that of its day, or one that is begun."""
        if one.session:
            entry = sessions.kept_of_rig(self._at, self._rig_id, one.session)
            kept_as(entry, KeptSession)
            if entry.is_withdrawn:
                wrong = f"its session {quoted(one.session)} was put aside"
                raise BadInput("session", wrong, "Take it back first")
            return entry.id
        begun = KeptSession(one.shot_on, "sighting", "", self._setup(one))
        there = [
            *((each.id, each.body) for each in self._at.notebook.entries("session", self._rig_id)),
            *((each.entry_id, each.body) for each in self.begun),
        ]
        for session_id, body in reversed(there):
            if isinstance(body, KeptSession) and replace(body, note="") == begun:
                return session_id
        is_free = _there(self._at.notebook, one.part) is None
        session_id = one.part if is_free and not self.begun else new_id()
        self.begun.append(Write(session_id, begun, rig_id=self._rig_id))
        return session_id

    def _setup(self, one: HandedGroup) -> int:
        """The set-up that stood when the rig had the version that the phone saw."""
        changes = self._at.notebook.entries("change", self._rig_id)
        before = (kept_as(each, KeptChange) for each in changes)
        return max((each.setup for each in before if each.from_rig < one.rig_number), default=0)


def _there(notebook: Notebook, entry_id: str) -> Entry | None:
    try:
        return notebook.entry(entry_id)
    except NotKept:
        return None


def _units(one: HandedGroup) -> Units:
    return METRIC if one.units == "metric" else IMPERIAL


def _is_called(one: HandedGroup, typed: str, name: str) -> bool:
    """Whether a group has the name that was typed; a new one may have got a number behind it."""
    if typed in ("", name):
        return True
    head, _, number = name.rpartition(" ")
    return not one.seen and head == typed[:54] and number.isdigit()


def _form(one: HandedGroup) -> GroupForm:
    told = {name: text for name, text in one.fields.items() if name != "add"}
    return GroupForm(told | {"entry": one.id, "seen": str(one.seen)})


def _faults(form: GroupForm) -> str:
    """What is wrong with it, each place by its name."""
    told = (
        f"{name.replace('-', ' ')}: {words}" if name else words
        for name, words in form.faults.items()
    )
    return " ".join(told) or NO_REASON
