"""On sight: the tape that is stuck on a sight, from what was kept of its print.

Holds:  the tape of a record; the record of a tape that is stuck on, aligned at a tick or by a
        group; the records for the floors above.
Never:  numbers of a tape to readings (sight/tape.py), files, the notebook.
"""

from dataclasses import replace

from tapewright.calibration.rig import Rig
from tapewright.sight.tape import Scales, Tape
from tapewright.sight.tape_record import Stuck, TapeRecord, read_record, record_text

__all__ = [
    "Scales",
    "Stuck",
    "Tape",
    "TapeRecord",
    "read_record",
    "record_text",
    "stick",
    "tape_of",
    "with_tape",
]


def tape_of(record: str, place: str = "the tape's record") -> Tape:
    """The tape on the sight, as a record says. BadInput if it cannot be read."""
    return read_record(record, place).tape()


def with_tape(rig: Rig, tape: Tape | None) -> Rig:
    """The same rig with a tape on its sight, or with none."""
    return replace(rig, sight=replace(rig.sight, tape=tape))


def stick(
    record: str,
    name: str,
    strip: int | None,
    *,
    on: Scales = (),
    tick_m: float | None = None,
    at_m: float | None = None,
    by: tuple[str, ...] = (),
    place: str = "the tape's record",
) -> str:
    """The record of a strip that was stuck on: which one, on which scale, where and by what.

    What is not said is as the record says.

    BadInput if the print has no such strip, or the strip no such tick.
    """
    read = read_record(record, place)
    was = read.stuck
    tick_m, at_m = (was.tick_m, was.at_m) if tick_m is None else (tick_m, at_m)
    stuck = Stuck(strip or was.strip, name, tick_m, at_m, was.sd_m, on, by or was.aligned_by)
    stuck_on = replace(read, stuck=stuck)
    stuck_on.tape()
    return record_text(stuck_on)
