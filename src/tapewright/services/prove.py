"""Prove: shoot the tape, and hear why it misses.

Holds:  the Proving and Accepted records; the errand from proving arrows to a verdict, and the one
        that takes them into the calibration.
Never:  formulas, sentences.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.calibration.observation import Observation
from tapewright.confidence.bands import drawn_marks, within_reach
from tapewright.confidence.diagnosis import (
    FAMILIES,
    FAR_M,
    NEAR_M,
    Cause,
    Proof,
    Verdict,
    prove,
)
from tapewright.confidence.ladder import CLOSE_M, farthest_hit
from tapewright.confidence.mending import Mend, mend
from tapewright.confidence.strips import strip_marks
from tapewright.ground.errors import BadInput
from tapewright.services.calibrate import Answer, calibrate
from tapewright.services.limits import reachable
from tapewright.services.record_groups import of_point, refuse_twice
from tapewright.services.stops import refuse_stopped
from tapewright.target.correction import whole_clicks
from tapewright.target.spread import Spread, combined_spread

__all__ = [
    "FAMILIES",
    "Accepted",
    "Cause",
    "Mend",
    "Proof",
    "Proving",
    "Spread",
    "Verdict",
    "accept_proof",
    "distances_left",
    "distances_shot",
    "is_few",
    "joined_groups",
    "prove_tape",
    "refuse_other_bow",
]

Floats = NDArray[np.float64]

LEAST_DISTANCES = 3  # that tell causes apart
# Where a proof is shot, as shares of the farthest distance: the first that stands apart enough
FAR_NEAR_BETWEEN, APART = (1.0, 0.25, 0.6, 0.45, 0.8), 0.15


@dataclass(frozen=True)
class Proving:
    """What a proving session says, and what to do about it."""

    answer: Answer  # the calibration that the tape was made from
    shot: tuple[Observation, ...]  # the session's groups
    verdict: Verdict  # misses, causes with odds, the telling distance
    spread: Spread  # scatter of the session's arrows about the centres of their own groups
    cause: Cause | None  # the likeliest one; None when nothing is wrong
    mend: Mend  # what it asks for
    # Change of reading in whole clicks, as the numbers run; None: not asked, or no click on the
    # sheet
    clicks: int | None
    right_clicks: int | None  # way of the pin to the right in whole clicks
    ends_m: tuple[float, float]  # near and far distance between which strips are told apart
    # Lengths of the tape's own strip, in the middle, and of its neighbours
    lengths_m: tuple[float, float, float]

    @property
    def may_accept(self) -> bool:
        """Whether the proof may be taken in: the tape, if anything, was wrong."""
        return self.verdict.is_the_tapes


@dataclass(frozen=True)
class Accepted:
    """A calibration that took in the arrows of a proof."""

    before: Answer  # without and with them
    answer: Answer
    distance_m: Floats  # distances
    moved_m: Floats  # by how much each mark moved, as the numbers run


def distances_left(
    answer: Answer | None, shot: tuple[Observation, ...], step_m: float
) -> tuple[int, tuple[float, ...]]:
    """How many distances a proof still needs, and which would do, the nearest first.

    None is farther than the tape is trusted or arrows have hit; each stands well apart from those
    shot already. Without a calibration that earned trust none is named.
    """
    seen_m = distances_shot(shot)
    needed = max(LEAST_DISTANCES - len(seen_m), 0)
    if answer is None or not answer.is_earned:
        return needed, ()
    hit_m = farthest_hit(answer.observations, answer.groups)
    steps = int(min(answer.trusted_m[0], hit_m) / step_m + CLOSE_M)
    least = min(max(steps // 2, 1), 2)  # nearer than two steps marks run back
    wanted: list[float] = []
    for share in FAR_NEAR_BETWEEN:
        at_m = max(round(steps * share), least) * step_m
        apart_m = min((abs(at_m - one) for one in (*seen_m, *wanted)), default=at_m)
        if len(wanted) < needed and apart_m >= max(APART * steps, 1.0) * step_m:
            wanted.append(at_m)
    return needed, tuple(sorted(wanted))


def distances_shot(shot: Sequence[Observation]) -> list[float]:
    """At which distances groups stand, the nearest first. [m]"""
    return sorted({round(one.distance_m, 3) for one in shot})


def is_few(shot: Sequence[Observation]) -> bool:
    """Whether groups stand at too few distances to tell causes apart."""
    return len(distances_shot(shot)) < LEAST_DISTANCES


def _refuse_missed(shot: tuple[Observation, ...]) -> None:
    """Refuse a session in which a tape sent arrows past the butt."""
    past = ", ".join(one.group.name for one in shot if one.group.is_past)
    if past:
        wrong = f"arrows of {past} went past the butt: what sends them there is not proven"
        mend = "Add them to the arrows of the rig and plan anew, or leave them out"
        raise BadInput("groups", wrong, mend)


def prove_tape(
    answer: Answer,
    shot: tuple[Observation, ...],
    tried_m: ArrayLike,
    ends_m: tuple[float, float],
) -> Proving:
    """A verdict on a tape from a proving session."""
    refuse_stopped(answer.rig)
    refuse_twice(shot, answer.observations)
    shot, others = of_point(shot, answer.rig.arrow.point)
    if others and not shot:
        wrong = "every group is of another point than the tape"
        raise BadInput("proof", wrong, "Shoot the rig sheet's own; broadheads have a question")
    _refuse_missed(shot)
    posterior, sight = answer.posterior, answer.rig.sight
    hit_m = max(farthest_hit(answer.observations, answer.groups), *(one.distance_m for one in shot))
    tried = np.asarray(tried_m, dtype=np.float64)
    tried = tried[tried <= hit_m + CLOSE_M]
    verdict = _verdict(answer, shot, tried[reachable(answer, tried)], ends_m)
    cause = None if verdict.found.name == "nothing" else verdict.found
    middle_m = float(np.median([one.distance_m for one in shot]))
    asked = Mend() if cause is None else mend(posterior, cause, middle_m, ends_m)
    less, same, more = strip_marks(posterior, ends_m, *ends_m)
    return Proving(
        answer=answer,
        shot=shot,
        verdict=verdict,
        spread=combined_spread([one.group for one in shot], [one.distance_m for one in shot]),
        cause=cause,
        mend=asked,
        clicks=_clicks(asked.reading_m, sight.elevation_click_m),
        right_clicks=_clicks(asked.pin_right_m, sight.windage_click_m),
        ends_m=ends_m,
        lengths_m=(less.length_m, same.length_m, more.length_m),
    )


def _verdict(
    answer: Answer, shot: tuple[Observation, ...], tried_m: Floats, ends_m: tuple[float, float]
) -> Verdict:
    """What is found, the same whatever the ends; how much longer a strip is, told between them."""
    posterior = answer.posterior
    if not len(within_reach(posterior, np.array([FAR_M]))):
        return prove(posterior, shot, tried_m, ends_m)
    marks = np.median(drawn_marks(posterior, [NEAR_M, FAR_M, *ends_m]), axis=0)
    near, far, first, last = marks.tolist()
    share = (last - first) / (far - near)
    if not share > 0.0:  # or nan: past the end of an arm
        return prove(posterior, shot, tried_m, ends_m)
    verdict = prove(posterior, shot, tried_m)
    return replace(verdict, causes=tuple(_longer(one, share) for one in verdict.causes))


def _longer(cause: Cause, share: float) -> Cause:
    if cause.name != "span":
        return cause
    low, size, high = (share * one for one in (cause.low, cause.size, cause.high))
    return replace(cause, low=low, size=size, high=high)


def _clicks(change_m: float | None, click_m: float | None) -> int | None:
    return None if change_m is None or click_m is None else whole_clicks(change_m, click_m)


def joined_groups(
    had: tuple[Observation, ...], shot: tuple[Observation, ...]
) -> tuple[Observation, ...]:
    """Groups of a calibration and of a proof, every name only once; those of the proof say so."""
    taken = {one.group.name for one in had} | {one.group.name for one in shot}
    before = {one.group.name for one in had}
    joined = list(had)
    for one in shot:
        name = one.group.name
        if name in before:
            tries = (f"{name} proof{number or ''}" for number in range(len(taken) + 1))
            name = next(fresh for fresh in tries if fresh not in taken)
            taken.add(name)
        joined.append(replace(one, group=replace(one.group, name=name), proved=True))
    return tuple(joined)


def refuse_other_bow(proving: Proving) -> None:
    """Refuse to take in arrows that the equipment may have sent elsewhere, not the tape."""
    if proving.may_accept:
        return
    family = proving.verdict.families[0][0]
    wrong = "nobody can tell yet whether tape or equipment missed, so these arrows are not taken in"
    mend = "Shoot one more group for the proof"
    if proving.cause is not None:
        wrong = f"what was found ({family}) may not be the tape's fault: marks would settle between"
        wrong += " two bows"
        mend = "Mend what was found and prove again"
    if family == "speed":
        mend = "Carry the calibration over with change, and shoot these arrows for the new set-up"
    raise BadInput("Taking the proof in", wrong, mend)


def accept_proof(proving: Proving, trust_grid_m: ArrayLike, seed: int = 1) -> Accepted:
    """The calibration with the arrows of a proof taken in."""
    refuse_other_bow(proving)
    before = proving.answer
    had = before.bands
    joined = joined_groups(before.observations, proving.shot)
    answer = calibrate(before.rig, joined, had.distance_m, trust_grid_m, seed, had.probability)
    moved_m = answer.bands.reading_m - had.reading_m
    return Accepted(before, answer, had.distance_m, moved_m)
