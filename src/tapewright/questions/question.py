"""Question: one question to a calibration: what may be said, how it is answered, shown, written.

Holds:  the Measure, Field, Said and Question records.
Never:  a particular question (its neighbours); how a face asks.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from math import inf
from typing import Any, Generic, Literal, TypeVar

from tapewright.ground.errors import BadInput, CalibrationFailed, LaunchUnreachable, Withheld
from tapewright.services.calibrate import Answer
from tapewright.words.answer_blocks import Blocks
from tapewright.words.cautions import apart_words
from tapewright.words.quantity_parser import (
    Distances,
    in_unit,
    read_distances,
    read_quantity,
    with_unit,
)
from tapewright.words.unit_spellings import Kind, quoted
from tapewright.words.unit_system import Units

Found = TypeVar("Found")
Reader = Callable[[str, Kind, str, str], float]  # of a text, its kind, place, an example
# Of hints, which give examples and no facts: what stands in them for who reads metres
METRIC_EXAMPLES = (("36x36 in", "90x90 cm"), ("3 in", "8 cm"), ("1 in", "2 cm"), (" yd", " m"),
                   ("_yd", "_m"), ("right_in", "right_cm"), ("up_in", "up_cm"), (" or 30 °F", ""),
                   (" or 6000 ft", ""))  # fmt: skip
SIZE = "WIDTHxHEIGHT"  # what stands behind an option that takes one
ABOVE_ZERO = 5e-324  # the least number that is not zero


@dataclass(frozen=True, slots=True)
class Measure:
    """What a quantity may be, and what is told of one that it may not be."""

    kind: Kind
    ends: tuple[float, float, str] = (ABOVE_ZERO, inf, "")  # with their unit; empty: SI
    example: str = ""  # empty: what is usual
    wrong: str = ""  # empty: which end it passes
    mend: str = ""  # empty: what lies between the ends
    read: Reader = read_quantity

    def inside(self, text: str, place: str, usual: str) -> float:
        """A quantity that is not beyond the ends. [SI]"""
        value, (low, high, unit) = self.read(text, self.kind, place, usual), self.ends
        shown = in_unit(value, unit) if unit else value
        slack = 1e-9  # of what was typed in another unit
        if low - slack * abs(low) <= shown <= high + slack * abs(high):
            return value
        wrong = self.wrong or f"is too {'much' if shown > high else 'little'}"
        mend = self.mend or f"Write {low:g} to {high:g} {unit}, such as {usual}"
        raise BadInput(place, f"{quoted(text)} {wrong}", mend)


@dataclass(frozen=True, slots=True)
class Field:
    """One thing that may be said with a question."""

    name: str  # as in code: ``third_axis``; a command's option is ``--third-axis``
    label: str  # what people read before it
    usual: str = ""  # what holds when nothing is said, in yards; empty: see the hint
    metric_usual: str = ""  # the same for who reads metres; empty: no other
    hint: str = ""  # what it is for
    choices: tuple[str, ...] = ()  # all that may be said; empty: free text
    choice_words: tuple[str, ...] = ()  # what people read for each of them; empty: themselves
    flags: tuple[str, str] | None = None  # what a command says for two choices; None: the option
    ends: tuple[int, int] | None = None  # least and most of a whole number; None: it is none
    measure: Measure | None = None  # what a quantity may be; None: it is none
    takes: str = "TEXT"  # what stands behind a command's option
    option_name: str = ""  # a command's option, where it is not the name
    is_switch: bool = False  # yes or no: a command says yes by the option alone
    is_file: bool = False  # a text of many rows: a command is given the name of its file
    before: str = ""  # its name in earlier versions, which every face still hears

    def usual_in(self, units: Units) -> str:
        """What holds when nothing is said, for a person who reads these units."""
        return (self.metric_usual or self.usual) if units.distance == "m" else self.usual

    def hint_in(self, units: Units) -> str:
        """What it is for, with examples in the person's units."""
        hint = self.hint
        for one, metric in METRIC_EXAMPLES if units.distance == "m" else ():
            hint = hint.replace(one, metric)
        return hint

    def own_unit(self, units: Units) -> str:
        """Unit in which a page takes bare numbers; empty where a unit is to be written.

        Only of what is more than nothing: a keyboard of digits has no sign.
        """
        if self.takes == "DISTANCE" or self.name == "distances":
            return units.distance
        if self.takes == SIZE:
            return units.miss
        measure = self.measure
        if measure is None or measure.ends[0] < 0.0 or measure.kind == "temperature":
            return ""
        unit = (self.usual_in(units) or measure.example).partition(" ")[2]
        return units.miss if unit == "in" else unit

    @property
    def has_several(self) -> bool:
        """Whether more than one number is typed, so that a keyboard of digits alone is no help."""
        return self.name == "distances" or self.takes == SIZE

    def completed(self, text: str, units: Units) -> str:
        """What was typed on a page, a bare number with its unit."""
        bare = text.strip()
        digits = "0123456789.," + (" :x×" if self.has_several else "")
        is_bare = bool(bare) and all(one in digits for one in bare)
        return with_unit(bare, self.own_unit(units)) if is_bare else text

    def offered(self, units: Units) -> tuple[tuple[str, str], ...]:
        """What may be chosen with its words, the usual first and said by an empty text."""
        words = dict(zip(self.choices, self.choice_words or self.choices, strict=True))
        usual = self.usual_in(units)
        rest = ((choice, told) for choice, told in words.items() if choice != usual)
        offered = (("", words.get(usual, usual)), *rest)
        return tuple((choice, told.format(unit=units.distance)) for choice, told in offered)

    @property
    def option(self) -> str:
        """Its name as a command's option."""
        return f"--{self.option_name}" if self.option_name else option(self.name)

    @property
    def about(self) -> str:
        """What it is, what it is for, and what is usual, in a line."""
        other = self.metric_usual not in ("", self.usual)
        usual = f"Usual: {self.usual}{f', or metric {self.metric_usual}' if other else ''}."
        return " ".join(filter(None, (f"{self.label}.", self.hint, usual if self.usual else "")))


