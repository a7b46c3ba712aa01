"""Kept prints: tapes that were printed, whether one waits to be stuck on, and what stands on it.

Holds:  printed tapes of a rig; the record of one, rebuilt where it was printed before records were
        kept beside prints.
Never:  what is on the sight (kept_tapes.py), ticks from marks (services/rebuild_tape.py), pages.
"""

from dataclasses import replace

from tapewright.faces.kept_house import read_kept
from tapewright.faces.kept_rigs import Kept, kept_answer, rig_of
from tapewright.ground.errors import BadInput, TapewrightError
from tapewright.services.calibrate_kept import Answer, Setup
from tapewright.services.equip import with_house
from tapewright.services.keep import (
    Entry,
    KeptCalibration,
    KeptGroup,
    KeptHouse,
    KeptPrint,
    KeptRig,
    KeptSession,
    Notebook,
    kept_as,
)
from tapewright.services.rebuild_tape import record_as_printed, record_from_kept
from tapewright.services.stick_tape import record_text
from tapewright.words.unit_system import IMPERIAL

WAY = "way"  # a source that is no entry: calibrated with the set-up that a change went back to


def prints_of(notebook: Notebook, rig_id: str) -> tuple[Entry, ...]:
    """Tapes that were printed, the last first."""
    prints = notebook.entries("print", rig_id)
    return tuple(one for one in reversed(prints) if kept_as(one, KeptPrint).what == "tape")


def waiting_print(notebook: Notebook, rig_id: str) -> Entry | None:
    """The last printed tape, if none was stuck on or taken off since: is it on the sight?"""
    last = next(iter(prints_of(notebook, rig_id)), None)
    tapes = notebook.entries("tape", rig_id)
    if last is None or (tapes and tapes[-1].saved_at > last.saved_at):
        return None
    return last


def record_of(notebook: Notebook, rig: Entry, printed: Entry) -> str:
    """The record of a printed tape; of a print without one rebuilt from what was kept with it.

    The marks of one pin were kept; those of several are calibrated anew, from the very versions
    that were calibrated then. BadInput where that is not enough: then it is asked for.
    """
    body = kept_as(printed, KeptPrint)
    if body.record_text:
        return body.record_text
    made_from = (notebook.entry(one.entry_id, one.number) for one in printed.sources)
    kept = next((one for one in made_from if isinstance(one.body, KeptCalibration)), None)
    try:
        if kept is None or len(kept_as(kept, KeptCalibration).trusted_m) == 1:
            marks = None if kept is None else kept_as(kept, KeptCalibration)
            return record_text(record_from_kept(kept_as(rig, KeptRig).name, body, marks))
        marks = kept_as(kept, KeptCalibration)
        return record_text(record_as_printed(_answer_then(notebook, kept), body, marks))
    except BadInput as refused:
        wrong = f"the tape printed {body.printed_on} has no record, and {refused.wrong}"
        mend = "Take in the file .tape.json that was written beside it, or print a new one"
        raise BadInput("print", wrong, mend) from None


def _answer_then(notebook: Notebook, calibration: Entry) -> Answer | None:
    """A kept calibration, made anew from what it was made from; None of one with a history."""
    if any(one.entry_id == WAY for one in calibration.sources):
        return None
    added = {one: (notebook.entry(one.entry_id, 1).saved_at, one.entry_id)
             for one in calibration.sources}  # fmt: skip
    sources = sorted(calibration.sources, key=added.__getitem__)
    bodies = [notebook.entry(one.entry_id, one.number) for one in sources]
    sheets = [one for one in bodies if isinstance(one.body, KeptRig)]
    groups = [one.body for one in bodies if isinstance(one.body, KeptGroup)]
    houses = [one for one in bodies if isinstance(one.body, KeptHouse)]
    if len(sheets) != 1 or len(bodies) > len(sheets) + len(groups) + len(houses):
        return None
    try:
        rig = with_house(rig_of(sheets[0]), read_kept(houses[0] if houses else None))
        proved = {
            one.session_id: kept_as(notebook.entry(one.session_id), KeptSession).proved
            for one in groups
        }
        shot = tuple(
            replace(one.observation, proved=True) if proved[one.session_id] else one.observation
            for one in groups
        )
        return kept_answer(Kept((Setup(rig, shot),), ()), IMPERIAL)
    except TapewrightError:
        return None
