"""Broadheads: what broadheads shot beside field points tell of both, in one fit.

Every draw of the field points' bow has a fellow that shoots broadheads: steered by an angle of its
own up and to the right, with a drag and a speed of its own. Where the broadheads hit moves both
together, as a Gaussian would be moved: what they have in common is learnt from both, and what
parts them from what differs.

Holds:  the Paired and Landed records; draws of both points, how each broadhead group fits them;
        the chance that marks serve broadheads; how many more arrows would tell.
Never:  what broadheads were before an arrow (field/change.py), how far they may be shot
        (ladder.py), verdicts, sentences.
Source: docs/physics.md eq. (8.56) to (8.58); docs/sources.md [EVENSEN].
"""

from dataclasses import dataclass, replace
from math import nan, sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import stdtr

from tapewright.calibration.evidence import INFORMATION
from tapewright.calibration.misfit import steered_by
from tapewright.calibration.observation import Observation
from tapewright.calibration.unknowns import SIDE_NAMES
from tapewright.calibration.windage import MOVED_IN_SESSION
from tapewright.confidence.bands import drawn_marks, spread_of_marks
from tapewright.confidence.checks import GroupCheck
from tapewright.confidence.misses import Misses, misses_of
from tapewright.confidence.posterior import Posterior
from tapewright.confidence.signatures import DOUBT_FREEDOMS

Floats = NDArray[np.float64]

LEAST_GROUPS = 2  # that must be left for one to be odd among them
ENDS_M = (18.288, 54.864)  # between which nothing is asked here


@dataclass(frozen=True)
class Paired:
    """Field points and broadheads, draw by draw.

    Parameters
    ----------
    field, broadheads : Posterior
        Of the one, and of the other; each draw of one belongs to that of the other.
    groups : tuple of GroupCheck
        The broadhead groups, each judged as if the fit had not seen it.
    """

    field: Posterior
    broadheads: Posterior
    groups: tuple[GroupCheck, ...] = ()

    def steering_rad(self) -> Floats:
        """By which angles broadheads leave higher and more to the right, up to the sign; (d, 2)."""
        unknowns = self.field.calibration.evidence.prior.unknowns
        places = [unknowns.place(name) for name in ("zero_tangent", "windage")]
        return np.asarray((self.broadheads.vectors - self.field.vectors)[:, places])


def side_by_side(field: Posterior, pairs: NDArray[np.bool_], rng: np.random.Generator) -> Posterior:
    """Draws of a windage that was left alone between groups shot beside broadheads.

    Parameters
    ----------
    field : Posterior
        Of the calibration with field points.
    pairs : (g,) array of bool
        Which of its groups were shot so: between two of them that follow each other the windage
        was moved no oftener than in one session.
    rng : numpy random Generator
        Chance.

    Returns
    -------
    Posterior
        The same but for windage and sideways offset.

    Source
    ------
    docs/physics.md eq. (7.11), (8.56).
    """
    evidence, unknowns = field.calibration.evidence, field.calibration.evidence.prior.unknowns
    turns = evidence.turns
    is_pair = pairs[turns.order]
    together = is_pair & np.concatenate([[False], is_pair[:-1]])
    moved = np.where(together, np.minimum(turns.moved, MOVED_IN_SESSION), turns.moved)
    if not together.any():
        return field
    vectors = field.vectors.copy()
    known = steered_by(replace(evidence, turns=replace(turns, moved=moved)), vectors)
    drawn = known.drawn(rng.standard_normal((len(vectors), 2)))
    for name, values in zip(SIDE_NAMES, drawn, strict=True):
        vectors[:, unknowns.place(name)] = values
    return replace(field, vectors=vectors)


def paired(
    field: Posterior, cloud: Floats, shot: tuple[Observation, ...], rng: np.random.Generator
) -> Paired:
    """Both points after broadheads were shot.

    Parameters
    ----------
    field : Posterior
        Of the calibration with field points.
    cloud : (d, u) array
        For each of its draws that of a bow that shoots broadheads, before one was shot.
    shot : tuple of Observation
        Broadhead groups; may be empty.
    rng : numpy random Generator
        Chance.

    Returns
    -------
    Paired
        In the order of the draws.

    Source
    ------
    docs/physics.md eq. (8.56): the update of an ensemble by perturbed observations [EVENSEN].
    Groups that do not fit the others are left out of it, as long as two are left.
    """
    believed = replace(field, vectors=cloud)
    shot = tuple(one for one in shot if one.group.counted)
    if not shot:
        return Paired(field, believed)
    misses = misses_of(believed, shot, ENDS_M)
    odd = np.zeros(len(shot), np.bool_)
    checks = _checks(misses, odd)
    while len(shot) - odd.sum() > LEAST_GROUPS:
        worst = max(np.flatnonzero(~odd), key=lambda at: checks[at].surprise)
        if not checks[worst].is_odd:
            break
        odd[worst] = True
        checks = _checks(misses, odd)
    seen = misses.measured & ~np.tile(odd, 2)
    drawn, missed = misses.drawn_rad[:, seen], misses.miss_rad[seen]
    covariance = misses.covariance[np.ix_(seen, seen)]
    own = covariance - np.cov(drawn.T)
    states = np.concatenate([field.vectors, cloud], axis=1)
    together = (states - states.mean(axis=0)).T @ (drawn - drawn.mean(axis=0)) / (len(drawn) - 1)
    luck = rng.standard_normal(drawn.shape) @ np.linalg.cholesky(own).T
    moved = states + (missed - drawn - luck) @ np.linalg.solve(covariance, together.T)
    here, there = np.split(moved, 2, axis=1)
    return Paired(replace(field, vectors=here), replace(believed, vectors=there), checks)


