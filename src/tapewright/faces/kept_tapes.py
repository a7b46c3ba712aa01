"""Kept tapes: which tape is on a sight, and how it came there.

Holds:  the OnSight record; tapes of a rig, laid on its set-ups, one stuck on or taken off.
Never:  numbers of a tape to readings (sight/tape.py), prints that wait (kept_prints.py), pages,
        calibrations kept.
"""

from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import lru_cache

from tapewright.ground.errors import BadInput, BadShots
from tapewright.services.calibrate_kept import has_another_scale
from tapewright.services.equip import Rig
from tapewright.services.keep import Entry, KeptTape, Notebook, Write, kept_as
from tapewright.services.record_groups import Observation
from tapewright.services.stick_tape import (
    Laying,
    Tape,
    TapeRecord,
    read_record,
    record_text,
    stick,
    with_tape,
)
from tapewright.words.unit_spellings import quoted

TAPE = "the tape's record"
ON_NONE = "-"  # what a form says that was shot with no tape on the sight


@dataclass(frozen=True, slots=True)
class OnSight:
    """A tape that is on a sight, or was."""

    entry: Entry  # as it is kept
    tape: Tape  # as a scale

    @property
    def body(self) -> KeptTape:
        """What is kept of it."""
        return kept_as(self.entry, KeptTape)

    @property
    def record(self) -> TapeRecord:
        """What was printed."""
        return _record(self.body.record_text)

    @property
    def strip_name(self) -> str:
        """Which strip of the print it is."""
        return self.record.names[self.record.stuck.strip - 1]


_record = lru_cache(256)(lambda text: read_record(text, TAPE))
_tape = lru_cache(256)(lambda text: _record(text).tape())


def tapes_of(notebook: Notebook, rig_id: str) -> tuple[OnSight, ...]:
    """Tapes that were stuck on, the first first; one that cannot be read is as if off."""
    found = []
    for one in notebook.entries("tape", rig_id):
        with suppress(BadInput):
            found.append(OnSight(one, _tape(kept_as(one, KeptTape).record_text)))
    return tuple(found)


def unread_tapes(notebook: Notebook, rig_id: str) -> tuple[str, ...]:
    """Why tapes of a rig, such as an archive brought, cannot be read."""
    told = []
    for one in notebook.entries("tape", rig_id):
        body = kept_as(one, KeptTape)
        try:
            _tape(body.record_text)
        except BadInput as refused:
            told.append(f"The tape kept as stuck on {body.stuck_on} cannot be read: {refused}")
    return tuple(told)


class Laid:
    """Tapes of a rig, laid on it set-up by set-up, the first first."""

    def __init__(self, tapes: tuple[OnSight, ...]) -> None:
        self.tapes = tapes
        self._before: Rig | None = None
        self._since = 0.0  # the change that last brought another scale: tapes of before came off

    def on(self, rig: Rig, ends: tuple[float, float]) -> Rig:
        """A rig as it stood from one change to another, with the tape that was on it last."""
        since, until = ends
        if self._before is not None and has_another_scale(self._before, rig):
            self._since = since
        self._before = rig
        here = (one for one in reversed(self.tapes) if self._since <= one.body.setup < until)
        last = next(here, None)
        return with_tape(rig, None if last is None or last.body.taken_off else last.tape)


def tape_on(tapes: tuple[OnSight, ...], tape: Tape | None) -> OnSight | None:
    """What is kept of the tape on a rig's sight; None: its own numbers, or a gauge strip."""
    return next((one for one in tapes if tape and one.tape.scales == tape.scales), None)


def tape_under(notebook: Notebook, rig_id: str, one: Observation) -> Tape | None:
    """The tape on which a group was shot; None: it was shot on none."""
    tapes = (on.tape for on in tapes_of(notebook, rig_id))
    return next((tape for tape in tapes if one.scales and tape.scales == one.scales), None)


def tape_called(notebook: Notebook, rig_id: str) -> Callable[[str, str], Tape]:
    """Finds a tape of a rig by its name, for rows of a file that name theirs."""
    tapes = {one.tape.name: one.tape for one in tapes_of(notebook, rig_id)}

    def called(name: str, place: str) -> Tape:
        if name not in tapes:
            there = (
                f"Those of this rig are {', '.join(tapes)}" if tapes else "None was stuck on yet"
            )
            raise BadShots(place, f"{quoted(name)} is no tape of this rig", there)
        return tapes[name]

    return called


def on_tape(tape: Tape | None) -> str:
    """What a form says of the tape a group was shot on."""
    return tape.name if tape else ON_NONE


def tape_said(notebook: Notebook, rig_id: str, said: str, now: Tape | None) -> Tape | None:
    """The tape that a form says; the one that is on the sight now where it says nothing."""
    if said in ("", ON_NONE):
        return None if said else now
    return tape_called(notebook, rig_id)(said, "reading")


def next_name(notebook: Notebook, rig_id: str) -> str:
    """Name of the next tape: one that none ever had."""
    gone = notebook.entries("tape", rig_id, withdrawn=True)
    return f"tape {1 + len(gone) + len(notebook.entries('tape', rig_id))}"


def stick_on(
    notebook: Notebook, rig_id: str, rig: Rig, record: str, laid: Laying, setup: int, stuck_on: str
) -> KeptTape:
    """A strip that was stuck on, ready to be kept: a new scale on top of what was on the sight."""
    on_it = stick(read_record(record, TAPE), rig, next_name(notebook, rig_id), laid)
    return KeptTape(record_text(on_it), setup, stuck_on)


def tapes_stuck_on(
    records: Iterable[TapeRecord], now: Tape | None, day: str
) -> tuple[KeptTape, ...]:
    """Tapes of files, ready to be kept, each once; the one on the sight last, if any still is."""
    found = {one.tape().scales: one for one in records}
    if now is not None:
        found[now.scales] = found.pop(now.scales)
    kept = [KeptTape(record_text(one), 0, day) for one in found.values()]
    if kept and now is None:
        kept[-1] = replace(kept[-1], taken_off=day)
    return tuple(kept)


def taken_off(on: OnSight, day: str) -> Write:
    """The wish to keep that a tape came off."""
    return Write(on.entry.id, replace(on.body, taken_off=day), seen=on.entry.number)
