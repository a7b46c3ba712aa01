from dataclasses import replace

import numpy as np
import pytest
from exact_units import GRAIN_KG, YARD_M
from sessions import groups, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.calibration.rig import Arrow, Belief
from tapewright.confidence.bands import bands
from tapewright.confidence.limits import (
    housing_of,
    reach_chance,
    reaches,
    reading_limits,
    travel_left,
)
from tapewright.confidence.posterior import draw_posterior
from tapewright.sight.prediction import mark

FAR_M = np.array([20, 40, 60, 80, 100, 120]) * YARD_M
TWO_PINS = {"pins_below_first_m": (Belief(9e-3, 0.2e-3),)}


def drawn(sight, *, shoot=True, **truth):
    sheet = rig(sight)
    shots = groups(sheet, truth_near(sheet, **truth)) if shoot else ()
    return draw_posterior(fit_bow(sheet, shots), np.random.default_rng(1))


@pytest.fixture(scope="module")
def measured():
    """Clear down to a reading of 88 mm, which is past 90 yd on the first pin."""
    return drawn(TWO_PINS | {"clearance_reading_m": 0.088, "housing_below_pin_m": 0.023})


def kinds(limits):
    return {one.kind: one.role for one in limits.found}


def test_a_sheet_that_says_nothing_limits_nothing():
    free = drawn({})
    limits = reading_limits(free)
    assert limits.found == ()
    assert limits.far is None
    assert limits.near is None
    assert limits.allows(np.array([-9.0, 9.0])).all()
    assert (reach_chance(free, FAR_M) == 1.0).all()
    assert all(np.isnan(one).all() for one in travel_left(free, FAR_M))
    (first,) = reaches(free)
    assert first.farthest_m == (120.0, 120.0, 120.0)
    assert first.looked_to_m == 120.0
    assert first.nearest_m == (2.5, 2.5, 2.5)


def test_a_measured_clearance_overrules_the_computed_one(measured):
    limits = reading_limits(measured)
    assert kinds(limits) == {"housing": "overruled", "measured clearance": "binds"}
    assert limits.far.reading_m == limits.far.low_m == limits.far.high_m == 0.088
    assert limits.near is None


def test_a_computed_clearance_is_no_surer_than_the_peep_height():
    sure, vague = (
        reading_limits(
            drawn({"housing_below_pin_m": 0.023, "peep_height_m": Belief(0.117, sd)})
        ).far
        for sd in (0.5e-3, 4e-3)
    )
    assert sure.kind == "housing"
    assert vague.high_m - vague.low_m > 2.0 * (sure.high_m - sure.low_m)
    # 1.6 mm of reading per mm of peep height, ± 1.64 sd, and what scale and flight add
    assert vague.high_m - vague.low_m == pytest.approx(2 * 1.645 * 1.6 * 4e-3, rel=0.25)


@pytest.mark.parametrize("run", [1, -1])
def test_ends_of_the_travel_follow_the_numbers(run):
    sight = {"farther": "increases" if run > 0 else "decreases", "clearance_reading_m": run * 0.088}
    ends = (-0.005, 0.07) if run > 0 else (-0.07, 0.005)
    posterior = drawn(sight | {"travel_ends_m": ends}, zero_reading=0.004 * run)
    limits = reading_limits(posterior)
    assert kinds(limits) == {
        "measured clearance": "beyond", "far end": "binds", "near end": "binds",
    }  # fmt: skip
    assert limits.far.reading_m == run * 0.07
    assert limits.near.reading_m == run * -0.005
    readings = run * np.array([-0.01, -0.005, 0.03, 0.07, 0.071])
    assert limits.allows(readings).tolist() == [False, True, True, True, False]


def test_mirrored_numbers_reach_the_same_distances():
    there, back = (
        reaches(drawn({"farther": way, "clearance_reading_m": at}, zero_reading=zero))[0]
        for way, at, zero in (("increases", 0.088, 0.004), ("decreases", -0.088, -0.004))
    )
    # other draws of the same posterior: a quarter of a yard
    assert back.farthest_m == pytest.approx(there.farthest_m, abs=0.25 * YARD_M)


