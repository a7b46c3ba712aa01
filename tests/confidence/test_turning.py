"""Turning: part of a correction where the whole may send the arrow past the butt."""

from dataclasses import replace

import numpy as np
import pytest
from exact_units import POUND_FORCE_N, YARD_M
from sessions import groups, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.calibration.observation import Observation
from tapewright.calibration.rig import Bow, Sight
from tapewright.confidence.advice import prospect
from tapewright.confidence.checks import group_checks
from tapewright.confidence.ladder import ladder_of
from tapewright.confidence.landing import Butt
from tapewright.confidence.posterior import draw_posterior
from tapewright.confidence.turning import dialled_off, turned, with_windage_turned
from tapewright.target.group import Group, Impact

PLACES_M = np.array([5, 8, 10, 12, 15]) * YARD_M


def low_by(up_m, *more):
    """A bare sheet and a first group at 10 yd so far from the aim."""
    bow = Bow(draw_weight_n=60 * POUND_FORCE_N, draw_length_m=0.72)
    sheet = replace(rig(), bow=bow, sight=Sight(farther="increases"))
    hits = (Impact(-0.051, up_m), Impact(-0.058, up_m - 0.001))
    shots = (Observation(Group("1", hits), 10 * YARD_M, 0.0236), *more)
    fitted = fit_bow(sheet, shots)
    checks = group_checks(fitted)
    posterior = draw_posterior(fitted, np.random.default_rng(1))
    off_m = dialled_off(posterior, shots, checks)
    return posterior, ladder_of(shots, checks), off_m


def asked(found, side_m):
    posterior, ladder, off_m = found
    whole = prospect(posterior, PLACES_M, PLACES_M[-1:], ladder)
    return turned(posterior, whole, Butt(side_m, side_m), off_m)


def test_how_far_off_the_last_hit_was_dialled_is_seen_from_its_mark():
    # by hand: 0.438 m over 9.144 m, times 33 in to the pin and a usual 1.4 of reading per travel
    assert low_by(-0.438)[2] == pytest.approx(-0.0562, abs=0.002)
    assert low_by(0.219)[2] == pytest.approx(0.0281, abs=0.002)


def test_where_the_whole_correction_may_miss_half_of_it_is_dialled():
    now, share = asked(low_by(-0.438), 0.9)
    assert share == 0.5
    assert now.ladder.farthest_m == pytest.approx(10 * YARD_M)  # no farther than arrows have hit


def test_where_the_whole_is_sure_to_hit_all_of_it_is_dialled():
    assert asked(low_by(-0.02), 0.9)[1] == 1.0


def test_after_a_miss_half_is_dialled_though_the_whole_looks_safe():
    past = Observation(Group("2", (Impact(None, None, missed=True),)), 12 * YARD_M, 0.05)
    assert asked(low_by(-0.1), 1.2)[1] == 1.0
    assert asked(low_by(-0.1, past), 1.2)[1] == 0.5
    assert asked(low_by(-0.1, past, past), 1.2)[1] == 0.25


def test_without_a_hit_there_is_no_correction():
    past = Observation(Group("2", (Impact(None, None, missed=True),)), 9.0, 0.05)
    fitted = fit_bow(rig(), (past,))
    posterior = draw_posterior(fitted, np.random.default_rng(1))
    assert posterior.is_set_by_eye
    assert dialled_off(posterior, (past,), ()) == 0.0
    whole = prospect(posterior, PLACES_M, PLACES_M[-1:], ladder_of((past,), ()))
    assert turned(posterior, whole, Butt(0.9, 0.9), 0.0) == (whole, 1.0)


def test_where_no_part_helps_the_whole_stays():
    posterior, ladder, off_m = low_by(-0.438)
    whole = prospect(posterior, PLACES_M, PLACES_M[-1:], ladder)
    assert turned(posterior, whole, Butt(0.05, 0.05), off_m) == (whole, 1.0)


def aside(right_m, side_m):
    """A bow that hits so far to the right at 30 yd, seen on a butt of that size."""
    sheet = rig()
    truth = truth_near(sheet, windage=right_m / (30 * YARD_M))
    shots = groups(sheet, truth, (10, 20, 30), arrows=4)
    fitted = fit_bow(sheet, shots)
    posterior = draw_posterior(fitted, np.random.default_rng(1))
    places_m = np.array([10, 20, 30, 40, 45]) * YARD_M
    ladder = ladder_of(shots, group_checks(fitted))
    return with_windage_turned(
        prospect(posterior, places_m, places_m[-1:], ladder), Butt(side_m, side_m)
    )


def test_windage_that_would_send_a_farther_arrow_past_the_butt_is_turned_first():
    turned_to = aside(0.2, 0.6)
    assert turned_to.ladder.farthest_m == pytest.approx(30 * YARD_M)
    assert np.median(turned_to.cloud.right_rad, axis=0) == pytest.approx(np.zeros(5), abs=1e-12)
    assert aside(-0.2, 0.6) is not None


def test_windage_that_stands_in_nobody_s_way_stays():
    assert aside(0.2, 1.2) is None  # the butt is wide enough as it is
    assert aside(0.0, 0.6) is None
    assert aside(0.2, 0.05) is None  # and here not even arrows in the middle would stay on it
