"""Posterior: draws of everything that could be true, given arrows and sheet.

The posterior is curved, so a Gaussian about the best fit misstates it. Draws come from adaptive
importance sampling; when their weights are not good enough, a sequential Monte Carlo takes over,
and the answer says so.

Holds:  the Posterior record, and the draws.
Never:  weights of arrows (calibration/misfit.py), the samplers (sampling.py), bands (bands.py).
Source: docs/physics.md §8; docs/sources.md [AMIS], [SMC].
"""

from dataclasses import dataclass, replace
from functools import cached_property
from math import nan

import numpy as np
from numpy.typing import NDArray

from tapewright.calibration.evidence import Evidence
from tapewright.calibration.fit import Calibration, Place
from tapewright.calibration.hills import hills_of, is_contradictory
from tapewright.calibration.misfit import log_posterior, steered_by
from tapewright.calibration.unknowns import SIDE_NAMES, Unknowns
from tapewright.confidence.sampling import (
    DRAWS,
    MOST_ROUNDS,
    WeightedDraws,
    draw_by_importance,
    draw_sequentially,
    lower_root,
    resampled,
)
from tapewright.ground.errors import LaunchUnreachable
from tapewright.ground.units import YARD_M
from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import flat_fire_tangent, sight_angle

Floats = NDArray[np.float64]

ONE_HILL = 6  # rounds of draws; sound groups are done after three
NODES = 20  # of Chebyshev; marks between them to 0.0003 mm, docs/accuracy.md
CURVE_FROM_M, CURVE_TO_M = 2.5, 120.0
FAR_M = np.array([80.0])  # a far mark
COUNTED_FROM_M = 20.0 * YARD_M  # with no arrow shot, this distance reads 0


@dataclass(frozen=True, repr=False)
class Posterior:
    """Equally likely versions of the truth.

    Parameters
    ----------
    calibration : Calibration
        What was fitted.
    vectors : (d, u) array
        Draws of the unknowns, all of equal weight.
    effective_draws : float
        Independent draws that the weighted set was worth. [-]
    tail_shape : float
        Pareto shape of the largest weights; nan when no weights were used. [-]
    method : str
        ``"prior"``, ``"carried"`` (from another rig, without an arrow of its own),
        ``"importance sampling"`` or ``"sequential Monte Carlo"``.

    Example
    -------
    >>> from tapewright.api import Arrow, Belief, Rig, calibrate
    >>> rig = Rig("Heron", Arrow(mass_kg=Belief(0.0272), shaft_diameter_m=0.006))
    >>> calibrate(rig, (), [20.0]).posterior
    <Posterior: 2000 draws of 11 unknowns by prior, worth 2000>
    """

    calibration: Calibration
    vectors: Floats
    effective_draws: float
    tail_shape: float
    method: str

    def __repr__(self) -> str:
        draws, unknowns = self.vectors.shape
        what = f"{draws} draws of {unknowns} unknowns by {self.method}"
        return f"<Posterior: {what}, worth {self.effective_draws:.0f}>"

    def bows(self) -> SightedBow:
        """Every draw as a bow, for ``mark`` and ``impact``.

        Returns
        -------
        SightedBow
            Fields of shape (d, 1): marks for n distances come as (d, n).
        """
        return self.calibration.evidence.prior.unknowns.bow(self.vectors)

    @property
    def is_set_by_eye(self) -> bool:
        """Whether no arrow or typed mark ever tied scale and flight, nor before a change."""
        if self.method == "carried":
            return not self.calibration.evidence.prior.is_zeroed
        return self.method == "prior"

    @cached_property
    def tangent_curves(self) -> Floats | None:
        """Chebyshev coefficients of distance × tangent, level, for every draw; (d, NODES).

        Solved exactly at the nodes; between them it is a polynomial, as near as makes no
        difference: docs/physics.md eq. (8.5). None when an arrow does not fly so far.
        """
        bow = self.bows()
        cosines = np.cos(np.pi * (np.arange(NODES) + 0.5) / NODES)
        nodes_m = 0.5 * (CURVE_TO_M + CURVE_FROM_M) + 0.5 * (CURVE_TO_M - CURVE_FROM_M) * cosines
        order = np.arange(NODES)
        fit = np.cos(np.outer(np.arccos(cosines), order)) * (2.0 - (order == 0)) / NODES
        try:
            heights = nodes_m * np.tan(sight_angle(bow, nodes_m))
        except LaunchUnreachable:
            return None
        return np.asarray(np.einsum("dn,nk->dk", heights, fit))  # no threads woken


