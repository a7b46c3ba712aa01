"""Limits: say how far down the sight may go and which distances each pin reaches.

Holds:  the FoundLimits record; the errand that makes it; whether a distance can be reached.
Never:  formulas, sentences.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.confidence.limits import (
    Reach,
    ReadingLimit,
    ReadingLimits,
    reach_chance,
    reaches,
    travel_left,
)
from tapewright.services.calibrate import Answer
from tapewright.sight.clearance import USUAL_ARROW_MARGIN_M, USUAL_VANE_HEIGHT_M

__all__ = [
    "USUAL_ARROW_MARGIN_M",
    "USUAL_VANE_HEIGHT_M",
    "FoundLimits",
    "Reach",
    "ReadingLimit",
    "ReadingLimits",
    "find_limits",
    "reachable",
]

Floats = NDArray[np.float64]
TRUST = 0.9  # chance of reach that a shot to be planned must have


@dataclass(frozen=True)
class FoundLimits:
    """Everything that stops the sight, and what that means for each pin."""

    answer: Answer  # the calibration it is made from
    reaches: tuple[Reach, ...]  # one for each pin
    distance_m: Floats  # distances asked for
    # Pin travel left at each pin's mark, negative past the limit; nan: no limit known
    left_m: Floats
    left_low_m: Floats  # lower end of its band
    # Whether the sheet does not tell the vane's height though the housing's limit needs it
    vane_is_assumed: bool

    @property
    def limits(self) -> ReadingLimits:
        """Limits of the reading."""
        return self.answer.limits


def find_limits(answer: Answer, distance_m: ArrayLike) -> FoundLimits:
    """Limits of a calibrated rig."""
    posterior, probability = answer.posterior, answer.bands.probability
    distance = np.asarray(distance_m, dtype=np.float64)
    pins = range(1, len(answer.trusted_m) + 1)
    left = [travel_left(posterior, distance, pin, probability) for pin in pins]
    sheet = answer.rig
    return FoundLimits(
        answer=answer,
        reaches=reaches(posterior, probability),
        distance_m=distance,
        left_m=np.stack([middle for middle, _, _ in left]),
        left_low_m=np.stack([low for _, low, _ in left]),
        vane_is_assumed=sheet.sight.housing_below_pin_m is not None
        and sheet.arrow.vane_height_m is None,
    )


def reachable(
    answer: Answer, distance_m: ArrayLike, pin: int = 1, chance: float = TRUST
) -> NDArray[np.bool_]:
    """Whether a pin surely enough reaches distances within all limits."""
    return reach_chance(answer.posterior, distance_m, pin) >= chance
