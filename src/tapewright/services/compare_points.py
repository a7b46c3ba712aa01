"""Compare points: whether broadheads may be shot with the marks of field points.

Holds:  the Compared record; the errand from both to a verdict, to marks, to how far broadheads are
        trusted, and to the group that tells more.
Never:  formulas (confidence/broadheads.py), what to look at in words.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.calibration.observation import Observation
from tapewright.calibration.prior import prior_from_rig
from tapewright.calibration.rig import Rig
from tapewright.confidence.bands import Bands, bands
from tapewright.confidence.broadheads import (
    Landed,
    Paired,
    arrows_to_tell,
    is_steered,
    landed,
    paired,
    side_by_side,
)
from tapewright.confidence.checks import GroupCheck
from tapewright.confidence.ladder import CLOSE_M, Ladder, is_far_air, ladder_of, open_shots
from tapewright.confidence.landing import Butt, landings
from tapewright.confidence.limits import reading_limits
from tapewright.field.change import carried_draws
from tapewright.ground.errors import BadInput
from tapewright.services.calibrate import Answer
from tapewright.services.meet_weather import shot_temperatures
from tapewright.services.record_groups import refuse_twice
from tapewright.services.stops import refuse_stopped
from tapewright.services.usual_wish import usual_places

__all__ = ["Bands", "Butt", "Compared", "GroupCheck", "Lies", "NextGroup", "compare_points"]

Floats = NDArray[np.float64]
Verdict = Literal["same", "own", "tune", "more"]

ARROWS, MOST_ARROWS = 4, 60  # broadheads of a group, of all groups still to be shot
# Squared errors from which on a steering is there: of bows that steer none, one in 250 is beyond
STEERED = 11.0
SERVES = 0.9  # chance that marks serve, and as far as broadheads are trusted
SIDEWAYS = 0.5  # chance of a miss to the side from which on the bow is to be tuned first


@dataclass(frozen=True, slots=True)
class NextGroup:
    """What to shoot next: as many broadheads as field points, side by side."""

    distance_m: float
    reading_m: float  # mark of field points
    half_m: float  # half of its band
    broadheads: int  # none where field points alone are still to be shot beside the last of them
    field_points: int


@dataclass(frozen=True, slots=True)
class Lies:
    """Where broadheads land, at some distances: medians and halves of bands of 90 %."""

    up_m: Floats  # from the aim
    right_m: Floats  # from field points
    up_half_m: Floats
    right_half_m: Floats


@dataclass(frozen=True)
class Compared:
    """Broadheads beside field points."""

    answer: Answer  # the calibration with field points
    wanted_m: float  # how far broadheads are wanted
    verdict: Verdict
    checks: tuple[GroupCheck, ...]  # the broadhead groups, in the order shot
    ladder: Ladder  # what broadheads have hit
    trusted_m: float  # how far broadheads are trusted with the marks that the verdict names; 0: not
    field: Bands  # marks of field points where they are asked for
    own: Bands  # and of broadheads
    there: Lies  # where broadheads land there with marks of field points
    at_wanted: Lies  # and at the one distance up to which they are wanted
    alone: tuple[str, ...]  # broadhead groups without field points shot beside them
    elsewhere: tuple[str, ...]  # and those shot far colder or warmer, which tell nothing here
    next: NextGroup | None  # None: nothing more is to be shot now
    more: int | None  # broadheads that would likely tell; None: more than anybody shoots
    asks_blades: bool  # whether the blades must be measured before the next broadhead

    @property
    def is_new(self) -> bool:
        """Whether no broadhead was seen to hit yet."""
        return not self.checks

    @property
    def odd(self) -> tuple[GroupCheck, ...]:
        """Broadhead groups that do not fit the others."""
        return tuple(one for one in self.checks if one.is_odd)


def compare_points(
    answer: Answer,
    distance_m: ArrayLike,
    wanted_m: float,
    butt: Butt,
    unit_m: float,
    blades_m: float | None = None,
    seed: int = 1,
) -> Compared:
    """A verdict on broadheads.

    BadInput where field points are not trusted anywhere yet, or the sheet is that of a broadhead.
    """
    refuse_stopped(answer.rig)
    hunting = _hunting(answer.rig, blades_m)
    refuse_stopped(hunting)
    refuse_twice(answer.others, (*answer.observations, *answer.elsewhere))
    answer, elsewhere = _of_home(answer)
    if not answer.trusted_m[0]:
        wrong = "no mark of field points is trusted yet, so nothing can be held against it"
        raise BadInput("broadheads", wrong, "Calibrate with field points first")
    wanted_m = min(wanted_m, answer.trusted_m[0])
    found = _fitted(answer, hunting, seed)
    beside = {_stand(one) for one in answer.observations}
    ladder = ladder_of(
        answer.others, found.groups, 0.0, hunting.air.temperature_k, hunting.sight.scales,
        broadheads=True,
    )  # fmt: skip
    tolerance_m, grid_m = answer.rig.archer.tolerance_m, answer.trust.grid_m
    with_field = landed(found, answer.posterior, grid_m)
    verdict: Verdict = "more"
    if found.groups:
        verdict = _verdict(found, with_field, wanted_m, tolerance_m, ladder.hit_m)
    trusted_m = 0.0
    if verdict in ("same", "own"):
        served = landed(found, found.broadheads, grid_m) if verdict == "own" else with_field
        trusted_m = _trusted(found, served, ladder, tolerance_m)
    distance = np.asarray(distance_m, dtype=np.float64)
    probability = answer.bands.probability
    asks_blades = hunting.arrow.blade_diameter_m is None
    is_done = verdict == "tune" or trusted_m >= wanted_m - CLOSE_M or asks_blades
    return Compared(
        answer=answer,
        wanted_m=wanted_m,
        verdict=verdict,
        checks=found.groups,
        ladder=ladder,
        trusted_m=trusted_m,
        field=bands(answer.posterior, distance, probability),
        own=bands(found.broadheads, distance, probability),
        there=_lies(found, answer, distance),
        at_wanted=_lies(found, answer, [wanted_m]),
        alone=tuple(one.group.name for one in answer.others if _stand(one) not in beside),
        elsewhere=elsewhere,
        next=None if is_done else _next(answer, found, ladder, wanted_m, butt, unit_m),
        more=_more(found, verdict, ladder, wanted_m, tolerance_m),
        asks_blades=asks_blades,
    )


def _of_home(answer: Answer) -> tuple[Answer, tuple[str, ...]]:
    """The calibration with broadheads of such air as it was shot in, and names of the others."""
    shot_k = shot_temperatures(answer)

    def is_far(one: Observation) -> bool:
        air = one.air or answer.rig.air
        return all(is_far_air(shot, air.temperature_k) for shot in shot_k)

    others = tuple(one for one in answer.others if not is_far(one))
    far = dict.fromkeys(one.group.name for one in answer.others if is_far(one))
    return replace(answer, others=others), tuple(far)


def _hunting(rig: Rig, blades_m: float | None) -> Rig:
    """The same rig with broadheads on its arrows."""
    if rig.arrow.point == "broadhead":
        wrong = "this sheet is that of a broadhead already"
        raise BadInput("broadheads", wrong, "Ask it of the sheet with field points")
    blades_m = rig.arrow.blade_diameter_m if blades_m is None else blades_m
    return replace(rig, arrow=replace(rig.arrow, point="broadhead", blade_diameter_m=blades_m))


def _fitted(answer: Answer, hunting: Rig, seed: int) -> Paired:
    """Both points in one fit; draws of broadheads keep the order of those of field points."""
    rng = np.random.default_rng([seed, 17])
    stands = {_stand(one) for one in answer.others}
    pairs = np.array([_stand(one) in stands for one in answer.observations], np.bool_)
    posterior = side_by_side(answer.posterior, pairs, rng)
    unknowns = posterior.calibration.evidence.prior.unknowns
    carried = carried_draws(posterior.vectors, unknowns, answer.rig, hunting, rng)
    cloud = posterior.vectors.copy()
    for place, name in enumerate(_names(hunting)):
        cloud[:, unknowns.place(name)] = carried[:, place]
    found = paired(posterior, cloud, answer.others, rng)
    calibration = replace(posterior.calibration, rig=hunting)
    return replace(found, broadheads=replace(found.broadheads, calibration=calibration))


def _stand(one: Observation) -> tuple[float | int | str, ...]:
    """Where and how a group was shot: one of each point is a pair."""
    return round(one.distance_m, 2), round(one.reading_m, 5), one.pin, one.date


def _names(rig: Rig) -> Sequence[str]:
    return prior_from_rig(rig, np.zeros(0)).unknowns.names


def _verdict(
    found: Paired, there: Landed, wanted_m: float, tolerance_m: float, hit_m: float
) -> Verdict:
    """Same marks if they serve as far as wanted; else own ones once anything speaks for them.

    That is a steering beyond doubt, marks that hardly serve, or, once broadheads were shot as far
    as they are wanted, a miss that is surely more than half the tolerance.
    """
    last = max(int(np.searchsorted(there.distance_m, wanted_m + CLOSE_M)) - 1, 0)
    serve = float(there.within(tolerance_m)[last])
    if serve >= SERVES:
        return "same"
    right_m, up_m = there.right_m[:, last], there.up_m[:, last]
    is_far = float((np.hypot(up_m, right_m) > 0.5 * tolerance_m).mean()) >= SERVES
    is_shot = hit_m >= wanted_m - CLOSE_M
    if serve > 1.0 - SERVES and not is_steered(found, STEERED) and not (is_shot and is_far):
        return "more"
    if float((np.abs(right_m) > tolerance_m).mean()) >= SIDEWAYS:
        return "tune"
    is_sideways = right_m.mean() ** 2 >= max(STEERED * right_m.var(), up_m.mean() ** 2)
    return "tune" if is_sideways else "own"


def _trusted(found: Paired, served: Landed, ladder: Ladder, tolerance_m: float) -> float:
    """Farthest distance that a fitting broadhead group carries and marks do not miss."""
    allowed = served.within(tolerance_m) >= SERVES
    marks_m = bands(found.broadheads, served.distance_m).reading_m
    allowed &= reading_limits(found.broadheads).allows(marks_m)
    allowed &= served.distance_m <= ladder.carries_m + CLOSE_M
    return float(served.distance_m[allowed].max(initial=0.0))


def _lies(found: Paired, answer: Answer, distance_m: ArrayLike) -> Lies:
    there = landed(found, answer.posterior, distance_m)
    up_m, right_m = (np.median(drawn, axis=0) for drawn in (there.up_m, there.right_m))
    return Lies(up_m, right_m, _half(there.up_m), _half(there.right_m))


def _half(drawn: Floats) -> Floats:
    low, high = np.quantile(drawn, [0.05, 0.95], axis=0)
    return np.asarray(0.5 * (high - low))


def _next(
    answer: Answer, found: Paired, ladder: Ladder, wanted_m: float, butt: Butt, unit_m: float
) -> NextGroup | None:
    """The farthest group that the rule of the first arrows opens and the butt stops.

    Field points come first that are still to be shot beside the last broadheads.
    """
    if beside := _beside(answer, butt):
        return beside
    places = np.asarray(usual_places(wanted_m, unit_m))
    places = places[places <= ladder.farthest_m + CLOSE_M]
    marks = bands(answer.posterior, places)
    short_m = marks.reading_m - bands(found.broadheads, places).reading_m
    seen = landings(found.broadheads, places, short_m)
    reached = reading_limits(found.broadheads).allows(marks.reading_m)
    good = np.flatnonzero(open_shots(seen, ladder, butt) & reached)
    if not len(good):
        return None
    far = int(good[-1])
    half_m = 0.5 * abs(float(marks.high_m[far] - marks.low_m[far]))
    return NextGroup(float(places[far]), float(marks.reading_m[far]), half_m, ARROWS, ARROWS)


def _beside(answer: Answer, butt: Butt) -> NextGroup | None:
    """Field points beside the last broadheads, where their own rule opens that and the butt stops.

    None where they were shot, or where another pin than the first was aimed with.
    """
    last = answer.others[-1] if answer.others else None
    if last is None or not last.group.counted or last.pin != 1:
        return None
    if last.distance_m > answer.ladder.farthest_m + CLOSE_M:
        return None
    if _stand(last) in {_stand(one) for one in answer.observations}:
        return None
    place = np.array([last.distance_m])
    off_m = last.reading_m - bands(answer.posterior, place).reading_m
    is_open = open_shots(landings(answer.posterior, place, off_m), answer.ladder, butt)
    if not (is_open & answer.limits.allows(np.array([last.reading_m]))).all():
        return None
    return NextGroup(last.distance_m, last.reading_m, 0.0, 0, ARROWS)


def _more(
    found: Paired, verdict: Verdict, ladder: Ladder, wanted_m: float, tolerance_m: float
) -> int | None:
    """How many more broadheads would likely tell, steps to the wanted distance counted."""
    if verdict != "more":
        return 0
    asked = arrows_to_tell(found, wanted_m, tolerance_m, ARROWS, MOST_ARROWS, STEERED)
    if asked is None:
        return None
    steps, hit_m = 0, ladder
    while hit_m.hit_m < wanted_m - CLOSE_M:
        hit_m, steps = hit_m.climbed(min(hit_m.farthest_m, wanted_m)), steps + 1
    return max(asked, ARROWS * steps)
