"""Reassemble: a bow was taken apart and put together: what has moved, what that costs, as before?

The near group is judged by the one rule of every change: the calibration is carried over with
nothing changed, and the ladder asks for one near arrow.

Holds:  the Rebuilt, Near and Reassembly records; the errand from two measurings and a near group.
Never:  formulas (field/set_up_deviations.py), how a group is judged (confidence), sentences.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import hypot
from statistics import NormalDist
from typing import Literal

import numpy as np

from tapewright.calibration.observation import Observation
from tapewright.confidence.diagnosis import NEAR_M
from tapewright.confidence.ladder import Ladder
from tapewright.confidence.misses import misses_of
from tapewright.field.set_up_deviations import (
    ITEMS,
    Deviation,
    Measured,
    Risk,
    SetUpBow,
    compared,
    items_of,
    named_from,
    pushes,
    risk_of,
)
from tapewright.services.calibrate import Answer
from tapewright.services.change_rig import carried_answer
from tapewright.services.record_groups import of_point, refuse_twice

__all__ = [
    "ITEMS",
    "AtRisk",
    "Deviation",
    "Measured",
    "Near",
    "Reassembly",
    "Rebuilt",
    "Risk",
    "compared",
    "items_of",
    "reassemble",
]

# ``"unknown"``: no group had hit before; ``"shoot"``: none was shot since; ``"missed"``: past the
# butt
Verdict = Literal["unknown", "shoot", "as before", "moved", "missed"]
# That a near group put as before is called off to the side. The rule of changes leaves left and
# right to whoever may have turned the windage; here nobody did, or the record says so.
SIDE_CHANCE = 0.01
MOST_ERRORS = 30.0  # what would have to be farther off than that explains no near group


@dataclass(frozen=True, eq=False)
class Rebuilt:
    """A calibration of before, with what a notebook keeps of the bow's set-up."""

    answer: Answer
    record: str = ""  # as text; empty: none is kept
    again: str = ""  # measured again, as text
    near: tuple[Observation, ...] = ()  # shot since it was put together


@dataclass(frozen=True, slots=True)
class AtRisk:
    """One deviation and what it does by itself."""

    deviation: Deviation
    risk: Risk | None  # None: nobody can tell


@dataclass(frozen=True, slots=True)
class Would:
    """What would have to be how far off to explain a near group."""

    name: str
    by: float  # as a deviation; only its size where either way may do
    is_signed: bool


@dataclass(frozen=True, slots=True)
class Near:
    """What the near group says."""

    verdict: Verdict
    from_m: float  # how near it is to be shot
    group: Observation | None = None  # of which it is told; of "shoot": which tells nothing
    up_m: float = 0.0  # from where the calibration of before foretells it
    right_m: float = 0.0
    up_sd_m: float = 0.0  # by chance, and by what is not known
    right_sd_m: float = 0.0
    is_sideways: bool = False  # whether it lies off to the side more than high or low
    would: tuple[Would, ...] = ()  # what would explain it, the likeliest first


@dataclass(frozen=True, eq=False)
class Reassembly:
    """Everything there is to say of a bow that was put together again."""

    answer: Answer  # the calibration of before
    recorded: Measured
    deviations: tuple[Deviation, ...]  # what was measured twice; empty: nothing was yet
    # What is moved; where nothing was measured again, each thing as far off as it must be to be
    # called so
    at_risk: tuple[AtRisk, ...]
    together: Risk | None  # of all that is moved
    near: Near

    @property
    def moved(self) -> tuple[Deviation, ...]:
        """What is farther off than chance explains."""
        return tuple(one for one in self.deviations if one.is_moved)


def reassemble(
    answer: Answer,
    recorded: Measured,
    again: Measured | None,
    near: tuple[Observation, ...],
    distances_m: Sequence[float],
) -> Reassembly:
    """What has moved since it was recorded, what that costs, and what the near group says."""
    of = _bow(answer, recorded)
    deviations = () if again is None else compared(of.bow, recorded, again)
    told = named_from(of.bow, recorded) if again is None else deviations
    at_risk = tuple(
        AtRisk(one, risk_of(found, of, distances_m) if (found := pushes(one, of)) else None)
        for one in told
        if one.is_moved or again is None
    )
    every = [push for one in deviations if one.is_moved for push in pushes(one, of)]
    together = risk_of(every, of, distances_m) if every else None
    return Reassembly(answer, recorded, deviations, at_risk, together,
                      _near(answer, of, near, deviations))  # fmt: skip


