"""Stick tape: what is on the sight, for everybody above.

Holds:  tapes, their records and scales for the floors above; a rig with a tape on; where a strip
        was laid, how well it then lies, and its record.
Never:  files, sentences, formulas.
"""

from dataclasses import dataclass, replace
from math import hypot

from tapewright.calibration.rig import Rig
from tapewright.sight.stickings import ANYWHERE_SD_M, STICKING_SD_M, Scales, Sticking
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
    "Laying",
    "Scales",
    "Sticking",
    "Stuck",
    "Tape",
    "TapeRecord",
    "Ticks",
    "lies_anywhere",
    "read_record",
    "record_dict",
    "record_text",
    "stick",
    "with_tape",
]


def with_tape(rig: Rig, tape: Tape | None) -> Rig:
    """The rig with a tape on its sight, or none."""
    return replace(rig, sight=replace(rig.sight, tape=tape))


@dataclass(frozen=True, slots=True)
class Laying:
    """How a strip was laid; what is not said is as its record says."""

    strip: int | None = None  # its place on the print, 1 the first
    tick_m: float | None = None  # the tick of the first pin by which it was aligned
    at_m: float | None = None  # reading where that went
    on: Scales | None = None  # the scale of that reading; None: what is on the sight
    # By the hits of these groups, and no reading tells where; empty: of groups not written down
    by: tuple[str, ...] | None = None


def lies_anywhere(printed: TapeRecord) -> bool:
    """Whether nothing tells where its strips belong: printed before the first arrow."""
    return printed.stuck.sd_m >= ANYWHERE_SD_M


def stick(printed: TapeRecord, rig: Rig, name: str, laid: Laying) -> TapeRecord:
    """A strip that was stuck on: which one, on which scale, where and how well, under a name.

    A tick laid at a told reading lies there within the usual sticking. Of a strip that lay anywhere
    that reading was taken besides, with the sight locked at a hit, so its own doubt comes in; where
    none is told such a strip goes on lying anywhere. BadInput if the print has no such strip, or
    the strip no such tick.
    """
    was, on = printed.stuck, rig.sight.scales if laid.on is None else laid.on
    stuck = replace(was, name=name, strip=laid.strip or was.strip)
    if on and not was.aligned_by:  # what the print says of its place was looked up on that
        stuck = replace(stuck, aligned_on=on)
    if laid.tick_m is not None and laid.at_m is None:  # as it was printed
        as_printed_m = printed.tape(stuck).reading_of(laid.tick_m)
        stuck = replace(stuck, tick_m=laid.tick_m, at_m=as_printed_m)
    elif laid.tick_m is not None:
        read_sd_m = rig.archer.reading_sd_m if lies_anywhere(printed) else 0.0
        stuck = replace(
            stuck,
            tick_m=laid.tick_m,
            at_m=laid.at_m,
            sd_m=hypot(STICKING_SD_M, read_sd_m),
            aligned_on=on,
            aligned_by=(),
        )
    if laid.by is not None:
        stuck = stuck.by_shooting(name, laid.by)
    stuck_on = replace(printed, stuck=stuck)
    stuck_on.tape()
    return stuck_on
