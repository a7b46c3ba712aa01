"""Batch work: what a worker makes of one rig: its calibration as JSON, its tape as PDF.

Runs in processes of its own, or on another machine: it takes texts and gives texts and bytes.

Holds:  the Made record; a piece to what is made of it; modules worth loading before.
Never:  files, the clock.
"""

import hashlib
import json
from dataclasses import dataclass

from tapewright.faces.cli.batch_sources import BatchOrder, Piece
from tapewright.ground.errors import TapewrightError
from tapewright.printing.order import Wish
from tapewright.printing.tape import PRINT as TAPE
from tapewright.questions.fit import calibration_json
from tapewright.questions.question import Said
from tapewright.reading.sheet import read_rig_sheet
from tapewright.reading.shots import read_shots
from tapewright.services.calibrate import Answer
from tapewright.services.calibrate_kept import Setup
from tapewright.services.refit_many import refit
from tapewright.words.units import distance_words

PRELOAD = ("reportlab.pdfgen.canvas", "reportlab.pdfbase.ttfonts")
NEXT = {  # what to shoot next, in few words
    "shoot": "{arrows} arrows at {at}",
    "trusted": "nothing: trusted to {wanted}",
    "stop": "STOP: correct the rig sheet first",
    "questions": "answer the rig sheet's questions first",
    "out of reach": "nothing: {wanted} is out of reach",
    "no safe group": "a larger butt first: no group is safe on the usual one",
}


@dataclass(frozen=True, slots=True)
class Made:
    """What was made of one rig."""

    name: str  # of the piece
    record: str = ""  # the calibration as JSON text; empty when it failed
    tape: bytes = b""  # the PDF; empty for none
    why: str = ""  # why it failed; empty when it did not


def refit_piece(piece: Piece, order: BatchOrder) -> Made:
    """One rig; whatever is wrong with it stays its own affair."""
    try:
        return _made(piece, order)
    except TapewrightError as bad:
        return Made(piece.name, why=str(bad))
    except Exception as fault:  # noqa: BLE001 — one rig never stops the rest
        return Made(piece.name, why=f"Unexpected fault: {type(fault).__name__}: {fault}")


def _made(piece: Piece, order: BatchOrder) -> Made:
    setups, notes = (piece.setups, ()) if piece.setups else _read(piece)
    found = refit(setups, order.refit)
    answer, following = found.answer, found.following
    told = {
        "arrows": following.arrows,
        "at": distance_words(following.distance_m, order.units),
        "wanted": distance_words(order.refit.wanted_m, order.units),
    }
    tape, tape_fault = _tape(answer, order) if order.tapes else (b"", "")
    record = calibration_json(answer, order.units) | {
        "arrows": sum(one.group.arrows for one in answer.observations),
        "odd_groups": [one.name for one in answer.groups if one.is_odd],
        "next": NEXT[following.kind].format_map(told),
        "notes": list(notes),
        "tape_sha256": hashlib.sha256(tape).hexdigest() if tape else None,
        "tape_fault": tape_fault,
        "made_from": piece.made_from,
    }
    return Made(piece.name, json.dumps(record, indent=1, ensure_ascii=False) + "\n", tape)


def _read(piece: Piece) -> tuple[tuple[Setup, ...], tuple[str, ...]]:
    rig, notes = read_rig_sheet(piece.sheet, f"{piece.name}.toml")
    if not piece.shots:
        return (Setup(rig, ()),), notes
    observations, more = read_shots(piece.shots, f"{piece.name}.csv", rig)
    return (Setup(rig, observations),), notes + more


def _tape(answer: Answer, order: BatchOrder) -> tuple[bytes, str]:
    """The tape, or why there is none: a calibration without a tape is worth keeping."""
    said = Said({"far_end": order.far_end, "paper": order.paper})
    try:
        made = TAPE.made_of(answer, Wish(said, order.units, order.proof_mm), order.today)
        ((_, pdf),) = TAPE.files(made, ("pdf",))
    except TapewrightError as bad:
        return b"", str(bad)
    return pdf, ""
