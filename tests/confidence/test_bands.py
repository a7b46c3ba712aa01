import numpy as np
import pytest
from exact_units import FOOT_M, YARD_M
from sessions import groups, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.calibration.rig import Belief, Bow
from tapewright.confidence.bands import (
    bands,
    drawn_marks,
    drawn_tangents,
    spread_of_marks,
    trusted_distance,
    within_trust,
)
from tapewright.confidence.posterior import Posterior, draw_posterior
from tapewright.sight.prediction import Aim, impact, mark, sight_angle

GRID_M = np.arange(9, 126) * YARD_M
EACH_YARD_M = np.arange(5, 126) * YARD_M
PINS = {"pins_below_first_m": (Belief(9e-3, 0.3e-3), Belief(17e-3, 0.3e-3))}


def drawn(sheet, shots):
    return draw_posterior(fit_bow(sheet, shots), np.random.default_rng(1))


@pytest.fixture(scope="module")
def session():
    sheet = rig(PINS)
    return drawn(sheet, groups(sheet, truth_near(sheet, {"log_speed": 0.5})))


def bows(posterior):
    return posterior.calibration.evidence.prior.unknowns.bow(posterior.vectors)


def test_marks_of_draws_agree_with_the_forward_model(session):
    exact = mark(bows(session), EACH_YARD_M)
    off_mm = 1e3 * np.abs(drawn_marks(session, EACH_YARD_M) - exact)
    assert off_mm.max() < 1e-3  # a micrometre on the tape, at the nearest distances
    assert off_mm[:, 5:].max() < 2e-4  # from 10 yd on


def test_marks_of_a_starting_strip_agree_with_the_forward_model():
    prior = drawn(rig({"reading_per_travel": None}), ())  # the widest draws there are
    exact = mark(bows(prior), EACH_YARD_M)
    assert 1e3 * np.abs(drawn_marks(prior, EACH_YARD_M) - exact).max() < 1e-2


def test_a_mark_does_not_depend_on_what_else_was_asked(session):
    alone = drawn_marks(session, np.array([47.3]))[:, 0]
    among = drawn_marks(session, np.append(EACH_YARD_M, 47.3))[:, -1]
    assert 1e3 * np.abs(alone - among).max() < 1e-3


@pytest.mark.parametrize("distance_m", [1.2, 2.4, 130.0, 160.0])
def test_distances_nearer_and_farther_than_usual_are_answered(session, distance_m):
    found = bands(session, np.array([distance_m]))
    exact = np.median(mark(bows(session), np.array([distance_m])))
    assert found.reading_m[0] == pytest.approx(exact, abs=1e-7)


def test_trust_is_counted_from_ten_yards_on(session):
    grid_m = np.array([8.0, 9.143, 9.144, 10.0, 55.0])
    assert within_trust(session, grid_m).tolist() == [9.144, 10.0, 55.0]


def test_marks_on_a_slope_are_solved_for_that_slope(session):
    uphill = Aim(slope_rad=0.5)
    distance_m = np.array([30.0, 60.0])
    tangents = drawn_tangents(session, distance_m, uphill)
    level = drawn_tangents(session, distance_m)
    assert (tangents < level).all()  # less gravity square to the shot, less sight
    exact = mark(bows(session), distance_m, uphill)
    assert drawn_marks(session, distance_m, 1, uphill) == pytest.approx(exact, abs=1e-9)


def test_a_lower_pin_needs_a_reading_less_by_its_gap(session):
    one, two, three = (bands(session, np.array([50.0]), pin=pin).reading_m[0] for pin in (1, 2, 3))
    gain = np.exp(np.median(session.vectors, axis=0))[
        session.calibration.evidence.prior.unknowns.place("log_gain")
    ]
    radius_m = session.calibration.evidence.prior.unknowns.sight_radius_m
    assert one - two == pytest.approx(gain / radius_m * 9e-3, abs=0.3e-3)
    assert one - three == pytest.approx(gain / radius_m * 17e-3, abs=0.3e-3)


def test_a_band_holds_its_share_of_the_draws(session):
    for probability in (0.5, 0.9, 0.99):
        found = bands(session, GRID_M, probability)
        marks = drawn_marks(session, GRID_M)
        inside = ((found.low_m <= marks) & (marks <= found.high_m)).mean(axis=0)
        assert inside == pytest.approx(np.full(len(GRID_M), probability), abs=0.002)


def test_some_of_the_distances_keep_all_that_belongs_to_them(session):
    wanted_m = np.array([27.0, 45.0, 63.0])
    every = spread_of_marks(session, wanted_m)
    some = spread_of_marks(session, wanted_m[[2, 0]])
    kept = every.at(np.array([2, 0]))
    assert kept.distance_m.tolist() == [63.0, 27.0]
    for name in ("marks_m", "reading_m", "low_m", "high_m", "up_per_reading"):
        np.testing.assert_allclose(getattr(kept, name), getattr(some, name), rtol=1e-9)


