"""Rebuild tape: the record of a tape that was stuck on before records were left beside prints.

Holds:  a record from a kept calibration, or from one made anew; one from ticks that somebody looked
        up on the sight.
Never:  files, notebooks, sentences.
"""

from collections.abc import Callable, Sequence
from functools import partial

import numpy as np
from numpy.typing import NDArray

from tapewright.confidence.bands import drawn_marks
from tapewright.ground.errors import BadInput
from tapewright.services.calibrate import Answer
from tapewright.services.limits import reachable
from tapewright.sight.stickings import ANYWHERE_SD_M, STICKING_SD_M
from tapewright.sight.tape import UNIT_M, Ticks, Unit
from tapewright.sight.tape_record import Stuck, TapeRecord, TickSet
from tapewright.storage.records import KeptCalibration, KeptMark, KeptPrint

__all__ = ["record_as_printed", "record_from_kept", "record_through"]

Floats = NDArray[np.float64]

NEAREST = 5  # tick, yd or m, of a tape that nobody asked to begin elsewhere
CLOSE_M = 1e-6  # one distance and the same
LEAST_SHARE = 0.5  # of the calibration's own strip, that a tape may be as long as
ONE = "as it was printed"
ASK = "Tell two of its ticks with their readings"


def record_from_kept(name: str, printed: KeptPrint, kept: KeptCalibration | None) -> TapeRecord:
    """The likeliest strip of a print that left no record, from the marks kept with it, of one pin.

    Refused where the marks are of another calibration: ask for ticks then.
    """
    if kept is None or kept.fingerprint != printed.fingerprint:
        raise BadInput("tape", "what it was printed from is not kept", ASK)
    unit, marks = _marks_of(kept)
    ticks = Ticks(tuple(row[0] for row in marks), tuple(row[1] for row in marks))
    stuck = Stuck(1, sd_m=STICKING_SD_M if kept.arrows else ANYWHERE_SD_M)
    return TapeRecord(name, kept.fingerprint, printed.printed_on, unit, ((ticks,),), (ONE,), stuck)


def _marks_of(kept: KeptCalibration) -> tuple[Unit, list[KeptMark]]:
    """The unit of kept marks, and those that a tape has."""
    unit = _unit_of([row[0] for row in kept.marks])
    return unit, [row for row in kept.marks if row[0] > NEAREST * UNIT_M[unit] - CLOSE_M]


def record_as_printed(
    answer: Answer | None, printed: KeptPrint, kept: KeptCalibration
) -> TapeRecord:
    """The likeliest strip of a print that left no record, every pin, from its calibration anew.

    Refused where that is another one: of a tape the marks of the first pin alone were kept.
    """
    if answer is None or answer.fingerprint != printed.fingerprint:
        wrong = (
            "of its calibration, which cannot be made again, the marks of one pin alone are kept"
        )
        raise BadInput("tape", wrong, ASK)
    unit, marks = _marks_of(kept)
    at_m = np.array([row[0] for row in marks])
    pins = _pins_of(answer, at_m[reachable(answer, at_m)], np.asarray)
    stuck = Stuck(1, sd_m=STICKING_SD_M if kept.arrows else ANYWHERE_SD_M)
    name, made = answer.rig.name, printed.printed_on
    return TapeRecord(name, kept.fingerprint, made, unit, (pins,), (ONE,), stuck)


def _unit_of(distances_m: Sequence[float]) -> Unit:
    """The unit in which distances are whole."""
    are_metres = all(abs(one - round(one)) < CLOSE_M for one in distances_m)
    return "m" if are_metres else "yd"


def record_through(
    answer: Answer,
    unit: str,
    distances: Sequence[float],
    seen_m: Sequence[tuple[float, float]],
    made: str,
    *,
    is_placed: bool = True,
) -> TapeRecord:
    """The strip on which these ticks of the first pin stand at these readings, [m] both.

    Between them it is the strip of the calibration, drawn out or pressed together as they ask.
    With ``is_placed`` false they are places along the strip, counted from anywhere.
    """
    known: Unit = "m" if unit == "m" else "yd"
    at_m = np.asarray(distances, dtype=np.float64) * UNIT_M[known]
    at_m = at_m[reachable(answer, at_m)]
    rows = sorted(seen_m)
    _refuse_unlike(rows)
    ticks_m = np.array([row[0] for row in rows])
    told = _median(answer, ticks_m, 1)
    wanted = np.array([row[1] for row in rows])
    pins = _pins_of(answer, at_m, partial(_drawn_out, told=told, wanted=wanted))
    sd_m = STICKING_SD_M if is_placed else ANYWHERE_SD_M
    stuck = Stuck(1, sd_m=sd_m, aligned_on=answer.rig.sight.scales if is_placed else ())
    return TapeRecord(answer.rig.name, "", made, known, (pins,), ("as looked up",), stuck)


def _pins_of(answer: Answer, at_m: Floats, laid: Callable[[Floats], Floats]) -> TickSet:
    """Ticks of every pin at distances, the first first; its median marks, laid elsewhere."""
    pins = []
    for pin in range(1, len(answer.trusted_m) + 1):
        there_m = at_m if pin == 1 else at_m[at_m >= answer.turning_m]
        readings = laid(_median(answer, there_m, pin))
        pins.append(Ticks(tuple(there_m.tolist()), tuple(readings.tolist())))
    return tuple(pins)


def _median(answer: Answer, distance_m: Floats, pin: int) -> Floats:
    return np.asarray(np.median(drawn_marks(answer.posterior, distance_m, pin), axis=0))


def _refuse_unlike(rows: Sequence[tuple[float, float]]) -> None:
    ticks = [row[0] for row in rows]
    if not rows or len(set(ticks)) < len(ticks):
        raise BadInput("ticks", "a tick stands there twice, or none does", "Tell each of them once")


def _drawn_out(readings: Floats, told: Floats, wanted: Floats) -> Floats:
    """Readings carried along the straight lines that carry the told ones to the wanted."""
    order = np.argsort(told)
    told, wanted = told[order], wanted[order]
    if len(told) == 1:
        return np.asarray(readings + wanted[0] - told[0])
    shares = np.diff(wanted) / np.diff(told)
    if not np.all((shares > LEAST_SHARE) & (shares < 1.0 / LEAST_SHARE)):  # or nan
        wrong = "these ticks cannot stand so on a tape of this rig"
        raise BadInput("ticks", wrong, "Look them up once more, in mm as the scale counts")
    inner = np.clip(np.searchsorted(told, readings) - 1, 0, len(shares) - 1)
    return np.asarray(wanted[inner] + shares[inner] * (readings - told[inner]))
