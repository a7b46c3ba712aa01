"""Correct groups: every group measured, and what to turn after each.

Holds:  the FoundGroups record; the errand from groups and a fitted sight to moves.
Never:  formulas (target), the sight (move_sight.py), sentences.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from tapewright.calibration.fit import Calibration
from tapewright.services.calibrate import Answer
from tapewright.services.correct import (
    ArrowStep,
    AxisMove,
    Correction,
    arrow_by_arrow,
    correct,
    group_shifts,
)
from tapewright.services.equip import Rig
from tapewright.services.measure_groups import (
    Measured,
    known_scatter,
    measure_group,
    measure_groups,
)
from tapewright.services.move_sight import past_measured_limit
from tapewright.services.record_groups import Observation
from tapewright.services.stick_tape import Tape

__all__ = [
    "Calibration",
    "FoundGroups",
    "correct_group",
    "correct_groups",
    "correct_steps",
    "windage_moved",
]


@dataclass(frozen=True, slots=True)
class FoundGroups:
    """Groups, and what to turn."""

    measured: Measured  # the groups
    # On the sight, one for each group; empty without a rig sheet
    moves: tuple[Correction, ...] = ()
    # Of the impact, right and up, one for each group; empty with a rig sheet
    shifts: tuple[tuple[AxisMove, AxisMove], ...] = ()
    steps: tuple[ArrowStep, ...] = ()  # arrow by arrow, when that was asked instead
    # Whether a move ends where the archer measured that the sight must not go
    is_past_limit: bool = False
    per_turn: int | None = None  # clicks of a turn of the knob
    tape: Tape | None = None  # what is on the sight; None: its own numbers, or a gauge strip


def correct_groups(
    observations: Sequence[Observation],
    rig: Rig | None,
    fitted: Calibration | None,
    zero_sd_m: float | None = None,
    probability: float = 0.9,
    per_turn: int | None = None,
) -> FoundGroups:
    """Measure groups, and say what to turn after each; without a fitted sight only which way."""
    measured = measure_groups(observations, rig, probability)
    if rig is None or fitted is None:
        shifts = tuple(group_shifts(one, measured.known, zero_sd_m) for one in measured.groups)
        return FoundGroups(measured, shifts=shifts, per_turn=per_turn)
    moves = tuple(correct(fitted, one, measured.known, zero_sd_m) for one in measured.groups)
    is_past = any(past_measured_limit(rig, one.move.reading_m) for one in moves)
    return FoundGroups(measured, moves, is_past_limit=is_past, per_turn=per_turn)


def correct_group(
    one: Observation, observations: Sequence[Observation], rig: Rig, fitted: Calibration
) -> FoundGroups:
    """Measure one group of several, and say what to turn after it."""
    known = known_scatter(observations, rig)
    measure = measure_group(one, known)
    move = correct(fitted, measure, known)
    is_past = past_measured_limit(rig, move.move.reading_m)
    measured = Measured(0.9, (measure,), measure.spread, known)
    return FoundGroups(measured, (move,), is_past_limit=is_past)


def windage_moved(answer: Answer) -> Answer:
    """The same calibration once the windage was moved as told after the last group."""
    calibration, posterior = answer.posterior.calibration, answer.posterior
    seen = calibration.evidence.observations
    if not seen:
        return answer
    unknowns = calibration.evidence.prior.unknowns
    (found,) = correct_group(seen[-1], seen, answer.rig, calibration).moves
    vectors = posterior.vectors.copy()
    vectors[:, unknowns.place("windage")] -= found.move.pin_right_m / unknowns.sight_radius_m
    return replace(answer, posterior=replace(posterior, vectors=vectors))


def correct_steps(
    observations: Sequence[Observation],
    rig: Rig,
    fitted: Calibration,
    zero_sd_m: float | None = None,
    probability: float = 0.9,
    per_turn: int | None = None,
    *,
    windage_moved: bool = True,
) -> FoundGroups:
    """Say what to turn after each arrow, when the sight is moved between them."""
    measured = measure_groups(observations, rig, probability)
    steps = arrow_by_arrow(
        fitted, observations, measured.known, zero_sd_m, windage_moved=windage_moved
    )
    return FoundGroups(measured, steps=steps, per_turn=per_turn)
