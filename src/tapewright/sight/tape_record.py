"""Tape record: the file that is written beside a printed tape, so that it can be dialled later.

Holds:  the Stuck and TapeRecord records; the file's text and back, every mistake with its place.
Never:  disks, how a dialled number becomes a reading (tape.py).
Source: docs/tape-record.md, its every key.
"""

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import isfinite
from typing import Any

from tapewright.ground.errors import BadInput
from tapewright.sight.stickings import (
    ANYWHERE_SD_M,
    MOST_STICKINGS,
    STICKING_SD_M,
    Scales,
    Sticking,
)
from tapewright.sight.tape import UNIT_M, WHITE_M, Tape, Ticks, Unit

SCHEMA = "tapewright.tape/1"
MM_PER_M = 1e3
MOST_STRIPS, MOST_PINS, MOST_TICKS = 100, 20, 2000
LONGEST_NAME = 200

TickSet = tuple[Ticks, ...]  # of one strip, the first pin first


@dataclass(frozen=True, slots=True)
class Stuck:
    """Which strip was stuck on, where, and how well.

    Parameters
    ----------
    strip : int
        Its place on the print, 1 the first.
    name : str, default empty
        Of the scale that began with it; empty: of print and strip.
    tick_m, at_m : float or None
        A tick of the first pin and the reading where it was laid; None: where the print says. [m]
    sd_m : float
        How well, one standard deviation. [m]
    aligned_on : tuple of Sticking
        The scale of that reading, where it is another than that of the print.
    aligned_by : tuple of str
        Names of the groups by which it was aligned.
    """

    strip: int
    name: str = ""
    tick_m: float | None = None
    at_m: float | None = None
    sd_m: float = STICKING_SD_M
    aligned_on: Scales = ()
    aligned_by: tuple[str, ...] = ()

    def by_shooting(self, name: str, groups: tuple[str, ...]) -> "Stuck":
        """The same laid where arrows hit, on no scale that was there before.

        Parameters
        ----------
        name : str
            Of the sticking.
        groups : tuple of str
            Names of the groups that hit; what they dialled is as well known as it was stuck on.

        Returns
        -------
        Stuck
            On a scale of those groups, of which nothing else is known; without any on none.
        """
        if not groups:
            return replace(self, name=name, sd_m=ANYWHERE_SD_M, aligned_on=(), aligned_by=())
        anywhere = (Sticking(f"{name} before", ANYWHERE_SD_M),)
        return replace(self, name=name, sd_m=STICKING_SD_M, aligned_on=anywhere, aligned_by=groups)


@dataclass(frozen=True, slots=True)
class TapeRecord:
    """What was printed, and what of it is on the sight.

    Parameters
    ----------
    rig, fingerprint, made : str
        Whose it is, from which calibration, and its date.
    unit : str
        ``"yd"`` or ``"m"``.
    strips : tuple of tuple of Ticks
        Of each strip, the first pin first; readings on the scale on which it was calibrated.
    names : tuple of str
        Of the strips.
    stuck : Stuck
        Which one is on the sight; as printed, the likeliest where the sheet says.
    white_m : float
        How far a strip goes on past its outer ticks. [m]
    """

    rig: str
    fingerprint: str
    made: str
    unit: Unit
    strips: tuple[TickSet, ...]
    names: tuple[str, ...]
    stuck: Stuck
    white_m: float = WHITE_M

    def tape(self, stuck: Stuck | None = None) -> Tape:
        """The tape on the sight.

        Parameters
        ----------
        stuck : Stuck, optional
            Which strip, where and how well; absent: as the record says.

        Returns
        -------
        Tape
            With readings on the scale on which it was aligned.

        Raises
        ------
        BadInput
            If the print has no such strip, or the strip no such tick.
        """
        on = stuck or self.stuck
        if not 1 <= on.strip <= len(self.strips):
            wrong = f"there is no strip {on.strip} on this print"
            raise BadInput("stuck.strip", wrong, f"Its strips are 1 to {len(self.strips)}")
        pins = self.strips[on.strip - 1]
        name = on.name or f"{self.fingerprint or self.rig} strip {on.strip}"
        tape = Tape(name, self.unit, pins, on.sd_m, on.aligned_on, self.white_m, on.aligned_by)
        if on.tick_m is None or on.at_m is None:
            return tape
        by_m = on.at_m - tape.reading_of(on.tick_m)
        laid = tuple(
            Ticks(one.distances_m, tuple(reading + by_m for reading in one.readings_m))
            for one in pins
        )
        return replace(tape, pins=laid)


