"""Mistakes: what may have been meant by whoever wrote a group down.

People write the neighbour's number, exchange two digits or two columns, forget a minus. Each such
mistake leads back to few numbers that may have been meant.

Holds:  the Mistake record; the mistakes that a group, or all of them, may hold, and how usual each.
Never:  which of them the arrows speak for (slips.py), sentences.
Source: docs/physics.md eq. (8.26); how usual each is: common practice, no source.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from tapewright.calibration.observation import Observation
from tapewright.ground.errors import BadInput
from tapewright.ground.units import FOOT_M, INCH_M, MM_M, YARD_M
from tapewright.sight.tape import Tape

Kind = Literal[
    "pin", "exchanged", "sign", "neighbour", "swapped", "digit", "inches", "yards", "peg"
]  # fmt: skip

USUAL = 0.05 / 9  # chance of each kind in a group
USUAL_IN_ALL = 0.002 / 4  # of each kind in all rows of a file
SWAPPED, REPLACED, MOVED = 0.5, 0.4, 0.1  # digits exchanged, one wrong, point or minus wrong
SAME_READINGS = 100.0  # how much rarer two groups have one reading when nobody erred
PEGS = (5.0, 10.0)  # between places where one stands, yd or m
NEAREST_M, FARTHEST_M = 1.0, 200.0  # that anybody writes down
MOST_READING_M = 0.5
CM_PER_INCH = 2.54
ALIKE_M = 1e-6  # two numbers, written in other units


@dataclass(frozen=True, slots=True)
class Mistake:
    """A way in which groups may have been written down wrongly.

    Parameters
    ----------
    kind : str
        ``"pin"``: another pin; ``"exchanged"``: distance and reading; ``"sign"``: a minus too many
        or too few; ``"neighbour"``: the reading of the group before or after; ``"swapped"``:
        these two exchanged theirs; ``"digit"``: digits exchanged, or one wrong, or the point;
        ``"inches"``: inches for centimetres, or these for those; ``"yards"``: yards for metres, or
        these for those; ``"peg"``: another place.
    places : tuple of int
        Which groups, counted from 0.
    meant : tuple of Observation
        What may have been meant by each of them.
    chance : float
        Before anything was seen of how they fit. [-]
    is_reading_open : bool, default False
        Whether nothing written tells the reading that was meant.
    """

    kind: Kind
    places: tuple[int, ...]
    meant: tuple[Observation, ...]
    chance: float
    is_reading_open: bool = False

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the groups."""
        return tuple(one.group.name for one in self.meant)


@dataclass(frozen=True, slots=True)
class _Written:
    """How numbers of a column were written: unit, and digits behind the point."""

    unit_m: float
    decimals: int

    def text(self, length_m: float) -> str:
        return f"{length_m / self.unit_m:.{self.decimals}f}"

    def length_m(self, text: str) -> float:
        return float(text) * self.unit_m


def _decimals(number: float) -> int:
    """Digits behind the point of a number as it was written; 9 when it was not written so."""
    fine = (digits for digits in range(4) if abs(number - round(number, digits)) < 1e-6)
    return next(fine, 9)


def _written(lengths_m: Sequence[float], units_m: Sequence[float]) -> _Written:
    """The unit in which lengths take the fewest digits behind the point, then in all."""
    told = [[_decimals(one / unit_m) for one in lengths_m] for unit_m in units_m]
    ways = [
        _Written(unit_m, min(3, max(digits))) for unit_m, digits in zip(units_m, told, strict=True)
    ]
    lengths = [sum(len(way.text(one)) for one in lengths_m) for way in ways]
    return ways[min(range(len(ways)), key=lambda way: (sum(told[way]), lengths[way]))]


def _with_distance(one: Observation, distance_m: float) -> Observation | None:
    is_one = NEAREST_M <= distance_m <= FARTHEST_M
    return replace(one, distance_m=distance_m) if is_one else None


def _with_reading(one: Observation, reading_m: float) -> Observation | None:
    return replace(one, reading_m=reading_m) if abs(reading_m) <= MOST_READING_M else None


def _with_arrows(one: Observation, times_right: float, times_up: float) -> Observation:
    def scaled(at_m: float | None, times: float) -> float | None:
        return None if at_m is None else at_m * times

    impacts = tuple(
        replace(hit, right_m=scaled(hit.right_m, times_right), up_m=scaled(hit.up_m, times_up))
        for hit in one.group.impacts
    )
    return replace(one, group=replace(one.group, impacts=impacts))


