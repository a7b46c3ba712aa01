"""Print record: one thing that is put on paper: what may be said of it, how it is planned and told.

Holds:  the Reader, Wish and Print records.
Never:  a particular print (its neighbours); how a face asks.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, Protocol, TypeVar

from tapewright.questions.question import Field, Said
from tapewright.services.equip import Rig
from tapewright.words.answer_blocks import Blocks
from tapewright.words.quantity_parser import read_quantity
from tapewright.words.unit_system import BY_DISTANCE, Units

Read = TypeVar("Read")
Of = TypeVar("Of")  # what a print is made of: an Answer, or a Rig, or none
Order = TypeVar("Order")
Made = TypeVar("Made")
Files = tuple[tuple[str, bytes], ...]  # the end of each file's name, and what is in it


class Reader(Protocol):
    """How a face reads a field: at the first fault it stops, or notes it and goes on."""

    def __call__(self, name: str, reading: Callable[[], Read], instead: Read) -> Read:
        """Value of a field, or what goes on in its place."""


def plainly(name: str, reading: Callable[[], Read], instead: Read) -> Read:  # noqa: ARG001 — a Reader's shape
    """Read a field; a fault stops everything."""
    return reading()


@dataclass(frozen=True, slots=True)
class Wish:
    """What a person said of a print, and who reads it."""

    said: Said
    units: Units  # the person's
    proof_mm: tuple[float, float] | None = None  # what the printer makes of its proof rulers
    read: Reader = plainly

    def length_mm(self, name: str) -> float | None:
        """A length, None for none. [mm]"""
        return self.read(name, lambda: said_length_mm(self.said, name), None)

    def choice(self, field: Field, usual: str = "") -> str:
        """One of a field's choices."""
        usual = usual or field.usual
        return self.read(
            field.name, lambda: self.said.choice(field.name, usual, field.choices), usual
        )


def said_length_mm(said: Said, name: str) -> float | None:
    """A length, if one was said. [mm]"""
    text = said.text(name)
    return 1e3 * read_quantity(text, "length", said.place(name), "12 mm") if text else None


@dataclass(frozen=True, slots=True)
class Print(Generic[Of, Order, Made]):
    """One thing that is put on paper, the same in every face."""

    name: str  # as a command, in addresses and at the end of files' names
    about: str  # what it is, in a sentence
    more: str  # what else a command's help tells
    fields: tuple[Field, ...]  # what may be said of it, the commonest first
    formats: tuple[str, ...]  # in which it can be had
    usual_formats: tuple[str, ...]  # which of them a command writes
    # What it is made of and what was said become an order, which is equal for equal prints
    order: Callable[[Of, Wish], Order]
    make: Callable[[Of, Order, str], Made]  # the same and the date, planned
    files: Callable[[Made, tuple[str, ...]], Files]  # what was planned, in these formats
    tell: Callable[[Made], Blocks]  # what was planned, in words
    beside: tuple[str, ...] = ()  # formats that a command always writes beside those asked for
    is_of_answer: bool = False  # made of a calibration; else of a rig sheet, or of nothing
    asks_units: bool = False  # whether it differs by the units that a person reads
    write: Callable[[Made], dict[str, Any]] | None = None  # what was planned, for other programs
    preview: Callable[[Made], str] | None = None  # what a page shows of it, as SVG
    seen: Callable[[Made], str] | None = None  # the same in words
    is_in_any_order: bool = False  # whether its distances are
    open_fields: int = 99  # how many fields a page shows at once
    # Its fields with what is usual for one rig; None: the same for all
    for_rig: Callable[[Rig], tuple[Field, ...]] | None = None

    def made_of(self, of: Of, wish: Wish, date: str) -> Made:
        """What was wished, planned."""
        return self.make(of, self.order(of, wish), date)

    def asked(self, said: Said, units: Units) -> tuple[tuple[float, ...], Units]:
        """Distances that were named, from near to far [m], and the units in which they were."""
        if not said.text("distances"):
            return (), units
        found = said.asked_distances("distances", is_rising=not self.is_in_any_order)
        return tuple(sorted(set(found.distances_m))), BY_DISTANCE.get(found.unit, units)

    def fields_of(self, rig: Rig) -> tuple[Field, ...]:
        """Its fields with what is usual for one rig."""
        return self.for_rig(rig) if self.for_rig else self.fields
