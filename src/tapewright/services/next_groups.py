"""Next groups: which to shoot now, chosen so that each is open when its turn comes.

Holds:  the Next record; the choice; where an arrow stays on the butt though a group may be wrong.
Never:  a session's whole plan (advise.py), formulas, sentences.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapewright.confidence.advice import Prospect, Step, Wish, near_group, plan_session
from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.ladder import CLOSE_M, MOST_MISSES, SAFE_ON_BUTT
from tapewright.confidence.landing import Butt, landings
from tapewright.confidence.turning import dialled_off, turned, with_windage_turned
from tapewright.services.calibrate import Answer

Floats = NDArray[np.float64]


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