def _swapped_digits(text: str) -> Iterator[str]:
    digits = [place for place, letter in enumerate(text) if letter.isdigit()]
    for before, after in pairwise(digits):
        if text[before] != text[after]:
            letters = list(text)
            letters[before], letters[after] = text[after], text[before]
            yield "".join(letters)


def _replaced_digits(text: str) -> Iterator[str]:
    for place, letter in enumerate(text):
        if letter.isdigit():
            for digit in "0123456789".replace(letter, ""):
                yield text[:place] + digit + text[place + 1 :]


def _moved_points(text: str) -> Iterator[str]:
    yield repr(float(text) * 10.0)
    yield repr(float(text) / 10.0)


def _digits(text: str) -> Iterator[tuple[str, float]]:
    """Other texts that may have been meant, and the share of each."""
    ways = (_swapped_digits, SWAPPED), (_replaced_digits, REPLACED), (_moved_points, MOVED)
    for way, share in ways:
        others = list(way(text))
        yield from ((other, share / len(others)) for other in others)


@dataclass(frozen=True, slots=True)
class _Notes:
    """All groups as they were written."""

    shots: tuple[Observation, ...]
    pins: int
    distance: _Written
    reading: _Written
    tape: Tape | None = None
    dialled: _Written = _Written(1.0, 0)

    def is_dialled(self, shot: Observation) -> bool:
        """Whether a number of the tape on the sight was written, and no reading."""
        return self.tape is not None and shot.scales == self.tape.scales

    def with_dialled(self, shot: Observation, dialled_m: float) -> Observation | None:
        """The group as if this number had been dialled; None if the tape does not have it."""
        assert self.tape is not None, "nothing is dialled without a tape"
        try:
            return replace(shot, reading_m=self.tape.reading_of(dialled_m, shot.pin))
        except BadInput:
            return None

    def pin(self, shot: Observation) -> Iterator[tuple[Observation | None, float]]:
        others = [pin for pin in range(1, self.pins + 1) if pin != shot.pin]
        yield from ((replace(shot, pin=pin), 1.0 / len(others)) for pin in others)

    def exchanged(self, shot: Observation) -> Iterator[tuple[Observation | None, float]]:
        if self.is_dialled(shot):
            dialled_m = _dialled(shot, self.tape)
            other = None if dialled_m is None else _with_distance(shot, dialled_m)
            yield other and self.with_dialled(other, shot.distance_m), 1.0
            return
        distance_m = shot.reading_m / self.reading.unit_m * self.distance.unit_m
        reading_m = shot.distance_m / self.distance.unit_m * self.reading.unit_m
        other = _with_distance(shot, distance_m)
        yield other and _with_reading(other, reading_m), 1.0

    def sign(self, shot: Observation) -> Iterator[tuple[Observation | None, float]]:
        yield _with_arrows(shot, 1.0, -1.0), 0.8
        yield None if self.is_dialled(shot) else _with_reading(shot, -shot.reading_m), 0.2

    def inches(self, shot: Observation) -> Iterator[tuple[Observation | None, float]]:
        yield _with_arrows(shot, CM_PER_INCH, CM_PER_INCH), 0.5
        yield _with_arrows(shot, 1.0 / CM_PER_INCH, 1.0 / CM_PER_INCH), 0.5

    def yards(self, shot: Observation) -> Iterator[tuple[Observation | None, float]]:
        in_yards = abs(self.distance.unit_m - YARD_M) < ALIKE_M
        yield _with_distance(shot, shot.distance_m / YARD_M), 0.8 if in_yards else 0.2
        yield _with_distance(shot, shot.distance_m * YARD_M), 0.2 if in_yards else 0.8

    def digit(self, shot: Observation) -> Iterator[tuple[Observation | None, float]]:
        if self.is_dialled(shot):
            dialled_m = _dialled(shot, self.tape)
            text = "" if dialled_m is None else self.dialled.text(dialled_m)
            for other, share in _digits(text) if text else ():
                yield self.with_dialled(shot, self.dialled.length_m(other)), 0.5 * share
        else:
            for other, share in _digits(self.reading.text(shot.reading_m)):
                yield _with_reading(shot, self.reading.length_m(other)), 0.5 * share
        for other, share in _digits(self.distance.text(shot.distance_m)):
            yield _with_distance(shot, self.distance.length_m(other)), 0.5 * share

    def peg(self, shot: Observation) -> Iterator[tuple[Observation | None, float]]:
        steps = [sign * step * self.distance.unit_m for step in PEGS for sign in (-1.0, 1.0)]
        others_m = {round(one.distance_m, 6) for one in self.shots}
        others_m |= {round(shot.distance_m + step_m, 6) for step_m in steps}
        others_m -= {round(shot.distance_m, 6)}
        for other_m in sorted(others_m):
            yield _with_distance(shot, other_m), 1.0 / len(others_m)