def _zeroed(calibration: Calibration, vectors: Floats) -> Floats:
    """Beliefs without an arrow: every bow's reading is counted from its own near mark."""
    unknowns = calibration.evidence.prior.unknowns
    vectors = vectors.copy()
    vectors[:, unknowns.place("zero_tangent")] = 0.0
    scale = unknowns.bow(vectors).scale
    wanted = np.tan(sight_angle(unknowns.bow(vectors), np.array([COUNTED_FROM_M])))
    zero_m = (wanted - scale.tangent(0.0)) / scale.by_zero(0.0)
    vectors[:, unknowns.place("zero_tangent")] = (zero_m / scale.reading_per_tangent_m)[:, 0]
    return vectors


@dataclass(frozen=True, slots=True)
class _Straightened:
    """Coordinates in which the posterior is nearly a standard Gaussian, eq. (8.11).

    Arrows fix the difference between what the scale and what the flight say at a middling
    group, not the zero. That difference takes the zero's place; the change is a shear and
    leaves densities as they are.
    """

    unknowns: Unknowns
    distance_m: Floats  # of the middling group, (1,)
    reading_m: float
    middle: Floats
    root: Floats
    shear: Floats

    def zero_tangent(self, vectors: Floats) -> Floats:
        """Zero tangent with which the middling group is nearly hit, (d,)."""
        bow = self.unknowns.bow(vectors)
        scale_says = self.reading_m / bow.scale.reading_per_tangent_m
        return np.asarray(scale_says - flat_fire_tangent(bow, self.distance_m))[..., 0]

    def hill(self, hill: Place) -> tuple[Floats, Floats]:
        """Middle and root of a hill in the straight coordinates."""
        zero = self.unknowns.place("zero_tangent")
        away = hill.vector - self.middle
        away[zero] -= self.zero_tangent(hill.vector)
        inverse = np.linalg.inv(self.root)
        sd = np.sqrt(np.diag(hill.covariance))  # unknowns of very unlike units
        root = sd[:, None] * lower_root(hill.covariance / np.outer(sd, sd))
        turned = inverse @ self.shear @ root
        return inverse @ away, lower_root(turned @ turned.T)

    def vectors(self, points: Floats) -> Floats:
        """Vectors of unknowns at points of the straight coordinates, (d, u)."""
        vectors = self.middle + np.einsum("dk,uk->du", points, self.root)
        with np.errstate(all="ignore"):  # an absurd draw has no weight, no voice
            vectors[:, self.unknowns.place("zero_tangent")] += self.zero_tangent(vectors)
        return np.asarray(vectors)


