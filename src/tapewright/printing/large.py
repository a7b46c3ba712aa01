"""Large: print the distances of an event and what to set, in letters read from a metre.

Holds:  its fields and order; what to set at each distance, in words and for programs; the print.
Never:  where it stands on paper (drawing), what is trusted (services).
"""

import re
from dataclasses import dataclass
from typing import Any

import numpy as np

from tapewright.ground.errors import BadInput
from tapewright.printing.print_fields import PAPER, PaperName, read_paper
from tapewright.printing.print_record import Files, Print, Wish
from tapewright.questions.question import Field, Said
from tapewright.questions.rules import RULES, read_rules, refuse_notes, refuse_pin
from tapewright.questions.shared_fields import PIN, asked_pin
from tapewright.services.calibrate import Answer
from tapewright.services.paper_names import is_printable
from tapewright.services.print_handover import marks_to_show
from tapewright.services.print_large import LargeWords, large_preview, print_large
from tapewright.services.stops import refuse_stopped
from tapewright.words.answer_blocks import Blocks, Mind
from tapewright.words.answer_columns import rounded
from tapewright.words.answer_json import head_json, trust_json
from tapewright.words.marks_table import half_band_m
from tapewright.words.printable_names import paper_name, paper_notes
from tapewright.words.quantity_parser import in_unit, read_distances
from tapewright.words.readings_on_tape import dial_json, mm_words, past_words, shown_words
from tapewright.words.rules import rules_words
from tapewright.words.trust_sentences import counted_from
from tapewright.words.unit_spellings import quoted
from tapewright.words.unit_system import BY_DISTANCE, Units

DISTANCES = Field(
    "distances", "Distances", "10:60:10yd", "10:60:10m", takes="LIST",
    hint="Of the targets, in any order, such as 33, 18, 41 yd; or from:to:step.",
)  # fmt: skip
LIST = Field(
    "list", "Distances kept in a file", is_file=True,
    hint="One a line, in place of the distances above.",
)  # fmt: skip
EVENT = Field(
    "event", "Name of the event", takes="NAME",
    hint="Stands over the list, and the list is kept under it.",
)  # fmt: skip
ORDER = Field(
    "order", "Order", "near",
    choices=("near", "targets"),
    choice_words=("nearest first, each distance once", "as typed, targets numbered"),
)  # fmt: skip
LETTERS = Field(
    "letters", "Letters", "black", choices=("black", "white"),
    choice_words=("black on white", "white on black"),
)  # fmt: skip
FIELDS = (PAPER, DISTANCES, EVENT, ORDER, LETTERS, PIN, LIST, RULES)
MOST_EVENT, MOST_TARGETS = 40, 120
TWO = re.compile(r",\s*\d\d|,\s")  # 18,5 is one distance, but is 33,18?
SAFE = "Safe stop, or no shot."
ASK_THEM = "Rules: ask the organiser."
GUESS, NO_REACH, PAST_LIMIT = "guess", "no reach", "do not shoot"


@dataclass(frozen=True, slots=True)
class LargeOrder:
    """What the list is to hold, and how it is to look."""

    distances_m: tuple[float, ...]  # as typed
    event: str
    is_numbered: bool
    is_dark: bool
    pin: int
    rules: tuple[str, ...]
    paper: PaperName
    units: Units


@dataclass(frozen=True, slots=True)
class Target:
    """What to set at one distance."""

    number: int  # of the target, from 1
    distance_m: float
    reading_m: float | None  # None: nothing may be set
    told: str  # what to set, as what is on the sight tells it; empty: nothing
    word: str  # that it is a guess, or why there is nothing to set; empty: neither


@dataclass(frozen=True)
class Large:
    """The list, and what it was made from."""

    answer: Answer
    order: LargeOrder
    targets: tuple[Target, ...]
    printed: str


