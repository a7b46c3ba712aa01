"""Both samplers against densities whose moments are known in closed form.

Source: a Gaussian's own mean, spread and quantiles; a Gaussian bent along a parabola (x, y + b
(x² − 1)), whose moments follow from those of the Gaussian: docs/physics.md §8. Own derivation.
The Pareto shape against numbers drawn from Pareto laws of known shape.
"""

import numpy as np
import pytest
from scipy.stats import genpareto, norm

from tapewright.confidence.sampling import (
    draw_by_importance,
    draw_sequentially,
    effective_size,
    tail_shape,
)

DIMENSION = 6
MEAN = np.array([0.5, -0.4, 0.3, 0.0, -0.2, 0.1])


def covariance():
    turn = np.linalg.qr(np.random.default_rng(4).standard_normal((DIMENSION, DIMENSION)))[0]
    return (turn * np.array([0.5, 0.7, 1.0, 1.2, 1.5, 2.0]) ** 2) @ turn.T


def gaussian(points):
    away = points - MEAN
    return -0.5 * np.einsum("ij,jk,ik->i", away, np.linalg.inv(covariance()), away)


BEND = 0.6


def bent(points):
    straight = points.copy()
    straight[:, 1] -= BEND * (straight[:, 0] ** 2 - 1)
    return -0.5 * np.square(straight).sum(axis=1)


def by_importance(target):
    found = draw_by_importance(target, DIMENSION, np.random.default_rng(8))
    assert found.is_good
    return found.points, found.weights / found.weights.sum()


def by_sequence(target):
    points, distinct = draw_sequentially(target, DIMENSION, np.random.default_rng(8))
    assert distinct > 1500
    return points, np.full(len(points), 1 / len(points))


SAMPLERS = {"importance sampling": by_importance, "sequential Monte Carlo": by_sequence}


@pytest.mark.parametrize("name", SAMPLERS)
def test_a_gaussian_is_drawn_as_it_is(name, ledger):
    points, weights = SAMPLERS[name](gaussian)
    sd = np.sqrt(np.diag(covariance()))
    mean = weights @ points
    spread = np.sqrt(weights @ (points - mean) ** 2)
    off = max(np.abs((mean - MEAN) / sd).max(), np.abs(spread / sd - 1).max())
    # 2,000 draws leave 2 % of a deviation, the worst of twelve numbers three times that; the
    # walk of the sequential sampler leaves its draws related.
    ledger(f"mean and spread by {name}", "Gaussian in closed form", 12, off, 0.12, "deviations")


@pytest.mark.parametrize("name", SAMPLERS)
def test_a_bent_gaussian_is_drawn_as_it_is(name, ledger):
    points, weights = SAMPLERS[name](bent)
    mean = weights @ points[:, 1]
    spread = np.sqrt(weights @ (points[:, 1] - mean) ** 2)
    wanted = np.sqrt(1 + 2 * BEND**2)
    off = max(abs(mean) / wanted, abs(spread / wanted - 1))
    ledger(f"bent density by {name}", "its closed form", 2, off, 0.12, "deviations")


def test_a_normal_quantile_comes_out(ledger):
    points, weights = by_importance(gaussian)
    order = np.argsort(points[:, 0])
    share = np.cumsum(weights[order])
    sd = np.sqrt(covariance()[0, 0])
    found = np.interp([0.05, 0.5, 0.95], share, points[order, 0])
    off = np.abs((found - MEAN[0]) / sd - norm.ppf([0.05, 0.5, 0.95])).max()
    ledger("quantiles 5, 50, 95 %", "SciPy's normal law", 3, off, 0.15, "deviations")


@pytest.mark.parametrize("shape", [0.2, 0.5, 0.9])
def test_the_tail_shape_of_known_laws_is_found(shape, ledger):
    rng = np.random.default_rng(3)
    found = [tail_shape(genpareto.rvs(shape, size=6000, random_state=rng)) for _ in range(200)]
    # 230 values in the tail give the shape to about 0.1; the mean of two hundred to 0.01, but for
    # the pull toward one half.
    off = abs(np.mean(found) - shape)
    ledger(f"Pareto shape {shape}", "SciPy's generalised Pareto law", 200, off, 0.06, "of shape")


def test_equal_weights_are_worth_their_number():
    assert effective_size(np.ones(500)) == pytest.approx(500)
    assert tail_shape(np.ones(500)) == -np.inf
