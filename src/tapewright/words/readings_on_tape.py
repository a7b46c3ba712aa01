"""Readings on tape: how a reading is told in what is on the sight: what a tape shows, else mm.

The one rule of every face. With a tape on, what it shows is told first and mm behind it; what the
tape does not show is told by how far past which of its ticks it lies.

Holds:  a reading in words, in columns, for programs and for a form; a correction on a tape.
Never:  ticks of a tape (sight/tape.py), which readings are wanted, layout.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import repeat
from math import isfinite, nan
from typing import Any, TypeVar

from tapewright.ground.errors import BadInput
from tapewright.services.calibrate import Answer
from tapewright.services.stick_tape import Tape
from tapewright.words.answer_columns import Column, Place, Values, halves_of, rounded, values_of
from tapewright.words.number_format import NOTHING, known, told
from tapewright.words.unit_system import amount

Found = TypeVar("Found")
Pins = int | Place | Callable[[Any], Iterable[int]]  # of all rows, or where that of each stands

OFF = "off the tape"
FINEST_M = 1e-5  # nobody sets a sight finer
FINEST_TICK = 0.1  # nor a pointer between two ticks
COARSEST = 3.0  # ticks of doubt from which on the nearest tick is told


def finest_m(answer: Answer) -> float:
    """Step finer than which no mark is told: a click, or what nobody sets a sight finer than."""
    return answer.rig.sight.elevation_click_m or FINEST_M


def shown_m(tape: Tape, reading_m: float, pin: int = 1, at_m: float | None = None) -> float:
    """Distance that a tape shows at a reading; nan where it shows none. [m]

    Before the turning distance a place has two numbers: that of the close ticks is told when the
    target stands there, else that of the others.
    """
    if not isfinite(reading_m):
        return nan
    try:
        close_m = nan if at_m is None else tape.close_of(reading_m, at_m, pin)
        return close_m if isfinite(close_m) else tape.dialled_of(reading_m, pin)
    except BadInput:
        return nan


def _half_m(tape: Tape, reading_m: float, half_m: float, pin: int) -> float:
    """Doubt of a reading as doubt of what the tape shows, as far as digits tell it. [m]"""
    here = shown_m(tape, reading_m, pin)
    ends = (shown_m(tape, reading_m + way * half_m, pin) for way in (-1.0, 1.0))
    sizes = [abs(end - here) for end in ends if isfinite(end)]
    return min([*sizes, COARSEST * tape.unit_m])


def shown_words(
    tape: Tape,
    reading_m: float,
    half_m: float = 0.0,
    pin: int = 1,
    at_m: float | None = None,
) -> str:
    """What a tape shows at a reading, in as many digits as are known; empty where it shows none."""
    found_m = shown_m(tape, reading_m, pin, at_m)
    if not isfinite(found_m):
        return ""
    half = _half_m(tape, reading_m, half_m, pin) / tape.unit_m if half_m else 0.0
    text = known(found_m / tape.unit_m, half, least=FINEST_TICK)
    return text.removesuffix(".0")


def mm_words(reading_m: float, half_m: float, answer: Answer) -> str:
    """A reading in mm, with as many digits as are known, no finer than the sight's clicks."""
    return f"{known(1e3 * reading_m, 1e3 * half_m, least=1e3 * finest_m(answer))} mm"


def dial_words(
    answer: Answer, reading_m: float, half_m: float, pin: int = 1, at_m: float | None = None
) -> str:
    """What to dial: what the tape on the sight shows, mm behind it; mm without a tape."""
    mm, tape = mm_words(reading_m, half_m, answer), answer.tape
    if tape is None:
        return mm
    shown = shown_words(tape, reading_m, half_m, pin, at_m) or past_words(tape, reading_m, pin)
    return f"{shown} ({mm})"


def past_words(tape: Tape, reading_m: float, pin: int = 1) -> str:
    """Where a reading lies that a tape does not show: who dials sees its ticks and no scale."""
    tick, at_m = near_tick(tape, reading_m, pin)
    return f"{told(1e3 * abs(reading_m - at_m), 1)} mm past the tape's {tick}"


