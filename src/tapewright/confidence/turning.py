"""Turning: what to turn before the next arrow so that it stays on the butt, and how far.

How far a millimetre of reading moves the arrow may be known to a factor of two only. Then the
whole correction can send the next arrow past the butt on the other side, and so can the same one
again after an arrow that went past it: part of the way, shot no farther than arrows have hit, is
safe and tells how far the rest is. And where it is the windage that would send a farther arrow past
the butt, that comes first: no group of any size makes up for it.

Holds:  how far off the last hit was dialled; the share of the correction that may be dialled;
        whether windage stands in the way.
Never:  how far one may step (ladder.py), where arrows land (landing.py), sentences.
Source: docs/physics.md eq. (8.24), (8.25); common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from tapewright.calibration.observation import Observation
from tapewright.confidence.advice import Prospect
from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.checks import GroupCheck
from tapewright.confidence.ladder import CLOSE_M, judged, open_shots
from tapewright.confidence.landing import Butt, landings
from tapewright.confidence.posterior import Posterior

LEAST_SHARE = 1 / 16  # of the correction; less tells nothing
LEAST_OFF_M = 1e-3  # of the reading; less is no correction


def dialled_off(
    posterior: Posterior, observations: Sequence[Observation], groups: Sequence[GroupCheck]
) -> float:
    """How far off its likeliest mark the last group that fits was dialled.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    observations : sequence of Observation
        In the order shot.
    groups : sequence of GroupCheck
        Those of which an arrow was seen to hit against the fit.

    Returns
    -------
    float
        Its reading less the mark, as the numbers run; 0 within a millimetre, and without such a
        group. [m]
    """
    both = judged(observations, groups)
    hits = [shot for shot, check in both if check is not None and not check.is_odd]
    if not hits:
        return 0.0
    last = hits[-1]
    marks = drawn_marks(posterior, [last.distance_m], last.pin)
    off_m = last.reading_m - float(np.median(marks))
    return off_m if abs(off_m) > LEAST_OFF_M else 0.0


def turned(
    posterior: Posterior, whole: Prospect, butt: Butt, off_m: float
) -> tuple[Prospect, float]:
    """What may be shot next if only part of the correction is dialled, and which part.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    whole : Prospect
        As things stand with the likeliest marks dialled.
    butt : Butt
        Aimed at in its middle.
    off_m : float
        How far off its mark the last hit was dialled, as the numbers run. [m]

    Returns
    -------
    Prospect, float
        The same shots with that part dialled, open only as far out as arrows have hit, and the
        share, 0 to 1: the largest of 1, ½, ¼ … that opens any, begun at half as much with each
        group past the butt. The whole one and 1 where nothing has hit or nothing helps.

    Source
    ------
    docs/physics.md eq. (8.24).
    """
    ladder = whole.ladder
    if not off_m or (not ladder.misses and open_shots(whole.cloud, ladder, butt).any()):
        return whole, 1.0
    near = replace(ladder, misses=max(1, ladder.misses))
    share = 0.5**near.misses
    while share >= LEAST_SHARE:
        cloud = landings(posterior, whole.seen.shot_m, (1.0 - share) * off_m)
        if open_shots(cloud, near, butt).any():
            return replace(whole, cloud=cloud, ladder=near), share
        share *= 0.5
    return whole, 1.0


def with_windage_turned(whole: Prospect, butt: Butt) -> Prospect | None:
    """What may be shot next once the windage is turned, if it is what stands in the way.

    Parameters
    ----------
    whole : Prospect
        As things stand.
    butt : Butt
        Aimed at in its middle.

    Returns
    -------
    Prospect or None
        The same shots with arrows in the middle, right and left, open only as far out as arrows
        have hit: whether the turn was right is seen there first. None where no farther shot is
        closed by the windage alone.

    Source
    ------
    docs/physics.md eq. (8.25).
    """
    ladder, cloud = whole.ladder, whole.cloud
    middle = replace(cloud, right_rad=cloud.right_rad - np.median(cloud.right_rad, axis=0))
    farther = cloud.shot_m > ladder.hit_m + CLOSE_M
    is_open = (open_shots(cloud, ladder, butt) & farther).any()
    if not ladder.hit_m or is_open or not (open_shots(middle, ladder, butt) & farther).any():
        return None
    return replace(whole, cloud=middle, ladder=replace(ladder, misses=max(1, ladder.misses)))
