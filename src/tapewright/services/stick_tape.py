"""Stick tape: what is on the sight, for everybody above.

Holds:  tapes, their records and scales for the floors above; a rig with a tape on; the record of a
        strip that was stuck on.
Never:  files, sentences, formulas.
"""

from dataclasses import replace

from tapewright.calibration.rig import Rig
from tapewright.sight.stickings import STICKING_SD_M, Scales, Sticking
from tapewright.sight.tape import Tape, Ticks
from tapewright.sight.tape_record import (
    SCHEMA,
    Stuck,
    TapeRecord,
    read_record,
    record_dict,
    record_text,
)

__all__ = [
    "SCHEMA",
    "STICKING_SD_M",
    "Scales",
    "Sticking",
    "Stuck",
    "Tape",
    "TapeRecord",
    "Ticks",
    "read_record",
    "record_dict",
    "record_text",
    "stick",
    "with_tape",
]


def with_tape(rig: Rig, tape: Tape | None) -> Rig:
    """The rig with a tape on its sight, or none."""
    return replace(rig, sight=replace(rig.sight, tape=tape))


def stick(
    printed: TapeRecord,
    name: str,
    strip: int | None,
    on: Scales = (),
    tick_m: float | None = None,
    at_m: float | None = None,
) -> TapeRecord:
    """A strip that was stuck on: which one, on which scale and where, under a name.

    What is not said is as the record says. BadInput if the print has no such strip, or the strip no
    such tick.
    """
    was = printed.stuck
    strip = strip or was.strip
    if tick_m is None:
        tick_m, at_m = was.tick_m, was.at_m
    elif at_m is None:  # as it was printed
        at_m = printed.tape(replace(was, strip=strip)).reading_of(tick_m)
    stuck = replace(was, strip=strip, name=name, tick_m=tick_m, at_m=at_m, aligned_on=on)
    stuck_on = replace(printed, stuck=stuck)
    stuck_on.tape()
    return stuck_on