def near_tick(tape: Tape, reading_m: float, pin: int = 1) -> tuple[str, float]:
    """The tick that stands nearest to a reading, and its own; of a pin it lacks the last one's."""
    ticks = tape.pins[min(pin, len(tape.pins)) - 1]
    pairs = zip(ticks.distances_m, ticks.readings_m, strict=True)
    distance_m, at_m = min(pairs, key=lambda one: abs(one[1] - reading_m))
    return f"{distance_m / tape.unit_m:g}", at_m


def fill_words(
    answer: Answer, reading_m: float, half_m: float, pin: int = 1, at_m: float | None = None
) -> str:
    """The same as a form takes it: what the tape shows alone, else mm."""
    shown = shown_words(answer.tape, reading_m, half_m, pin, at_m) if answer.tape else ""
    return shown or mm_words(reading_m, half_m, answer)


def half_words(answer: Answer, reading_m: float, half_m: float, decimals: int) -> str:
    """Doubt of a reading in what is on the sight."""
    tape = answer.tape
    if tape is not None and isfinite(shown_m(tape, reading_m)):
        half = _half_m(tape, reading_m, half_m, 1) / tape.unit_m
        return f"±{known(half, half, least=FINEST_TICK)} {tape.unit}"
    return f"±{told(1e3 * half_m, decimals)} mm"


def moved_words(answer: Answer, reading_m: Sequence[float], moved_m: Sequence[float]) -> str:
    """By how much marks moved at most, in what is on the sight."""
    most_m = amount(max(map(abs, moved_m)), "mm")
    if answer.tape is None:
        return most_m
    rows = zip(reading_m, moved_m, strict=True)
    ways = [
        abs(shown_m(answer.tape, now) - shown_m(answer.tape, now - by)) / answer.tape.unit_m
        for now, by in rows
    ]
    seen = [one for one in ways if isfinite(one)]
    return f"{known(max(seen), 0.0, least=FINEST_TICK)} {answer.tape.unit}" if seen else most_m


def step_m(tape: Tape, reading_m: float, by_m: float, pin: int = 1) -> float:
    """By how much the number that a tape shows changes with a reading; nan where it ends. [m]"""
    low, high = (shown_m(tape, reading_m + way * 0.5 * by_m, pin) for way in (-1.0, 1.0))
    return abs(high - low)


def dial_json(
    tape: Tape | None, reading_m: float | None, pin: int = 1, at_m: float | None = None
) -> dict[str, float | None]:
    """What to dial, for programs; no key without a tape."""
    if tape is None:
        return {}
    shown = nan if reading_m is None else shown_m(tape, reading_m, pin, at_m)
    return {f"dialled_{tape.unit}": rounded(shown, tape.unit, 2)}


def on_sight(
    columns: Sequence[Column[Found]], tape: Tape | None, pin: Pins = 1, at: Values[Any] = ""
) -> list[Column[Found]]:
    """Columns as what is on the sight tells them: as they are, or what the tape shows beside mm.

    ``at`` is where the distances of the targets stand, for those among the close ticks.
    """
    if tape is None:
        return list(columns)
    return [told for column in columns for told in _told(column, tape, pin, at)]


def told_columns(
    columns: Sequence[Column[Found]], answer: Answer, pin: Pins = 1, at: Values[Any] = ""
) -> list[Column[Found]]:
    """The same of an answer's marks, told no finer than the sight's clicks."""
    least_m = finest_m(answer)
    by_clicks = [replace(one, least=least_m) if one.half else one for one in columns]
    return on_sight(by_clicks, answer.tape, pin, at)


