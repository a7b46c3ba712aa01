"""Sampling: draws from a density that is roughly a standard Gaussian.

Adaptive importance sampling with a mixture of Student-t, and sequential Monte Carlo for when the
weights of the first are not good enough.

Holds:  both samplers; effective size and Pareto shape of weights.
Never:  arrows, bows; BLAS for the many draws: einsum wakes no threads, and rounds alike
        whatever the machine.
Source: docs/physics.md §8; docs/sources.md [AMIS], [PSIS], [ZS09], [SMC].
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import lgamma, log, pi, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from tapewright.ground.errors import CalibrationFailed

Floats = NDArray[np.float64]
LogDensity = Callable[[Floats], Floats]

ENOUGH = 2000.0  # effective draws
LEAST_OF_HILLS = 500.0  # still better than going on: an end of a band off by a thirtieth of it
WORST_SHAPE = 0.7  # of the Pareto tail; beyond, weights cannot be trusted [PSIS]
ROUND = 1500  # draws a round
MOST_ROUNDS = 12
ROUNDS_OF_HILLS = 8
COMPONENTS = 3
THIN = 0.005  # share below which a component more is let go
NEGLIGIBLE = 1e-3  # weight, over the largest, that moves no component
FREEDOMS = 8.0  # of each component
DRAWS = 2000  # handed on, equally weighted
MOST_STAGES = 100  # of sequential Monte Carlo; twenty where groups contradict each other badly


@dataclass(frozen=True)
class _Mixture:
    """Student-t components in whitened coordinates."""

    share: Floats  # (k,)
    mean: Floats  # (k, u)
    root: Floats  # (k, u, u), lower triangular

    def log_density(self, points: Floats) -> Floats:
        """Of the whole mixture at (d, u) points."""
        parts, _ = self.log_parts(points)
        top = parts.max(axis=1)
        return np.asarray(top + np.log(np.exp(parts - top[:, None]).sum(axis=1)))

    def log_parts(self, points: Floats) -> tuple[Floats, Floats]:
        """Of each component, its share included, and how far the points lie from it, (d, k)."""
        u = points.shape[1]
        half = 0.5 * (FREEDOMS + u)
        constant = lgamma(half) - lgamma(0.5 * FREEDOMS) - 0.5 * u * log(FREEDOMS * pi)
        far2 = self._far2(points)
        columns = [
            constant
            + np.log(share)
            - np.log(np.diag(root)).sum()
            - half * np.log1p(far2[:, place] / FREEDOMS)
            for place, (share, root) in enumerate(zip(self.share, self.root, strict=True))
        ]
        return np.stack(columns, axis=1), far2

    def _far2(self, points: Floats) -> Floats:
        """Squared distance of (d, u) points from each component, in its own measure, (d, k)."""
        lying = np.ascontiguousarray(points.T)  # long rows: a third of the time
        columns = []
        for mean, root in zip(self.mean, self.root, strict=True):
            away = np.einsum("uk,kd->ud", np.linalg.inv(root), lying - mean[:, None])
            columns.append(np.einsum("ud,ud->d", away, away))
        return np.stack(columns, axis=1)

    def draw(self, count: int, rng: np.random.Generator) -> Floats:
        """Points from the mixture, (count, u)."""
        u = self.mean.shape[1]
        which = rng.choice(len(self.share), size=count, p=self.share)
        normal = rng.standard_normal((count, u))
        stretch = np.sqrt(FREEDOMS / rng.chisquare(FREEDOMS, size=count))
        turned = np.einsum("dij,dj->di", self.root[which], normal)
        return np.asarray(self.mean[which] + turned * stretch[:, None])


def even_normals(count: int) -> Floats:
    """Standard normal numbers spread as evenly as so many can be, in a mixed order.

    Parameters
    ----------
    count : int
        How many. [-]

    Returns
    -------
    (count,) array
        The same each time. [-]
    """
    place = np.arange(count)
    return np.asarray(ndtri((place + 0.5) / count)[place * 1237 % count])


def effective_size(weights: Floats) -> float:
    """How many equal draws a weighted set is worth.

    Parameters
    ----------
    weights : (d,) array
        Any positive scale.

    Returns
    -------
    float
        (Σw)² / Σw². [-]

    Source
    ------
    docs/physics.md eq. (8.2).
    """
    return float(weights.sum() ** 2 / np.square(weights).sum())


def tail_shape(weights: Floats) -> float:
    """Pareto shape of the largest weights: below 0.7 their averages can be trusted.

    Parameters
    ----------
    weights : (d,) array
        Any positive scale.

    Returns
    -------
    float
        Shape k of a generalised Pareto law; −∞ for weights that are all alike. [-]

    Source
    ------
    docs/physics.md eq. (8.3); [PSIS] §2; the estimator is that of [ZS09].
    """
    count = len(weights)
    tail = int(min(0.2 * count, 3.0 * sqrt(count)))
    largest = np.sort(weights)[-tail - 1 :]
    excess = largest[1:] - largest[0]
    if excess[-1] <= 1e-12 * largest[-1]:
        return -np.inf
    excess = np.maximum(excess, 1e-300)
    trials = 30 + int(sqrt(tail))
    step = 1.0 - np.sqrt(trials / (np.arange(1, trials + 1) - 0.5))
    theta = 1.0 / excess[-1] + step / (3.0 * excess[int(tail / 4.0 + 0.5) - 1])
    shape = np.log1p(-theta[:, None] * excess).mean(axis=1)
    height = tail * (np.log(-theta / shape) - shape - 1.0)
    share = np.exp(height - height.max())
    best = float((theta * share).sum() / share.sum())
    found = float(np.log1p(-best * excess).mean())
    return (found * tail + 0.5 * 10.0) / (tail + 10.0)  # [PSIS] appendix: drawn toward ½


def _softened(log_weights: Floats, wanted: float, most: float = 1.0) -> tuple[Floats, float]:
    """Weights raised to the largest power that keeps so many effective, and that power."""
    steps = log_weights - log_weights.max()
    if effective_size(np.exp(most * steps)) >= wanted:
        return np.asarray(np.exp(most * steps)), most
    low, high = 0.0, most
    for _ in range(30):
        middle = 0.5 * (low + high)
        if effective_size(np.exp(middle * steps)) >= wanted:
            low = middle
        else:
            high = middle
    return np.asarray(np.exp(low * steps)), low


def _refitted(
    mixture: _Mixture, points: Floats, weights: Floats, rng: np.random.Generator
) -> _Mixture:
    """The mixture moved toward weighted points, by steps of expectation and maximisation."""
    weights = weights / weights.sum()
    if len(mixture.share) > COMPONENTS:
        counted = weights > NEGLIGIBLE * weights.max()
        points, weights = points[counted], weights[counted] / weights[counted].sum()
    lying = np.ascontiguousarray(points.T)  # long rows: a third of the time
    centre = np.einsum("d,ud->u", weights, lying)
    away = lying - centre[:, None]
    whole = np.einsum("ud,vd->uv", away * weights, away)
    if len(mixture.share) == 1:
        seeds = points[rng.choice(len(points), size=COMPONENTS, p=weights)]
        share = np.full(COMPONENTS, 1.0 / COMPONENTS)
        root = np.repeat(lower_root(whole)[None], COMPONENTS, axis=0)
        mixture = _Mixture(share, 0.5 * (seeds + centre), root)
    u = points.shape[1]
    for _ in range(2 if len(mixture.share) <= COMPONENTS else 1):
        parts, far2 = mixture.log_parts(points)
        belong = np.exp(parts - parts.max(axis=1, keepdims=True))
        belong *= (weights / belong.sum(axis=1))[:, None]
        shares: list[float] = []
        means: list[Floats] = []
        roots: list[Floats] = []
        for k in range(len(mixture.share)):
            some = np.maximum(belong[:, k], 1e-200)  # of a component that nothing belongs to, too
            pull = some * (FREEDOMS + u) / (FREEDOMS + far2[:, k])
            mass = some.sum()
            mean = np.einsum("d,ud->u", pull, lying) / pull.sum()
            apart = lying - mean[:, None]
            own = np.einsum("ud,vd->uv", apart * pull, apart) / mass
            trust = mass / (mass + 0.05)  # a thin component leans on the whole cloud
            shares.append(float(mass))
            means.append(mean)
            roots.append(lower_root(trust * own + (1.0 - trust) * whole))
        share = np.array(shares)
        count = max(COMPONENTS, int((share > THIN).sum()))
        kept = np.sort(np.argsort(-share)[:count])
        total = share[kept] + 0.01
        mixture = _Mixture(total / total.sum(), np.array(means)[kept], np.array(roots)[kept])
    return mixture


def lower_root(covariance: Floats) -> Floats:
    """Lower triangular root of a covariance, kept from being singular.

    Parameters
    ----------
    covariance : (u, u) array
        Symmetric, not negative.

    Returns
    -------
    (u, u) array
        L with L Lᵀ the covariance.
    """
    floor = 1e-9 * np.trace(covariance) / len(covariance)
    return np.asarray(np.linalg.cholesky(covariance + floor * np.eye(len(covariance))))


def resampled(weights: Floats, count: int, rng: np.random.Generator) -> NDArray[np.intp]:
    """Systematic resampling.

    Parameters
    ----------
    weights : (d,) array
        Any positive scale.
    count : int
        How many equally weighted draws are wanted. [-]
    rng : numpy random Generator
        Chance.

    Returns
    -------
    (count,) array of int
        Their places among the weighted ones.
    """
    edges = np.cumsum(weights) / weights.sum()
    ticks = (np.arange(count) + rng.random()) / count
    return np.minimum(np.searchsorted(edges, ticks), len(weights) - 1)


@dataclass(frozen=True, slots=True)
class WeightedDraws:
    """Draws that count unequally.

    Parameters
    ----------
    points : (d, u) array
        The draws.
    weights : (d,) array
        Any positive scale. [-]
    effective : float
        Equal draws that the set is worth. [-]
    shape : float
        Pareto shape of the largest weights. [-]
    wanted : float, default 2000
        Equal draws that are enough. [-]
    """

    points: Floats
    weights: Floats
    effective: float
    shape: float
    wanted: float = ENOUGH

    @property
    def is_good(self) -> bool:
        """Whether there are enough draws and no few of them decide."""
        return self.effective >= self.wanted and self.shape < WORST_SHAPE


def _first_mixture(
    target: LogDensity, dimension: int, hills: Sequence[tuple[Floats, Floats]]
) -> _Mixture:
    """A component at the middle and on each hill, half of the shares by their heights."""
    starts = [(np.zeros(dimension), np.eye(dimension)), *hills]
    means, roots = (np.array(part) for part in zip(*starts, strict=True))
    share = np.ones(1)
    if hills:
        wide = np.log(np.diagonal(roots, axis1=1, axis2=2)).sum(axis=1)
        heights = np.maximum(target(means), -1e9) + wide
        share = np.exp(np.maximum(heights - heights.max(), -50.0))
        share = 0.5 * share / share.sum() + 0.5 / len(starts)
    return _Mixture(share, means, 1.1 * roots)


def draw_by_importance(
    target: LogDensity,
    dimension: int,
    rng: np.random.Generator,
    hills: Sequence[tuple[Floats, Floats]] = (),
    most_rounds: int = MOST_ROUNDS,
) -> WeightedDraws:
    """Adaptive importance sampling of a density that is roughly a standard Gaussian.

    Each round draws from a mixture fitted to all rounds before; every draw is weighted against
    the mixture of all rounds' proposals.

    Parameters
    ----------
    target : function of (d, u) giving (d,)
        Log density, up to a constant.
    dimension : int
        u. [-]
    rng : numpy random Generator
        Chance.
    hills : sequence of ((u,), (u, u)) arrays
        Middles and roots of covariances of places where the density may stand high, too.
    most_rounds : int
        When to give up. [-]

    Returns
    -------
    WeightedDraws
        Good ones if there were rounds enough.

    Source
    ------
    docs/physics.md eq. (8.1); [AMIS].
    """
    rounds = [_first_mixture(target, dimension, hills)]
    least, contented = (LEAST_OF_HILLS, ROUNDS_OF_HILLS) if hills else (ENOUGH, most_rounds)
    points = np.empty((0, dimension))
    log_target = np.empty(0)
    log_proposals = np.empty((0, 0))
    while True:
        fresh = rounds[-1].draw(ROUND, rng)
        older = [past.log_density(fresh) for past in rounds]
        newest = rounds[-1].log_density(points)
        log_proposals = np.vstack(
            [np.column_stack([log_proposals, newest]), np.column_stack(older)]
        )
        points = np.vstack([points, fresh])
        log_target = np.concatenate([log_target, target(fresh)])
        top = log_proposals.max(axis=1)
        mixed = top + np.log(np.exp(log_proposals - top[:, None]).mean(axis=1))
        log_weights = log_target - mixed
        weights = np.exp(log_weights - log_weights.max())
        drawn = WeightedDraws(points, weights, effective_size(weights), tail_shape(weights), least)
        is_enough = drawn.effective >= ENOUGH or len(rounds) >= contented
        if (drawn.is_good and is_enough) or len(rounds) == most_rounds:
            return drawn
        softened, _ = _softened(log_weights, 20.0 * dimension)
        rounds.append(_refitted(rounds[-1], points, softened, rng))


def draw_sequentially(
    target: LogDensity, dimension: int, rng: np.random.Generator
) -> tuple[Floats, float]:
    """Sequential Monte Carlo: particles led from a wide Gaussian to the target.

    Parameters
    ----------
    target : function of (d, u) giving (d,)
        Log density, up to a constant, roughly a standard Gaussian.
    dimension : int
        u. [-]
    rng : numpy random Generator
        Chance.

    Returns
    -------
    (d, u) array, float
        Equally weighted draws, and how many of them are distinct.

    Raises
    ------
    CalibrationFailed
        If the way there has no end: what was seen is too far from anything possible.

    Source
    ------
    docs/physics.md eq. (8.4); [SMC].
    """
    width = 2.0
    points = width * rng.standard_normal((DRAWS, dimension))
    # An impossible point has no power at which it counts half: start from the possible ones.
    points = points[resampled(np.isfinite(target(points)) * 1.0, DRAWS, rng)]
    power = 0.0
    log_start = -0.5 * np.square(points / width).sum(axis=1)
    log_target = target(points)
    for _ in range(MOST_STAGES):
        step = log_target - log_start
        weights, grown = _softened(step, 0.5 * DRAWS, 1.0 - power)
        power = min(power + grown, 1.0) if grown < 1.0 - power else 1.0
        chosen = resampled(weights, DRAWS, rng)
        points, log_start, log_target = points[chosen], log_start[chosen], log_target[chosen]
        root = lower_root(np.cov(points.T)) * 2.0 / sqrt(dimension)
        for _ in range(4 * dimension):
            trial = points + rng.standard_normal(points.shape) @ root.T
            trial_start = -0.5 * np.square(trial / width).sum(axis=1)
            trial_target = target(trial)
            gain = power * (trial_target - log_target) + (1 - power) * (trial_start - log_start)
            taken = np.log(rng.random(DRAWS)) < gain
            points[taken] = trial[taken]
            log_start[taken], log_target[taken] = trial_start[taken], trial_target[taken]
        if power >= 1.0:
            return points, float(len(np.unique(points[:, 0])))
    raise CalibrationFailed(
        "The groups contradict each other or the sheet so far that no bow comes near them all",
        "Check distance and reading of each group",
    )