def record_dict(record: TapeRecord) -> dict[str, Any]:
    """What its file holds.

    Parameters
    ----------
    record : TapeRecord
        The record.

    Returns
    -------
    dict
        By key; lengths on the strip in mm, distances in the tape's unit.
    """
    unit_m, stuck = UNIT_M[record.unit], record.stuck
    laid: dict[str, Any] = {}
    if stuck.tick_m is not None and stuck.at_m is not None:
        laid = {"tick": _whole(stuck.tick_m / unit_m), "at_mm": _mm(stuck.at_m)}
    if stuck.aligned_on:
        laid["aligned_on"] = [_step(one) for one in stuck.aligned_on]
    if stuck.aligned_by:
        laid["aligned_by"] = list(stuck.aligned_by)
    return {
        "schema": SCHEMA,
        "rig": record.rig,
        "fingerprint": record.fingerprint,
        "made": record.made,
        "unit": record.unit,
        "white_mm": _mm(record.white_m),
        "strips": [
            {
                "name": name,
                "pins": [
                    {
                        "distances": [_whole(one / unit_m) for one in pin.distances_m],
                        "readings_mm": [_mm(one) for one in pin.readings_m],
                    }
                    for pin in strip
                ],
            }
            for name, strip in zip(record.names, record.strips, strict=True)
        ],
        "stuck": {
            "strip": stuck.strip, "name": stuck.name, "sticking_mm": _mm(stuck.sd_m), **laid,
        },
    }  # fmt: skip


def record_text(record: TapeRecord) -> str:
    """Its file.

    Parameters
    ----------
    record : TapeRecord
        The record.

    Returns
    -------
    str
        JSON.
    """
    text = json.dumps(record_dict(record), indent=1, ensure_ascii=False)
    one_line = re.sub(r"\[[-\d.,\s]+\]", lambda row: f"[{' '.join(row[0][1:-1].split())}]", text)
    return one_line + "\n"


def read_record(text: str, place: str) -> TapeRecord:
    """The record in a file.

    Parameters
    ----------
    text : str
        What stands in it.
    place : str
        What errors call it.

    Returns
    -------
    TapeRecord
        Keys that are not known are passed over.

    Raises
    ------
    BadInput
        With file, key, what is wrong and the mend.
    """
    try:
        whole = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise BadInput(
            place, f"this is not JSON: {error}", "Name the .tape.json beside the print"
        ) from None
    there = _Place(place, whole)
    if there.text("schema") != SCHEMA:
        wrong = f"its schema is {there.text('schema')!r}, not {SCHEMA!r}"
        raise BadInput(place, wrong, "Name the .tape.json that stands beside the print")
    unit = there.text("unit")
    if unit not in UNIT_M:
        raise there.bad("unit", f"it says {unit!r}", "Write yd or m")
    strips = there.places("strips", MOST_STRIPS)
    record = TapeRecord(
        there.text("rig", ""), there.text("fingerprint", ""), there.text("made", ""), unit,
        tuple(_ticks(one, UNIT_M[unit]) for one in strips),
        tuple(one.text("name", "") for one in strips),
        _stuck(there.inside("stuck"), UNIT_M[unit]),
        there.metres("white_mm", WHITE_M),
    )  # fmt: skip
    try:
        record.tape()
    except BadInput as error:
        raise BadInput(f"{place}, {error.place}", error.wrong, error.mend) from None
    return record


