"""Take in: groups that a phone kept come into the notebook, once, whatever the line did.

Every group has an id that was made on the phone. A session comes in whole or not at all; a group
that cannot be taken in (impossible, its name taken, the rig changed meanwhile) is parked in the
notebook, where a person settles it, and so is one that the notebook knows otherwise.

Holds:  taking a session in, and what became of each group; parking.
Never:  the shape of what comes (message_format.py), settling what is parked (parked.py),
        pages and addresses, how a group's fields are read (group_form.py), scanned_codes.py.
"""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from threading import Lock
from typing import Literal

from tapewright.faces.impossible_groups import refuse_impossible
from tapewright.faces.kept_rigs import setup_now
from tapewright.faces.kept_tapes import tape_called
from tapewright.faces.web import session_lists
from tapewright.faces.web.group_form import (
    GroupForm,
    free_name,
    next_name,
    read_group,
)
from tapewright.faces.web.page_request import PageRequest
from tapewright.faces.web.phone_sync.erased_rigs import WHY, park_for_erased, was_erased
from tapewright.faces.web.phone_sync.message_format import HandedGroup
from tapewright.faces.web.session_choice import TRIES, kept_under, session_like
from tapewright.ground.errors import BadInput, EditedMeanwhile, TapewrightError
from tapewright.services.keep import (
    Entry,
    KeptChange,
    KeptGroup,
    KeptParked,
    KeptSession,
    Write,
    kept_as,
)
from tapewright.services.record_groups import Observation, refuse_twice
from tapewright.words.stops import refused_words
from tapewright.words.unit_spellings import quoted

NO_REASON = "It cannot be read as a group."
State = Literal["kept", "same", "parked"]

ONE_AT_A_TIME = Lock()  # so that two sessions do not choose the same name


@dataclass(frozen=True, slots=True)
class Told:
    """What became of a group."""

    group: HandedGroup
    state: State
    why: str = ""  # it was parked
    is_new: bool = False  # whether this hand-over wrote it
    is_other: bool = False  # whether the notebook has another group of this id


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
    if was_erased(at.notebook, rig_id):
        is_new = park_for_erased(at.notebook, groups, at.now)
        return tuple(Told(one, "parked", WHY, is_new=is_new[one.id]) for one in groups)
    at.rig(rig_id)
    for left in reversed(range(TRIES)):
        with ONE_AT_A_TIME:
            told, writes = Taking(at, rig_id).plan(groups)
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


class Taking:
    """One look at a rig, with which groups of a session are taken in."""

    def __init__(self, at: PageRequest, rig_id: str, *, is_settled: bool = False) -> None:
        self._at, self._rig_id, self._is_settled = at, rig_id, is_settled
        self._names = session_lists.names_taken(at, rig_id)
        self._fresh: list[Observation] = []
        self.begun: list[Write] = []  # sessions

    def plan(self, groups: Sequence[HandedGroup]) -> tuple[list[Told], list[Write]]:
        """What becomes of each group, and what to write for that."""
        told, writes = [], []
        for one in groups:
            there = kept_under(self._at.notebook, one.id)
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
        if (parked := kept_under(self._at.notebook, one.parked_id)) is not None:
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
        rig_id, form = self._rig_id, form_of(one)
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
        session_lists.refuse_known(self._at, rig_id, (shot,), one.id)
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
        return read_group(form, self._at.kept(self._rig_id).rig, one.read_in, names, usual, tape)

    def was_this(self, one: HandedGroup, there: Entry) -> bool:
        """Whether a version of what is kept says what was handed over."""
        if there.kind != "group" or there.rig_id != self._rig_id:
            return False
        for version in self._at.notebook.history(one.id):
            kept = kept_as(version, KeptGroup)
            form, name = form_of(one), kept.observation.group.name
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
            entry = session_lists.kept_of_rig(self._at, self._rig_id, one.session)
            kept_as(entry, KeptSession)
            if entry.is_withdrawn:
                wrong = f"its session {quoted(one.session)} was put aside"
                raise BadInput("session", wrong, "Take it back first")
            return entry.id
        begun = KeptSession(one.shot_on, "sighting", "", self._setup(one))
        session_id, writes = session_like(self._at.notebook, self._rig_id, begun, self.begun)
        self.begun += writes
        return session_id

    def _setup(self, one: HandedGroup) -> int:
        """The set-up that stood when the rig had the version that the phone saw."""
        changes = self._at.notebook.entries("change", self._rig_id)
        before = (kept_as(each, KeptChange) for each in changes)
        return max((each.setup for each in before if each.from_rig < one.rig_number), default=0)


def _is_called(one: HandedGroup, typed: str, name: str) -> bool:
    """Whether a group has the name that was typed; a new one may have got a number behind it."""
    if typed in ("", name):
        return True
    head, _, number = name.rpartition(" ")
    return not one.seen and head == typed[:54] and number.isdigit()


def form_of(one: HandedGroup) -> GroupForm:
    """A group's form, filled in as the phone's was."""
    told = {name: text for name, text in one.fields.items() if name != "add"}
    return GroupForm(told | {"entry": one.id, "seen": str(one.seen)})


def _faults(form: GroupForm) -> str:
    """What is wrong with it, each place by its name."""
    told = (
        f"{name.replace('-', ' ')}: {words}" if name else words
        for name, words in form.faults.items()
    )
    return " ".join(told) or NO_REASON
