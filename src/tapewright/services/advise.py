"""Advise: say what to shoot next, and why.

Holds:  the PlanOrder and Plan records; the errand from a calibration to a session's plan.
Never:  formulas, sentences.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapewright.confidence.advice import (
    ARROWS,
    SAFE_ON_BUTT,
    FirstShot,
    Step,
    Wish,
    candidates,
    first_shot,
    half_band,
    plan_session,
    walk_back,
)
from tapewright.confidence.bands import NEAREST_TRUSTED_M, drawn_marks, trusted_distance
from tapewright.confidence.outlook import Butt, outlook
from tapewright.ground.units import YARD_M
from tapewright.services.calibrate import Answer
from tapewright.services.limits import reachable

__all__ = [
    "ARROWS",
    "NEAREST_TRUSTED_M",
    "SAFE_ON_BUTT",
    "Butt",
    "FirstShot",
    "Plan",
    "PlanOrder",
    "Step",
    "Wish",
    "plan_shots",
]

Floats = NDArray[np.float64]

WANTED_STEP_M = 5.0 * YARD_M  # between the marks that a plan watches
CLOSE_M = 1e-6  # one distance and the same


@dataclass(frozen=True, slots=True)
class PlanOrder:
    """What the archer wants of a session.

    Parameters
    ----------
    wanted_m : float
        How far the tape is to be trusted. [m]
    wish : Wish
        Tolerance, butt and trust.
    most_arrows : int
        Arrows before fatigue. [-]
    distances_m : tuple of float
        Where groups may be shot, growing, none past the wanted distance. [m]
    """

    wanted_m: float
    wish: Wish
    most_arrows: int
    distances_m: tuple[float, ...]


@dataclass(frozen=True)
class Plan:
    """What to shoot, and what it will buy.

    Parameters
    ----------
    answer : Answer
        The calibration it is made from.
    order : PlanOrder
        What was wanted.
    trusted_m : float
        Trusted distance now, looked for no farther than wanted; 0 for none. [m]
    band_m : float
        Half of the band at the wanted distance now, as impact. [m]
    candidates : tuple of Step
        What one group would buy, by distance, then arrows; unsafe ones included.
    steps : tuple of Step
        Groups to shoot, in order; empty when the wanted distance is trusted.
    readings_m : tuple of float
        What to dial for each of them, as known now. [m]
    first : FirstShot or None
        The first arrow at the wanted distance; None when the sight does not reach it.
    chain : tuple of Step
        Distances to walk back through to it, itself the last; short of it when it stays unsafe.
    barred_m : tuple of float
        Distances asked for that the sight does not surely reach. [m]
    """

    answer: Answer
    order: PlanOrder
    trusted_m: float
    band_m: float
    candidates: tuple[Step, ...]
    steps: tuple[Step, ...]
    readings_m: tuple[float, ...]
    first: FirstShot | None
    chain: tuple[Step, ...]
    barred_m: tuple[float, ...]

    @property
    def is_trusted(self) -> bool:
        """Whether the wanted distance is trusted already."""
        return self.trusted_m >= self.order.wanted_m - CLOSE_M

    @property
    def gets_there(self) -> bool:
        """Whether the plan ends with the wanted distance trusted."""
        last_m = self.steps[-1].trusted_m if self.steps else self.trusted_m
        return last_m >= self.order.wanted_m - CLOSE_M

    @property
    def chain_gets_there(self) -> bool:
        """Whether the first arrow at the wanted distance becomes safe."""
        return bool(self.chain) and self.chain[-1].distance_m >= self.order.wanted_m - CLOSE_M


def _grid(farthest_m: float, step_m: float) -> Floats:
    """Distances up to the farthest, itself the last, about so far apart."""
    near_m = min(NEAREST_TRUSTED_M, farthest_m)
    steps = max(1, round((farthest_m - near_m) / step_m))
    return np.unique(np.linspace(near_m, farthest_m, steps + 1))


def plan_shots(answer: Answer, order: PlanOrder) -> Plan:
    """A session's plan.

    Parameters
    ----------
    answer : Answer
        A calibration; with no arrows the plan covers the whole session.
    order : PlanOrder
        What is wanted.

    Returns
    -------
    Plan
        Only distances that the first pin surely reaches within all limits are planned.

    Raises
    ------
    LaunchUnreachable
        If an arrow cannot reach a distance asked for.
    """
    posterior, wish = answer.posterior, order.wish
    asked = np.array(order.distances_m)
    is_open = reachable(answer, asked)
    places = asked[is_open] if is_open.any() else np.array([order.wanted_m])
    seen = outlook(posterior, places, _grid(order.wanted_m, WANTED_STEP_M))
    trusted_m = _trusted_now(answer, order)
    steps: tuple[Step, ...] = ()
    if is_open.any() and trusted_m < order.wanted_m - CLOSE_M:
        steps = plan_session(seen, wish, order.most_arrows, least_groups=1)
    ahead = [step.distance_m for step in steps]
    marks = np.median(drawn_marks(posterior, ahead), axis=0) if ahead else ()
    first, chain = _far_shot(answer, order, asked[is_open])
    return Plan(
        answer=answer,
        order=order,
        trusted_m=trusted_m,
        band_m=half_band(seen, wish),
        candidates=candidates(seen, wish) if is_open.any() else (),
        steps=steps,
        readings_m=tuple(float(one) for one in marks),
        first=first,
        chain=chain,
        barred_m=tuple(float(one) for one in asked[~is_open]),
    )


def _trusted_now(answer: Answer, order: PlanOrder) -> float:
    """Trusted distance before the next arrow; none as long as nothing was zeroed."""
    if not answer.observations:
        return 0.0
    grid, wish = _grid(order.wanted_m, YARD_M), order.wish
    return trusted_distance(answer.posterior, wish.tolerance_m, grid, wish.probability)


def _far_shot(
    answer: Answer, order: PlanOrder, places: Floats
) -> tuple[FirstShot | None, tuple[Step, ...]]:
    """The first arrow at the wanted distance, and the way back to it."""
    if not reachable(answer, [order.wanted_m])[0]:
        return None, ()
    wish = order.wish
    nearer = places[places < order.wanted_m - CLOSE_M]
    chain = walk_back(answer.posterior, [*nearer, order.wanted_m], wish)
    return first_shot(answer.posterior, order.wanted_m, wish.butt), chain