@dataclass(frozen=True, slots=True)
class Said:
    """What a person said, read with places that their face understands."""

    texts: Mapping[str, str | None]  # by the field's name; absent or empty: nothing was said
    # From a field's name to what the person knows it by, for errors
    place: Callable[[str], str] = field(default=str)

    def text(self, name: str) -> str:
        """Words of a field, empty when nothing was said."""
        return (self.texts.get(name) or "").strip()

    def asked_distances(
        self, name: str, usual: str = "", *, unit: str = "", is_rising: bool = True
    ) -> Distances:
        """Distances of a field, or the usual ones, with their unit; the one given if none is."""
        text = with_unit(self.text(name) or usual, unit)
        return read_distances(text, self.place(name), is_rising=is_rising)

    def distances(self, name: str, usual: str, *, unit: str = "") -> tuple[float, ...]:
        """The same without their unit. [m]"""
        return self.asked_distances(name, usual, unit=unit).distances_m

    def distance(self, name: str, usual: str) -> float:
        """One distance of a field. [m]"""
        return self.one_distance(name, usual).distances_m[0]

    def one_distance(
        self, name: str, usual: str, *, unit: str = "", such: str = "20 yd"
    ) -> Distances:
        """One distance of a field with its unit; the one given where none was typed."""
        found = self.asked_distances(name, usual, unit=unit)
        if len(found.distances_m) != 1:
            wrong = f"{quoted(self.text(name) or usual)} is not one distance"
            raise BadInput(self.place(name), wrong, f"Write one, as {such}")
        return found

    def quantity(self, field: Field, units: Units) -> float:
        """A quantity of a field, or the usual one. [SI]"""
        return self._inside(field, field.usual_in(units))

    def quantity_if_said(self, field: Field) -> float | None:
        """A quantity of a field, if one was said. [SI]"""
        return self._inside(field, "") if self.text(field.name) else None

    def _inside(self, field: Field, usual: str) -> float:
        assert field.measure is not None
        text, place = self.text(field.name) or usual, self.place(field.name)
        return field.measure.inside(text, place, field.measure.example or usual)

    def whole_of(self, field: Field) -> int:
        """A whole number of a field that has ends. [-]"""
        assert field.ends is not None
        return self.whole(field.name, int(field.usual), field.ends)

    def whole(self, name: str, usual: int, ends: tuple[int, int]) -> int:
        """A whole number of a field inside its ends. [-]"""
        text = self.text(name) or str(usual)
        low, high = ends
        if not (text.isascii() and text.isdigit() and low <= int(text[:9]) <= high):
            wrong = f"{quoted(text)} is no whole number from {low} to {high}"
            raise BadInput(self.place(name), wrong, f"Write such as {usual}")
        return int(text)

    def choice(self, name: str, usual: str, choices: tuple[str, ...]) -> str:
        """One of the choices of a field."""
        text = self.text(name) or usual
        if text not in choices:
            wrong = f"{quoted(text)} is not one of the choices"
            raise BadInput(self.place(name), wrong, f"Choose {' or '.join(choices)}")
        return text


