"""Refit many: calibrate one rig of many, and say in a word what it should shoot next.

Holds:  the RefitOrder, NextGroup and Refit records; the errand for one rig.
Never:  who does it and when (share_work.py), files, formulas, sentences.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from tapewright.confidence.advice import Wish, prospect
from tapewright.confidence.landing import Butt
from tapewright.ground.errors import LaunchUnreachable
from tapewright.ground.units import UNITS
from tapewright.services.calibrate import Answer
from tapewright.services.calibrate_kept import Setup, calibrate_setups
from tapewright.services.limits import reachable
from tapewright.services.next_groups import next_groups, safe_without
from tapewright.services.usual_wish import usual_places

__all__ = ["NextGroup", "Refit", "RefitOrder", "Setup", "refit"]

Floats = NDArray[np.float64]

EACH = 5  # yards or metres between the marks of a record
NEAREST = 10
FARTHEST = {"yd": (120, 80, 50, 30), "m": (110, 70, 50, 30)}  # a slow arrow takes the next
FARTHEST_TRUSTED = {"yd": 125, "m": 115}
BUTT = {"yd": Butt(0.9144, 0.9144), "m": Butt(0.9, 0.9)}
WATCHED_EACH = 5  # yards or metres
MOST_ARROWS = 6  # of a next group
CLOSE_M = 1e-6


@dataclass(frozen=True, slots=True)
class RefitOrder:
    """What is wanted of every rig alike."""

    unit: Literal["yd", "m"]  # ``"yd"`` or ``"m"``
    wanted_m: float  # how far tapes are to be trusted; tells what to shoot next
    seed: int = 1  # of the draws
    probability: float = 0.9  # chance with which a band holds the truth


@dataclass(frozen=True, slots=True)
class NextGroup:
    """What to shoot next, if anything."""

    # ``"trusted"`` as far as wanted, ``"shoot"``, ``"no safe group"`` on the usual butt, ``"out of
    # reach"``; ``"stop"``: must not be shot; ``"questions"``: cannot be judged yet; ``"slip"``:
    # something written down wrongly comes first
    kind: Literal["trusted", "shoot", "no safe group", "out of reach", "stop", "questions", "slip"]
    distance_m: float = 0.0  # of the group to shoot
    arrows: int = 0  # how many


@dataclass(frozen=True)
class Refit:
    """One rig, refitted."""

    answer: Answer  # the calibration
    following: NextGroup  # what to shoot next


def refit(setups: Sequence[Setup], order: RefitOrder) -> Refit:
    """Calibrate a rig and look for its next group."""
    answer = _answer(setups, order)
    return Refit(answer, _following(answer, order))


def _answer(setups: Sequence[Setup], order: RefitOrder) -> Answer:
    unit_m = UNITS[order.unit].factor
    grid_m = [step * unit_m for step in range(9, FARTHEST_TRUSTED[order.unit] + 1)]
    *others, last = FARTHEST[order.unit]
    for farthest in (*others, last):
        at_m = [step * unit_m for step in range(NEAREST, farthest + 1, EACH)]
        try:
            return calibrate_setups(setups, at_m, grid_m, order.seed, order.probability)
        except LaunchUnreachable:
            if farthest == last:
                raise
    raise AssertionError("the last distance answers or raises")


def _following(answer: Answer, order: RefitOrder) -> NextGroup:
    """The group that narrows the worst mark most for its arrows, up to the wanted distance."""
    if answer.stops:
        return NextGroup("stop")
    if answer.questions:
        return NextGroup("questions")
    if answer.slips:
        return NextGroup("slip")
    wanted_m = order.wanted_m
    if answer.observations and answer.trusted_m[0] >= wanted_m - CLOSE_M:
        return NextGroup("trusted")
    shots = np.array(usual_places(wanted_m, UNITS[order.unit].factor))
    try:
        shots = shots[reachable(answer, shots)]
        if not len(shots):
            return NextGroup("out of reach")
        shots = shots[safe_without(answer, shots, BUTT[order.unit])]
        if not len(shots):
            return NextGroup("no safe group")
        watched = _steps(wanted_m, WATCHED_EACH, order.unit)
        now = prospect(answer.posterior, shots, watched, answer.ladder)
    except LaunchUnreachable:
        return NextGroup("out of reach")
    wish = Wish(answer.rig.archer.tolerance_m, BUTT[order.unit], order.probability)
    own = np.ones(len(shots), np.bool_)
    steps = next_groups(answer, now, wish, MOST_ARROWS, own).steps
    if not steps:
        return NextGroup("no safe group")
    return NextGroup("shoot", steps[0].distance_m, steps[0].arrows)


def _steps(farthest_m: float, each: int, unit: str) -> Floats:
    """Distances up to the farthest, itself the last. [m]"""
    unit_m = UNITS[unit].factor
    nearer = np.arange(NEAREST, farthest_m / unit_m - CLOSE_M, each) * unit_m
    return np.append(nearer, farthest_m)
