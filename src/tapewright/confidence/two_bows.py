"""Two bows: trust in a tape whose arrows may have come from two of them.

A proof that was taken into a calibration came from the bow of the calibration, or from one that
had changed: another zero, another arrow. Both are kept, with their odds: marks of draws that know
all arrows, and marks of draws for which the later arrows speak of the changed bow alone.

Holds:  from which group on arrows may be another bow's; the odds of that; marks of all draws.
Never:  the marks that are told, which stay those of all arrows; sentences.
Source: docs/physics.md §8.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tapewright.calibration.observation import Observation
from tapewright.confidence.bands import Spread, banded_anew, drawn_marks
from tapewright.confidence.checks import Caution
from tapewright.confidence.diagnosis import FAR_M, NEAR_M, POSSIBLE, Open, causes_of
from tapewright.confidence.misses import Misses, misses_of
from tapewright.confidence.posterior import Posterior
from tapewright.confidence.signatures import shapes_on_tape

Floats = NDArray[np.float64]

# Causes after which the tape of all arrows is not the tape of the bow as it is: a span, too, for a
# calibration that was wrong by more than it doubted is not mended by a mean with what is right.
MOVE_MARKS = ("zero", "height", "span", "speed", "drag or air", "one distance")
LEAST_ODDS = 1e-3  # of one that is counted at all


@dataclass(frozen=True)
class TwoBows:
    """What speaks for two bows.

    Parameters
    ----------
    misses : Misses
        Of the later arrows against the tape of those before.
    moved : tuple of Open
        Causes after which marks are others, with their odds.
    """

    misses: Misses
    moved: tuple[Open, ...]

    @property
    def odds(self) -> float:
        """That arrows of two bows were mixed. [-]"""
        return sum(one.cause.odds for one in self.moved if one.cause.name != "span")


def proved_from(observations: Sequence[Observation]) -> int:
    """From which group on arrows may have come from another bow.

    Parameters
    ----------
    observations : sequence of Observation
        The groups, in the order in which they were taken in.

    Returns
    -------
    int
        The first group of the last proof that was taken in; 0 when there is none, or nothing
        before it.
    """
    proved = [one.proved for one in observations]
    begun = [place for place in range(1, len(proved)) if proved[place] and not proved[place - 1]]
    return begun[-1] if begun else 0


def two_bows(before: Posterior, later: tuple[Observation, ...]) -> TwoBows:
    """Odds that later arrows came from another bow than those before.

    Parameters
    ----------
    before : Posterior
        Draws that know the arrows before.
    later : tuple of Observation
        The groups since.

    Returns
    -------
    TwoBows
        With the causes that move marks.

    Source
    ------
    docs/physics.md eq. (8.15), (8.42).
    """
    seen = tuple(one for one in later if one.group.counted)
    misses = misses_of(before, seen, (NEAR_M, FAR_M))
    found = causes_of(misses)
    moved = (one for one in found if one.cause.name in MOVE_MARKS and one.cause.odds > LEAST_ODDS)
    return TwoBows(misses, tuple(moved))


def two_bows_cautions(found: TwoBows | None) -> tuple[Caution, ...]:
    """That arrows of two bows may have been mixed; none where nothing speaks for it.

    Parameters
    ----------
    found : TwoBows or None
        What speaks for two; None: no proof was taken in.

    Returns
    -------
    tuple of Caution
        None or one: the odds.
    """
    if found is None or found.odds < POSSIBLE:
        return ()
    others = (one.cause for one in found.moved if one.cause.name != "span")
    first = max(others, key=lambda cause: cause.odds).name
    return (Caution("two bows", first, (found.odds,)),)


def with_two_bows(spread: Spread, found: TwoBows, pin: int, rng: np.random.Generator) -> Spread:
    """Marks of all draws when some of them are of a bow that had changed.

    Parameters
    ----------
    spread : Spread
        Of the marks, all arrows taken as one bow's.
    found : TwoBows
        What speaks for two.
    pin : int
        Which pin is aimed with. [-]
    rng : numpy random Generator
        Chance.

    Returns
    -------
    Spread
        The same marks; bands and draws hold the doubt.

    Source
    ------
    docs/physics.md eq. (8.42).
    """
    draws = len(spread.marks_m)
    clouds = [
        _marks_if(spread, found.misses, one, pin, rng)[: round(one.cause.odds * draws)]
        for one in found.moved
    ]
    kept = draws - sum(map(len, clouds))
    alike = spread.marks_m[rng.permutation(draws)[:kept]]
    return banded_anew(replace(spread, marks_m=np.concatenate([alike, *clouds])))


def _marks_if(
    spread: Spread, misses: Misses, one: Open, pin: int, rng: np.random.Generator
) -> Floats:
    """Marks of the changed bow: every draw with a change of its own, led to what was seen."""
    signature, seen = one.signature, misses.measured
    marks = drawn_marks(misses.posterior, spread.distance_m, pin)
    draws, groups, count = len(marks), misses.evidence.groups, len(spread.distance_m)
    there = shapes_on_tape(misses, spread.distance_m)[signature.law][:count]
    size = signature.usual * rng.standard_normal(draws)
    free = signature.free_rad * rng.standard_normal((draws, 2))
    up = size[:, None] * there + free[:, :1]
    changed = marks - up * spread.distance_m / spread.up_per_reading
    luck = rng.multivariate_normal(
        np.zeros(2 * groups), misses.covariance - np.cov(misses.drawn_rad.T), draws, method="eigh"
    )
    would = (
        misses.drawn_rad + size[:, None] * signature.shape + np.repeat(free, groups, axis=1) + luck
    )
    would = would[:, seen]
    away = would - would.mean(axis=0)
    shared = away.T @ (changed - changed.mean(axis=0)) / (draws - 1.0)
    gain = np.linalg.solve(np.cov(away.T).reshape(len(shared), -1), shared)
    led = changed + (misses.miss_rad[seen] - would) @ gain
    return np.asarray(led[rng.permutation(draws)])
