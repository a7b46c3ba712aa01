"""Correct: from where arrows landed to what to turn on the sight.

The sight follows the arrows: they hit low, the pin goes down; they hit left, the pin goes left;
for either hand alike.

Holds:  the Correction and ArrowStep records; what to do after a group, and arrow by arrow.
Never:  formulas (target), the sight (move_sight.py), sentences.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tapewright.calibration.fit import Calibration
from tapewright.calibration.observation import Observation
from tapewright.services.measure_groups import GroupMeasure, KnownScatter
from tapewright.services.move_sight import (
    SightMove,
    height,
    pin_per_shift,
    right_per_click,
    sight_move,
    up_per_click,
)
from tapewright.target.correction import (
    DOUBT_IN_DISPERSIONS,
    AxisMove,
    Reason,
    believed_share,
    effective_arrows,
    group_moves,
    harmonic_weight,
    wanted_shift,
    whole_clicks,
)

__all__ = [
    "ArrowStep",
    "AxisMove",
    "Correction",
    "Reason",
    "arrow_by_arrow",
    "correct",
    "group_shifts",
]


@dataclass(frozen=True, slots=True)
class Correction:
    """What to do after a group, and why."""

    observation: Observation  # the group
    right: AxisMove  # along each axis, as shifts of the impact
    up: AxisMove
    move: SightMove  # the same on the sight


@dataclass(frozen=True, slots=True)
class ArrowStep:
    """What to do after one arrow of a sight that is moved arrow by arrow."""

    arrow: int  # which, 1 the first
    observation: Observation  # the group it belongs to
    right_m: float  # where it hit
    up_m: float
    share: float  # part of its miss that is believed
    move: SightMove  # what to turn before the next arrow


def group_shifts(
    measure: GroupMeasure,
    known: KnownScatter,
    zero_sd_m: float | None = None,
    clicks_m: tuple[float | None, float | None] = (None, None),
) -> tuple[AxisMove, AxisMove]:
    """How far the impact is to be shifted after a group, whatever the sight."""
    share = _share(measure, known, zero_sd_m)
    return group_moves(measure.centre, share, *clicks_m)


def _doubt2_rad2(known: KnownScatter, zero_sd_m: float | None, distance_m: float) -> float:
    """Square of how far off the zero may be: as said, or ten times scatter and wobble."""
    if zero_sd_m is not None:
        return (zero_sd_m / distance_m) ** 2
    return DOUBT_IN_DISPERSIONS**2 * (known.variance_rad2 + known.wobble_rad**2)


def _share(measure: GroupMeasure, known: KnownScatter, zero_sd_m: float | None) -> float:
    one, variance = measure.observation, known.variance_rad2
    doubt2 = _doubt2_rad2(known, zero_sd_m, one.distance_m)
    arrows = effective_arrows(one.group.arrows, variance, known.wobble_rad**2)
    return believed_share(arrows, variance, doubt2)


def correct(
    fitted: Calibration,
    measure: GroupMeasure,
    known: KnownScatter,
    zero_sd_m: float | None = None,
) -> Correction:
    """What to turn after a group."""
    one, up_m = measure.observation, measure.centre.up_m
    wanted_m = 0.0 if np.isnan(up_m) else -_share(measure, known, zero_sd_m) * up_m
    clicks_m = (right_per_click(fitted, one), up_per_click(fitted, one, wanted_m))
    right, up = group_shifts(measure, known, zero_sd_m, clicks_m)
    arrows = effective_arrows(one.group.arrows, known.variance_rad2, known.wobble_rad**2)
    lies_m = one.distance_m * float(np.sqrt(known.variance_rad2 / arrows)) if arrows else 0.0
    return Correction(one, right, up, sight_move(fitted, one, up, right, lies_m))


def arrow_by_arrow(
    fitted: Calibration,
    observations: Sequence[Observation],
    known: KnownScatter,
    zero_sd_m: float | None = None,
    *,
    windage_moved: bool = True,
) -> tuple[ArrowStep, ...]:
    """What to turn after each arrow, when the sight is moved between them.

    Each arrow's own reading tells how far the sight had been moved by then. Windage is not read:
    either every move told here was made, or none.
    """
    last = observations[-1]
    shots = [
        (one, impact_of)
        for one in observations
        if (one.distance_m, one.pin) == (last.distance_m, last.pin)
        for impact_of in one.group.counted
        if impact_of.arrows == 1 and None not in (impact_of.right_m, impact_of.up_m)
    ]
    variance = known.variance_rad2 * last.distance_m**2
    doubt2 = _doubt2_rad2(known, zero_sd_m, last.distance_m) * last.distance_m**2
    misses: list[tuple[float, float]] = []
    settings: list[tuple[float, float]] = []
    steps: list[ArrowStep] = []
    windage_m = 0.0  # shift of the impact to the right that windage has been given
    for number, (one, hit) in enumerate(shots, 1):
        first = shots[0][0]
        moved_m = height(fitted, one, one.reading_m) - height(fitted, first, first.reading_m)
        misses.append((hit.right_m or 0.0, hit.up_m or 0.0))
        settings.append((windage_m, moved_m))
        to_right_m, to_up_m = wanted_shift(misses, settings, variance / doubt2) - settings[-1]
        move = _click_move(fitted, one, float(to_up_m), float(to_right_m))
        weight = harmonic_weight(number, variance, doubt2)
        steps.append(ArrowStep(number, one, *misses[-1], weight, move))
        if windage_moved:
            windage_m += move.pin_right_m / pin_per_shift(fitted, one)
    return tuple(steps)


def _click_move(
    fitted: Calibration, one: Observation, to_up_m: float, to_right_m: float
) -> SightMove:
    """Shifts of the impact as whole clicks; under half a click is left for a later arrow."""

    def axis(shift_m: float, click_m: float | None) -> AxisMove:
        clicks = None if click_m is None else whole_clicks(shift_m, click_m)
        if clicks is not None and click_m is not None:
            shift_m = clicks * click_m
        reason: Reason = "off the aim" if shift_m else "under half a click"
        return AxisMove(-shift_m, 1.0, shift_m, clicks, reason)

    up = axis(to_up_m, up_per_click(fitted, one, to_up_m))
    return sight_move(fitted, one, up, axis(to_right_m, right_per_click(fitted, one)))