def test_a_surer_band_is_wider(session):
    half, ninety = bands(session, GRID_M, 0.5), bands(session, GRID_M, 0.9)
    assert (ninety.low_m < half.low_m).all()
    assert (half.high_m < ninety.high_m).all()


@pytest.mark.parametrize("farther", ["increases", "decreases"])
def test_a_band_lands_where_the_forward_model_says(farther):
    sheet = rig({"farther": farther})
    posterior = drawn(sheet, groups(sheet, truth_near(sheet), (20, 40, 60)))
    found = bands(posterior, np.array([30.0, 60.0]))
    unknowns = posterior.calibration.evidence.prior.unknowns
    bow = unknowns.bow(np.median(posterior.vectors, axis=0))
    # if the truth lies at an end, dialling the median is off by that much the other way
    ends_m = []
    for end in (found.low_m, found.high_m):
        _, up = impact(bow, found.distance_m, found.reading_m + (found.reading_m - end))
        _, middle = impact(bow, found.distance_m, found.reading_m)
        ends_m.append(up - middle)
    assert found.impact_low_m == pytest.approx(np.min(ends_m, axis=0), rel=0.02)
    assert found.impact_high_m == pytest.approx(np.max(ends_m, axis=0), rel=0.02)
    assert (found.impact_low_m < 0).all()
    assert (found.impact_high_m > 0).all()


def test_bands_grow_beyond_the_last_group(session):
    found = bands(session, np.array([60.0, 80.0, 100.0, 110.0]))
    assert (np.diff(found.high_m - found.low_m) > 0).all()


def test_a_stricter_archer_trusts_less(session):
    trusted = [trusted_distance(session, inches * 0.0254, GRID_M) for inches in (0.5, 1, 2, 4, 8)]
    assert trusted == sorted(trusted)
    assert trusted[0] < trusted[-1]


def test_more_chance_wanted_means_less_distance(session):
    trusted = [trusted_distance(session, 0.0762, GRID_M, chance) for chance in (0.5, 0.9, 0.99)]
    assert trusted == sorted(trusted, reverse=True)


def test_a_trusted_distance_is_one_of_those_asked_or_nothing(session):
    trusted = trusted_distance(session, 0.0762, GRID_M)
    assert trusted in GRID_M
    assert trusted_distance(session, 1e-5, GRID_M) == 0
    assert trusted_distance(session, 0.0762, np.array([3.0, 5.0])) == 0  # nearer than 10 yd


@pytest.mark.parametrize("tolerance_in", np.linspace(0.25, 4.0, 16))
def test_up_to_the_trusted_distance_nine_draws_in_ten_never_miss(session, tolerance_in):
    tolerance_m = 0.0254 * tolerance_in
    trusted = trusted_distance(session, tolerance_m, GRID_M)
    upto = GRID_M[(GRID_M >= 10 * YARD_M - 1e-9) & (trusted >= GRID_M)]
    if not len(upto):
        return
    found = bands(session, upto)
    per_reading = (found.impact_high_m - found.impact_low_m) / (found.high_m - found.low_m)
    misses = np.abs(drawn_marks(session, upto) - found.reading_m) * per_reading > tolerance_m
    assert misses.any(axis=1).mean() <= 0.1 + 1e-3
    assert max(found.impact_high_m.max(), -found.impact_low_m.min()) <= tolerance_m + 1e-9


def test_a_gap_in_trust_is_not_jumped(session):
    # one draw in fourteen has a peep 5 cm higher, zeroed at 30 m: it misses near, not there
    unknowns = session.calibration.evidence.prior.unknowns
    one = np.median(session.vectors, axis=0)
    high = one.copy()
    high[unknowns.place("peep_height")] += 0.05
    zeroed = np.array([30.0])
    apart = np.tan(sight_angle(unknowns.bow(high), zeroed)) - np.tan(
        sight_angle(unknowns.bow(one), zeroed)
    )
    high[unknowns.place("zero_tangent")] -= float(np.squeeze(apart))
    vectors = np.where((np.arange(1400) % 14 == 0)[:, None], high, one)
    made = Posterior(session.calibration, vectors, 1400.0, 0.0, "made up")
    at = np.array([10 * YARD_M, 30.0])
    assert trusted_distance(made, 0.05, at) == 30.0
    assert trusted_distance(made, 0.02, at[1:]) == 30.0
    assert trusted_distance(made, 0.02, at) == 0.0


@pytest.mark.parametrize("feet_per_second", [90, 110, 130])
def test_a_slow_bow_has_marks_and_trust_as_far_as_it_shoots(feet_per_second):
    # a child's bow throws no arrow to 125 yd, and nobody asks it to
    slow = rig(bow=Bow(launch_speed_mps=Belief(feet_per_second * FOOT_M, 2 * FOOT_M)))
    for shots in ((), groups(slow, truth_near(slow), (10, 15, 20), arrows=6)):
        posterior = drawn(slow, shots)
        assert np.isfinite(bands(posterior, np.array([10.0, 15.0, 20.0])).reading_m).all()
        assert 0 < trusted_distance(posterior, 0.15, GRID_M) < 60
