"""Compare rigs: two calibrated rigs side by side.

Holds:  the Comparison record; the errand that makes it.
Never:  formulas, sentences.
"""

from dataclasses import dataclass

from tapewright.services.calibrate import Answer
from tapewright.services.make_card import CardOrder, RangeCard, make_card


@dataclass(frozen=True)
class Comparison:
    """Range cards of two rigs for the same distances."""

    cards: tuple[RangeCard, RangeCard]  # the first rig's and the other's


def compare_rigs(first: Answer, other: Answer, order: CardOrder) -> Comparison:
    """Two rigs side by side."""
    return Comparison((make_card(first, order), make_card(other, order)))
