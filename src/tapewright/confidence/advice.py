"""Advice: what to shoot next, and where the first far arrow will land.

Every group of a plan obeys the ladder as it will stand once the groups before it have hit where
they are likeliest to; the next one obeys it as it stands.

Holds:  the Step and FirstShot records; what one group would buy; a session's plan; a first far
        shot, and the distances to walk back through to it.
Never:  the Gaussian picture behind it (outlook.py), where arrows land (landing.py), how far one
        may step (ladder.py), sentences, changes to a calibration.
Source: docs/physics.md §8.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtri

from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.ladder import Ladder, open_shots
from tapewright.confidence.landing import Butt, Landings, landings
from tapewright.confidence.outlook import Outlook, after_group, outlook
from tapewright.confidence.posterior import Posterior

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

RUNG = 2  # arrows of a group that only leads farther: one, then look, then the other
ARROWS = (3, 4, 5, 6)  # of a group worth the walk
WALK = 1.5  # arrows' worth of trouble that a group costs beside its arrows
MARGIN = 0.93  # of the tolerance: the real criterion also asks about all marks at once
MOST_GROUPS = 30
CLOSE_M = 1e-6  # one distance and the same


@dataclass(frozen=True, slots=True)
class Wish:
    """What the archer wants of a session.

    Parameters
    ----------
    tolerance_m : float
        Radius of the miss that is still good. [m]
    butt : Butt
        Aimed at in its middle.
    probability : float, default 0.9
        Trust wanted. [-]
    """

    tolerance_m: float
    butt: Butt
    probability: float = 0.9


@dataclass(frozen=True)
class Prospect:
    """Everything from which a session is planned, now or after some of its groups.

    Parameters
    ----------
    seen : Outlook
        What is not known of marks.
    cloud : Landings
        Where arrows may land, for the same shots.
    ladder : Ladder
        What has been hit.
    """

    seen: Outlook
    cloud: Landings
    ladder: Ladder

    def after(self, shot: int, arrows: int) -> "Prospect":
        """The prospect once a group has hit where it is likeliest to."""
        return Prospect(
            after_group(self.seen, shot, arrows),
            self.cloud.after(shot, arrows),
            self.ladder.climbed(float(self.seen.shot_m[shot])),
        )

    def trusted_m(self, wish: "Wish") -> float:
        """Trusted distance to be expected: never past what the hits so far can carry. [m]"""
        return min(expected_trust(self.seen, wish), self.ladder.carries_m)


def prospect(
    posterior: Posterior, shot_m: ArrayLike, wanted_m: ArrayLike, ladder: Ladder
) -> Prospect:
    """What a session starts from.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    shot_m : (c,) array
        Distances at which a group may be shot. [m]
    wanted_m : (n,) array
        Distances at which marks are wanted, growing. [m]
    ladder : Ladder
        What has been hit.

    Returns
    -------
    Prospect
        As things stand.
    """
    return Prospect(outlook(posterior, shot_m, wanted_m), landings(posterior, shot_m), ladder)


@dataclass(frozen=True, slots=True)
class Step:
    """One group of a plan.

    Parameters
    ----------
    distance_m : float
        Where to shoot it. [m]
    arrows : int
        How many. [-]
    chance : float
        That an arrow lands on the butt. [-]
    is_safe : bool
        Whether it may be shot: no step too long, and surely enough on the butt.
    trusted_m : float
        Trusted distance to be expected afterwards; 0 for none. [m]
    band_m : float
        Half of the band at the farthest wanted distance to be expected afterwards. [m]
    """

    distance_m: float
    arrows: int
    chance: float
    is_safe: bool
    trusted_m: float
    band_m: float


@dataclass(frozen=True, slots=True)
class FirstShot:
    """A first arrow at a distance not shot before.

    Parameters
    ----------
    distance_m : float
        The distance. [m]
    reading_m : float
        What to dial. [m]
    low_m, high_m : float
        Where 90 % of such arrows land, up of the aim. [m]
    height_95_m, height_99_m : float
        Height of the butt that stops 95 and 99 % of them, aimed at in its middle. [m]
    chance : float
        Of landing on the butt at hand. [-]
    is_safe : bool
        Whether it may be shot now: no step too long, and surely enough on the butt.
    """

    distance_m: float
    reading_m: float
    low_m: float
    high_m: float
    height_95_m: float
    height_99_m: float
    chance: float
    is_safe: bool


def expected_trust(seen: Outlook, wish: Wish) -> float:
    """Trusted distance that an outlook leads to expect.

    Parameters
    ----------
    seen : Outlook
        What is not known.
    wish : Wish
        Tolerance and trust.

    Returns
    -------
    float
        One of the wanted distances, or 0. [m]
    """
    reach = float(ndtri(0.5 + 0.5 * wish.probability))
    good = np.logical_and.accumulate(reach * seen.wanted_sd_m <= MARGIN * wish.tolerance_m)
    return float(seen.wanted_m[good][-1]) if good.any() else 0.0


def half_band(seen: Outlook, wish: Wish) -> float:
    """Half of the band at the farthest wanted distance.

    Parameters
    ----------
    seen : Outlook
        What is not known.
    wish : Wish
        Trust.

    Returns
    -------
    float
        As impact. [m]
    """
    return float(ndtri(0.5 + 0.5 * wish.probability) * seen.wanted_sd_m[-1])


def _step(now: Prospect, shot: int, arrows: int, wish: Wish, *, is_safe: bool) -> Step:
    later, distance_m = after_group(now.seen, shot, arrows), float(now.seen.shot_m[shot])
    return Step(
        distance_m,
        arrows,
        now.cloud.chance(shot, wish.butt),
        is_safe,
        min(expected_trust(later, wish), now.ladder.climbed(distance_m).carries_m),
        half_band(later, wish),
    )


def candidates(now: Prospect, wish: Wish, shown: Flags | None = None) -> tuple[Step, ...]:
    """What one more group would buy, for every shot and size of group.

    Parameters
    ----------
    now : Prospect
        As things stand.
    wish : Wish
        Tolerance, butt and trust.
    shown : (c,) array of bool, optional
        Of which shots it is asked; absent: of all.

    Returns
    -------
    tuple of Step
        By distance, then arrows; those that may not be shot included, and said so.
    """
    shots = np.flatnonzero(np.ones(len(now.seen.shot_m)) if shown is None else shown)
    opened = open_shots(now.cloud, now.ladder, wish.butt)
    return tuple(
        _step(now, int(shot), arrows, wish, is_safe=bool(opened[shot]))
        for shot in shots
        for arrows in ARROWS
    )


def _next_group(now: Prospect, wish: Wish, most_arrows: int, own: Flags) -> tuple[int, int] | None:
    """The group to shoot next: a rung of the ladder, or the one that narrows most.

    As long as trust in what is wanted would rest on too near a hit, the farthest open shot is
    made with the fewest arrows, from the archer's own places if one of them climbs; then the
    own one that narrows the worst wanted mark most for its arrows.
    """
    opened = open_shots(now.cloud, now.ladder, wish.butt)
    if not opened.any() or most_arrows < RUNG:
        return None
    if now.ladder.carries_m < now.seen.wanted_m[-1] - CLOSE_M:
        farther = now.seen.shot_m > now.ladder.hit_m + CLOSE_M
        for rungs in (opened & farther & own, opened & farther):
            if rungs.any():
                return int(np.flatnonzero(rungs)[-1]), RUNG
        if not (farther & (now.seen.shot_m <= now.ladder.farthest_m + CLOSE_M)).any():
            return None  # more arrows here open nothing: a place is missing
    best, choice = 0.0, None
    worst = now.seen.wanted_sd_m.max()
    for shot in np.flatnonzero(opened & own):
        for arrows in (some for some in ARROWS if some <= most_arrows):
            left = after_group(now.seen, int(shot), arrows).wanted_sd_m.max()
            worth = float(np.log(worst / left)) / (arrows + WALK)
            if worth > best:
                best, choice = worth, (int(shot), arrows)
    return choice


def plan_session(
    now: Prospect, wish: Wish, most_arrows: int, least_groups: int = 0, own: Flags | None = None
) -> tuple[tuple[Step, ...], Prospect]:
    """Groups to shoot until the farthest wanted distance is trusted, and how things stand then.

    Parameters
    ----------
    now : Prospect
        As things stand.
    wish : Wish
        Tolerance, butt and trust.
    most_arrows : int
        Arrows before fatigue. [-]
    least_groups : int, default 0
        Groups to plan even if the aim looks reached: the draws may know better. [-]
    own : (c,) array of bool, optional
        Which shots stand at the archer's own places; the others are made only where a rung is
        missing. Absent: all.

    Returns
    -------
    tuple of Step, Prospect
        In the order to shoot them; it may end short of the aim when arrows run out or no shot
        is open. And what is expected after the last.
    """
    steps: list[Step] = []
    left = most_arrows
    own = np.ones(len(now.seen.shot_m), np.bool_) if own is None else own
    while len(steps) < MOST_GROUPS:
        is_there = now.trusted_m(wish) >= now.seen.wanted_m[-1] - CLOSE_M
        if is_there and len(steps) >= least_groups:
            break
        chosen = _next_group(now, wish, left, own)
        if chosen is None:
            break
        shot, arrows = chosen
        steps.append(_step(now, shot, arrows, wish, is_safe=True))
        now = now.after(shot, arrows)
        left -= arrows
    return tuple(steps), now


def near_group(now: Prospect, wish: Wish, own: Flags) -> tuple[Step, ...]:
    """The farthest open shot alone, with the fewest arrows; one of the archer's own if any is open.

    Parameters
    ----------
    now : Prospect
        As things stand.
    wish : Wish
        Tolerance, butt and trust.
    own : (c,) array of bool
        Which shots stand at the archer's own places.

    Returns
    -------
    tuple of Step
        One, or none.
    """
    opened = open_shots(now.cloud, now.ladder, wish.butt)
    for shots in (np.flatnonzero(opened & own), np.flatnonzero(opened)):
        if len(shots):
            return (_step(now, int(shots[-1]), RUNG, wish, is_safe=True),)
    return ()


def first_shot(posterior: Posterior, distance_m: float, butt: Butt, ladder: Ladder) -> FirstShot:
    """A first arrow at a distance not shot before.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    distance_m : float
        The distance. [m]
    butt : Butt
        Aimed at in its middle.
    ladder : Ladder
        What has been hit.

    Returns
    -------
    FirstShot
        What to dial, where it lands, how tall the butt must be, and whether it may be shot.

    Source
    ------
    docs/physics.md eq. (8.14).
    """
    seen = landings(posterior, [distance_m])
    return FirstShot(
        distance_m,
        float(np.median(drawn_marks(posterior, [distance_m]))),
        seen.below(0, 0.05),
        seen.below(0, 0.95),
        seen.butt_height_m(0, 0.95),
        seen.butt_height_m(0, 0.99),
        seen.chance(0, butt),
        bool(open_shots(seen, ladder, butt)[0]),
    )


def walk_back(now: Prospect, wish: Wish) -> tuple[Step, ...]:
    """The chain of distances to a first far shot, each open once the one before was shot.

    Parameters
    ----------
    now : Prospect
        As things stand; its farthest shot is the far one.
    wish : Wish
        Tolerance, butt and trust.

    Returns
    -------
    tuple of Step
        Groups of two, the far shot's own the last; short of it when no chain leads there.
    """
    last = len(now.seen.shot_m) - 1
    steps: list[Step] = []
    nearest = 0
    while nearest <= last:
        shots = np.flatnonzero(open_shots(now.cloud, now.ladder, wish.butt))
        if not len(shots) or shots[-1] < nearest:
            break
        steps.append(_step(now, int(shots[-1]), RUNG, wish, is_safe=True))
        now = now.after(int(shots[-1]), RUNG)
        nearest = int(shots[-1]) + 1
    return tuple(steps)
