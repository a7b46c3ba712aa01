"""Broadheads beside field points: what steers them is found, with its side and its size."""

from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import group, groups, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.broadheads import (
    Landed,
    Paired,
    arrows_to_tell,
    is_steered,
    landed,
    paired,
    side_by_side,
)
from tapewright.confidence.posterior import draw_posterior
from tapewright.target.group import Group, Impact

SHEET = rig()
TRUTH = truth_near(SHEET)
AT_M = np.array([20.0, 40.0]) * YARD_M


@pytest.fixture(scope="module")
def field():
    shots = groups(SHEET, TRUTH, arrows=6)
    return draw_posterior(fit_bow(SHEET, shots), np.random.default_rng(1))


def cloud_of(field):
    """Steered by 1.5 mrad either way, and dragging 24 % more, as well as anybody knows."""
    unknowns, rng = field.calibration.evidence.prior.unknowns, np.random.default_rng(2)
    cloud = field.vectors.copy()
    for name, mean, sd in (
        ("zero_tangent", 0.0, 1.5e-3), ("windage", 0.0, 1.5e-3), ("log_drag", 0.21, 0.14),
    ):  # fmt: skip
        cloud[:, unknowns.place(name)] += mean + sd * rng.standard_normal(len(cloud))
    return cloud


def steered(yards, right=0.0, up=0.0, name="b", arrows=6):
    """A balanced group, moved by angles [mrad]."""
    one = group(SHEET, TRUTH, yards * YARD_M, arrows, name=name)
    by = 1e-3 * yards * YARD_M
    hits = tuple(
        replace(hit, right_m=hit.right_m + right * by, up_m=hit.up_m + up * by)
        for hit in one.group.impacts
    )
    return replace(one, group=Group(name, hits))


def after(field, *shot):
    return paired(field, cloud_of(field), shot, np.random.default_rng(3))


@pytest.mark.parametrize(("right", "up"), [(2.0, 0.0), (-1.2, 0.7), (0.0, -1.6)])
def test_what_steers_broadheads_is_found_on_its_side(field, right, up):
    found = after(field, *(steered(yards, right, up, f"b{yards}") for yards in (10, 20, 40)))
    there = landed(found, field, AT_M)
    # three groups of six at 0.6 mrad: 0.2 mrad, of which a twentieth is drawn toward none
    assert there.right_m.mean(axis=0) / AT_M == pytest.approx([1e-3 * right] * 2, abs=0.25e-3)
    assert there.up_m.mean(axis=0) / AT_M == pytest.approx([1e-3 * up] * 2, abs=0.35e-3)
    assert is_steered(found, 11.0)
    own = landed(found, found.broadheads, AT_M)
    assert np.median(own.up_m, axis=0) == pytest.approx([0.0, 0.0], abs=1e-6)
    assert not any(one.is_odd for one in found.groups)
    assert [one.name for one in found.groups] == ["b10", "b20", "b40"]


def test_one_group_draws_the_belief_as_two_gaussians_do(field):
    """By hand: 1.5² / (1.5² + 0.6² / (6 · 0.93) + 0.13² + 0.2²) of the 2 mrad seen."""
    found = after(field, steered(20, right=2.0))
    assert found.steering_rad()[:, 1].mean() == pytest.approx(1.9e-3, abs=0.15e-3)
    assert found.steering_rad()[:, 1].std() == pytest.approx(0.33e-3, abs=0.12e-3)


def test_before_a_broadhead_all_is_as_believed(field):
    cloud = cloud_of(field)
    missed = replace(steered(10), group=Group("m", (Impact(None, None, missed=True),)))
    for shot in ((), (missed,)):
        found = paired(field, cloud, shot, np.random.default_rng(3))
        assert found.field is field
        assert (found.broadheads.vectors == cloud).all()
        assert found.groups == ()
    assert not is_steered(found, 11.0)


def test_a_group_that_lies_elsewhere_is_called_odd_one_side_seen_or_both(field):
    good = [steered(yards, name=f"b{yards}") for yards in (10, 15, 20, 30)]
    far = steered(25, right=6.0, name="far")
    found = after(field, *good, far)
    assert [one.name for one in found.groups if one.is_odd] == ["far"]
    assert found.groups[-1].miss_right_m == pytest.approx(6e-3 * 25 * YARD_M, rel=0.1)
    assert abs(found.groups[-1].miss_up_m) < 0.02
    high = steered(25, up=6.0, name="high")
    hits = tuple(replace(hit, right_m=None) for hit in high.group.impacts)
    found = after(field, *good, replace(high, group=Group("high", hits)))
    (odd,) = (one for one in found.groups if one.is_odd)
    assert (odd.name, odd.arrows) == ("high", 6)
    assert np.isnan(odd.miss_right_m)
    assert odd.miss_up_m > 0.1


def test_marks_serve_as_far_as_no_nearer_distance_misses():
    up = np.array([[0.0, 0.03], [0.05, 0.0], [0.0, 0.0], [0.0, -0.04]])
    right = np.array([[0.0, 0.0], [0.0, 0.0], [0.01, -0.02], [0.0, 0.03]])
    served = Landed(AT_M, up, right)
    assert served.within(0.045).tolist() == [0.75, 0.5]  # the last misses by 0.05
    assert served.within(0.02).tolist() == [0.75, 0.25]


def test_a_windage_left_alone_beside_broadheads_is_better_known():
    shots = (*groups(SHEET, TRUTH, (20, 30, 40), arrows=3), steered(50, right=1.0, name="4"))
    few = draw_posterior(fit_bow(SHEET, shots), np.random.default_rng(1))
    rng, pairs = np.random.default_rng(4), np.ones(4, np.bool_)
    place = few.calibration.evidence.prior.unknowns.place("windage")
    alone = side_by_side(few, pairs, rng)
    was, now = few.vectors[:, place], alone.vectors[:, place]
    assert was.mean() > 0.6e-3 > now.mean()  # that it was moved before the last is hardly believed
    others = [one for one in range(few.vectors.shape[1]) if one < place]
    assert (alone.vectors[:, others] == few.vectors[:, others]).all()
    assert side_by_side(few, np.array([True, False, True, False]), rng) is few


def test_more_arrows_are_asked_for_where_the_two_are_hard_to_tell(field):
    def tried(off, sd, tolerance_m, at_m=54.864, most=60):
        rng = np.random.default_rng(5)
        moved = field.vectors.copy()
        place = field.calibration.evidence.prior.unknowns.place("windage")
        moved[:, place] += 1e-3 * (off + sd * rng.standard_normal(len(moved)))
        moved[:, 3] += 1e-3 * sd * rng.standard_normal(len(moved))
        found = Paired(field, replace(field, vectors=moved))
        return arrows_to_tell(found, at_m, tolerance_m, 4, most, 11.0)

    wide, narrow = tried(0.0, 0.8, 0.0762), tried(0.0, 0.8, 0.015)
    assert wide % 4 == narrow % 4 == 0
    assert 4 <= wide < narrow <= 60
    assert tried(0.45, 0.8, 0.025, most=8) is None
