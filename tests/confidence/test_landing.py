from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from scipy.stats import norm
from sessions import groups, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.landing import Butt, Landings, landings
from tapewright.confidence.posterior import draw_posterior

SHOTS_M = np.arange(10, 91, 10) * YARD_M
BUTT = Butt(0.9, 0.7)


def drawn(sheet, shots):
    return draw_posterior(fit_bow(sheet, shots), np.random.default_rng(1))


@pytest.fixture(scope="module")
def seen():
    sheet = rig()
    return landings(drawn(sheet, groups(sheet, truth_near(sheet), (20, 40))), SHOTS_M)


@pytest.fixture(scope="module")
def by_eye():
    return landings(drawn(rig(), ()), SHOTS_M)


def cloud(up_rad, right_rad, sd_up=1e-3, sd_right=2e-3, distance_m=20.0):
    """One shot at 20 m, every draw written out."""
    up, right = (np.array(one, float)[:, None] for one in (up_rad, right_rad))
    flat = np.ones_like(up)
    shift = np.stack([flat * 3e-4, flat * 4e-4], axis=1)
    return Landings(np.array([distance_m]), right, up, flat * sd_right, flat * sd_up, shift)


def test_the_chance_on_a_butt_is_a_gaussians_share():
    one = cloud([5e-3], [0.0])
    # half of 0.4 m at 20 m is 10 mrad: from 5 mrad high, 5 mrad up and 15 down are left
    tall = norm.cdf(5.0) - norm.cdf(-15.0)
    wide = norm.cdf(7.5) - norm.cdf(-7.5)  # half of 0.6 m is 15 mrad over 2 mrad
    assert one.chance(0, Butt(0.6, 0.4)) == pytest.approx(tall * wide, abs=1e-12)


def test_width_and_height_of_a_butt_are_not_exchanged():
    high = cloud([30e-3], [0.0])  # 0.6 m high at 20 m
    assert high.chance(0, Butt(0.4, 2.0)) > 0.99
    assert high.chance(0, Butt(2.0, 0.4)) < 0.01


def test_two_hills_are_counted_as_two():
    hills = cloud([12e-3] * 500 + [-12e-3] * 500, [0.0] * 1000)
    # a Gaussian of 12 mrad would put 59 % within 10 mrad; the truth puts hardly any
    assert hills.chance(0, Butt(2.0, 0.4)) == pytest.approx(norm.cdf(-2.0), abs=1e-3)


def test_half_the_arrows_land_below_the_middle_of_the_cloud():
    one = cloud([4e-3], [0.0])
    assert one.below(0, 0.5) == pytest.approx(0.080, abs=1e-6)
    assert one.below(0, norm.cdf(-1.0)) == pytest.approx(0.060, abs=1e-6)
    assert one.below(0, norm.cdf(1.0)) == pytest.approx(0.100, abs=1e-6)


def test_a_butt_that_stops_a_share_has_the_size_of_the_scatter():
    one = cloud([0.0], [0.0])
    two_sided = norm.cdf(1.0) - norm.cdf(-1.0)
    assert one.butt_height_m(0, two_sided) == pytest.approx(2 * 0.020, abs=1e-6)
    assert one.butt_width_m(0, two_sided) == pytest.approx(2 * 0.040, abs=1e-6)


def test_before_the_first_arrow_a_pin_set_by_eye_is_up_to_40_mm_off(by_eye):
    # 40 mm at 33 in: 47.7 mrad; 10 yd: 0.436 m. Evenly within, so half lie within 0.218 m
    spread = by_eye.up_rad[:, 0] * SHOTS_M[0]
    assert np.quantile(np.abs(spread), 0.5) == pytest.approx(0.218, abs=0.01)
    assert np.abs(spread).max() == pytest.approx(0.436, abs=0.06)


def test_a_first_arrow_is_sure_of_a_large_butt_near_by_and_of_none_far_off(by_eye):
    assert by_eye.chance(0, Butt(0.9, 1.2)) > 0.99
    assert by_eye.chance(0, Butt(0.9, 0.6)) < 0.8
    assert by_eye.chance(8, Butt(0.9, 1.2)) < 0.3


def test_what_arrows_told_makes_landings_sure(seen, by_eye):
    for shot in range(len(SHOTS_M)):
        assert seen.chance(shot, BUTT) > by_eye.chance(shot, BUTT)
    assert seen.chance(1, BUTT) > 0.9999


def test_a_smaller_butt_is_never_safer(seen):
    for shot in range(len(SHOTS_M)):
        chances = [seen.chance(shot, Butt(side, side)) for side in (0.1, 0.3, 0.6, 2.0)]
        assert chances == sorted(chances)
        assert seen.chance(shot, Butt(0.1, 0.9)) <= seen.chance(shot, Butt(0.9, 0.9))


def test_a_group_still_to_be_shot_narrows_what_it_tells_of(seen, by_eye):
    for before in (seen, by_eye):
        later = before.after(8, 3)
        assert (later.up_rad.std(axis=0) <= before.up_rad.std(axis=0) * 1.02).all()
        assert later.up_rad[:, 8].std() < 0.8 * before.up_rad[:, 8].std()


def test_one_arrow_near_by_ends_the_doubt_of_the_eye(by_eye):
    later = by_eye.after(0, 1)
    assert later.chance(1, Butt(0.6, 0.6)) > 0.99
    assert by_eye.chance(1, Butt(0.6, 0.6)) < 0.5


def test_a_group_leaves_a_gaussian_cloud_as_bayes_leaves_it():
    rng = np.random.default_rng(3)
    up = rng.normal(0.0, 8e-3, 20_000)
    before = cloud(up, np.zeros_like(up))
    # information of 4 arrows of a Student-t with 4 degrees, core 1.1416: 5/7 · 1.1416² each
    own2 = (4e-4) ** 2 + ((1e-3) ** 2 - (4e-4) ** 2) / (5 / 7 * 1.1416**2 * 4)
    left = np.sqrt(1.0 / (1.0 / 8e-3**2 + 1.0 / own2))
    assert before.after(0, 4).up_rad.std() == pytest.approx(left, rel=0.02)


def test_a_wider_archer_is_less_sure(seen):
    wild = replace(seen, up_sd_rad=seen.up_sd_rad + 5e-3)
    assert wild.chance(8, BUTT) < seen.chance(8, BUTT)


def test_a_stated_distance_error_is_taken():
    sheet = rig(archer={"distance_sd_m": 3.0})
    loose = landings(drawn(sheet, groups(sheet, truth_near(sheet), (20, 40))), SHOTS_M)
    assert loose.shift_sd_rad[0, 1, 8] > 0.002  # 3 m at 90 yd, where the arrow falls steeply
    assert loose.shift_sd_rad[0, 0, 8] < 0.0005  # and nothing of it sideways
