"""Question: one question to a calibration: what may be said, how it is answered, shown, written.

Holds:  the Field, Said and Question records.
Never:  a particular question (its neighbours); how a face asks.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Generic, Literal, TypeVar

from tapewright.ground.errors import BadInput, CalibrationFailed, LaunchUnreachable, Withheld
from tapewright.services.calibrate import Answer
from tapewright.words.answer import apart_words
from tapewright.words.blocks import Blocks
from tapewright.words.quantities import read_distances, read_quantity
from tapewright.words.unit_names import Kind, quoted
from tapewright.words.units import Units

Found = TypeVar("Found")
Ends = tuple[float, float, str]  # least and most, and the unit both are told in


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
    takes: str = "TEXT"  # what stands behind a command's option
    option_name: str = ""  # a command's option, where it is not the name
    is_switch: bool = False  # yes or no: a command says yes by the option alone
    is_file: bool = False  # a text of many rows: a command is given the name of its file

    def usual_in(self, units: Units) -> str:
        """What holds when nothing is said, for a person who reads these units."""
        return (self.metric_usual or self.usual) if units.distance == "m" else self.usual

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

    def named(self, refused: BadInput) -> BadInput:
        """A service's refusal with its field named as the face knows it."""
        return replace(refused, place=self.place(refused.place))

    def text(self, name: str) -> str:
        """Words of a field, empty when nothing was said."""
        return (self.texts.get(name) or "").strip()

    def distances(self, name: str, usual: str) -> tuple[float, ...]:
        """Distances of a field, or the usual ones. [m]"""
        return read_distances(self.text(name) or usual, self.place(name)).distances_m

    def distance(self, name: str, usual: str) -> float:
        """One distance of a field. [m]"""
        text = self.text(name) or usual
        where = self.distances(name, usual)
        if len(where) != 1:
            wrong = f"{quoted(text)} is not one distance"
            raise BadInput(self.place(name), wrong, "Write one, as 20 yd")
        return where[0]

    def quantity(self, name: str, kind: Kind, usual: str, ends: Ends) -> float:
        """A quantity of a field inside its ends, which are told in the unit named. [SI]"""
        text = self.text(name) or usual
        value = read_quantity(text, kind, self.place(name), usual)
        low, high, unit = ends
        ends_si = [read_quantity(f"{end} {unit}", kind, name) for end in (low, high)]
        slack = 1e-9 * max(abs(end) for end in ends_si)
        if not ends_si[0] - slack <= value <= ends_si[1] + slack:
            much = "much" if value > ends_si[1] else "little"
            mend = f"Write {low:g} to {high:g} {unit}, such as {usual}"
            raise BadInput(self.place(name), f"{quoted(text)} is too {much}", mend)
        return value

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
    ask: Callable[[Any, Said, Units], Found]
    tell: Callable[[Found, Units], Blocks]  # what was found, as blocks for people
    write: Callable[[Found, Units], dict[str, Any]]  # what was found, as JSON for programs
    where: str = "distances"  # name of the field that says the distances
    # Fields of which one must be said before there is an answer; empty: none must
    needs: tuple[str, ...] = ()
    more: str = ""  # what else a command's help tells
    # What programs are told when the answer is withheld; None: what any refusal tells
    withheld: Callable[[Answer, Withheld, Units], dict[str, Any]] | None = None
    is_of_two: bool = False  # asked of two rigs: then faces say which
    shelf: Literal["", "check", "field"] = ""  # under which heading a rig's page links to it
    short: str = ""  # title where there is little room; empty: the title
    first: int = 0  # how many fields stand open, the others being seldom said; 0: all

    def __post_init__(self) -> None:
        if not self.is_of_two:
            object.__setattr__(self, "ask", _telling_apart(self.ask))

    def usual(self, name: str, units: Units) -> str:
        """What holds for a field when nothing is said."""
        return next(one for one in self.fields if one.name == name).usual_in(units)


def _telling_apart(
    ask: Callable[[Answer, Said, Units], Found],
) -> Callable[[Answer, Said, Units], Found]:
    """The same, with CalibrationFailed where arrows and sheet that differ leave no answer."""

    def found(answer: Answer, said: Said, units: Units) -> Found:
        try:
            return ask(answer, said, units)
        except LaunchUnreachable as short:
            if apart := apart_words(answer, units):
                raise CalibrationFailed(*apart) from short
            raise

    return found


def option(name: str) -> str:
    """Name of a field as a command's option."""
    return f"--{name.replace('_', '-')}"