@dataclass(frozen=True, slots=True)
class _Place:
    """A table of the file, and what errors call it."""

    called: str
    table: Any

    def __post_init__(self) -> None:
        if not isinstance(self.table, Mapping):
            wrong = "here a table of keys should stand"
            raise BadInput(self.called, wrong, "Take the file as the print wrote it")

    def bad(self, key: str, wrong: str, mend: str) -> BadInput:
        return BadInput(f"{self.called}, {key}", wrong, mend)

    def text(self, key: str, absent: str | None = None) -> str:
        value = self.table.get(key, absent)
        if not isinstance(value, str) or len(value) > LONGEST_NAME:
            raise self.bad(key, "here a text should stand", "Take the file as the print wrote it")
        return value

    def metres(self, key: str, absent: float | None = None) -> float:
        """A length told in millimetres."""
        value = None if absent is None else absent * MM_PER_M
        return self.number(key, value) / MM_PER_M

    def number(self, key: str, absent: float | None = None) -> float:
        return self._number(key, self.table.get(key, absent))

    def _number(self, key: str, value: object) -> float:
        fits = isinstance(value, int | float) and not isinstance(value, bool)
        if not fits or not isfinite(value) or abs(value) > 1e6:  # type: ignore[arg-type]
            raise self.bad(key, "here a number should stand", "Take the file as the print wrote it")
        return float(value)  # type: ignore[arg-type]

    def numbers(self, key: str) -> tuple[float, ...]:
        return tuple(self._number(key, one) for one in self._list(key, MOST_TICKS))

    def _list(self, key: str, most: int) -> Sequence[Any]:
        value = self.table.get(key, [])
        if not isinstance(value, list) or len(value) > most:
            raise self.bad(key, f"here a list of at most {most} should stand", "Shorten it")
        return value

    def places(self, key: str, most: int) -> tuple["_Place", ...]:
        found = self._list(key, most)
        return tuple(
            _Place(f"{self.called}, {key} {number}", one) for number, one in enumerate(found, 1)
        )

    def texts(self, key: str) -> tuple[str, ...]:
        found = self._list(key, MOST_STICKINGS)
        if not all(isinstance(one, str) and len(one) <= LONGEST_NAME for one in found):
            raise self.bad(key, "here names should stand", "Write them in quotes")
        return tuple(found)

    def inside(self, key: str) -> "_Place":
        return _Place(f"{self.called}, {key}", self.table.get(key, {}))


def _ticks(strip: _Place, unit_m: float) -> TickSet:
    found: list[Ticks] = []
    for pin in strip.places("pins", MOST_PINS):
        distances_m = tuple(one * unit_m for one in pin.numbers("distances"))
        readings_m = tuple(one / MM_PER_M for one in pin.numbers("readings_mm"))
        try:
            found.append(Ticks(distances_m, readings_m))
        except BadInput as error:
            raise BadInput(pin.called, error.wrong, error.mend) from None
    return tuple(found)


def _stuck(told: _Place, unit_m: float) -> Stuck:
    strip = told.number("strip", 1.0)
    if not strip.is_integer():
        raise told.bad("strip", f"{strip:g} is not the place of a strip", "Write 1, 2 or 3")
    sd_m = told.metres("sticking_mm", STICKING_SD_M)
    if not 0.0 <= sd_m <= ANYWHERE_SD_M:
        wrong = f"{sd_m * MM_PER_M:g} mm cannot be how well it was stuck on"
        raise told.bad("sticking_mm", wrong, "Write mm, from 0 to 50")
    laid = "tick" in told.table or "at_mm" in told.table
    return Stuck(
        int(strip),
        told.text("name", ""),
        told.number("tick") * unit_m if laid else None,
        told.metres("at_mm") if laid else None,
        sd_m,
        tuple(
            Sticking(one.text("name"), one.metres("sticking_mm", STICKING_SD_M))
            for one in told.places("aligned_on", MOST_STICKINGS)
        ),
        told.texts("aligned_by"),
    )


def _whole(distance: float) -> float:
    """Without needless digits."""
    return int(tidy) if (tidy := round(distance, 6)).is_integer() else tidy


def _mm(length_m: float) -> float:
    return round(length_m * MM_PER_M, 4)


def _step(one: Sticking) -> dict[str, Any]:
    return {"name": one.name, "sticking_mm": _mm(one.sd_m)}
