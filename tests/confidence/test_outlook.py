import numpy as np
import pytest
from exact_units import YARD_M
from sessions import groups, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.bands import bands
from tapewright.confidence.outlook import after_group, outlook
from tapewright.confidence.posterior import draw_posterior

SHOTS_M = np.arange(10, 91, 10) * YARD_M
WANTED_M = np.arange(10, 91, 20) * YARD_M


def drawn(sheet, shots):
    return draw_posterior(fit_bow(sheet, shots), np.random.default_rng(1))


@pytest.fixture(scope="module")
def posterior():
    sheet = rig()
    return drawn(sheet, groups(sheet, truth_near(sheet), (20, 40)))


@pytest.fixture(scope="module")
def seen(posterior):
    return outlook(posterior, SHOTS_M, WANTED_M)


def test_doubt_about_wanted_marks_is_that_of_the_bands(posterior, seen):
    told = bands(posterior, WANTED_M, 0.6827)
    half = 0.5 * (told.impact_high_m - told.impact_low_m)
    # a Gaussian picture of skewed draws: a tenth is near enough to plan with
    assert seen.wanted_sd_m == pytest.approx(half, rel=0.1)


def test_a_covariance_stays_one(seen):
    for shot in range(len(SHOTS_M)):
        later = after_group(seen, shot, 6)
        assert np.linalg.eigvalsh(later.covariance).min() > -1e-12
        assert np.linalg.eigvalsh(later.sideways_rad2).min() > -1e-15


def test_a_group_never_widens_and_more_arrows_never_do(seen):
    for shot in range(len(SHOTS_M)):
        before = seen.wanted_sd_m
        across = np.diag(seen.sideways_rad2)
        for arrows in (1, 3, 6, 60):
            later = after_group(seen, shot, arrows)
            assert (later.wanted_sd_m <= before + 1e-12).all()
            assert (np.diag(later.sideways_rad2) <= across + 1e-15).all()
            before, across = later.wanted_sd_m, np.diag(later.sideways_rad2)


def test_the_order_of_groups_does_not_matter(seen):
    one = after_group(after_group(seen, 2, 4), 7, 3)
    other = after_group(after_group(seen, 7, 3), 2, 4)
    assert one.covariance == pytest.approx(other.covariance, abs=1e-12)
    assert one.sideways_rad2 == pytest.approx(other.sideways_rad2, abs=1e-15)


def test_endless_arrows_at_one_peg_leave_its_distance_error(seen):
    later = seen
    for _ in range(50):
        later = after_group(later, 8, 1000)
    # what a wrong peg hides stays: the height of 0.5 % of 90 yd
    peg = np.sqrt(seen.covariance[-1, -1]) * SHOTS_M[-1]
    assert later.wanted_sd_m[-1] > 0.5 * min(peg, seen.wanted_sd_m[-1])


def test_a_stated_distance_error_is_taken():
    sheet = rig(archer={"distance_sd_m": 1e-4})
    sure = outlook(drawn(sheet, groups(sheet, truth_near(sheet), (20, 40))), SHOTS_M, WANTED_M)
    assert np.diag(sure.covariance)[-1] < 1e-8


def test_before_the_first_arrow_the_sight_may_be_far_off():
    sheet = rig()
    bare = outlook(drawn(sheet, ()), SHOTS_M, WANTED_M)
    # a pin evenly within 40 mm of right has a deviation of 23.1 mm; 33 in away: 27.6 mrad
    assert bare.wanted_sd_m[0] > 0.0275 * WANTED_M[0]
    zeroed = after_group(bare, 1, 3)
    assert zeroed.wanted_sd_m[0] < 0.3 * bare.wanted_sd_m[0]
