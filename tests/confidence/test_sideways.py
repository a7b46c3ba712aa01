"""Groups against each other to the right: where all is told, the law of leaving one out."""

from dataclasses import replace

import numpy as np
import pytest
from sessions import groups, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.calibration.misfit import group_sds, robust_centres
from tapewright.confidence.sideways import beside
from tapewright.target.group import Group, Impact

WINDAGE_SD_RAD = 8e-3  # believed before the first arrow
AT_YD = (20, 30, 40, 50, 60)


def fitted(right_rad, **said):
    """Groups of four, each so far to the right."""
    sheet = rig()
    shots = []
    one_by_one = groups(sheet, truth_near(sheet), AT_YD, arrows=4)
    for place, (one, right) in enumerate(zip(one_by_one, right_rad, strict=True)):
        arrows = tuple(
            Impact((right + 4e-4 * off) * one.distance_m, hit.up_m)
            for off, hit in zip((-1, 1, 0.5, -0.5), one.group.impacts, strict=True)
        )
        told = {name: values[place] for name, values in said.items()}
        shots.append(replace(one, group=Group(one.group.name, arrows), **told))
    return fit_bow(sheet, tuple(shots))


def test_where_windage_is_told_each_group_is_judged_by_the_mean_of_the_others():
    right = np.array([0.3e-3, -0.2e-3, 0.5e-3, 0.1e-3, 0.9e-3])
    calibration = fitted(right, windage_clicks=(3.0,) * 5)
    evidence, best = calibration.evidence, calibration.best
    side = best[evidence.prior.unknowns.place("side")]
    seen = robust_centres(evidence, best)[0] - side / evidence.distance_m
    variance = np.square(group_sds(evidence, best)[0])
    found = beside(calibration)
    for place in range(5):
        others = np.delete(np.arange(5), place)
        weights = 1 / variance[others]
        told = weights.sum() + WINDAGE_SD_RAD**-2
        mean = (weights * seen[others]).sum() / told
        wanted = abs(seen[place] - mean) / np.sqrt(variance[place] + 1 / told)
        # behind the last group nothing is known within a radian, which is not quite nothing
        assert found.surprise[place] == pytest.approx(wanted, rel=1e-3)
    everything = np.append(1 / variance, WINDAGE_SD_RAD**-2)
    mean = (everything * np.append(seen, 0.0)).sum() / everything.sum()
    assert found.miss_rad == pytest.approx(seen - mean, abs=1e-7)


def test_windage_that_may_have_been_moved_is_no_surprise_but_a_told_one_is():
    right = (0.2e-3, 0.1e-3, 3.1e-3, 3.0e-3, 3.2e-3)
    untold, told = beside(fitted(right)), beside(fitted(right, windage_clicks=(3.0,) * 5))
    assert untold.surprise.max() < 1.5
    assert told.surprise.max() > 1.5 * untold.surprise.max()
    assert np.abs(untold.miss_rad).max() < 0.3e-3
    assert np.abs(told.miss_rad).max() > 1e-3


def test_what_was_not_measured_to_the_right_is_no_surprise():
    calibration = fitted((0.2e-3, 0.1e-3, 0.0, 0.0, 0.2e-3))
    shots = calibration.evidence.observations
    only_up = tuple(replace(hit, right_m=None) for hit in shots[2].group.impacts)
    mixed = (*shots[:2], replace(shots[2], group=Group("up", only_up)), *shots[3:])
    assert beside(fit_bow(calibration.rig, mixed)).surprise[2] == 0.0