def _straightened(calibration: Calibration) -> _Straightened:
    evidence, best = calibration.evidence, calibration.best
    unknowns, sd = evidence.prior.unknowns, evidence.prior.sd
    zero = unknowns.place("zero_tangent")
    middling = int(np.argsort(evidence.distance_m)[evidence.groups // 2])
    distance_m, reading_m = evidence.distance_m[[middling]], float(evidence.reading_m[middling])
    bare = _Straightened(unknowns, distance_m, reading_m, best, np.eye(1), np.eye(1))
    steps = 1e-4 * np.diag(sd)
    shear = np.eye(len(best))
    ahead, behind = bare.zero_tangent(best + steps), bare.zero_tangent(best - steps)
    shear[zero] -= (ahead - behind) / (2e-4 * sd)
    middle = best.copy()
    middle[zero] -= bare.zero_tangent(best)
    sides = [unknowns.place(name) for name in SIDE_NAMES]  # integrated out: as they are believed
    middle[sides] = evidence.prior.mean[sides]
    root = lower_root(shear @ calibration.covariance @ shear.T)
    return replace(bare, middle=middle, root=root, shear=shear)


def _equally_likely(
    straight: _Straightened, found: WeightedDraws, rng: np.random.Generator
) -> Floats:
    """Draws of equal weight, taken along their far marks so that hills keep their shares."""
    possible = np.flatnonzero(found.weights > 0.0)
    vectors, weights = straight.vectors(found.points[possible]), found.weights[possible]
    bow = straight.unknowns.bow(vectors)
    tangent = flat_fire_tangent(bow, FAR_M) + straight.unknowns.column(vectors, "zero_tangent")
    order = np.argsort((bow.scale.reading_per_tangent_m * tangent)[:, 0])
    taken = order[resampled(weights[order], DRAWS, rng)]
    return np.asarray(vectors[rng.permutation(taken)])


def _steered(calibration: Calibration, vectors: Floats, rng: np.random.Generator) -> Floats:
    """Draws with the windage and sideways offset that each leaves open after the last group."""
    evidence = calibration.evidence
    drawn = steered_by(evidence, vectors).drawn(rng.standard_normal((len(vectors), 2)))
    for name, values in zip(SIDE_NAMES, drawn, strict=True):
        vectors[:, evidence.prior.unknowns.place(name)] = values
    return vectors


def _on_told_scale(evidence: Evidence, cloud: Floats, rng: np.random.Generator) -> Floats:
    """Draws carried over, with the zero of the scale of which marks are told; eq. (7.16)."""
    steps, unknowns = evidence.steps, evidence.prior.unknowns
    if steps is None:
        return cloud
    laid_m = rng.standard_normal((len(cloud), len(steps.sd_m))) * steps.sd_m
    gain_m = unknowns.direction * np.exp(unknowns.column(cloud, "log_gain"))
    moved = cloud.copy()
    moved[:, unknowns.place("zero_tangent")] -= (laid_m @ steps.of_prior) / gain_m[:, 0]
    return moved


def _hills(straight: _Straightened, place: Place) -> list[tuple[Floats, Floats]]:
    """Middles and roots, in the straight coordinates, of where else the truth may be."""
    return [straight.hill(there) for there in hills_of(place)]


def draw_posterior(calibration: Calibration, rng: np.random.Generator) -> Posterior:
    """Draws of all that could be true.

    Parameters
    ----------
    calibration : Calibration
        A finished fit.
    rng : numpy random Generator
        Chance, handed in: the same seed gives the same draws.

    Returns
    -------
    Posterior
        Equally likely vectors, and how good the sampling was.

    Source
    ------
    docs/physics.md §8; [AMIS], [SMC].
    """
    evidence = calibration.evidence
    if not evidence.groups and evidence.prior.cloud is not None:  # the old rig's zero is known
        cloud = _on_told_scale(evidence, evidence.prior.cloud, rng)
        return Posterior(calibration, cloud, float(len(cloud)), nan, "carried")
    if not evidence.groups:
        normal = rng.standard_normal((DRAWS, len(calibration.best)))
        vectors = calibration.best + normal @ lower_root(calibration.covariance).T
        return Posterior(calibration, _zeroed(calibration, vectors), float(DRAWS), nan, "prior")
    straight = _straightened(calibration)

    def target(points: Floats) -> Floats:
        return log_posterior(evidence, straight.vectors(points))

    dimension = len(calibration.best)
    place = Place(evidence, calibration.best, calibration.covariance, calibration.steps_m)
    hills = _hills(straight, place) if is_contradictory(place) else []
    found = draw_by_importance(target, dimension, rng, hills, MOST_ROUNDS if hills else ONE_HILL)
    if not found.is_good and not hills:
        hills = _hills(straight, place)
        found = draw_by_importance(target, dimension, rng, hills)
    if found.is_good:
        if hills:
            vectors = _equally_likely(straight, found, rng)
        else:
            vectors = straight.vectors(found.points[resampled(found.weights, DRAWS, rng)])
        vectors = _steered(calibration, vectors, rng)
        return Posterior(calibration, vectors, found.effective, found.shape, "importance sampling")
    points, distinct = draw_sequentially(target, dimension, rng)
    vectors = _steered(calibration, straight.vectors(points), rng)
    return Posterior(calibration, vectors, distinct, found.shape, "sequential Monte Carlo")
