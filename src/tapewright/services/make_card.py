"""Make card: a calibration becomes a range card in numbers.

Holds:  the CardOrder and RangeCard records; the errand that makes one.
Never:  formulas, sentences, paper (print_card.py).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapewright.confidence.bands import Bands, bands
from tapewright.field.range_card import Card, Spread, range_card, twin_distances
from tapewright.ground.errors import BadInput
from tapewright.services.calibrate import Answer
from tapewright.services.stand_in import few_bows, one_bow
from tapewright.sight.prediction import turning_distance

__all__ = ["CardOrder", "RangeCard", "Spread", "make_card"]

Floats = NDArray[np.float64]
NEAREST_M = 2.0  # nearer, the arrow may not have left the string
CLOSE_FROM = 3  # the nearest close mark listed, in the person's unit


@dataclass(frozen=True, slots=True)
class CardOrder:
    """What a range card is to show."""

    distances_m: tuple[float, ...]  # where
    radius_m: float  # radius of the miss that is still good
    pin: int  # which pin is aimed with, 1 the first
    unit_m: float  # step of the close marks: the person's unit of distance


@dataclass(frozen=True)
class RangeCard:
    """What an arrow does at each distance, and the close marks."""

    answer: Answer  # the calibration it is made from
    order: CardOrder  # what was asked for
    marks: Bands  # marks of the pin in use
    flight: Card  # the flight in numbers
    close: Bands  # marks nearer than the turning distance
    # Far distance that has the same mark as each of them; nan if it is past 200 m
    close_twin_m: Floats

    @property
    def trusted_m(self) -> float:
        """Trusted distance of the pin in use. [m]"""
        return self.answer.trusted_m[self.order.pin - 1]


def make_card(answer: Answer, order: CardOrder) -> RangeCard:
    """A range card of a calibrated rig."""
    if order.pin > len(answer.trusted_m):
        have = "one pin" if len(answer.trusted_m) == 1 else f"{len(answer.trusted_m)} pins"
        raise BadInput("pin", f"the rig sheet has {have}", "Ask for a pin that it has, 1 the top")
    if order.distances_m[0] < NEAREST_M:
        raise BadInput("distances", "the nearest is under 2 m", "Ask for 2 m, 3 yd or more")
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
