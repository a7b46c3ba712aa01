"""Advise: say what to shoot next, and why, or why nothing may be shot.

Holds:  the PlanOrder, Hindrance and Plan records; the errand from a calibration to a session's
        plan; how far a tape goes, and what is wanted when nobody says.
Never:  formulas, sentences.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from tapewright.confidence.advice import (
    ARROWS,
    MOST_GROUPS,
    RUNG,
    FirstShot,
    Prospect,
    Step,
    Wish,
    candidates,
    first_shot,
    half_band,
    near_group,
    plan_session,
    prospect,
    walk_back,
)
from tapewright.confidence.bands import (
    NEAREST_TRUSTED_M,
    drawn_marks,
    spread_of_marks,
    within_reach,
)
from tapewright.confidence.ladder import (
    FIRST_M,
    GROWTH,
    MOST_MISSES,
    NEAREST_M,
    SAFE_ON_BUTT,
    Ladder,
    earned_trust,
    farthest_hit,
    open_shots,
)
from tapewright.confidence.landing import Butt, landings
from tapewright.confidence.outlook import outlook
from tapewright.confidence.turning import dialled_off, turned, with_windage_turned
from tapewright.ground.units import YARD_M
from tapewright.services.calibrate import Answer
from tapewright.services.limits import reachable
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
    "Next",
    "Plan",
    "PlanOrder",
    "Step",
    "Wish",
    "next_groups",
    "plan_shots",
    "safe_without",
    "tape_end",
    "usual_places",
    "usual_wish",
]

Floats = NDArray[np.float64]

WANTED_STEP_M = 5.0 * YARD_M  # between the marks that a plan watches
CLOSE_M = 1e-6  # one distance and the same
EACH_TO = 30  # farther out nobody looks for a place that is no whole five, yd or m
TAPE_ENDS = (60, 120)  # of a tape that nobody asked to be longer or shorter, yd or m


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


def tape_end(answer: Answer, unit_m: float) -> int:
    """Last tick of a tape that nobody asked to be longer or shorter."""
    carried = round(max(answer.once_zeroed_m) / unit_m, 6)
    least, most = TAPE_ENDS
    return round(min(max(-(-carried // 10) * 10 + 10, least), most))


def usual_places(wanted_m: float, unit_m: float) -> tuple[float, ...]:
    """Where groups may be shot when nobody says: each yard or metre near by, then each five."""
    each = {*range(1, EACH_TO + 1), *range(EACH_TO, round(wanted_m / unit_m) + 1, 5)}
    nearer = (step * unit_m for step in sorted(each))
    between = [one for one in nearer if NEAREST_M < one < wanted_m - CLOSE_M]
    return (NEAREST_M, *between, wanted_m)


def usual_wish(answer: Answer, unit_m: float) -> float:
    """What is wanted when nobody says: the farthest ten of the tape that is not yet trusted."""
    tens_m = np.asarray(np.arange(10, tape_end(answer, unit_m) + 1, 10) * unit_m, np.float64)
    tens_m = within_reach(answer.posterior, tens_m)
    tens_m = tens_m[reachable(answer, tens_m)] if len(tens_m) else tens_m
    return float(tens_m[-1]) if len(tens_m) else 10 * unit_m


def _grid(farthest_m: float, step_m: float) -> Floats:
    """Distances up to the farthest, itself the last, about so far apart."""
    near_m = min(NEAREST_TRUSTED_M, farthest_m)
    steps = max(1, round((farthest_m - near_m) / step_m))
    return np.unique(np.linspace(near_m, farthest_m, steps + 1))


@dataclass(frozen=True)
class Next:
    """The groups to shoot next, and from what they were chosen."""

    steps: tuple[Step, ...]  # in order; none when no shot is open
    now: Prospect  # as things stand, with what is dialled for the first
    then: Prospect  # to be expected after the last
    share: float = 1.0  # of the correction since the last hit, dialled for the first
    short_m: float = 0.0  # by how much it is left off the likeliest mark, as the numbers run
    windage_rad: float = 0.0  # to the right of the aim: turn the windage by so much before it

    @property
    def is_one_alone(self) -> bool:
        """Whether one group must show how things stand before more is planned."""
        return bool(self.steps) and (
            self.share < 1.0 or self.windage_rad != 0.0 or self.now.ladder.misses > 0
        )


def next_groups(
    answer: Answer, whole: Prospect, wish: Wish, most_arrows: int, own: NDArray[np.bool_]
) -> Next:
    """Groups in an order in which each is open; one alone where only part may be dialled."""
    if answer.slips:
        return Next((), whole, whole)
    off_m = dialled_off(answer.posterior, answer.observations, answer.groups)
    now, share = turned(answer.posterior, whole, wish.butt, off_m)
    if answer.ladder.misses >= MOST_MISSES:
        return Next((), now, now)
    if share < 1.0 or answer.ladder.misses:
        return Next(near_group(now, wish, own), now, now, share, (1.0 - share) * off_m)
    climbs = now.ladder.carries_m < now.seen.wanted_m[-1] - CLOSE_M
    turned_to = with_windage_turned(now, wish.butt) if climbs else None
    steps = () if turned_to is None else near_group(turned_to, wish, own)
    if turned_to is not None and steps:
        shot = now.seen.shot_m == steps[0].distance_m
        right_rad = float(np.median(now.cloud.right_rad[:, shot]))
        return Next(steps, turned_to, turned_to, windage_rad=right_rad)
    steps, then = plan_session(now, wish, most_arrows, 1, own)
    return Next(steps, now, then)


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
        None if is_closed and not len(every) else _hindrance(answer, order, following.then, steps)
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


def safe_without(answer: Answer, shot_m: Floats, butt: Butt) -> NDArray[np.bool_]:
    """Where an arrow stays on the butt though a group that does not fit may be wrong, too."""
    safe = np.ones(len(shot_m), np.bool_)
    if not len(shot_m):
        return safe
    told_m = np.median(drawn_marks(answer.posterior, shot_m), axis=0)
    for left in answer.doubt.without:
        short_m = told_m - np.median(drawn_marks(left.posterior, shot_m), axis=0)
        cloud = landings(left.posterior, shot_m, short_m)
        safe &= [cloud.chance(shot, butt) >= SAFE_ON_BUTT for shot in range(len(shot_m))]
    return safe


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
    counted = within_reach(answer.posterior, grid[grid >= NEAREST_TRUSTED_M - CLOSE_M])
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


def _hindrance(
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
