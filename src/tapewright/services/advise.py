"""Advise: say what to shoot next, and why, or why nothing may be shot.

Holds:  the PlanOrder, Hindrance and Plan records; the errand from a calibration to a session's
        plan.
Never:  formulas, sentences.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tapewright.confidence.advice import (
    ARROWS,
    FirstShot,
    Prospect,
    Step,
    Wish,
    candidates,
    first_shot,
    half_band,
    prospect,
    walk_back,
)
from tapewright.confidence.bands import (
    NEAREST_TRUSTED_M,
    drawn_marks,
    spread_of_marks,
    within_trust,
)
from tapewright.confidence.ladder import (
    CLOSE_M,
    FIRST_M,
    GROWTH,
    NEAREST_M,
    SAFE_ON_BUTT,
    Ladder,
    earned_trust,
    farthest_hit,
)
from tapewright.confidence.landing import Butt
from tapewright.confidence.outlook import outlook
from tapewright.ground.units import YARD_M
from tapewright.services.calibrate import Answer
from tapewright.services.hindrance import Hindrance, PlanOrder, hindrance_of
from tapewright.services.limits import reachable
from tapewright.services.next_groups import next_groups, safe_without
from tapewright.services.stops import refuse_stopped
from tapewright.target.correction import whole_clicks

__all__ = [
    "ARROWS",
    "FIRST_M",
    "GROWTH",
    "NEAREST_M",
    "NEAREST_TRUSTED_M",
    "SAFE_ON_BUTT",
    "Butt",
    "FirstShot",
    "Hindrance",
    "Ladder",
    "Plan",
    "PlanOrder",
    "Step",
    "Wish",
    "plan_shots",
    "planned",
]

Floats = NDArray[np.float64]

WANTED_STEP_M = 5.0 * YARD_M  # between the marks that a plan watches


@dataclass(frozen=True)
class Plan:
    """What to shoot, and what it will buy."""

    answer: Answer  # the calibration it is made from
    order: PlanOrder  # what was wanted
    trusted_m: float  # trusted distance now, looked for no farther than wanted; 0 for none
    band_m: float  # half of the band at the wanted distance now, as impact
    # What one group would buy, by distance, then arrows; those that may not be shot included
    candidates: tuple[Step, ...]
    steps: tuple[Step, ...]  # groups to shoot, in order; empty when the wanted distance is trusted
    readings_m: tuple[float, ...]  # what to dial for each of them, as known now
    half_bands_m: tuple[float, ...]  # and half of their bands
    # The first arrow at the wanted distance; None when the sight does not reach it
    first: FirstShot | None
    # Distances to walk back through to it, itself the last; short of it when it stays closed
    chain: tuple[Step, ...]
    barred_m: tuple[float, ...]  # distances asked for that the sight does not surely reach
    # Between which heights, up of the aim, 98 % of the first arrows of the first group land; 0 and
    # 0 without a group
    lands_m: tuple[float, float] = (0.0, 0.0)
    # Why the plan ends short of the wish, or is empty; None when it does not
    hindrance: Hindrance | None = None
    # When all is trusted: the group that would tell most about what could be wrong
    spare: Step | None = None
    # By which angle arrows land to the right of the aim: the windage is turned by so much before
    # the first group, since a farther one would miss the butt; 0 where it need not be
    windage_rad: float = 0.0
    # Of the correction since the last hit, the share dialled for the first group; less than 1 when
    # the whole might send it past the butt
    share: float = 1.0

    @property
    def ladder(self) -> Ladder:
        """What has been hit, and how far the next arrow may be shot."""
        return self.answer.ladder

    @property
    def is_set_by_eye(self) -> bool:
        """Whether no reading is known yet."""
        return self.answer.posterior.is_set_by_eye

    @property
    def is_trusted(self) -> bool:
        """Whether the wanted distance is trusted already, in such air as today's."""
        return _is_done(self.answer, self.order, self.trusted_m)

    @property
    def gets_there(self) -> bool:
        """Whether the plan ends with the wanted distance trusted."""
        if not self.steps:
            return self.is_trusted
        return self.steps[-1].trusted_m >= self.order.wanted_m - CLOSE_M

    @property
    def chain_gets_there(self) -> bool:
        """Whether the first arrow at the wanted distance becomes safe."""
        return bool(self.chain) and self.chain[-1].distance_m >= self.order.wanted_m - CLOSE_M

    @property
    def pin_right_m(self) -> float:
        """How far the pin is to go to the right before the first group: it follows the arrows."""
        unknowns = self.answer.posterior.calibration.evidence.prior.unknowns
        return self.windage_rad * unknowns.sight_radius_m

    @property
    def right_clicks(self) -> int | None:
        """The same in whole clicks; None where the sheet tells none."""
        click_m = self.answer.rig.sight.windage_click_m
        return None if click_m is None else whole_clicks(self.pin_right_m, click_m)

    def is_walk(self, step: Step) -> bool:
        """Whether a step stands where the archer said no place is."""
        places = np.asarray(self.order.distances_m)
        return not bool(np.any(np.abs(places - step.distance_m) <= CLOSE_M))


def _grid(farthest_m: float, step_m: float) -> Floats:
    """Distances up to the farthest, itself the last, about so far apart."""
    near_m = min(NEAREST_TRUSTED_M, farthest_m)
    steps = max(1, round((farthest_m - near_m) / step_m))
    return np.unique(np.linspace(near_m, farthest_m, steps + 1))


