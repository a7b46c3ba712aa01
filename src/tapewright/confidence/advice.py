"""Advice: what to shoot next, and where the first far arrow will land.

Holds:  the Step and FirstShot records; what one group would buy; a session's plan; a first far
        shot, and the distances to walk back through to it.
Never:  the Gaussian picture behind it (outlook.py), sentences, changes to a calibration.
Source: docs/physics.md §8.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtri

from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.outlook import (
    Butt,
    Outlook,
    after_group,
    chance_on_butt,
    landings,
    outlook,
)
from tapewright.confidence.posterior import Posterior

Floats = NDArray[np.float64]

SAFE_ON_BUTT = 0.95
ARROWS = (3, 4, 5, 6)  # of a group worth the walk
WALK = 1.5  # arrows' worth of trouble that a group costs beside its arrows
MARGIN = 0.93  # of the tolerance: the real criterion also asks about all marks at once
MOST_GROUPS = 30


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
    trusted_m : float
        Trusted distance to be expected afterwards; 0 for none. [m]
    band_m : float
        Half of the band at the farthest wanted distance to be expected afterwards. [m]
    """

    distance_m: float
    arrows: int
    chance: float
    trusted_m: float
    band_m: float

    @property
    def is_safe(self) -> bool:
        """Whether the arrows land on the butt surely enough to be shot at all."""
        return self.chance >= SAFE_ON_BUTT


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
    """

    distance_m: float
    reading_m: float
    low_m: float
    high_m: float
    height_95_m: float
    height_99_m: float
    chance: float

    @property
    def is_safe(self) -> bool:
        """Whether the arrow lands on the butt surely enough to be shot at all."""
        return self.chance >= SAFE_ON_BUTT


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


def _step(seen: Outlook, shot: int, arrows: int, wish: Wish) -> Step:
    later = after_group(seen, shot, arrows)
    return Step(
        float(seen.shot_m[shot]),
        arrows,
        chance_on_butt(seen, shot, wish.butt),
        expected_trust(later, wish),
        half_band(later, wish),
    )


def candidates(seen: Outlook, wish: Wish) -> tuple[Step, ...]:
    """What one more group would buy, for every shot and size of group.

    Parameters
    ----------
    seen : Outlook
        What is not known.
    wish : Wish
        Tolerance, butt and trust.

    Returns
    -------
    tuple of Step
        By distance, then arrows; unsafe ones included, with their chance to land on the butt.
    """
    return tuple(
        _step(seen, shot, arrows, wish) for shot in range(len(seen.shot_m)) for arrows in ARROWS
    )


def _best_group(seen: Outlook, butt: Butt, most_arrows: int) -> tuple[int, int] | None:
    """The safe group that narrows the worst wanted mark most for its arrows."""
    best, choice = 0.0, None
    worst = seen.wanted_sd_m.max()
    for shot in range(len(seen.shot_m)):
        if chance_on_butt(seen, shot, butt) < SAFE_ON_BUTT:
            continue
        for arrows in (some for some in ARROWS if some <= most_arrows):
            left = after_group(seen, shot, arrows).wanted_sd_m.max()
            worth = float(np.log(worst / left)) / (arrows + WALK)
            if worth > best:
                best, choice = worth, (shot, arrows)
    return choice


def plan_session(
    seen: Outlook, wish: Wish, most_arrows: int, least_groups: int = 0
) -> tuple[Step, ...]:
    """Groups to shoot until the farthest wanted distance is trusted.

    Each group is the safe one that narrows the worst mark most for its arrows, given those
    before it.

    Parameters
    ----------
    seen : Outlook
        What is not known now.
    wish : Wish
        Tolerance, butt and trust.
    most_arrows : int
        Arrows before fatigue. [-]
    least_groups : int, default 0
        Groups to plan even if the aim looks reached: the draws may know better. [-]

    Returns
    -------
    tuple of Step
        In the order to shoot them; it may end short of the aim when arrows run out or no shot
        is safe.
    """
    steps: list[Step] = []
    left = most_arrows
    while len(steps) < MOST_GROUPS:
        is_there = expected_trust(seen, wish) >= seen.wanted_m[-1]
        if is_there and len(steps) >= least_groups:
            break
        chosen = _best_group(seen, wish.butt, left)
        if chosen is None:
            break
        shot, arrows = chosen
        steps.append(_step(seen, shot, arrows, wish))
        seen = after_group(seen, shot, arrows)
        left -= arrows
    return tuple(steps)


def first_shot(posterior: Posterior, distance_m: float, butt: Butt) -> FirstShot:
    """A first arrow at a distance not shot before.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    distance_m : float
        The distance. [m]
    butt : Butt
        Aimed at in its middle.

    Returns
    -------
    FirstShot
        What to dial, where it lands, how tall the butt must be.

    Source
    ------
    docs/physics.md eq. (8.14).
    """
    seen = outlook(posterior, [distance_m], [distance_m])
    _, up = landings(seen, 0)
    low, high = np.quantile(up, [0.05, 0.95])
    half_95, half_99 = np.quantile(np.abs(up), [0.95, 0.99])
    return FirstShot(
        distance_m,
        float(np.median(drawn_marks(posterior, [distance_m]))),
        float(low),
        float(high),
        2.0 * float(half_95),
        2.0 * float(half_99),
        chance_on_butt(seen, 0, butt),
    )


def walk_back(posterior: Posterior, distance_m: ArrayLike, wish: Wish) -> tuple[Step, ...]:
    """The chain of distances to a first far shot, each safe once the one before was shot.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    distance_m : (c,) array
        Distances to choose from, growing; the last is the far one. [m]
    wish : Wish
        Tolerance, butt and trust.

    Returns
    -------
    tuple of Step
        Groups of three, the far shot's own the last; short of it when no chain leads there.
    """
    seen = outlook(posterior, distance_m, distance_m)
    last = len(seen.shot_m) - 1
    steps: list[Step] = []
    nearest = 0
    while nearest <= last:
        safe = [
            shot
            for shot in range(nearest, last + 1)
            if chance_on_butt(seen, shot, wish.butt) >= SAFE_ON_BUTT
        ]
        if not safe:
            break
        steps.append(_step(seen, safe[-1], ARROWS[0], wish))
        seen = after_group(seen, safe[-1], ARROWS[0])
        nearest = safe[-1] + 1
    return tuple(steps)
