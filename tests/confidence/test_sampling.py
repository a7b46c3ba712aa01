"""Samplers on densities that are awkward on purpose; known moments are in tests/outside."""

import numpy as np
import pytest

from tapewright.confidence.sampling import (
    draw_by_importance,
    draw_sequentially,
    effective_size,
    lower_root,
    resampled,
    tail_shape,
)
from tapewright.ground.errors import CalibrationFailed

DRAWS = 2000  # handed on, equally weighted
ENOUGH = 2000.0  # effective draws


def standard(points):
    return -0.5 * np.square(points).sum(axis=1)


def two_hills(points):
    """Two Gaussians six deviations apart along the first axis, one thrice as heavy."""
    one = -0.5 * np.square(points - 3 * np.eye(points.shape[1])[0]).sum(axis=1)
    two = -0.5 * np.square(points + 3 * np.eye(points.shape[1])[0]).sum(axis=1)
    return np.logaddexp(np.log(0.75) + one, np.log(0.25) + two)


def fence(points):
    """A Gaussian of which half is impossible."""
    return np.where(points[:, 0] > 0, standard(points), -np.inf)


def test_an_easy_density_needs_few_rounds():
    found = draw_by_importance(standard, 4, np.random.default_rng(1))
    assert found.is_good
    assert len(found.points) <= 3000


def test_giving_up_is_said():
    found = draw_by_importance(two_hills, 12, np.random.default_rng(1), most_rounds=1)
    assert not found.is_good
    assert found.effective < ENOUGH


def test_the_same_seed_gives_the_same_points():
    runs = [draw_by_importance(two_hills, 3, np.random.default_rng(7)) for _ in range(2)]
    assert (runs[0].points == runs[1].points).all()
    assert (runs[0].weights == runs[1].weights).all()


@pytest.mark.parametrize("sequential", [False, True])
def test_neither_of_two_hills_is_lost(sequential):
    rng = np.random.default_rng(3)
    if sequential:
        points, _ = draw_sequentially(two_hills, 3, rng)
        weights = np.full(len(points), 1 / len(points))
    else:
        found = draw_by_importance(two_hills, 3, rng)
        points, weights = found.points, found.weights / found.weights.sum()
    share = weights[points[:, 0] > 0].sum()
    assert share == pytest.approx(0.75, abs=0.06)  # the sequential draws are related


@pytest.mark.parametrize("sequential", [False, True])
def test_impossible_places_get_no_draw(sequential):
    rng = np.random.default_rng(3)
    if sequential:
        points, _ = draw_sequentially(fence, 3, rng)
        weights = np.ones(len(points))
    else:
        found = draw_by_importance(fence, 3, rng)
        points, weights = found.points, found.weights
    assert weights[points[:, 0] <= 0].sum() == 0
    mean = (weights / weights.sum()) @ points[:, 0]
    assert mean == pytest.approx(np.sqrt(2 / np.pi), abs=0.06)  # of half a Gaussian


def test_sequential_draws_start_from_afar_and_arrive():
    far = 4.0
    points, distinct = draw_sequentially(
        lambda at: -0.5 * np.square((at - far) / 0.1).sum(axis=1), 2, np.random.default_rng(1)
    )
    assert points.shape == (DRAWS, 2)
    assert distinct > 0.5 * DRAWS
    assert points.mean(axis=0) == pytest.approx([far, far], abs=0.02)
    assert points.std(axis=0) == pytest.approx([0.1, 0.1], rel=0.15)


def test_effective_size_of_one_heavy_draw_is_one():
    assert effective_size(np.array([1.0, 0.0, 0.0])) == 1
    assert effective_size(np.array([2.0, 2.0])) == 2


def test_the_tail_of_one_heavy_draw_is_not_trusted():
    weights = np.full(1000, 1e-6)
    weights[3] = 1.0
    assert tail_shape(weights) > 0.7


def test_weights_all_alike_have_no_tail():
    assert tail_shape(np.ones(500)) == -np.inf


def test_resampling_keeps_shares_to_one_draw():
    weights = np.array([0.5, 0.25, 0.25, 0.0])
    counts = np.bincount(resampled(weights, 1000, np.random.default_rng(1)), minlength=4)
    assert np.abs(counts - 1000 * weights).max() <= 1
    assert counts[3] == 0


def test_a_root_is_a_root():
    covariance = np.array([[4.0, 1.0], [1.0, 0.5]])
    root = lower_root(covariance)
    assert root @ root.T == pytest.approx(covariance, rel=1e-6)
    assert root[0, 1] == 0


def test_a_singular_covariance_still_has_a_root():
    assert np.isfinite(lower_root(np.ones((3, 3)))).all()


def test_a_way_without_an_end_is_given_up(monkeypatch):
    monkeypatch.setattr("tapewright.confidence.sampling.MOST_STAGES", 3)

    def needle(at):
        return -0.5 * np.square(at / 1e-6).sum(axis=1)

    with pytest.raises(CalibrationFailed, match="Check distance and reading of each group"):
        draw_sequentially(needle, 2, np.random.default_rng(1))


def far_hills(points):
    """Two Gaussians thirty deviations apart: who starts on one never sees the other."""
    far = 30 * np.eye(points.shape[1])[0]
    return np.logaddexp(np.log(0.6) + standard(points), np.log(0.4) + standard(points - far))


def test_a_hill_that_is_told_has_its_share():
    hill = (30.5 * np.eye(6)[0], 1.3 * np.eye(6))
    found = draw_by_importance(far_hills, 6, np.random.default_rng(2), [hill])
    share = found.weights[found.points[:, 0] > 15].sum() / found.weights.sum()
    assert share == pytest.approx(0.4, abs=0.04)  # 2,000 draws tell it to 0.011
    alone = draw_by_importance(far_hills, 6, np.random.default_rng(2))
    assert alone.points[:, 0].max() < 20
