"""Diagnosis: why a proving session misses.

Each cause leaves its own signature over distance. Every cause is a hypothesis: misses are what
the calibration left open, plus noise, plus so much of that signature; the evidence for each, with
the size integrated out, gives odds.

Holds:  the Cause, Proof and Verdict records; odds, sizes, which causes stay possible.
Never:  sentences, changes to a calibration.
Source: docs/physics.md §8.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.calibration.observation import Observation
from tapewright.confidence.misses import Misses, misses_of
from tapewright.confidence.posterior import Posterior
from tapewright.confidence.signatures import Signature, nothing, signatures, weigh
from tapewright.confidence.telling import telling_distance
from tapewright.ground.units import YARD_M

Floats = NDArray[np.float64]

NEAR_M, FAR_M = 20.0 * YARD_M, 60.0 * YARD_M  # between which a strip is measured unless said
CHANCE_OF_NOTHING = 0.42  # before the session; common practice, no source
# A wrong peg or dial is the commonest gross error; speed is two things, a bow and an arrow.
OFTEN = {"one distance": 6.0, "speed": 2.0}
FAMILIES = {"span": "far marks", "drag or air": "far marks"}  # alike, but for still farther groups
POSSIBLE = 0.05  # odds from which a rival is named
SURELY_NOTHING = 0.8  # odds of nothing from which no rival is
# What says that arrows are those of the calibration's bow, with the odds of both together from
# which the tape is blamed when that comes first.
TAPE = {"nothing": 0.5, "span": 0.9}


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that may be wrong, found or not.

    Parameters
    ----------
    name : str
        ``"nothing"`` or one of the names in ``USUAL``.
    odds : float
        Probability that this and nothing else is wrong. [-]
    size, low, high : float
        How much of it, with its 90 % band: angle by which arrows fly high for zero and right for
        windage [rad], length by which they lie high for height and right for sideways [m],
        how much longer the true strip is [m], by what share drag or speed is greater [-], how
        much farther one distance truly is [m], top of the bow to the right for wind or cant,
        right end of the level ahead for third axis [rad].
    group : int or None
        First group at the wrong distance, for one distance.
    """

    name: str
    odds: float
    size: float = 0.0
    low: float = 0.0
    high: float = 0.0
    group: int | None = None


@dataclass(frozen=True, slots=True)
class Proof:
    """One group of a proving session against the tape.

    Parameters
    ----------
    name : str
        The group.
    distance_m : float
        As shot. [m]
    miss_right_m, miss_up_m : float
        Robust centre minus what the calibration promises; nan if not measured. [m]
    doubt_right_m, doubt_up_m : float
        One standard deviation of that when nothing is wrong. [m]
    """

    name: str
    distance_m: float
    miss_right_m: float
    miss_up_m: float
    doubt_right_m: float
    doubt_up_m: float


@dataclass(frozen=True)
class Verdict:
    """What a proving session says.

    Parameters
    ----------
    proofs : tuple of Proof
        The groups.
    causes : tuple of Cause
        Likeliest first; their odds add up to 1.
    telling_m : float or None
        Distance at which one more group would best tell the first two families apart; None when
        no rival is left, or one of them is up and down and the other sideways. [m]
    told_from : str
        The rival from which that group tells the first; empty without one.
    """

    proofs: tuple[Proof, ...]
    causes: tuple[Cause, ...]
    telling_m: float | None
    told_from: str = ""

    @property
    def families(self) -> tuple[tuple[str, float], ...]:
        """Odds of what can be told apart, likeliest first; causes that look alike go together."""
        odds: dict[str, float] = {}
        for cause in self.causes:
            family = family_of(cause)
            odds[family] = odds.get(family, 0.0) + cause.odds
        return tuple(sorted(odds.items(), key=lambda item: -item[1]))

    @property
    def found(self) -> Cause:
        """The likeliest cause of the likeliest family."""
        first = self.families[0][0]
        return next(one for one in self.causes if family_of(one) == first)

    @property
    def rivals(self) -> tuple[tuple[str, float], ...]:
        """Families that stay possible beside the first, likeliest first."""
        (first, odds), *others = self.families
        if first == "nothing" and odds >= SURELY_NOTHING:
            return ()
        return tuple(one for one in others if one[1] >= POSSIBLE)

    @property
    def is_the_tapes(self) -> bool:
        """Whether odds say that the tape, if anything, was wrong, and not the equipment."""
        odds = sum(cause.odds for cause in self.causes if cause.name in TAPE)
        return odds >= TAPE.get(self.found.name, 2.0)


