"""Table slopes: marks up and down hill for a calibrated rig, beside the rule of thumb.

Holds:  the Slopes record; the errand that makes it.
Never:  formulas, sentences.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tapewright.field.slope import STEEPEST_RAD, RuleOfThumb, SlopeTable, rule_of_thumb, slope_table
from tapewright.services.calibrate import Answer
from tapewright.services.stand_in import one_bow
from tapewright.sight.prediction import Aim

__all__ = ["STEEPEST_RAD", "RuleOfThumb", "SlopeTable", "Slopes", "table_slopes"]


@dataclass(frozen=True)
class Slopes:
    """Marks on slopes; arrays of shape (g, n)."""

    answer: Answer  # the calibration they are made from
    pin: int  # which pin is aimed with, 1 the first
    table: SlopeTable  # readings, and the level marks to dial instead
    rule: RuleOfThumb  # what dialling for the horizontal distance does instead


def table_slopes(
    answer: Answer, slope_rad: ArrayLike, distance_m: ArrayLike, pin: int = 1
) -> Slopes:
    """Marks on slopes for the middling bow."""
    posterior = answer.posterior
    bow = one_bow(posterior)
    unknowns = posterior.calibration.evidence.prior.unknowns
    middle = np.median(posterior.vectors, axis=0)
    below_m = float(unknowns.pin_below(middle, np.array([pin]))[0])
    aim = Aim(pin_below_m=below_m)
    slopes = np.asarray(slope_rad, dtype=np.float64)
    table = slope_table(bow, slopes, distance_m, aim)
    return Slopes(answer, pin, table, rule_of_thumb(bow, slopes[:, None], distance_m, aim))
