from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import group, groups, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.misses import misses_of, promised_at
from tapewright.confidence.posterior import draw_posterior
from tapewright.target.group import Impact

ENDS_M = (20 * YARD_M, 60 * YARD_M)


@pytest.fixture(scope="module")
def calibrated():
    sheet = rig()
    shots = groups(sheet, truth_near(sheet), (20, 30, 45, 60, 75, 80), arrows=6)
    return sheet, draw_posterior(fit_bow(sheet, shots), np.random.default_rng(1))


def test_a_group_that_lies_higher_misses_by_so_much_more(calibrated):
    sheet, posterior = calibrated
    one = group(sheet, truth_near(sheet), 50 * YARD_M, 6)
    up_m = 3e-3 * 50 * YARD_M
    hits = tuple(Impact(hit.right_m - 0.05, hit.up_m + up_m) for hit in one.group.impacts)
    there = misses_of(posterior, (one,), ENDS_M)
    moved = misses_of(posterior, (replace(one, group=replace(one.group, impacts=hits)),), ENDS_M)
    parted = moved.miss_rad - there.miss_rad
    assert parted == pytest.approx([3e-3, -0.05 / (50 * YARD_M)])
    assert (there.covariance == moved.covariance).all()


def test_what_is_promised_elsewhere_has_the_doubt_of_the_draws(calibrated):
    sheet, posterior = calibrated
    shots = tuple(group(sheet, truth_near(sheet), yards * YARD_M, 6) for yards in (40, 60))
    misses = misses_of(posterior, shots, ENDS_M)
    promised, scatter = promised_at(misses, np.array([40.0, 60.0, 90.0]) * YARD_M)
    # at the groups' own distances it is what those were promised, but for the reading that was
    # dialled: draws agree to a hundredth of their spread
    for there, here in ((0, 0), (1, 1), (3, 2), (4, 3)):
        drawn = misses.drawn_rad[:, here] - np.median(misses.drawn_rad[:, here])
        assert np.corrcoef(promised[:, there], drawn)[0, 1] > 0.99
        assert promised[:, there].std() == pytest.approx(drawn.std(), rel=0.05)
    assert promised[:, 2].std() > promised[:, 1].std()  # farther, less sure
    # four arrows of the learnt dispersion: each tells 0.931 over its square, and the wobble
    for axis, name in enumerate(("log_dispersion_up", "log_dispersion_right")):
        own = misses.spread_rad[name] ** 2 / (4 * 0.931) + misses.spread_rad["log_wobble"] ** 2
        assert scatter[3 * axis : 3 * axis + 3] == pytest.approx(own, rel=1e-3)