def plan_shots(answer: Answer, order: PlanOrder) -> Plan:
    """A session's plan."""
    refuse_stopped(answer.rig)
    posterior, wish = answer.posterior, order.wish
    asked, told = np.array(order.distances_m), np.array(order.shown_m or order.distances_m)
    barred = told[~reachable(answer, told)]
    every = np.unique(np.concatenate([asked, order.walks_m]))
    every = every[reachable(answer, every)]
    trusted_m = _trusted_now(answer, order)
    if answer.slips:
        return _withheld(answer, order, trusted_m, barred)
    places, every = every, every[safe_without(answer, every, wish.butt)]
    is_trusted = _is_done(answer, order, trusted_m)
    watched = _grid(order.wanted_m, WANTED_STEP_M)
    whole = prospect(posterior, every if len(every) else watched[-1:], watched, answer.ladder)
    own = np.isin(whole.seen.shot_m, asked) & bool(len(every))
    following = next_groups(answer, whole, wish, order.most_arrows, own)
    now, steps = following.now, following.steps if len(every) else ()
    ahead = [] if is_trusted else [step.distance_m for step in steps]
    drawn_m = drawn_marks(posterior, ahead) if ahead else np.empty((1, 0))
    drawn_m = drawn_m + following.short_m
    low_m, high_m = np.quantile(drawn_m, 0.5 + np.array([-0.5, 0.5]) * wish.probability, axis=0)
    first, chain = _far_shot(answer, order, whole)
    is_closed = len(every) < len(places) and not steps  # by a group that may be wrong
    hindrance = (
        None if is_closed and not len(every) else hindrance_of(answer, order, following.then, steps)
    )
    if hindrance is None and is_closed:
        hindrance = Hindrance("doubt")
    return Plan(
        answer=answer,
        order=order,
        trusted_m=trusted_m,
        band_m=half_band(now.seen, wish),
        candidates=candidates(now, wish, own & np.isin(now.seen.shot_m, told)),
        steps=() if is_trusted else steps,
        readings_m=tuple(np.median(drawn_m, axis=0).tolist()),
        half_bands_m=tuple((0.5 * (high_m - low_m)).tolist()),
        first=first,
        chain=chain,
        barred_m=tuple(barred.tolist()),
        lands_m=_landing(now, steps),
        hindrance=None if is_trusted or following.is_one_alone else hindrance,
        spare=steps[0] if is_trusted and steps else None,
        share=following.share,
        windage_rad=following.windage_rad if steps and not is_trusted else 0.0,
    )


planned = lru_cache(16)(plan_shots)  # what is next, the plan and a page of shooting ask alike


def _withheld(answer: Answer, order: PlanOrder, trusted_m: float, barred: Floats) -> Plan:
    """No shot and no reading: something that is written down wrongly is to be settled first."""
    watched = outlook(answer.posterior, [order.wanted_m], _grid(order.wanted_m, WANTED_STEP_M))
    return Plan(
        answer,
        order,
        trusted_m,
        half_band(watched, order.wish),
        candidates=(),
        steps=(),
        readings_m=(),
        half_bands_m=(),
        first=None,
        chain=(),
        barred_m=tuple(barred.tolist()),
        hindrance=Hindrance("slip"),
    )


def _is_done(answer: Answer, order: PlanOrder, trusted_m: float) -> bool:
    """Whether trust reaches, and no near arrow must show first that it holds in other air."""
    is_other_air = any(caution.kind == "other air" for caution in answer.cautions)
    is_open = is_other_air and answer.ladder.needs_near_arrow
    return trusted_m >= order.wanted_m - CLOSE_M and not is_open


def _landing(now: Prospect, steps: tuple[Step, ...]) -> tuple[float, float]:
    """Between which heights the first arrow of a plan lands, nearly always. [m]"""
    if not steps:
        return 0.0, 0.0
    shot = int(np.argmin(np.abs(now.seen.shot_m - steps[0].distance_m)))
    return now.cloud.below(shot, 0.01), now.cloud.below(shot, 0.99)


def _trusted_now(answer: Answer, order: PlanOrder) -> float:
    """Trusted distance before the next arrow, with the tolerance and trust of the wish."""
    hit_m = farthest_hit(answer.observations, answer.groups)
    near_m, wish = answer.trust.grid_m, order.wish
    grid = np.union1d(near_m[near_m < order.wanted_m - CLOSE_M], [order.wanted_m])
    counted = within_trust(answer.posterior, grid)
    if not hit_m or not len(counted):
        return 0.0
    told = spread_of_marks(answer.posterior, counted, wish.probability)
    carries_m = answer.trust.carries_m(told, wish.tolerance_m)
    return earned_trust(carries_m, hit_m, answer.ladder, grid)


def _far_shot(
    answer: Answer, order: PlanOrder, now: Prospect
) -> tuple[FirstShot | None, tuple[Step, ...]]:
    """The first arrow at the wanted distance, and the way back to it."""
    if not reachable(answer, [order.wanted_m])[0]:
        return None, ()
    places = now.seen.shot_m
    if abs(places[-1] - order.wanted_m) > CLOSE_M:
        shots = [*places[places < order.wanted_m - CLOSE_M], order.wanted_m]
        now = prospect(answer.posterior, shots, now.seen.wanted_m, answer.ladder)
    first = first_shot(answer.posterior, order.wanted_m, order.wish.butt, answer.ladder)
    return first, walk_back(now, order.wish)