@dataclass(frozen=True, slots=True)
class Question(Generic[Found]):
    """A question to a calibration, the same in every face."""

    name: str  # as a command and in addresses
    title: str  # for people: a few words, and a sentence or two
    about: str
    fields: tuple[Field, ...]  # what may be said with it
    # Answer, or what stands in its place if it is of two, what was said and units become what was
    # found
    find: Callable[[Any, Said, Units], Found]
    tell: Callable[[Found, Units], Blocks]  # what was found, as blocks for people
    write: Callable[[Found, Units], dict[str, Any]]  # what was found, as JSON for programs
    where: str = "distances"  # name of the field that says the distances
    # Fields of which one must be said before there is an answer; empty: none must
    needs: tuple[str, ...] = ()
    more: str = ""  # what else a command's help tells
    # What programs are told when the answer is withheld; None: what any refusal tells
    withheld: Callable[[Answer, Withheld, Units], dict[str, Any]] | None = None
    is_of_two: bool = False  # asked of two rigs: then faces say which
    # Asked of a calibration with what a notebook keeps beside it, where there is a notebook
    is_of_kept: bool = False
    # Asked of a calibration with all that was shot with it, proofs and days of changes, likewise
    is_of_season: bool = False
    # Asked of a calibration with the set-up record and what was shot since the bow was put together
    is_of_setup: bool = False
    parts: tuple[str, ...] = ()  # what a refusal may name beside its fields
    shelf: Literal["", "check", "field"] = ""  # under which heading a rig's page links to it
    short: str = ""  # title where there is little room; empty: the title
    first: int = 0  # how many fields stand open, the others being seldom said; 0: all
    draw: Callable[[Found, Units], str] | None = None  # what was found, as SVG; None: no picture
    drawn: str = ""  # what the picture shows, in a command's help
    # Groups to write down next: what a button says, and what stands in the group's form; None: none
    groups: Callable[[Found, Units], tuple[tuple[str, dict[str, str]], ...]] | None = None

    def ask(self, subject: Any, said: Said, units: Units) -> Found:  # noqa: ANN401 — as `find`
        """What was found; a field that a service refuses is named as the face knows it.

        CalibrationFailed where arrows and sheet that differ leave no answer.
        """
        try:
            return self.find(subject, said, units)
        except BadInput as refused:
            if refused.place in (*self.parts, *(one.name for one in self.fields)):
                raise replace(refused, place=said.place(refused.place)) from None
            raise
        except LaunchUnreachable as short:
            answer = getattr(subject, "answer", subject)
            if isinstance(answer, Answer) and (apart := apart_words(answer, units)):
                raise CalibrationFailed(*apart) from short
            raise

    def usual(self, name: str, units: Units) -> str:
        """What holds for a field when nothing is said."""
        return next(one for one in self.fields if one.name == name).usual_in(units)


def heard(fields: Iterable[Field], texts: Mapping[str, Any]) -> dict[str, Any]:
    """What was said, by today's names; an earlier one is heard where today's is silent."""
    older = {one.before: one.name for one in fields if one.before}
    now = {name: text for name, text in texts.items() if name not in older}
    then = {older[name]: text for name, text in texts.items() if name in older and text}
    return now | {name: text for name, text in then.items() if not now.get(name)}


def option(name: str) -> str:
    """Name of a field as a command's option."""
    return f"--{name.replace('_', '-')}"
