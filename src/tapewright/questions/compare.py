"""Compare: two calibrated rigs side by side.

Holds:  the question ``compare``: its fields, tables and sentences.
Never:  formulas, how a face asks and shows; what a card says of one rig (card.py).
"""

from dataclasses import replace
from typing import Any

from tapewright.ground.units import UNITS
from tapewright.questions.card import DRIFT, ENERGY, SPEED, card_trust
from tapewright.questions.card import QUESTION as CARD
from tapewright.questions.question import Field, Question, Said
from tapewright.services.calibrate import Answer
from tapewright.services.compare_rigs import Comparison, compare_rigs
from tapewright.services.make_card import CardOrder, RangeCard
from tapewright.words.answer_blocks import Block, Blocks, Mind, Table
from tapewright.words.answer_columns import Column, beside, table
from tapewright.words.cautions import mark_cautions
from tapewright.words.marks_table import AT, SHORT
from tapewright.words.readings_on_tape import told_columns
from tapewright.words.unit_system import Units

WINDOW: Column[RangeCard] = Column(
    "window {unit}", "", lambda it: it.flight.hold_far_m - it.flight.hold_near_m, "distance"
)
# The card's columns without their bands, under short heads.
FLOWN = [
    replace(column, head=head, banded=False)
    for head, column in (("{unit}", SPEED[0]), ("{unit}", ENERGY[0]), ("blown {unit}", DRIFT[0]))
]


def _ask(answers: tuple[Answer, Answer], said: Said, units: Units) -> Comparison:
    distances_m = said.distances("distances", QUESTION.usual("distances", units))
    tolerance_m = answers[0].rig.archer.tolerance_m
    order = CardOrder(distances_m, tolerance_m, 1, UNITS[units.distance].factor)
    return compare_rigs(*answers, order)


def _tell(found: Comparison, units: Units) -> Blocks:
    both = dict(zip("AB", found.cards, strict=True))
    names = "; ".join(f"{which}: {card.answer.rig.name}" for which, card in both.items())
    title = f"Marks, and how far each serves. {names}"
    marks, flown = zip(*(_parts(card, units) for card in found.cards), strict=True)
    blocks: list[Block] = [
        _side_by_side(title, found, marks, units),
        _side_by_side("Flight: at the target", found, flown, units),
    ]
    for which, card in both.items():
        blocks.append(f"{which}, {card.answer.rig.name}: {card_trust(card, units)}")
        blocks += [Mind(f"{which}: {one}") for one in mark_cautions(card.answer, units)]
    return tuple(blocks)


def _side_by_side(title: str, found: Comparison, parts: tuple[Table, ...], units: Units) -> Table:
    """A part of both cards behind their distances."""
    both = (
        replace(part, heads=tuple(f"{which} {head}" for head in part.heads))
        for which, part in zip("AB", parts, strict=True)
    )
    return beside(table(title, SHORT[:1], found.cards[0].marks, units), *both)


def _parts(card: RangeCard, units: Units) -> tuple[Table, Table]:
    """Its marks and how far each serves, and its flight."""
    mark, half = replace(SHORT[1], tape="alone"), SHORT[3]
    told = told_columns((mark, half), card.answer, card.order.pin, AT)
    marks = beside(table("", told, card.marks, units), table("", (WINDOW,), card, units))
    return marks, table("", FLOWN, card, units)


def _write(found: Comparison, units: Units) -> dict[str, Any]:
    rigs = [CARD.write(card, units) for card in found.cards]
    return {"schema": "tapewright.compare/1", "rigs": rigs}


QUESTION = Question(
    "compare", "Compare",
    "Two calibrated rigs side by side: marks, speed, energy, blown by wind, hold windows.",
    (Field("distances", "Distances", "20:80:20yd", "20:80:20m", takes="LIST"),),
    _ask, _tell, _write, is_of_two=True,
)  # fmt: skip
