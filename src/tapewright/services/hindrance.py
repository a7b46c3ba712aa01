"""Hindrance: what stands in the way of a plan that ends short of its wish.

Holds:  the PlanOrder and Hindrance records; what would do in its place.
Never:  the plan itself (advise.py), formulas, sentences.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from tapewright.confidence.advice import MOST_GROUPS, RUNG, Prospect, Step, Wish
from tapewright.confidence.ladder import (
    CLOSE_M,
    MOST_MISSES,
    NEAREST_M,
    SAFE_ON_BUTT,
    Ladder,
    open_shots,
)
from tapewright.confidence.landing import Butt, landings
from tapewright.services.calibrate import Answer
from tapewright.services.limits import reachable


@dataclass(frozen=True, slots=True)
class PlanOrder:
    """What the archer wants of a session."""

    wanted_m: float  # how far the tape is to be trusted
    wish: Wish  # tolerance, butt and trust
    most_arrows: int  # arrows before fatigue
    # Where groups may be shot, growing, none past the wanted distance
    distances_m: tuple[float, ...]
    # Distances between and before them to which one may walk where a rung is missing; empty where
    # that is forbidden
    walks_m: tuple[float, ...] = ()
    # Of the places, those of which it is told what a group there would buy
    shown_m: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Hindrance:
    """What stands in the way of a next step, and what would do."""

    # ``"place"``: no distance near enough; ``"butt"``: too small; ``"reach"``: the sight stops
    # before; ``"misses"``: group after group went past the butt; ``"slip"``: something written
    # down wrongly is to be settled first; ``"doubt"``: with a group or without it, no arrow is
    # sure to stay on the butt
    kind: Literal["place", "butt", "reach", "misses", "slip", "doubt"]
    # The distance that would do (place), or that a larger butt would open (butt); else 0
    distance_m: float = 0.0
    width_m: float = 0.0  # of the butt that would do there
    height_m: float = 0.0


def hindrance_of(
    answer: Answer, order: PlanOrder, then: Prospect, steps: tuple[Step, ...]
) -> Hindrance | None:
    """Why a plan ends short of its wish, if arrows are not all that is missing."""
    if not reachable(answer, [order.wanted_m])[0]:
        return Hindrance("reach")
    if answer.ladder.misses >= MOST_MISSES:
        return Hindrance("misses")
    if sum(step.arrows for step in steps) + RUNG > order.most_arrows or len(steps) == MOST_GROUPS:
        return None
    if steps and steps[-1].trusted_m >= order.wanted_m - CLOSE_M:
        return None
    places, ladder = then.seen.shot_m, then.ladder
    climbs = np.flatnonzero((places > ladder.hit_m + CLOSE_M) & (places >= NEAREST_M - CLOSE_M))
    within = climbs[places[climbs] <= ladder.farthest_m + CLOSE_M]
    if not len(within):
        if not len(climbs):
            return None
        return Hindrance("place", _nearest_open(answer, order.wish.butt, ladder))
    shot, share = int(within[0]), SAFE_ON_BUTT**0.5
    width_m, height_m = then.cloud.butt_width_m(shot, share), then.cloud.butt_height_m(shot, share)
    return Hindrance("butt", float(places[shot]), width_m, height_m)


def _nearest_open(answer: Answer, butt: Butt, ladder: Ladder) -> float:
    """Farthest distance that would do as the next rung; 0 for none. [m]"""
    if ladder != answer.ladder:  # later in the plan: the step is what is short
        return ladder.farthest_m
    tries = np.arange(NEAREST_M, ladder.farthest_m + CLOSE_M, 0.25)
    tries = tries[reachable(answer, tries)]
    if not len(tries):
        return 0.0
    would = tries[open_shots(landings(answer.posterior, tries), ladder, butt)]
    return float(would[-1]) if len(would) else 0.0
