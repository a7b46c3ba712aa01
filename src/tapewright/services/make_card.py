"""Make card: a calibration becomes a range card, in numbers and on paper.

Holds:  the CardOrder and RangeCard records; the errands that make and print one.
Never:  formulas, sentences, file names.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from tapewright.confidence.bands import Bands, bands
from tapewright.drawing.card_sheet import CardTable, CardWords, full_sheet, pocket_sheet
from tapewright.drawing.files import sheet_files
from tapewright.drawing.paper import PAPERS
from tapewright.field.range_card import Card, Spread, range_card, twin_distances
from tapewright.ground.errors import BadInput
from tapewright.services.calibrate import Answer
from tapewright.services.stand_in import few_bows, one_bow
from tapewright.services.stops import refuse_stopped
from tapewright.sight.prediction import turning_distance

__all__ = [
    "Bands",
    "Card",
    "CardOrder",
    "CardTable",
    "CardWords",
    "RangeCard",
    "Spread",
    "make_card",
    "print_card",
]

Floats = NDArray[np.float64]
NEAREST_M = 2.0  # nearer, the arrow may not have left the string
CLOSE_FROM = 3  # the nearest close mark listed, in the person's unit


@dataclass(frozen=True, slots=True)
class CardOrder:
    """What a range card is to show.

    Parameters
    ----------
    distances_m : tuple of float
        Where. [m]
    radius_m : float
        Radius of the miss that is still good. [m]
    pin : int
        Which pin is aimed with, 1 the first. [-]
    unit_m : float
        Step of the close marks: the person's unit of distance. [m]
    """

    distances_m: tuple[float, ...]
    radius_m: float
    pin: int
    unit_m: float


@dataclass(frozen=True)
class RangeCard:
    """What an arrow does at each distance, and the close marks.

    Parameters
    ----------
    answer : Answer
        The calibration it is made from.
    order : CardOrder
        What was asked for.
    marks : Bands
        Marks of the pin in use.
    flight : Card
        The flight in numbers.
    close : Bands
        Marks nearer than the turning distance.
    close_twin_m : (k,) array
        Far distance that has the same mark as each of them; nan if it is past 200 m. [m]
    """

    answer: Answer
    order: CardOrder
    marks: Bands
    flight: Card
    close: Bands
    close_twin_m: Floats

    @property
    def trusted_m(self) -> float:
        """Trusted distance of the pin in use. [m]"""
        return self.answer.trusted_m[self.order.pin - 1]


def make_card(answer: Answer, order: CardOrder) -> RangeCard:
    """A range card of a calibrated rig.

    Parameters
    ----------
    answer : Answer
        A calibration.
    order : CardOrder
        What is wanted.

    Returns
    -------
    RangeCard
        In numbers, with bands of the answer's chance.

    Raises
    ------
    BadInput
        If the rig lacks the pin, or a distance is nearer than an arrow is free.
    """
    if order.pin > len(answer.trusted_m):
        have = "one pin" if len(answer.trusted_m) == 1 else f"{len(answer.trusted_m)} pins"
        raise BadInput("--pin", f"the rig sheet has {have}", "Ask for a pin that it has, 1 the top")
    if order.distances_m[0] < NEAREST_M:
        raise BadInput("--distances", "the nearest is under 2 m", "Ask for 2 m, 3 yd or more")
    posterior, chance = answer.posterior, answer.bands.probability
    mass = answer.rig.arrow.mass_kg
    draws, middle = few_bows(posterior), one_bow(posterior)
    normal = np.random.default_rng(0).standard_normal((len(np.atleast_1d(draws.speed_mps)), 1))
    mass_kg = mass.value + (mass.sd or 0.0) * normal
    steps = np.arange(CLOSE_FROM, int(turning_distance(middle) / order.unit_m) + 1)
    close_m = steps * order.unit_m
    return RangeCard(
        answer=answer,
        order=order,
        marks=bands(posterior, order.distances_m, chance, order.pin),
        flight=range_card(draws, middle, mass_kg, order.distances_m, order.radius_m, chance),
        close=bands(posterior, close_m, chance, order.pin),
        close_twin_m=twin_distances(middle, close_m),
    )


def print_card(
    made: RangeCard,
    table: CardTable,
    words: CardWords,
    paper: Literal["A4", "Letter"],
    sizes: tuple[str, ...],
    formats: tuple[str, ...],
) -> tuple[tuple[str, bytes], ...]:
    """The files of a range card.

    Parameters
    ----------
    made : RangeCard
        The card in numbers.
    table : CardTable
        Heads and cells.
    words : CardWords
        The sentences.
    paper : str
        ``"A4"`` or ``"Letter"``.
    sizes : tuple of str
        ``"pocket"`` or ``"page"`` or both.
    formats : tuple of str
        ``"pdf"`` or ``"svg"`` or both.

    Returns
    -------
    tuple of (str, bytes)
        Ending of the file's name, and its content; one PDF for all sizes, one SVG for each.

    Raises
    ------
    DoesNotFit
        If the table is larger than the paper.
    Withheld
        If the set-up must not be shot.
    """
    refuse_stopped(made.answer.rig)
    draw = {"page": full_sheet, "pocket": pocket_sheet}
    sheets = tuple(draw[size](table, words, PAPERS[paper]) for size in sizes)
    return sheet_files(sheets, formats, [f"-{size}" for size in sizes])
