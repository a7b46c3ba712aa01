"""Kept set-up: the record of what makes a bow itself, as a notebook keeps it, and its re-assembly.

Holds:  the newest record, what was measured again since, the photograph; a bow noted as taken apart
        and put together; a kept rig as the question ``setup`` is asked of it.
Never:  what a deviation means (questions/setup.py), how a group is judged, pages.
"""

from base64 import b64decode, b64encode
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache

from tapewright.faces.kept_rigs import Kept, kept_answer, kept_rig, next_setup, setup_now
from tapewright.reading.anonymous_sheet import GivenSheet
from tapewright.reading.set_up_record import read_set_up
from tapewright.services.calibrate_kept import Answer
from tapewright.services.keep import (
    Entry,
    KeptChange,
    KeptRig,
    KeptSetup,
    Notebook,
    Source,
    Write,
    kept_as,
)
from tapewright.services.reassemble import Rebuilt
from tapewright.words.unit_system import IMPERIAL

WORDS = "Taken apart and put together"


@dataclass(frozen=True, slots=True)
class SetUpKept:
    """What a notebook keeps of a bow's set-up."""

    record: Entry | None = None  # None: none yet
    again: Entry | None = None  # measured since the record was saved
    photo: Entry | None = None

    @property
    def record_text(self) -> str:
        """The record; empty without one."""
        return kept_as(self.record, KeptSetup).sheet if self.record else ""

    @property
    def again_text(self) -> str:
        """What was measured again; empty if nothing was."""
        return kept_as(self.again, KeptSetup).sheet if self.again else ""

    @property
    def jpeg(self) -> bytes:
        """The photograph; empty without one."""
        return b64decode(kept_as(self.photo, KeptSetup).picture) if self.photo else b""


def set_up_kept(notebook: Notebook, rig_id: str) -> SetUpKept:
    """The newest of each that stands."""
    record = again = photo = None
    for one in notebook.entries("setup", rig_id):
        body = kept_as(one, KeptSetup)
        photo = one if body.picture else photo
        if body.sheet and body.is_again:
            again = one
        elif body.sheet:
            record = one
    if again and record and again.saved_at < record.saved_at:
        again = None
    return SetUpKept(record, again, photo)


def picture_body(jpeg: bytes, today: str) -> KeptSetup:
    """A photograph, ready to be kept."""
    return KeptSetup("", today, picture=b64encode(jpeg).decode())


def _put_together(notebook: Notebook, rig_id: str) -> KeptChange | None:
    """The last change, if the bow came apart and stands again as it was: no word of it differs."""
    changes = notebook.entries("change", rig_id)
    if not changes or (last := kept_as(changes[-1], KeptChange)).back_to is None:
        return None
    sheets = (notebook.entry(rig_id, number).body for number in (last.from_rig, last.to_rig))
    return last if len(set(sheets)) == 1 else None


def is_put_together(notebook: Notebook, rig_id: str) -> bool:
    """Whether a bow was taken apart and put together since it was last another set-up."""
    return _put_together(notebook, rig_id) is not None


def put_together(notebook: Notebook, rig: Entry, now: datetime, new_id: Callable[[], str]) -> None:
    """Note that a bow was taken apart: as after every change one near arrow comes first.

    The sheet gets a version that says the same, so that phones which saw it before are known. A
    near group that did not fit, if one was shot since the last time, is left behind.
    """
    last = _put_together(notebook, rig.id)
    back_to = setup_now(notebook, rig.id) if last is None else last.back_to
    setup, seen = next_setup(notebook, rig.id), rig.number
    change = KeptChange(setup, seen, seen + 1, new_string=False, words=WORDS, back_to=back_to)
    writes = (Write(rig.id, rig.body, seen), Write(new_id(), change, rig_id=rig.id))
    notebook.save_all(writes, now)


@lru_cache(maxsize=8)
def _answer_before(kept: Kept) -> Answer:
    return kept_answer(kept, IMPERIAL)


def rebuilt_of(notebook: Notebook, rig_id: str, answer: Answer) -> Rebuilt:
    """A kept rig as it was before it was taken apart, and what was shot since."""
    there = set_up_kept(notebook, rig_id)
    texts = (there.record_text, there.again_text)
    if _put_together(notebook, rig_id) is None:
        return Rebuilt(answer, *texts)
    kept = kept_rig(notebook, rig_id)
    before = Kept(kept.setups[:-1], (*kept.sources, Source("before", len(kept.setups))))
    return Rebuilt(_answer_before(before), *texts, kept.observations)


def given_writes(given: GivenSheet, name: str, today: str, rig_id: str, own_id: str) -> list[Write]:
    """A bow begun for its taker, with its set-up record if one goes along."""
    writes = [Write(rig_id, KeptRig(given.text, name))]
    if given.record:
        measured_on = read_set_up(given.record).measured_on or today
        writes.append(Write(own_id, KeptSetup(given.record, measured_on), rig_id=rig_id))
    return writes
