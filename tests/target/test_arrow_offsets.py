"""Numbered arrows: layouts worked by hand. Source: least squares of a two-way layout, by hand."""

import numpy as np
import pytest

from tapewright.target.arrow_offsets import (
    Layout,
    lay_out,
    odds_of_off,
    offset_to_tell,
    own_offset,
    pool_offsets,
)


def flat(information, offset, freedoms=np.inf):
    """A layout of one axis whose dispersion is 1."""
    return Layout(np.array(information), np.array(offset)[:, None], 1.0, freedoms)


# Three arrows, each twice, in two groups of all: 2 (I - 1/3)
PAIRED = [[4 / 3, -2 / 3, -2 / 3], [-2 / 3, 4 / 3, -2 / 3], [-2 / 3, -2 / 3, 4 / 3]]


def test_what_groups_share_falls_out():
    own = np.array([[0.0, 0.3], [0.6, -0.3], [-0.6, 0.0]])
    centres = np.array([[5.0, 1.0], [-2.0, 4.0]])
    groups, arrows = np.repeat([0, 1], 3), np.array([0, 1, 2, 2, 0, 1])
    found = lay_out(own[arrows] + centres[groups], groups, arrows)
    assert found.information == pytest.approx(np.array(PAIRED))
    assert found.offset * found.scale == pytest.approx(own)
    assert found.freedoms == 2.0  # six shots, two centres, two differences


def test_a_wild_shot_is_held_down():
    rng = np.random.default_rng(4)
    groups, arrows = np.repeat(np.arange(8), 4), np.tile(np.arange(4), 8)
    xy = rng.normal(0.0, 1e-3, (32, 2))
    sound = lay_out(xy, groups, arrows)
    xy[5] += 0.05
    wild = lay_out(xy, groups, arrows)
    assert np.abs(wild.offset * wild.scale - sound.offset * sound.scale).max() < 1.5e-3  # of 6e-3
    assert wild.scale < 2.0 * sound.scale
    assert sound.scale == pytest.approx(1e-3, rel=0.25)


def test_too_few_shots_tell_nothing():
    assert lay_out(np.zeros((3, 2)), [0, 0, 0], [0, 1, 2]) is None
    assert lay_out(np.zeros((0, 2)), [], []) is None


def test_scatter_that_a_few_shots_do_not_tell_is_taken_from_all():
    few, groups, arrows = np.array([[4.0, 0.0], [1.0, 0.0], [1.0, 2.0]]), [0, 0, 0], [0, 1, 2]
    found = lay_out(few, groups, arrows, Layout(np.eye(4), np.zeros((4, 2)), 0.5, 3.0))
    assert (found.scale, found.freedoms) == (0.5, 3.0)
    assert found.offset[0] == pytest.approx([4.0, -4 / 3])  # (2, −2/3) from the mean, in halves


def test_an_arrow_by_itself_is_told_from_the_mean_of_the_others():
    offset, sd = own_offset(flat(PAIRED, [2.0, -1.0, -1.0]), 0)
    assert offset == pytest.approx([3.0])
    assert sd == pytest.approx((1 / 2 + 1 / 4) ** 0.5)  # a mean of two, less one of four


def test_offsets_are_drawn_together_by_what_the_set_is_alike():
    found = pool_offsets(flat(PAIRED, [2.0, -1.0, -1.0]), [1.0])
    assert found.offset[:, 0] == pytest.approx([4 / 3, -2 / 3, -2 / 3])  # 1/(1 + 1/2) of each
    assert found.sd == pytest.approx((2 / 3 * 1 / 3) ** 0.5)
    assert found.weight == pytest.approx([1.0])


def test_a_spread_believed_less_weighs_less():
    layout = flat(PAIRED, [0.0, 0.0, 0.0])
    even, less = (pool_offsets(layout, [0.1, 1.0], prior) for prior in (None, [3.0, 1.0]))
    ratio = even.weight[0] / even.weight[1]
    assert ratio == pytest.approx((1.5 / 0.51), rel=1e-9)  # two differences of variance 0.5 + t²
    assert less.weight[0] / less.weight[1] == pytest.approx(3.0 * ratio)


def test_odds_are_a_ratio_of_two_gaussians():
    offset, spread = np.array([4.0, -2.0, -2.0]), 0.5
    odds = odds_of_off(flat(PAIRED, offset, 1e9), [spread])
    alike = (0.5 + spread**2) * (np.eye(3) - 1 / 3)
    away = np.array([2 / 3, -1 / 3, -1 / 3])  # arrow 0 alone, from the mean of all
    off = alike + 4.0 * np.outer(away, away)  # two dispersions, squared

    def log_density(covariance):
        inverse = np.linalg.pinv(covariance, hermitian=True)
        told = np.linalg.eigvalsh(covariance)[1:]
        return -0.5 * (np.log(told).sum() + offset @ inverse @ offset)

    assert np.log(odds[0]) == pytest.approx(log_density(off) - log_density(alike), rel=1e-6)
    assert odds[0] > odds[1] > 1.0


def test_a_dispersion_that_is_hardly_known_holds_odds_down():
    sure, unsure = (odds_of_off(flat(PAIRED, [4.0, -2.0, -2.0], one))[0] for one in (1e9, 3.0))
    assert sure > 3.0 * unsure > 3.0


def test_of_an_arrow_that_was_shot_alone_nothing_is_told():
    alone = [[1.0, -1.0, 0.0], [-1.0, 1.0, 0.0], [0.0, 0.0, 0.0]]
    layout = flat(alone, [1.0, -1.0, 0.0], 10.0)
    assert odds_of_off(layout)[2] == pytest.approx(1.0)
    assert offset_to_tell(layout, 2, 9.0) == np.inf
    assert np.isfinite(offset_to_tell(layout, 0, 9.0))


def test_what_no_group_compares_is_as_doubtful_as_before_and_moves_nothing():
    alone = [[1.0, -1.0, 0.0], [-1.0, 1.0, 0.0], [0.0, 0.0, 0.0]]
    layout = flat(alone, [1.0, -3.0, 2.0])
    assert own_offset(layout, 0)[0] == pytest.approx([4.0])  # from its one fellow alone
    offset, sd = own_offset(layout, 2)
    assert (offset.tolist(), sd) == ([0.0], 2.0)  # as far as one that is off may be
    assert pool_offsets(layout, [0.3]).sd[2] == pytest.approx(0.3 * (2 / 3) ** 0.5)


def test_more_shots_tell_smaller_offsets():
    few, many = (flat(np.array(PAIRED) * times, [0.0] * 3) for times in (1.0, 10.0))
    assert offset_to_tell(many, 0, 9.0) < 0.6 * offset_to_tell(few, 0, 9.0)
    assert offset_to_tell(few, 0, 900.0) > offset_to_tell(few, 0, 9.0)