def _told(column: Column[Found], tape: Tape, pin: Pins, at: Values[Any]) -> Iterator[Column[Found]]:
    """One column: what the tape shows before mm, in place of them, or neither."""
    if not column.tape:
        yield column
        return
    if column.tape in ("first", "alone"):
        yield _dial(column, tape, pin, at)
    if column.tape == "first":
        yield replace(column, head="mm" if column.head else "", half=column.half)
    elif column.key:
        yield replace(column, head="")


def _dial(column: Column[Found], tape: Tape, pin: Pins, at: Values[Any]) -> Column[Found]:
    """A column of readings as one of what the tape shows."""
    unit = tape.unit

    def shown(place: Any) -> Callable[[Found], list[float]]:  # noqa: ANN401 — as a column's values
        def found_m(found: Found) -> list[float]:
            where = values_of(at, found) if at else repeat(None)
            rows = zip(values_of(place, found), _pins(pin, found), where, strict=False)
            return [shown_m(tape, nan if one is None else float(one), *of) for one, *of in rows]

        return found_m

    def half(found: Found) -> list[float]:
        rows = zip(
            values_of(column.values, found), halves_of(column.half, found), _pins(pin, found),
            strict=False,
        )  # fmt: skip
        return [_half_m(tape, float(one), size, of) for one, size, of in rows]

    def none(found: Found) -> list[str]:
        rows = values_of(column.values, found)
        return [NOTHING if one is None or not isfinite(one) else OFF for one in rows]

    word = column.head.removesuffix(" mm")
    head = f"dial {unit}" if word in ("mark", "reading", "dial") else f"{word} dial {unit}"
    key = column.key.replace("reading_mm", f"dialled_{unit}").replace("_mm", f"_dialled_{unit}")
    values = shown(column.values)
    to: Any = ""
    if column.to:  # close marks run back, so their ends stand the other way round
        ends = (values, shown(column.to))
        values, to = (_either(pick, *ends) for pick in (min, max))
    return replace(
        column,
        head=head if column.head else "",
        key=key,
        values=values,
        unit=unit,
        decimals=1,
        kept=2,
        half=None if column.half is None else half,
        least=FINEST_TICK * tape.unit_m,
        to=to,
        none=NOTHING if column.to else none,
    )


def _either(
    pick: Callable[[float, float], float],
    one: Callable[[Any], list[float]],
    other: Callable[[Any], list[float]],
) -> Callable[[Any], list[float]]:
    """The nearer or the farther of two ends of a band, row by row."""
    return lambda found: [
        pick(*ends) if isfinite(sum(ends)) else ends[pick is max]
        for ends in zip(one(found), other(found), strict=True)
    ]


def _pins(pin: Pins, found: Any) -> Iterable[int]:  # noqa: ANN401 — whatever a question found
    return repeat(pin) if isinstance(pin, int) else values_of(pin, found)


def tape_after_words(old: Tape | None, new: Tape | None) -> str:
    """What becomes of the tape after a change; empty where none was on."""
    if old is None and new is None:
        return ""
    if new is None:
        return "The tape of before is on the sight no more: readings count anew."
    return (
        "The tape on the sight stays a scale to dial by, but its numbers are the distances no "
        "more: dial what stands under “new dial” until a tape for this set-up is stuck on."
    )


def correction_words(
    tape: Tape, old_m: float, new_m: float, pin: int = 1, at_m: float | None = None
) -> str:
    """A correction on a tape: dial otherwise, or move the tape."""
    old, new = (shown_words(tape, one, 0.0, pin, at_m) for one in (old_m, new_m))
    by = amount(abs(new_m - old_m), "mm")
    if not (old and new):
        way = "larger" if (new_m > old_m) == _runs_up(tape, pin) else "smaller"
        return f"dial {by} toward {way} numbers, or move the tape so far the other way"
    return f"dial {new} instead of {old}, or move the tape {by}, its {old} to where {new} stands"


def _runs_up(tape: Tape, pin: int) -> bool:
    """Whether readings grow with the numbers of a tape; those of a pin that it lacks run alike."""
    *_, first, last = tape.pins[min(pin, len(tape.pins)) - 1].readings_m
    return bool(last > first)
