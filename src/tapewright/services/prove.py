"""Prove: shoot the tape, and hear why it misses.

Holds:  the Proving and Accepted records; the errand from proving arrows to a verdict, and the one
        that takes them into the calibration.
Never:  formulas, sentences.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.calibration.observation import Observation
from tapewright.confidence.diagnosis import FAMILIES, Cause, Proof, Verdict, prove
from tapewright.confidence.ladder import farthest_hit
from tapewright.confidence.mending import Mend, mend
from tapewright.confidence.strips import strip_marks
from tapewright.services.calibrate import Answer, calibrate
from tapewright.services.limits import reachable
from tapewright.services.record_groups import refuse_twice
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
    "joined_groups",
    "prove_tape",
]

Floats = NDArray[np.float64]

CLOSE_M = 1e-6  # one distance and the same


@dataclass(frozen=True)
class Proving:
    """What a proving session says, and what to do about it.

    Parameters
    ----------
    answer : Answer
        The calibration that the tape was made from.
    shot : tuple of Observation
        The session's groups.
    verdict : Verdict
        Misses, causes with odds, the telling distance.
    spread : Spread
        Scatter of the session's arrows about the centres of their own groups.
    cause : Cause or None
        The likeliest one; None when nothing is wrong.
    mend : Mend
        What it asks for.
    clicks : int or None
        Change of reading in whole clicks, as the numbers run; None: not asked, or no click on
        the sheet. [-]
    right_clicks : int or None
        Way of the pin to the right in whole clicks. [-]
    ends_m : (float, float)
        Near and far distance between which spans are told. [m]
    spans_m : (float, float, float)
        Spans of the tape's own strip, in the middle, and its neighbours. [m]
    """

    answer: Answer
    shot: tuple[Observation, ...]
    verdict: Verdict
    spread: Spread
    cause: Cause | None
    mend: Mend
    clicks: int | None
    right_clicks: int | None
    ends_m: tuple[float, float]
    spans_m: tuple[float, float, float]


@dataclass(frozen=True)
class Accepted:
    """A calibration that took in the arrows of a proof.

    Parameters
    ----------
    before, answer : Answer
        Without and with them.
    distance_m : (n,) array
        Distances. [m]
    moved_m : (n,) array
        By how much each mark moved, as the numbers run. [m]
    """

    before: Answer
    answer: Answer
    distance_m: Floats
    moved_m: Floats


def prove_tape(
    answer: Answer,
    shot: tuple[Observation, ...],
    tried_m: ArrayLike,
    ends_m: tuple[float, float],
) -> Proving:
    """A verdict on a tape from a proving session.

    Parameters
    ----------
    answer : Answer
        The calibration that the tape was made from.
    shot : tuple of Observation
        The session's groups, none of them part of the calibration; at least one.
    tried_m : (n,) array
        Distances at which one more group could be shot; those that nothing has hit yet, or that
        the sight does not surely reach, are passed over. [m]
    ends_m : (float, float)
        Near and far distance between which spans are told. [m]

    Returns
    -------
    Proving
        The verdict and the mend of the likeliest cause.

    Raises
    ------
    LaunchUnreachable
        If the calibration's bow cannot throw an arrow so far.
    Withheld
        If the set-up must not be shot.
    BadInput
        If arrows of the session are part of the calibration already.
    """
    refuse_stopped(answer.rig)
    refuse_twice(shot, answer.observations)
    posterior, sight = answer.posterior, answer.rig.sight
    hit_m = max(farthest_hit(answer.observations, answer.groups), *(one.distance_m for one in shot))
    tried = np.asarray(tried_m, dtype=np.float64)
    tried = tried[tried <= hit_m + CLOSE_M]
    verdict = prove(posterior, shot, tried[reachable(answer, tried)], ends_m)
    cause = _likeliest(verdict)
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
        spans_m=(less.span_m, same.span_m, more.span_m),
    )


def _likeliest(verdict: Verdict) -> Cause | None:
    """The likeliest cause of the likeliest family."""
    family = verdict.families[0][0]
    first = next(one for one in verdict.causes if FAMILIES.get(one.name, one.name) == family)
    return None if first.name == "nothing" else first


def _clicks(change_m: float | None, click_m: float | None) -> int | None:
    return None if change_m is None or click_m is None else whole_clicks(change_m, click_m)


def joined_groups(
    had: tuple[Observation, ...], shot: tuple[Observation, ...]
) -> tuple[Observation, ...]:
    """Groups of a calibration and of a proof, every name only once.

    Parameters
    ----------
    had, shot : tuple of Observation
        Of the calibration, of the proof.

    Returns
    -------
    tuple of Observation
        The calibration's first; groups of the proof whose names are taken get new ones.
    """
    taken = {one.group.name for one in had} | {one.group.name for one in shot}
    before = {one.group.name for one in had}
    joined = list(had)
    for one in shot:
        name = one.group.name
        if name in before:
            tries = (f"{name} proof{number or ''}" for number in range(len(taken) + 1))
            name = next(fresh for fresh in tries if fresh not in taken)
            taken.add(name)
        joined.append(replace(one, group=replace(one.group, name=name)))
    return tuple(joined)


def accept_proof(proving: Proving, trust_grid_m: ArrayLike, seed: int = 1) -> Accepted:
    """The calibration with the arrows of a proof taken in.

    Parameters
    ----------
    proving : Proving
        The proof.
    trust_grid_m : (k,) array
        Distances that may be the trusted one, growing. [m]
    seed : int, default 1
        Of the draws. [-]

    Returns
    -------
    Accepted
        New calibration, and how its marks moved.

    Raises
    ------
    CalibrationFailed
        If sheet and arrows cannot be brought together.
    """
    before = proving.answer
    had = before.bands
    joined = joined_groups(before.observations, proving.shot)
    answer = calibrate(before.rig, joined, had.distance_m, trust_grid_m, seed, had.probability)
    moved_m = answer.bands.reading_m - had.reading_m
    return Accepted(before, answer, had.distance_m, moved_m)
