"""Print fields: what several prints are told alike: paper, printer, pointer, far end, width.

Holds:  these fields, and how they are read.
Never:  a print (its neighbours).
"""

from dataclasses import replace
from typing import Literal, cast

from tapewright.ground.errors import BadInput
from tapewright.printing.print_record import Wish
from tapewright.questions.question import Field, Said
from tapewright.services.measure_printer import proof_after
from tapewright.words.quantity_parser import read_number

USUAL_WIDTH_MM = (12.0, 16.0, 25.0, 25.0, 25.0)  # for one to five pins

Side = Literal["right", "left"]
End = Literal["down", "up"]
PaperName = Literal["A4", "Letter"]

PAPER = Field("paper", "Paper", "A4", choices=("A4", "Letter"))
PRINTER = Field("printer", "Printer", hint="A kept printer, whose error is undone.")
PROOF = Field(
    "proof", "Proof rulers", takes="ACROSS,DOWN",
    hint='What the two measured on a print that was not corrected, as "99.6,100.2 mm".',
)  # fmt: skip
POINTER = Field(
    "pointer", "Pointer stands", hint="Side of the strip, seen from you; usual: the rig's hand.",
    choices=("right", "left"), choice_words=("on the right", "on the left"),
)  # fmt: skip
FAR_END = Field(
    "far_end", "Far distances stand", "down", hint="At which end of the strip.",
    choices=("down", "up"), choice_words=("at the bottom", "at the top"),
)  # fmt: skip
WIDTH = Field("width", "Width of the strip", "12 mm, more for several pins", takes="LENGTH")
LENGTH = Field("length", "Length of the strip", "as needed", takes="LENGTH")


def read_paper(wish: Wish) -> PaperName:
    """The paper chosen."""
    return cast("PaperName", wish.choice(PAPER))


def read_pointer(wish: Wish, hand: str) -> Side:
    """Side where the pointer stands, that of the hand unless it was said."""
    return cast("Side", wish.choice(POINTER, hand))


def read_far_end(wish: Wish) -> End:
    """End where far distances stand."""
    return cast("End", wish.choice(FAR_END))


def usual_width_mm(further_pins: int) -> float:
    """Width of a strip for one pin and more. [mm]"""
    return USUAL_WIDTH_MM[min(further_pins, 4)]


def read_proof(said: Said) -> tuple[float, float] | None:
    """Lengths of the two proof rulers as typed, across and down. [mm]"""
    text, place = said.text("proof"), said.place("proof")
    if not text:
        return None
    parts = text.replace("mm", "").split(";" if ";" in text else ",")
    if len(parts) != 2:
        raise BadInput(place, f"{text!r} is not two lengths", "Write both, as 99.6,100.2 mm")
    across_mm, down_mm = (read_number(part, place, "99.6,100.2 mm") for part in parts)
    try:
        proof_after((across_mm, down_mm))
    except BadInput as refused:
        raise BadInput(place, f"ruler {refused.place}, {refused.wrong}", refused.mend) from None
    return across_mm, down_mm


def pointer_of(hand: str) -> Field:
    """Where the pointer stands, for an archer of one hand."""
    words = (
        f"{words} (your hand)" if side == hand else words
        for side, words in zip(POINTER.choices, POINTER.choice_words, strict=True)
    )
    return replace(POINTER, usual=hand, choice_words=tuple(words))


def in_place(fields: tuple[Field, ...], *others: Field) -> tuple[Field, ...]:
    """Fields, some of them replaced by others of the same name."""
    by_name = {field.name: field for field in others}
    return tuple(by_name.get(field.name, field) for field in fields)
