"""Stick tape: what is on the sight, for everybody above.

Holds:  tapes, their records and scales for the floors above; a rig with a tape on.
Never:  files, sentences, formulas.
"""

from dataclasses import replace

from tapewright.calibration.rig import Rig
from tapewright.sight.tape import (
    STICKING_SD_M,
    Scales,
    Sticking,
    Tape,
    Ticks,
    scales_from,
    scales_text,
)
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
    "scales_from",
    "scales_text",
    "with_tape",
]


def with_tape(rig: Rig, tape: Tape | None) -> Rig:
    """The rig with a tape on its sight, or none."""
    return replace(rig, sight=replace(rig.sight, tape=tape))
