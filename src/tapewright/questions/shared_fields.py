"""Shared fields: what several questions ask alike: pin, ends of a strip, what stops the arrow.

Holds:  these fields, and how they are read; what sets neighbouring strips apart.
Never:  a question (its neighbours), chances.
"""

from tapewright.ground.errors import BadInput
from tapewright.ground.units import UNITS
from tapewright.questions.question import SIZE, Field, Measure, Said
from tapewright.services.advise import Butt
from tapewright.services.calibrate import Answer
from tapewright.services.choose_strip import usual_ends
from tapewright.words.quantity_parser import (
    parted_size,
    read_quantity,
    unit_in,
    with_unit,
)
from tapewright.words.unit_spellings import quoted
from tapewright.words.unit_system import Units

LEAST_BUTT_M, MOST_BUTT_M = 0.05, 20.0
MOST_LENGTHS, MOST_LENGTH_M = 12, 0.6  # of what is chosen from on a sight

PIN = Field("pin", "Pin", "1", hint="Which pin is aimed with, 1 the top one.", takes="NUMBER")
PINS = (1, 9)
BUTT = Field(
    "butt", "Butt", "36x36 in", "90x90 cm", "Width x height of what stops the arrow.",
    takes=SIZE,
)  # fmt: skip
BETWEEN = Field(
    "between", "Strips told apart between", takes="NEAR,FAR", before="span",
    hint='Near and far distance, such as "20,70 yd"; left open, they follow the rig.',
)  # fmt: skip
APART = Measure("length", example="0.5 mm", wrong="tells no strips apart",
                mend="Write a length as 0.5 mm")  # fmt: skip


def asked_pin(answer: Answer, said: Said) -> int:
    """Pin that was asked for; one that the rig lacks is refused."""
    pin, have = said.whole(PIN.name, 1, PINS), len(answer.trusted_m)
    if pin > have:
        pins = "one pin" if have == 1 else f"{have} pins"
        mend = "Ask for a pin that it has, 1 the top"
        raise BadInput(said.place("pin"), f"the rig sheet has {pins}", mend)
    return pin


def said_ends(said: Said, units: Units) -> tuple[float, float]:
    """Near and far distance between which strips are told apart, as they were said. [m]"""
    ends = said.distances(BETWEEN.name, "", unit=units.distance)
    if len(ends) != 2:
        wrong = f"{quoted(said.text(BETWEEN.name))} is not two distances"
        raise BadInput(said.place(BETWEEN.name), wrong, "Write near and far, as 20,60")
    return ends[0], ends[1]


def asked_ends(answer: Answer, said: Said, units: Units) -> tuple[float, float]:
    """The same; where nothing was said, those that follow the rig. [m]"""
    if said.text(BETWEEN.name):
        return said_ends(said, units)
    unit_m = UNITS[units.distance].factor
    near, far = usual_ends(answer, unit_m)
    return near * unit_m, far * unit_m


def said_lengths(said: Said, field: Field, units: Units) -> tuple[float, ...]:
    """Lengths with commas between, or those that are usual; one unit at the end will do. [m]"""
    text, place = said.text(field.name) or field.usual_in(units), said.place(field.name)
    unit = unit_in(text) or units.reading
    parts = [part.strip() for part in text.split(",") if part.strip()]
    found = tuple(
        read_quantity(with_unit(part, unit), "length", place, "0, 10, 20 mm") for part in parts
    )
    if len(found) > MOST_LENGTHS or not all(abs(one) <= MOST_LENGTH_M for one in found):
        wrong = f"{quoted(text)} is too much for a sight"
        raise BadInput(place, wrong, "Write a few lengths, such as 0, 10, 20 mm")
    return found


def read_butt(said: Said, units: Units) -> Butt:
    """Width and height as typed, one unit for both or one each."""
    text, place = said.text(BUTT.name) or BUTT.usual_in(units), said.place(BUTT.name)
    parts = parted_size(text, place, f"Write both, as {BUTT.usual_in(units)}", "width x height")
    sides = [read_quantity(part, "length", place, BUTT.usual_in(units)) for part in parts]
    if not all(LEAST_BUTT_M <= side <= MOST_BUTT_M for side in sides):
        wrong = f"{quoted(text)} stops no arrow, or is a hill"
        raise BadInput(place, wrong, f"Write such as {BUTT.usual_in(units)}")
    return Butt(*sides)