def test_each_pin_reaches_the_distance_whose_mark_is_the_limit(measured):
    first, second = reaches(measured)
    assert (first.pin, second.pin) == (1, 2)
    assert second.farthest_m[0] > first.farthest_m[0] + 5 * YARD_M
    for one in (first, second):
        reading = bands(measured, np.array([one.farthest_m[0]]), pin=one.pin).reading_m[0]
        assert 1e3 * abs(reading - 0.088) < 0.1  # medians of curved things
        low, high = one.farthest_m[1:]
        assert low < one.farthest_m[0] < high


def test_bands_of_reach_hold_their_share_of_the_draws(measured):
    low, high = reaches(measured, 0.8)[0].farthest_m[1:]
    chance = reach_chance(measured, np.array([low, high]))
    assert chance == pytest.approx([0.9, 0.1], abs=0.01)  # of 2000 draws, lines between a grid


def test_chance_of_reach_falls_with_distance_and_is_half_at_the_farthest(measured):
    for pin, one in enumerate(reaches(measured), 1):
        chance = reach_chance(measured, FAR_M, pin)
        assert np.all(np.diff(chance) <= 0.0)
        half = reach_chance(measured, np.array([one.farthest_m[0]]), pin)
        assert half == pytest.approx([0.5], abs=0.01)


def test_travel_left_is_nothing_at_the_farthest_distance_and_negative_past_it(measured):
    far = reaches(measured)[0].farthest_m[0]
    middle, low, high = travel_left(measured, np.array([0.5 * far, far, 1.1 * far]))
    assert middle[0] > 0.0
    assert 1e3 * abs(middle[1]) < 0.05
    assert middle[2] < 0.0
    assert np.all(low < middle)
    assert np.all(middle < high)


def test_travel_left_is_reading_left_over_reading_per_travel(measured):
    middle, _, _ = travel_left(measured, FAR_M)
    marks = bands(measured, FAR_M).reading_m
    assert middle == pytest.approx((0.088 - marks) / 1.6, rel=0.03)  # the gain is learnt to 3 %


def test_a_near_end_of_travel_keeps_a_low_pin_from_near_targets():
    posterior = drawn(TWO_PINS | {"travel_ends_m": (0.045, 0.088)})
    first, second = reaches(posterior)
    assert second.nearest_m[0] > first.nearest_m[0] > 15 * YARD_M
    reading = bands(posterior, np.array([second.nearest_m[0]]), pin=2).reading_m[0]
    assert 1e3 * abs(reading - 0.045) < 0.1


def test_a_pin_without_a_near_end_reaches_near_until_the_marks_turn_back_to_the_limit():
    posterior = drawn({"clearance_reading_m": 0.03})
    (one,) = reaches(posterior)
    near = bands(posterior, np.array([one.nearest_m[0]])).reading_m[0]
    assert one.nearest_m[0] < 10 * YARD_M
    # half a metre of distance is a line between grid points: the marks bend there
    assert 1e3 * abs(near - 0.03) < 0.5


def test_a_limit_above_every_mark_leaves_no_distance():
    (one,) = reaches(drawn({"clearance_reading_m": -0.05}))
    assert one.nearest_m == (0.0, 0.0, 0.0)
    assert one.farthest_m == (0.0, 0.0, 0.0)


def test_readings_of_the_sight_do_not_count_before_the_first_arrow():
    sight = {"clearance_reading_m": 0.088, "travel_ends_m": (0.0, 0.08)}
    limits = reading_limits(drawn(sight | {"housing_below_pin_m": 0.023}, shoot=False))
    assert kinds(limits) == {"housing": "binds"}
    assert reading_limits(drawn(sight, shoot=False)).found == ()


