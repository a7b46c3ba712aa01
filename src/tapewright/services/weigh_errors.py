"""Weigh errors: how much each usual error costs a calibrated rig at a distance.

Holds:  the Budget record; the errand that makes it.
Never:  formulas, sentences.
"""

from dataclasses import dataclass

import numpy as np

from tapewright.confidence.bands import drawn_marks
from tapewright.field.budget import Errors, Habits, Share, miss_budget
from tapewright.services.calibrate import Answer
from tapewright.services.stand_in import one_bow

__all__ = ["Budget", "Errors", "Habits", "Share", "weigh_errors"]


@dataclass(frozen=True, slots=True)
class Budget:
    """A miss budget."""

    answer: Answer  # the calibration
    distance_m: float  # where
    errors: Errors  # what was taken for usual
    habits: Habits  # what the calibration tells
    shares: tuple[Share, ...]  # each error, the costliest first, then all together


def weigh_errors(answer: Answer, distance_m: float, errors: Errors) -> Budget:
    """Each error alone and all together, for the middling bow."""
    posterior = answer.posterior
    unknowns = posterior.calibration.evidence.prior.unknowns

    def middle(name: str) -> float:
        return float(np.exp(np.median(unknowns.column(posterior.vectors, name))))

    habits = Habits(
        dispersion_right_rad=middle("log_dispersion_right"),
        dispersion_up_rad=middle("log_dispersion_up"),
        wobble_rad=middle("log_wobble"),
        tape_m=float(drawn_marks(posterior, [distance_m]).std()),
    )
    shares = miss_budget(one_bow(posterior), answer.rig.air, distance_m, errors, habits)
    return Budget(answer, distance_m, errors, habits, shares)