def _dialled(shot: Observation, tape: Tape | None) -> float | None:
    """The number of the tape that was dialled, past the turning distance; None: none was. [m]"""
    try:
        return None if tape is None else tape.dialled_of(shot.reading_m, shot.pin)
    except BadInput:
        return None


def _notes(shots: tuple[Observation, ...], pins: int, tape: Tape | None) -> _Notes:
    distance = _written([one.distance_m for one in shots], (YARD_M, 1.0, FOOT_M))
    on = () if tape is None else tape.scales
    read = [one.reading_m for one in shots if tape is None or one.scales != on]
    reading = _written(read, (MM_M, INCH_M)) if read else _Written(MM_M, 1)
    if tape is None:
        return _Notes(shots, pins, distance, reading)
    told = [_dialled(one, tape) for one in shots if one.scales == on]
    dialled = _written([one for one in told if one is not None] or [1.0], (tape.unit_m,))
    return _Notes(shots, pins, distance, reading, tape, dialled)


def _of_one(
    kind: Kind, place: int, found: Iterable[tuple[Observation | None, float]]
) -> Iterator[Mistake]:
    for meant, share in found:
        if meant is not None:
            yield Mistake(kind, (place,), (meant,), USUAL * share)


def mistakes_in(
    shots: tuple[Observation, ...], place: int, pins: int, tape: Tape | None = None
) -> tuple[Mistake, ...]:
    """Every mistake by which one group may have come to be written so.

    Parameters
    ----------
    shots : tuple of Observation
        All groups, as written, in the order shot.
    place : int
        Which of them, from 0.
    pins : int
        Pins of the sight. [-]
    tape : Tape, optional
        The one on the sight: of groups on its scale the number dialled was written.

    Returns
    -------
    tuple of Mistake
        Several may have meant the same numbers.

    Source
    ------
    docs/physics.md eq. (8.26).
    """
    notes, shot = _notes(shots, pins, tape), shots[place]
    found: list[Mistake] = []
    ways: tuple[Kind, ...] = ("pin", "exchanged", "sign", "inches", "yards", "digit", "peg")
    for kind in ways:
        found += _of_one(kind, place, getattr(notes, kind)(shot))
    beside = [shots[one] for one in (place - 1, place + 1) if 0 <= one < len(shots)]
    if any(abs(one.reading_m - shot.reading_m) < ALIKE_M for one in beside):
        chance = USUAL * SAME_READINGS
        found.append(Mistake("neighbour", (place,), (shot,), chance, is_reading_open=True))
    return tuple(found)


def mistakes_in_all(
    shots: tuple[Observation, ...], pins: int, tape: Tape | None = None
) -> tuple[Mistake, ...]:
    """Every mistake that holds of all rows, or of two groups that exchanged their readings.

    Parameters
    ----------
    shots : tuple of Observation
        All groups, as written, in the order shot.
    pins : int
        Pins of the sight. [-]
    tape : Tape, optional
        The one on the sight.

    Returns
    -------
    tuple of Mistake
        Those of which every number may have been meant.

    Source
    ------
    docs/physics.md eq. (8.26).
    """
    notes, every = _notes(shots, pins, tape), tuple(range(len(shots)))
    found: list[Mistake] = []
    ways: tuple[Kind, ...] = ("exchanged", "sign", "inches", "yards")
    for kind in ways:
        each = [list(getattr(notes, kind)(shot)) for shot in shots]
        for way in zip(*each, strict=True):
            meant = [one for one, _ in way if one is not None]
            if len(meant) == len(shots):
                found.append(Mistake(kind, every, tuple(meant), USUAL_IN_ALL * way[0][1]))
    for before, after in pairwise(every):
        one, other = shots[before], shots[after]
        if one.scales == other.scales and abs(one.reading_m - other.reading_m) >= ALIKE_M:
            meant_two = (
                replace(one, reading_m=other.reading_m),
                replace(other, reading_m=one.reading_m),
            )
            found.append(Mistake("swapped", (before, after), meant_two, USUAL))
    return tuple(found)