def _order(answer: Answer, wish: Wish) -> LargeOrder:
    said, read = wish.said, wish.read
    nothing: tuple[tuple[float, ...], Units] = ((20.0,), wish.units)
    distances_m, units = read("distances", lambda: _distances(said, wish.units), nothing)
    rules = read("rules", lambda: read_rules(said, answer.rig), answer.rig.rules)
    pin = read("pin", lambda: asked_pin(answer, said), 1)
    read("rules", lambda: refuse_notes(rules, "a list of what to set"), None)
    read("pin", lambda: refuse_pin(rules, pin), None)
    is_numbered = wish.choice(ORDER) == "targets"
    if not is_numbered:
        distances_m = tuple(sorted(set(distances_m)))
    return LargeOrder(
        distances_m=distances_m,
        event=read("event", lambda: _name(said), ""),
        is_numbered=is_numbered,
        is_dark=wish.choice(LETTERS) == "white",
        pin=pin,
        rules=rules,
        paper=read_paper(wish),
        units=units,
    )


def _distances(said: Said, units: Units) -> tuple[tuple[float, ...], Units]:
    """Distances of the targets as typed or listed [m], and the units in which they were."""
    listed = [one.strip() for one in said.text("list").splitlines()]
    listed = [one for one in listed if one and not one.startswith("#")]
    name = "list" if listed else "distances"
    if not listed and "list" in said.texts and said.texts["list"]:
        wrong = "there is no distance in it"
        raise BadInput(said.place("list"), wrong, "Write one a line, as 33 yd")
    if len(listed) > 1 and (two := next(filter(TWO.search, listed), "")):
        wrong = f"{quoted(two)} may be one distance or two"
        raise BadInput(said.place("list"), wrong, "Write one a line, with a point for decimals")
    text = ";".join(listed) or said.text("distances") or DISTANCES.usual_in(units)
    asked = read_distances(text, said.place(name), is_rising=False)
    if len(asked.distances_m) > MOST_TARGETS:
        wrong = f"{len(asked.distances_m)} distances are too many for large letters"
        raise BadInput(said.place(name), wrong, f"Ask for {MOST_TARGETS} or fewer")
    return asked.distances_m, BY_DISTANCE.get(asked.unit, units)


def _name(said: Said) -> str:
    event = " ".join(said.text("event").split())
    if len(event) > MOST_EVENT or not is_printable(event):
        wrong = "the page cannot hold this name"
        raise BadInput(said.place("event"), wrong, f"Take at most {MOST_EVENT} Latin letters")
    return event


def _make(answer: Answer, order: LargeOrder, date: str) -> Large:
    refuse_stopped(answer.rig)
    wanted_m = np.unique(order.distances_m)
    found = marks_to_show(answer, wanted_m, order.pin)
    told: dict[float, tuple[float | None, str, str]] = {}
    if found is not None:
        allowed = answer.limits.allows(found.reading_m)
        marks = found.reading_m, half_band_m(found), allowed
        rows = zip(wanted_m[: len(allowed)], *marks, strict=True)
        for distance_m, reading_m, half_m, is_allowed in rows:
            told[float(distance_m)] = _set(
                answer, order.pin, (distance_m, reading_m, half_m), is_allowed=bool(is_allowed)
            )
    targets = tuple(
        Target(number, one, *told.get(one, (None, "", NO_REACH)))
        for number, one in enumerate(order.distances_m, 1)
    )
    return Large(answer, order, targets, date)


def _set(
    answer: Answer, pin: int, mark_m: tuple[float, float, float], *, is_allowed: bool
) -> tuple[float | None, str, str]:
    """What to set at a mark with half its band, and what must be said of it."""
    distance_m, reading_m, half_m = mark_m
    if not np.isfinite(reading_m + half_m):
        return None, "", NO_REACH
    if not is_allowed:
        return None, "", PAST_LIMIT
    told = _told(answer, pin, mark_m)
    is_trusted = distance_m <= answer.trusted_m[pin - 1] + 1e-6
    return float(reading_m), told, "" if is_trusted else GUESS


def _told(answer: Answer, pin: int, mark_m: tuple[float, float, float]) -> str:
    """What to set: a number of the tape, in mm without one, or so far past one of its ticks."""
    distance_m, reading_m, half_m = mark_m
    if answer.tape is None:
        return mm_words(reading_m, half_m, answer)
    shown = shown_words(answer.tape, reading_m, half_m, pin, distance_m)
    return shown or past_words(answer.tape, reading_m, pin).replace("the tape's ", "")