def family_of(cause: Cause) -> str:
    """Name of the family of a cause; its own where nothing looks like it."""
    return FAMILIES.get(cause.name, cause.name)


@dataclass(frozen=True, slots=True)
class Open:
    """A cause with the signature that speaks for it.

    Parameters
    ----------
    cause : Cause
        With its odds.
    signature : Signature
        Of the likelier law, where a cause has two.
    """

    cause: Cause
    signature: Signature


def causes_of(misses: Misses) -> tuple[Open, ...]:
    """Odds and size of everything that may be wrong, likeliest first.

    Parameters
    ----------
    misses : Misses
        Of the session.

    Returns
    -------
    tuple of Open
        Nothing among them; their odds add up to 1.

    Source
    ------
    docs/physics.md eq. (8.15), (8.40).
    """
    tried = signatures(misses)
    shares = _shares([one.cause for one in tried])
    every = [nothing(misses), *tried]
    weighed = [weigh(misses, one) for one in every]
    log_odds = np.log([CHANCE_OF_NOTHING, *shares])
    log_odds += np.array([one.log_evidence for one in weighed])
    odds = np.exp(log_odds - log_odds.max())
    odds /= odds.sum()
    found: dict[tuple[str, int | None], list[Open]] = {}
    for signature, one, chance in zip(every, weighed, odds, strict=True):
        ends = one.size - one.half, one.size + one.half
        cause = Cause(signature.cause, float(chance), one.size, *ends, signature.group)
        found.setdefault((cause.name, cause.group), []).append(Open(cause, signature))
    ranked = [_together(laws) for laws in found.values()]
    return tuple(sorted(ranked, key=lambda one: -one.cause.odds))


def _together(laws: list[Open]) -> Open:
    """Laws of one cause: their odds added up, the size that of the likeliest."""
    first = max(laws, key=lambda one: one.cause.odds)
    return replace(first, cause=replace(first.cause, odds=sum(one.cause.odds for one in laws)))


def _shares(names: list[str]) -> Floats:
    """Chance of each hypothesis before the session; those of one name share that of the name."""
    counts = {name: OFTEN.get(name, 1.0) for name in names}
    each = np.array([counts[name] / names.count(name) for name in names])
    return np.asarray((1.0 - CHANCE_OF_NOTHING) * each / sum(counts.values()))


def _telling(misses: Misses, found: tuple[Open, ...], verdict: Verdict, tried_m: Floats) -> Verdict:
    """The verdict with the group that parts the first family from the likeliest rival it can."""
    names = [name for name, _ in (verdict.families[0], *verdict.rivals)]
    first, *rivals = (
        next(one.signature for one in found if family_of(one.cause) == name) for name in names
    )
    for name, rival in zip(names[1:], rivals, strict=True):
        told_m = telling_distance(misses, first, rival, tried_m)
        if told_m is not None:
            return replace(verdict, telling_m=told_m, told_from=name)
    return verdict


def prove(
    posterior: Posterior,
    shot: tuple[Observation, ...],
    tried_m: ArrayLike = (),
    ends_m: tuple[float, float] = (NEAR_M, FAR_M),
) -> Verdict:
    """What a proving session says of the tape.

    Parameters
    ----------
    posterior : Posterior
        Draws of the calibration that the tape was made from.
    shot : tuple of Observation
        The session's groups; none of them may be part of the calibration.
    tried_m : (n,) array
        Distances at which one more group could be shot. [m]
    ends_m : (float, float)
        Near and far distance between which the strip is measured. [m]

    Returns
    -------
    Verdict
        Causes with odds and sizes, likeliest first.

    Raises
    ------
    LaunchUnreachable
        If the calibration's bow cannot throw an arrow so far.

    Source
    ------
    docs/physics.md eq. (8.15), (8.16), (8.40), (8.41).
    """
    misses = misses_of(posterior, shot, ends_m)
    distance_m = misses.evidence.distance_m
    found = causes_of(misses)
    doubts = np.sqrt(np.diag(misses.covariance)).reshape(2, -1) * distance_m
    missed = np.where(misses.measured, misses.miss_rad, np.nan).reshape(2, -1) * distance_m
    proofs = tuple(
        Proof(
            one.group.name,
            one.distance_m,
            float(missed[1, place]),
            float(missed[0, place]),
            float(doubts[1, place]),
            float(doubts[0, place]),
        )
        for place, one in enumerate(shot)
    )
    verdict = Verdict(proofs, tuple(one.cause for one in found), None)
    tried = np.asarray(tried_m, dtype=np.float64)
    return _telling(misses, found, verdict, tried)