def _checks(misses: Misses, odd: NDArray[np.bool_]) -> tuple[GroupCheck, ...]:
    """Every group against all that the others tell of it, those that are odd left out, eq. (8.9).

    Scatter and wobble are those of field points, known as well as ``DOUBT_FREEDOMS`` says.
    """
    shot, covariance = misses.evidence.observations, misses.covariance
    checks = []
    for place, one in enumerate(shot):
        own = np.array([place + len(shot), place])  # right, up
        own = own[misses.measured[own]]
        others = misses.measured & ~np.tile(odd, 2)
        others[[place, place + len(shot)]] = False
        known = np.flatnonzero(others)
        gain = np.linalg.solve(covariance[np.ix_(known, known)], covariance[np.ix_(known, own)])
        left = covariance[np.ix_(own, own)] - covariance[np.ix_(own, known)] @ gain
        off = misses.miss_rad[own] - misses.miss_rad[known] @ gain
        far2 = float(off @ np.linalg.solve(left, off))
        chance = (1.0 + far2 / DOUBT_FREEDOMS) ** (-0.5 * DOUBT_FREEDOMS)  # both sides seen
        if len(own) == 1:
            chance = 2.0 * float(stdtr(DOUBT_FREEDOMS, -sqrt(far2)))
        off_m = dict(zip(own.tolist(), (off * one.distance_m).tolist(), strict=True))
        right_m, up_m = (off_m.get(at, nan) for at in (place + len(shot), place))
        checks.append(GroupCheck.judged(one, right_m, up_m, chance, len(shot)))
    return tuple(checks)


@dataclass(frozen=True)
class Landed:
    """Where broadheads land from where they are aimed, at n distances.

    Parameters
    ----------
    distance_m : (n,) array
        Distances, growing. [m]
    up_m, right_m : (d, n) array
        Of each draw, from the aim up, and from where field points hit to the right. [m]
    """

    distance_m: Floats
    up_m: Floats
    right_m: Floats

    def within(self, tolerance_m: float) -> Floats:
        """Chance that no distance up to each misses by more than a tolerance; (n,). [-]"""
        inside = np.hypot(self.up_m, self.right_m) <= tolerance_m
        return np.asarray(np.logical_and.accumulate(inside, axis=1).mean(axis=0))


def landed(
    found: Paired, told: Posterior, distance_m: ArrayLike, probability: float = 0.9
) -> Landed:
    """Where broadheads land with marks that were told of one of the two, or before either.

    Parameters
    ----------
    found : Paired
        Of both.
    told : Posterior
        Whose likeliest marks are dialled.
    distance_m : (n,) array
        Distances, growing. [m]
    probability : float, default 0.9
        Of the marks' bands. [-]

    Returns
    -------
    Landed
        Draw by draw.

    Source
    ------
    docs/physics.md eq. (8.57).
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    marks = drawn_marks(found.broadheads, distance)
    dialled = spread_of_marks(told, distance, probability)
    across = found.steering_rad()[:, 1:] * distance
    return Landed(distance, (dialled.reading_m - marks) * dialled.up_per_reading, across)


def is_steered(found: Paired, least: float) -> bool:
    """Whether broadheads are steered beyond doubt.

    Parameters
    ----------
    found : Paired
        Of both.
    least : float
        Square of how many of its errors the steering must be away from none. [-]

    Returns
    -------
    bool
        Up and right together.
    """
    drawn = found.steering_rad()
    mean = drawn.mean(axis=0)
    return bool(mean @ np.linalg.solve(np.cov(drawn.T), mean) >= least)


def arrows_to_tell(
    found: Paired, at_m: float, tolerance_m: float, each: int, most: int, least: float
) -> int | None:
    """How many more broadheads would likely tell.

    Parameters
    ----------
    found : Paired
        Of both.
    at_m : float
        For which distance it is asked. [m]
    tolerance_m : float
        What may be missed there. [m]
    each, most : int
        Arrows of a group, and of all groups together at most. [-]
    least : float
        As for ``is_steered``.

    Returns
    -------
    int or None
        Whole groups' arrows; None: even the most would not.

    Source
    ------
    docs/physics.md eq. (8.58).
    """
    drawn, unknowns = found.steering_rad(), found.field.calibration.evidence.prior.unknowns
    scatter, wobble = (
        float(np.exp(np.median(unknowns.column(found.field.vectors, name))))
        for name in ("log_dispersion_up", "log_wobble")
    )
    variance = float(np.trace(np.cov(drawn.T))) / 2.0
    off, edge = float(np.hypot(*drawn.mean(axis=0))), tolerance_m / at_m
    own = scatter**2 / (INFORMATION * each) + wobble**2
    for groups in range(1, most // each + 1):
        left = 1.0 / (1.0 / variance + groups / own)
        if off + 1.3 * sqrt(left) <= edge or off**2 / left >= least + 2.0:
            return groups * each
    return None
