import numpy as np
import pytest
from exact_units import FOOT_M, YARD_M
from numpy.polynomial import chebyshev
from sessions import group, groups, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.calibration.rig import Belief, Bow
from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.carried import carried_draws
from tapewright.confidence.posterior import draw_posterior
from tapewright.ground.errors import LaunchUnreachable
from tapewright.sight.prediction import impact
from tapewright.target.group import Group, Impact

TOLD_M = np.arange(4, 126, 3) * YARD_M
PINS = {"pins_below_first_m": (Belief(9e-3, 0.3e-3),)}


def drawn(sheet, shots):
    return draw_posterior(fit_bow(sheet, shots), np.random.default_rng(1))


def told(draws, mean, parts, score, distance_m, pin):
    """What the curves say at distances, of every draw: sums of polynomials, nothing more."""
    place = (2 * distance_m - draws.near_m - draws.far_m) / (draws.far_m - draws.near_m)
    curves = np.concatenate([mean[None], parts])[:, pin - 1]
    values = chebyshev.chebval(place, curves.T)
    return values[0] + score @ values[1:]


def marks_m(draws, distance_m, pin=1):
    curves = draws.mark_m2, draws.mark_parts_m2, draws.mark_score
    return told(draws, *curves, distance_m, pin) / distance_m


@pytest.fixture(scope="module")
def session():
    sheet = rig(PINS)
    return drawn(sheet, groups(sheet, truth_near(sheet, {"log_speed": 0.5})))


@pytest.fixture(scope="module")
def carried(session):
    return carried_draws(session)


def test_marks_on_the_curves_are_those_of_the_draws_for_each_pin(session, carried):
    for pin in (1, 2):
        off_mm = 1e3 * np.abs(marks_m(carried, TOLD_M, pin) - drawn_marks(session, TOLD_M, pin))
        assert off_mm.max() < 0.02  # a fifth of what a pointer is set to
        assert np.median(off_mm) < 1e-3


def test_a_sight_dialled_off_hits_where_the_forward_model_says(session, carried):
    # a tenth of a millimetre at the target, 20 mm off the mark, to 60 yd
    unknowns = session.calibration.evidence.prior.unknowns
    bow = unknowns.bow(session.vectors)
    for distance_m in np.array([[20.0], [40.0], [60.0]]) * YARD_M:
        gain = told(carried, carried.gain, carried.gain_parts, carried.gain_score, distance_m, 1)[
            :, 0
        ]
        place = (2 * distance_m - carried.near_m - carried.far_m) / (carried.far_m - 3.0)
        bend_per_m = chebyshev.chebval(place, carried.bend[0]) / distance_m
        for off_m in (-0.02, -0.003, 0.003, 0.02):
            dialled = drawn_marks(session, distance_m) + off_m
            up_m = impact(bow, distance_m, dialled)[1][:, 0]
            straight = gain * off_m
            off_mm = 1e3 * np.abs(straight + bend_per_m * straight**2 - up_m)
            assert off_mm.max() < 0.1, (distance_m, off_m)


def test_a_pivoting_arm_is_carried_as_far_as_it_reaches():
    sheet = rig({"arm_length_m": 0.12, "arm_level_reading_m": 0.03})
    found = drawn(sheet, groups(sheet, truth_near(sheet)))
    draws = carried_draws(found)
    some_m = TOLD_M[(draws.far_m - 2 > TOLD_M) & (TOLD_M > 5)]
    off_mm = 1e3 * np.abs(marks_m(draws, some_m) - drawn_marks(found, some_m))
    assert off_mm.max() < 0.05


def test_curves_end_where_the_slowest_draw_ends():
    slow = Bow(launch_speed_mps=Belief(110 * FOOT_M, 2 * FOOT_M))
    far_m = carried_draws(drawn(rig(bow=slow), ())).far_m
    assert 40.0 < far_m < 119.0
    short = rig({"arm_length_m": 0.005, "arm_level_reading_m": 0.0})  # turns no farther than 20 yd
    with pytest.raises(LaunchUnreachable):
        carried_draws(drawn(short, ()))


def test_spreads_and_windage_are_those_of_the_draws(session, carried):
    unknowns = session.calibration.evidence.prior.unknowns
    for column, name in enumerate(("log_dispersion_up", "log_dispersion_right", "log_wobble")):
        there = unknowns.column(session.vectors, name)[:, 0]
        assert np.array_equal(carried.spread[:, column], there)
    mean, covariance = carried.windage
    for place, name in enumerate(("windage", "side")):
        there = unknowns.column(session.vectors, name)
        assert mean[place] == pytest.approx(there.mean(), rel=1e-9, abs=1e-15)
        assert covariance[place, place] == pytest.approx(there.var(ddof=1), rel=1e-9)


def test_before_the_first_group_no_distance_was_used(session, carried):
    assert carried_draws(drawn(rig(), ())).distances == ()
    used = {round(one.distance_m / YARD_M) for one in carried.distances}
    assert used == {
        round(one.distance_m / YARD_M) for one in session.calibration.evidence.observations
    }


def test_the_error_of_a_distance_used_once_is_what_a_second_group_there_would_find():
    # a second group whose height nobody measured makes the error an unknown and tells nothing of it
    sheet = rig({"peep_height_m": Belief(0.117, 0.5e-3)}, {"distance_sd_m": 1.0})
    shots = groups(sheet, truth_near(sheet))[:4]
    far_m = shots[-1].distance_m
    blind = Group("5", tuple(Impact(0.01 * one, None) for one in (-1, 0, 1)))
    beside = group(sheet, truth_near(sheet), far_m, name="5")
    again = type(beside)(blind, beside.distance_m, beside.reading_m)
    found = []
    for some in (shots, (*shots, again)):
        (one,) = [
            one
            for one in carried_draws(drawn(sheet, some)).distances
            if abs(one.distance_m - far_m) < 1e-6
        ]
        found.append((one.mean_m, float(np.hypot(one.sd_m, np.linalg.norm(one.by_score_m)))))
    (once_m, once_sd_m), (twice_m, twice_sd_m) = found
    assert once_sd_m < 1.0  # the other groups tell something of it
    assert once_m == pytest.approx(twice_m, abs=0.1)
    assert once_sd_m == pytest.approx(twice_sd_m, rel=0.1)