def _bow(answer: Answer, recorded: Measured) -> SetUpBow:
    posterior = answer.posterior
    unknowns = posterior.calibration.evidence.prior.unknowns
    middle = np.median(posterior.vectors, axis=0)
    return SetUpBow(answer.rig.bow, unknowns, middle, recorded)


def _near(
    before: Answer,
    of: SetUpBow,
    near: tuple[Observation, ...],
    deviations: tuple[Deviation, ...],
) -> Near:
    near, _ = of_point(near, before.rig.arrow.point)
    had = before.ladder
    ladder = Ladder(0.0, max(had.hit_m, had.before_m))
    if not before.is_earned:
        return Near("unknown", ladder.farthest_m)
    if not near:
        return Near("shoot", ladder.farthest_m)
    refuse_twice(near, before.observations)
    now = carried_answer(before, before.rig, near, before.trust.grid_m, before.trust.seed)
    if now.ladder.misses:
        return Near("missed", now.ladder.farthest_m, near[-1])
    odd = [one.name for one in now.groups if one.is_odd]
    if not odd and not now.ladder.hit_m:
        return Near("shoot", now.ladder.farthest_m, near[-1])
    misses = [_missed_by(before, one, now.ladder.farthest_m) for one in near if one.group.counted]
    limit = NormalDist().inv_cdf(1.0 - 0.5 * SIDE_CHANCE / len(misses))
    beside = [one for one in misses if abs(one.right_m) > limit * one.right_sd_m]
    wrong = [one for one in misses if one.group and one.group.group.name in odd]
    if not (wrong or beside):
        return replace(misses[-1], verdict="as before")
    found = (wrong or beside)[0]
    return replace(found, would=_would(found, of, deviations))


def _missed_by(before: Answer, group: Observation, from_m: float) -> Near:
    """Where a group lies from where it was foretold, the windage as it was left."""
    misses = misses_of(before.posterior, (group,), (NEAR_M, 2.0 * NEAR_M))
    up_m, right_m = (misses.miss_rad * group.distance_m).tolist()
    up_sd_m, right_sd_m = (np.sqrt(np.diag(misses.covariance)) * group.distance_m).tolist()
    seen_up, seen_right = misses.measured.reshape(-1).tolist()
    sideways = seen_right and (not seen_up or abs(right_m) / right_sd_m > abs(up_m) / up_sd_m)
    return Near("moved", from_m, group, up_m, right_m, up_sd_m, right_sd_m, sideways)


def _would(found: Near, of: SetUpBow, deviations: tuple[Deviation, ...]) -> tuple[Would, ...]:
    """What on the list would explain a near group: what is moved already first, then the nearest.

    In its own errors: what is hard to set again is likelier than what is easily set.
    """
    assert found.group is not None
    moved = {one.name for one in deviations if one.is_moved}
    ranked = []
    for one in named_from(of.bow, of.measured):
        some = pushes(one, of)
        if not some or not one.sd:
            continue
        risk = risk_of(some, of, [found.group.distance_m])
        up_m, up_sd_m, side_m = (float(one[0]) for one in (risk.up_m, risk.up_sd_m, risk.side_m))
        sure_m, either_m = (0.0, side_m) if found.is_sideways else (up_m, up_sd_m)
        large_m = hypot(sure_m, either_m)
        miss_m = found.right_m if found.is_sideways else found.up_m
        if not large_m or abs(miss_m) / large_m * one.errors > MOST_ERRORS:
            continue
        is_signed = abs(sure_m) > either_m
        by = one.by * (miss_m / sure_m if is_signed else abs(miss_m) / large_m)
        ranked.append((one.name not in moved, abs(by) / one.sd, Would(one.name, by, is_signed)))
    return tuple(would for _, _, would in sorted(ranked, key=lambda row: row[:2]))
