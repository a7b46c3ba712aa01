"""Calibrate kept: the answer of a rig with a history: each change carries over what came before.

Holds:  the Setup record; the errand over a rig's set-ups, the first first.
Never:  the notebook, formulas, sentences.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from numpy.typing import ArrayLike

from tapewright.calibration.observation import Observation
from tapewright.calibration.rig import Rig
from tapewright.field.change import has_another_scale
from tapewright.services.calibrate import Answer, calibrate
from tapewright.services.change_rig import carried_answer

__all__ = ["Answer", "Setup", "calibrate_setups", "has_another_scale"]


@dataclass(frozen=True, slots=True)
class Setup:
    """A rig as it stood between two changes, with what was shot then."""

    rig: Rig  # the sheet
    observations: tuple[Observation, ...]  # groups shot with it; may be empty
    new_string: bool = False  # whether string or cables were replaced when it began


def calibrate_setups(
    setups: Sequence[Setup],
    distance_m: ArrayLike,
    trust_grid_m: ArrayLike,
    seed: int = 1,
    probability: float = 0.9,
) -> Answer:
    """Calibrate the last set-up, with what the ones before it still tell.

    A set-up whose sight counts differently tells nothing of the next: that one starts afresh.
    """
    first, *rest = setups
    old = calibrate(first.rig, first.observations, distance_m, trust_grid_m, seed, probability)
    for one in rest:
        if has_another_scale(old.rig, one.rig):
            old = calibrate(one.rig, one.observations, distance_m, trust_grid_m, seed, probability)
        else:
            old = carried_answer(
                old, one.rig, one.observations, trust_grid_m, seed, new_string=one.new_string
            )
    return old