def _title(made: Large, name: str) -> str:
    """Name of the event, or of the rig; the pin where there are several."""
    pin = f", pin {made.order.pin}" if len(made.answer.trusted_m) > 1 else ""
    return f"{made.order.event or name}{pin}"


def _foot(made: Large) -> tuple[str, ...]:
    """What must be known of the list, a short sentence each."""
    answer, units = made.answer, made.order.units
    counted = answer.posterior.is_set_by_eye
    return (
        *((f"Counted from your {counted_from(units)} mark.",) if counted else ()),
        *((ASK_THEM,) if made.order.rules else ()),
        SAFE,
    )


def _page(made: Large) -> LargeWords:
    """The list as it stands on paper: of the tape bare numbers under its unit, else of mm."""
    answer, order = made.answer, made.order
    head = f"tape {answer.tape.unit}" if answer.tape else "mm"
    all_mm = answer.tape is None
    rows = tuple(
        (
            *((f"{one.number}",) if order.is_numbered else ()),
            _distance(one, order.units),
            one.told.removesuffix(" mm") if all_mm else one.told,
            one.word,
        )
        for one in made.targets
    )
    heads = (*(("no.",) if order.is_numbered else ()), order.units.distance, head, "")
    name = paper_name(answer.rig.name, answer.fingerprint)
    return LargeWords(_title(made, name), heads, rows, _foot(made), order.is_dark)


def _distance(one: Target, units: Units) -> str:
    return f"{round(in_unit(one.distance_m, units.distance), 1):g}"


def _files(made: Large, formats: tuple[str, ...]) -> Files:
    return print_large(_page(made), made.order.paper, formats, made.printed)


def _lines(made: Large) -> tuple[str, ...]:
    """The list as lines of text, each whole by itself."""
    order, tape = made.order, made.answer.tape
    lines = []
    for one in made.targets:
        number = f"Target {one.number}, " if order.is_numbered else ""
        where = f"{number}{_distance(one, order.units)} {order.units.distance}"
        on_tape = " on the tape" if tape and one.told else ""
        what = f"set {one.told}{on_tape}" if one.told else one.word
        guess = f", {one.word}" if one.told and one.word else ""
        lines.append(f"{where}: {what}{guess}.")
    return tuple(lines)


def _tell(made: Large) -> Blocks:
    name = made.answer.rig.name
    return (
        f"{_title(made, name)}:",
        *_lines(made),
        *(one for one in _foot(made) if one != ASK_THEM),
        *map(Mind, rules_words(made.order.rules)),
        *map(Mind, paper_notes(name, made.answer.fingerprint)),
    )


def _write(made: Large) -> dict[str, Any]:
    answer, order, unit = made.answer, made.order, made.order.units.distance
    return {
        **head_json("tapewright.large/1", answer),
        **trust_json(answer, unit, order.pin),
        "event": order.event,
        "pin": order.pin,
        "rules": list(order.rules),
        "targets": [
            {
                "target": one.number,
                f"distance_{unit}": rounded(one.distance_m, unit, 4),
                "reading_mm": rounded(one.reading_m, "mm", 4),
                **dial_json(answer.tape, one.reading_m, order.pin, one.distance_m),
                "set": one.told,
                "word": one.word,
            }
            for one in made.targets
        ],
        "lines": list(_lines(made)),
        "cautions": [*_foot(made), *rules_words(order.rules)],
    }


PRINT: Print[Answer, LargeOrder, Large] = Print(
    "large",
    "Print the distances of an event and what to set, in letters read from a metre.",
    "Black on white or white on black, letters of 24 points and more, tagged for screen readers; "
    "the same is told here as lines of text. Nothing else stands on it: a guess says so.",
    FIELDS, ("pdf", "svg"), ("pdf",),
    _order, _make, _files, _tell,
    is_of_answer=True, asks_units=True, write=_write,
    preview=lambda made: large_preview(_page(made), made.order.paper),
    seen=lambda made: f"{len(made.targets)} distances, {made.order.paper}",
    open_fields=6, is_in_any_order=True,
)  # fmt: skip
