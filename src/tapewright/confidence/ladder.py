"""Ladder: how far the next arrow may be shot, by what has hit so far.

The first arrow is shot from near by; each further step goes at most half as far again as a group
has hit that fits. After anything that may have moved the zero one near arrow comes first; when it
fits, the old farthest hit counts again, and no more, until a group fits there. After arrows that
went past the butt the next is shot no farther than arrows have hit, and the way back is in shorter
steps. Broadheads climb it from the first arrow on, whatever other points have hit, and are trusted
no farther than they have hit.

Holds:  the Ladder record; the rungs that groups have earned, and the trust; the shots that may be
        made.
Never:  where an arrow lands (landing.py), which of the shots to make (advice.py), sentences.
Source: docs/physics.md eq. (8.22); the figures are common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.calibration.observation import Observation
from tapewright.confidence.checks import Caution, GroupCheck
from tapewright.confidence.landing import Butt, Landings
from tapewright.ground.units import YARD_M
from tapewright.sight.stickings import Scales

FIRST_M = 10.0 * YARD_M  # the first arrow is shot from here or nearer
NEAREST_M = 3.0  # a butt that needs less is too small
GROWTH = 1.5  # of the farthest hit, for the next step
CAREFUL = 1.25  # the same, on the way back to where arrows went past the butt
NEARER = 0.5  # of where the first arrow was shot that went past the butt
MOST_MISSES = 3  # groups past the butt, one after the other; then something else is wrong
SAFE_ON_BUTT = 0.99  # of the arrows, wild flyers apart
FAR_K = 15.0  # docs/physics.md eq. (9.16)
CLOSE_M = 1e-6  # one distance and the same
SHORT_OF_M = 1e-3  # just nearer than


@dataclass(frozen=True, slots=True)
class Ladder:
    """What has been hit, before and since something may have moved the zero.

    Parameters
    ----------
    hit_m : float
        Farthest distance at which a fitting group has hit since; 0 for none. [m]
    before_m : float, default 0
        Farthest distance at which one had hit before; 0: nothing happened. [m]
    missed_m : float, default 0
        Nearest distance at which arrows went past the butt and from which, or farther, no group
        has hit since; 0 for none. [m]
    misses : int, default 0
        Groups that went past the butt since the last that hit. [-]
    broadheads : bool, default False
        Whether broadheads were shot: how blades fly farther out nobody can foretell.
    """

    hit_m: float
    before_m: float = 0.0
    missed_m: float = 0.0
    misses: int = 0
    broadheads: bool = False

    @property
    def farthest_m(self) -> float:
        """How far the next arrow may be shot. [m]"""
        if not self.hit_m:
            first_m = min(FIRST_M, self.before_m or FIRST_M)
            return max(first_m * NEARER**self.misses, NEAREST_M)
        if self.misses:
            return self.hit_m
        if self.missed_m:
            return CAREFUL * self.hit_m
        return max(GROWTH * self.hit_m, self.before_m)

    @property
    def carries_m(self) -> float:
        """How far trust may reach on these hits; 0 without one. [m]"""
        if not self.hit_m:
            return 0.0
        farthest_m = self.hit_m if self.broadheads else max(GROWTH * self.hit_m, self.before_m)
        if not self.missed_m:
            return farthest_m
        return self.hit_m if self.hit_m < self.missed_m else self.missed_m - SHORT_OF_M

    @property
    def needs_near_arrow(self) -> bool:
        """Whether one near arrow comes before everything else."""
        return not self.hit_m

    def climbed(self, distance_m: float) -> "Ladder":
        """The ladder once a group at a distance has hit and fits."""
        is_back = distance_m >= self.missed_m - CLOSE_M
        missed_m = 0.0 if is_back else self.missed_m
        return replace(self, hit_m=max(self.hit_m, distance_m), missed_m=missed_m, misses=0)

    def missed(self, distance_m: float) -> "Ladder":
        """The ladder once arrows shot from a distance went past the butt."""
        nearest_m = min(self.missed_m or distance_m, distance_m)
        if distance_m > self.hit_m + CLOSE_M:
            return replace(self, missed_m=nearest_m, misses=self.misses + 1)
        before_m, misses = max(self.hit_m, self.before_m), self.misses + 1
        return replace(self, hit_m=0.0, before_m=before_m, missed_m=nearest_m, misses=misses)


def _is_measured(shot: Observation) -> bool:
    """Whether arrows were seen to hit; a typed mark says only that somebody believes so."""
    return any(one.arrows == 1 or one.right_m or one.up_m for one in shot.group.counted)


def _is_in_other_air(shot: Observation, temperature_k: float | None) -> bool:
    """Whether a group was shot in air so much colder or warmer that limbs may differ."""
    if shot.air is None or temperature_k is None:
        return False
    return is_far_air(shot.air.temperature_k, temperature_k)


def shot_temperatures(observations: Sequence[Observation], home_k: float) -> tuple[float, ...]:
    """Temperatures in which groups were shot; the sheet's own before the first.

    Parameters
    ----------
    observations : sequence of Observation
        The groups.
    home_k : float
        Of the sheet's air, which counts where a group does not say. [K]

    Returns
    -------
    tuple of float
        Each once, growing. [K]
    """
    shot = {home_k if one.air is None else one.air.temperature_k for one in observations}
    return tuple(sorted(shot)) or (home_k,)


def is_far_air(shot_k: float, temperature_k: float) -> bool:
    """Whether limbs and string may shoot otherwise than in the air of a group.

    Parameters
    ----------
    shot_k, temperature_k : float
        Of the group's air, and of the other. [K]

    Returns
    -------
    bool
        True from 15 K apart on.

    Source
    ------
    docs/physics.md eq. (9.16).
    """
    return abs(shot_k - temperature_k) >= FAR_K


def warmer_than_shot(shot_k: Sequence[float], temperature_k: float) -> float:
    """How much warmer than the nearest air in which arrows were shot. [K]"""
    return min((temperature_k - one for one in shot_k), key=abs)


def air_cautions(observations: Sequence[Observation], home_k: float) -> tuple[Caution, ...]:
    """That no group was shot in air like the sheet's; none when one was, or was shot at all.

    Parameters
    ----------
    observations : sequence of Observation
        The groups.
    home_k : float
        Of the sheet's air. [K]

    Returns
    -------
    tuple of Caution
        One of kind ``"other air"`` with how much warmer the sheet's is [K], or none.
    """
    warmer_k = warmer_than_shot(shot_temperatures(observations, home_k), home_k)
    return (Caution("other air", numbers=(warmer_k,)),) if abs(warmer_k) >= FAR_K else ()


def judged(
    observations: Sequence[Observation], groups: Sequence[GroupCheck]
) -> list[tuple[Observation, GroupCheck | None]]:
    """Every group with how it fits; None where no arrow was seen to hit."""
    checks = iter(groups)
    return [(one, next(checks) if one.group.counted else None) for one in observations]


def ladder_of(
    observations: Sequence[Observation],
    groups: Sequence[GroupCheck],
    before_m: float = 0.0,
    temperature_k: float | None = None,
    on: Scales | None = None,
    *,
    broadheads: bool = False,
) -> Ladder:
    """The rungs that groups have earned.

    A group that does not fit shakes what came before it: those after it count as new. Cold or heat
    far from that of a group leaves less: its limbs and string are not those of today, and a near
    arrow tells little of their speed, so the steps begin as with the first arrow. A group of which
    at least half went past the butt raises nothing.

    Parameters
    ----------
    observations : sequence of Observation
        In the order shot; typed marks raise nothing.
    groups : sequence of GroupCheck
        Those of which an arrow was seen to hit against the fit.
    before_m : float, default 0
        Farthest hit with an earlier set-up, when these follow a change. [m]
    temperature_k : float, optional
        Of the air in which the next arrow flies; absent: that of the groups. [K]
    on : tuple of Sticking, optional
        The scale on the sight: what hit on another counts as before, since nobody has seen yet
        where this one was stuck; absent: that of the groups.
    broadheads : bool, default False
        Whether broadheads were shot.

    Returns
    -------
    Ladder
        As it stands now.

    Source
    ------
    docs/physics.md eq. (8.22).
    """
    ladder = Ladder(0.0, before_m, broadheads=broadheads)
    for shot, check in judged(observations, groups):
        if shot.group.is_past:
            ladder = ladder.missed(shot.distance_m)
        elif check is None:
            continue
        elif check.is_odd:
            ladder = replace(ladder, hit_m=0.0, before_m=max(ladder.hit_m, ladder.before_m))
        elif _is_measured(shot) and _is_in_other_air(shot, temperature_k):
            nearest_m = min(shot.distance_m, FIRST_M)
            ladder = replace(ladder, before_m=max(ladder.before_m, nearest_m))
        elif _is_measured(shot) and on not in (None, shot.scales):
            ladder = replace(ladder, before_m=max(ladder.before_m, shot.distance_m))
        elif _is_measured(shot):
            ladder = ladder.climbed(shot.distance_m)
    return ladder


def farthest_hit(observations: Sequence[Observation], groups: Sequence[GroupCheck]) -> float:
    """Farthest distance at which a group that fits has hit, typed marks included.

    Parameters
    ----------
    observations : sequence of Observation
        In the order shot.
    groups : sequence of GroupCheck
        Those of which an arrow was seen to hit against the fit.

    Returns
    -------
    float
        0 for none. [m]
    """
    both = judged(observations, groups)
    hits = (shot.distance_m for shot, check in both if check is not None and not check.is_odd)
    return max(hits, default=0.0)


def earned_trust(trusted_m: float, hit_m: float, ladder: Ladder, grid_m: ArrayLike) -> float:
    """Trusted distance that hits can carry, of what the bands alone would.

    Parameters
    ----------
    trusted_m : float
        What the bands would carry; 0 for none. [m]
    hit_m : float
        Farthest distance at which a group that fits has hit with this set-up; 0 for none. [m]
    ladder : Ladder
        What had hit with the set-up before a change, and where arrows went past the butt.
    grid_m : (k,) array
        Distances that may be the trusted one. [m]

    Returns
    -------
    float
        One of the grid, or 0 without a hit with this set-up. [m]

    Source
    ------
    docs/physics.md eq. (8.23).
    """
    most_m = min(trusted_m, replace(ladder, hit_m=hit_m).carries_m) + CLOSE_M
    grid = np.asarray(grid_m, dtype=np.float64)
    return float(grid[grid <= most_m].max(initial=0.0))


def open_shots(seen: Landings, ladder: Ladder, butt: Butt) -> NDArray[np.bool_]:
    """The one rule of safety: which shots may be made next.

    Parameters
    ----------
    seen : Landings
        Where arrows may land.
    ladder : Ladder
        What has been hit.
    butt : Butt
        Aimed at in its middle.

    Returns
    -------
    (c,) array of bool
        True where the step is not too long and the arrows stay on the butt.

    Source
    ------
    docs/physics.md eq. (8.22).
    """
    near = (seen.shot_m <= ladder.farthest_m + CLOSE_M) & (seen.shot_m >= NEAREST_M - CLOSE_M)
    good = np.zeros(len(near), np.bool_)
    for shot in np.flatnonzero(near):
        good[shot] = seen.chance(int(shot), butt) >= SAFE_ON_BUTT
    return good