def test_a_housing_on_an_arm_stops_where_it_meets_the_arrow():
    posterior = drawn(
        {"housing_below_pin_m": 0.023, "arm_length_m": 0.12, "arm_level_reading_m": 0.03}
    )
    far = reaches(posterior)[0].farthest_m[0]
    bow = posterior.calibration.evidence.prior.unknowns.bow(np.median(posterior.vectors, axis=0))
    limit = reading_limits(posterior).far.reading_m
    assert 1e3 * abs(float(mark(bow, far).item()) - limit) < 0.5  # medians of curved things


def test_an_arrow_that_flies_no_farther_is_looked_after_as_far_as_it_flies():
    heavy = Arrow(Belief(900 * GRAIN_KG), 9e-3, drag_coefficient=Belief(9.0, 0.5))
    sheet = replace(rig({"clearance_reading_m": 0.9}), arrow=heavy)
    sheet = replace(sheet, bow=replace(sheet.bow, launch_speed_mps=Belief(34.0, 0.3)))
    shots = groups(sheet, truth_near(sheet), (10, 15, 20))
    posterior = draw_posterior(fit_bow(sheet, shots), np.random.default_rng(1))
    assert posterior.tangent_curves is None
    (one,) = reaches(posterior)
    assert one.looked_to_m < 120.0
    assert one.farthest_m[0] == one.looked_to_m


def test_what_the_sheet_does_not_say_of_the_arrow_is_usual():
    usual = housing_of(rig({"housing_below_pin_m": 0.02}))
    assert usual.arrow_height_m == pytest.approx(0.003 + 0.0127)
    assert usual.margin_m == 0.006
    said = rig({"housing_below_pin_m": 0.02, "arrow_margin_m": 0.004})
    said = replace(said, arrow=replace(said.arrow, vane_height_m=0.010))
    assert housing_of(said).arrow_height_m == pytest.approx(0.013)
    assert housing_of(said).margin_m == 0.004
    assert housing_of(rig()) is None


def test_blades_that_stand_higher_than_vanes_take_their_place():
    sheet = rig({"housing_below_pin_m": 0.023})
    vaned = replace(sheet, arrow=replace(sheet.arrow, vane_height_m=0.0114, point="broadhead"))
    for blade_m, height_m in ((None, 0.0114), (0.0, 0.0114), (0.02, 0.0114), (0.038, None)):
        bladed = replace(vaned, arrow=replace(vaned.arrow, blade_diameter_m=blade_m))
        radius_m = 0.5 * sheet.arrow.shaft_diameter_m
        wanted_m = 0.019 if height_m is None else radius_m + height_m  # half of 38 mm
        assert housing_of(bladed).arrow_height_m == pytest.approx(wanted_m, abs=1e-12)
    field = replace(vaned.arrow, blade_diameter_m=0.038, point="field")
    assert housing_of(replace(vaned, arrow=field)).arrow_height_m < 0.0145


def test_a_clearance_measured_over_the_vanes_is_nearer_with_wide_blades():
    sheet = rig({"clearance_reading_m": 0.088})
    shots = groups(sheet, truth_near(sheet))
    broad = replace(sheet.arrow, vane_height_m=0.0114, point="broadhead", blade_diameter_m=0.05)
    found = {}
    for arrow in (replace(broad, blade_diameter_m=0.0), broad):
        posterior = draw_posterior(
            fit_bow(replace(sheet, arrow=arrow), shots), np.random.default_rng(1)
        )
        (limit,) = reading_limits(posterior).found
        gain = posterior.calibration.evidence.prior.unknowns.bow(posterior.vectors).scale
        found[arrow.blade_diameter_m] = (limit.reading_m, gain)
    assert found[0.0][0] == pytest.approx(0.088, abs=1e-12)
    # the blades stand 25 mm over the axis, the vanes 0.5 shaft + 11.4 mm
    higher_m = 0.025 - (0.5 * sheet.arrow.shaft_diameter_m + 0.0114)
    per_travel = (0.088 - found[0.05][0]) / higher_m
    assert 1.0 < per_travel < 3.0  # reading per pin travel of any sight
