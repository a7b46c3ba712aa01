"""Corrections follow the arrow: in words, in signs, and by the forward model."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from exact_units import INCH_M, YARD_M
from sessions import rig as usual_rig
from written_out import IMPERIAL

from tapewright.calibration.observation import Observation
from tapewright.calibration.rig import Belief, Bow
from tapewright.ground.errors import LaunchUnreachable
from tapewright.services.correct import arrow_by_arrow, correct, group_shifts
from tapewright.services.measure_groups import known_scatter, measure_groups
from tapewright.services.move_sight import fitted_sight
from tapewright.sight.prediction import Aim, impact, mark
from tapewright.target.group import Group, Impact
from tapewright.words.sight_moves import group_words, turn_words

OFF_M = 4 * INCH_M
TIGHT = [(-0.4, 0.1), (0.3, -0.3), (0.1, 0.4), (0.2, -0.2), (-0.2, 0.0)]  # in
ELEVATION_CLICK_M, WINDAGE_CLICK_M = 0.1e-3, 0.05e-3


def correction_words(measure, found, units):
    return group_words(measure, turn_words(measure, found), units)


def rig(hand="right", farther="increases", *, clicks=True, arm=None, pins=()):
    sight = {
        "farther": farther,
        "elevation_click_m": ELEVATION_CLICK_M if clicks else None,
        "windage_click_m": WINDAGE_CLICK_M if clicks else None,
        "arm_length_m": arm,
        "pins_below_first_m": pins,
    }
    return usual_rig(sight=sight, hand=hand)


def shot(fitted, right_m, up_m, yards=20, **how):
    """A group whose centre is there, dialled to the mark of the likeliest bow."""
    x, y = np.mean(TIGHT, axis=0)
    hits = tuple(Impact(right_m + INCH_M * (a - x), up_m + INCH_M * (b - y)) for a, b in TIGHT)
    unknowns = fitted.evidence.prior.unknowns
    bow = unknowns.bow(fitted.best)
    below = unknowns.pin_below(fitted.best, np.array([how.get("pin", 1)]))
    aim = Aim(pin_below_m=below, slope_rad=how.get("slope_rad", 0.0))
    reading_m = float(np.squeeze(mark(bow, yards * YARD_M, aim)))
    return Observation(Group("1", hits), yards * YARD_M, reading_m, **how)


def told(fitted, one, **how):
    measured = measure_groups([one], fitted.rig)
    return measured.groups[0], correct(fitted, measured.groups[0], measured.known, **how)


def model_impact(fitted, one, reading_m, pin_right_m=0.0):
    """Where the forward model puts the arrow after the sight was moved."""
    unknowns = fitted.evidence.prior.unknowns
    bow = unknowns.bow(fitted.best)
    turned = bow.windage_rad - pin_right_m / unknowns.sight_radius_m
    below = unknowns.pin_below(fitted.best, np.array([one.pin]))
    aim = Aim(slope_rad=one.slope_rad, pin_below_m=below)
    there = impact(replace(bow, windage_rad=turned), one.distance_m, reading_m, aim)
    return np.squeeze(np.array(there))


@pytest.mark.parametrize(
    ("hand", "farther", "high", "right"),
    list(product(["right", "left"], ["increases", "decreases"], [True, False], [True, False])),
)
def test_the_sight_follows_the_arrow(hand, farther, high, right):
    fitted = fitted_sight(rig(hand, farther))
    one = shot(fitted, OFF_M if right else -OFF_M, OFF_M if high else -OFF_M)
    measure, found = told(fitted, one)
    move = found.move
    # signs
    assert move.pin_up == (1 if high else -1)
    assert (move.pin_right_m > 0) == right
    assert (move.right_clicks > 0) == right
    grows = high != (farther == "increases")  # low with growing numbers: farther, so larger
    assert (move.reading_m > one.reading_m) == grows
    assert (move.reading_clicks > 0) == grows
    # words
    said = correction_words(measure, found, IMPERIAL)
    assert f"pin {'up' if high else 'down'}, " in said
    assert f"toward {'larger' if grows else 'smaller'} numbers" in said
    assert f"Windage: pin {'right' if right else 'left'} by " in said
    assert f"in {'high' if high else 'low'} and 4.00 in {'right' if right else 'left'}" in said
    # the forward model
    was = model_impact(fitted, one, one.reading_m)
    now = model_impact(fitted, one, move.reading_m, move.pin_right_m)
    half_click = 0.55 * INCH_M * np.array([0.043, 0.054])  # impact of half a click at 20 yd
    left_over = 0.01 * OFF_M  # shrinkage leaves less than a hundredth
    target = -np.array([found.right.miss_m, found.up.miss_m])
    assert np.all(np.abs(now - was - target) < half_click + left_over)


@pytest.mark.parametrize("yards", [5, 20, 60, 90])
@pytest.mark.parametrize("how", [{}, {"pin": 2}, {"slope_rad": 0.4}])
@pytest.mark.parametrize("arm", [None, 0.2])
@pytest.mark.parametrize("farther", ["increases", "decreases"])
def test_without_clicks_the_new_reading_centres_the_group(yards, how, arm, farther):
    fitted = fitted_sight(rig(farther=farther, clicks=False, arm=arm, pins=(Belief(9e-3),)))
    one = shot(fitted, -0.4 * OFF_M, -yards / 10 * OFF_M, yards, **how)
    _, found = told(fitted, one, zero_sd_m=100.0)  # nothing believed of the old zero
    assert found.move.reading_clicks is None
    assert found.move.right_clicks is None
    was = model_impact(fitted, one, one.reading_m)
    now = model_impact(fitted, one, found.move.reading_m, found.move.pin_right_m)
    # shrinkage leaves a millionth; the search ends at a thousandth of a millimetre
    assert now[1] - was[1] == pytest.approx(
        -found.up.miss_m, abs=5e-6 + 1e-5 * abs(found.up.miss_m)
    )
    if found.right.is_move:
        assert now[0] - was[0] == pytest.approx(-found.right.miss_m, rel=1e-4)


def test_a_trusted_zero_is_moved_less():
    fitted = fitted_sight(rig(clicks=False))
    one = shot(fitted, 0.0, -OFF_M)
    _, free = told(fitted, one)
    _, held = told(fitted, one, zero_sd_m=0.2 * INCH_M)
    assert 0.0 < held.move.by_reading_m < 0.9 * free.move.by_reading_m


def test_a_zeroed_bow_is_left_alone_with_the_reason():
    fitted = fitted_sight(rig())
    one = shot(fitted, 0.001, -0.002)
    measure, found = told(fitted, one)
    assert found.move.by_reading_m == found.move.pin_right_m == 0.0
    assert (found.move.reading_clicks, found.move.right_clicks, found.move.pin_up) == (0, 0, 0)
    assert (found.up.reason, found.right.reason) == ("within chance", "within chance")
    assert correction_words(measure, found, IMPERIAL).count("leave it, a zeroed bow puts") == 2


def test_under_half_a_click_is_left_alone():
    sheet = rig()
    coarse = replace(sheet.sight, elevation_click_m=20e-3, windage_click_m=20e-3)
    fitted = fitted_sight(replace(sheet, sight=coarse))
    measure, found = told(fitted, shot(fitted, OFF_M, OFF_M))
    assert (found.up.reason, found.right.reason) == ("under half a click", "under half a click")
    assert "leave it, the move would be under half a click" in correction_words(
        measure, found, IMPERIAL
    )


def test_what_was_not_measured_is_not_moved():
    fitted = fitted_sight(rig())
    full = shot(fitted, 0.0, -OFF_M)
    heights = replace(
        full, group=Group("1", tuple(Impact(None, one.up_m) for one in full.group.impacts))
    )
    measure, found = told(fitted, heights)
    assert found.right.reason == "not measured"
    assert (found.move.pin_right_m, found.move.right_clicks) == (0.0, None)
    assert found.move.pin_up == -1
    assert correction_words(measure, found, IMPERIAL).endswith("Windage: not measured.")
    widths = replace(
        full, group=Group("1", tuple(Impact(one.up_m, None) for one in full.group.impacts))
    )
    _, found = told(fitted, widths)
    assert found.up.reason == "not measured"
    assert found.move.by_reading_m == 0.0
    assert found.move.pin_right_m < 0.0


def test_shifts_need_no_sight():
    fitted = fitted_sight(rig(clicks=False))
    measured = measure_groups([shot(fitted, OFF_M, -OFF_M)])
    right, up = group_shifts(measured.groups[0], measured.known)
    assert right.shift_m == pytest.approx(-OFF_M, rel=0.01)
    assert up.shift_m == pytest.approx(OFF_M, rel=0.01)
    assert (right.clicks, up.clicks) == (None, None)


def test_an_arrow_that_cannot_fly_there_is_said_to():
    slow = replace(rig(), bow=Bow(launch_speed_mps=Belief(30.0, 0.5)))
    fitted = fitted_sight(slow)
    uphill = Observation(Group("1", (Impact(0.0, -OFF_M),)), 150.0, 0.03, slope_rad=1.0)
    with pytest.raises(LaunchUnreachable):
        told(fitted, uphill)


def walk(fitted, hits_in, *, moved=True, start_m=0.0, **how):
    """Arrows one by one, each dialled as told after the one before; steps of the last."""
    first = shot(fitted, 0.0, 0.0)
    reading_m, shots, steps = first.reading_m + start_m, [], ()
    for number, (right_in, up_in) in enumerate(hits_in):
        hit = Group(str(number), (Impact(right_in * INCH_M, up_in * INCH_M),))
        shots.append(replace(first, group=hit, reading_m=reading_m))
        known = known_scatter(shots, fitted.rig)
        steps = arrow_by_arrow(fitted, shots, known, windage_moved=moved, **how)
        reading_m = steps[-1].move.reading_m if moved else reading_m
    return steps


def test_arrow_by_arrow_is_the_harmonic_rule():
    """Moves by 1, 1/2, 1/3 of the misses; the doubt of ten dispersions takes a hundredth."""
    fitted = fitted_sight(rig(clicks=False))
    steps = walk(fitted, [(1.0, -4.0), (-0.5, 0.6), (0.3, 0.9)])
    assert [step.share for step in steps] == pytest.approx([1, 1 / 2, 1 / 3], rel=0.011)
    per_in = [
        (step.move.by_reading_m / step.up_m, step.move.pin_right_m / step.right_m) for step in steps
    ]
    assert per_in[1] == pytest.approx([per_in[0][0] / 2, per_in[0][1] / 2], rel=0.02)
    assert per_in[2] == pytest.approx([per_in[0][0] / 3, per_in[0][1] / 3], rel=0.02)
    assert steps[0].move.pin_up == -1
    assert steps[0].move.pin_right_m > 0


def test_arrow_by_arrow_in_clicks_forgets_nothing():
    """Coarse clicks: what rounding left over is made good, so the end is within half a click."""
    sheet = rig()
    coarse = replace(sheet, sight=replace(sheet.sight, elevation_click_m=1e-3))
    fine = walk(fitted_sight(rig(clicks=False)), [(0.0, -4.0), (0.0, 0.3), (0.0, -0.3)])
    steps = walk(fitted_sight(coarse), [(0.0, -4.0), (0.0, 0.3), (0.0, -0.3)])
    assert steps[-1].move.reading_clicks is not None
    assert steps[-1].move.reading_m == pytest.approx(fine[-1].move.reading_m, abs=1.1e-3)


def test_windage_that_stood_still_is_averaged():
    fitted = fitted_sight(rig(clicks=False))
    steps = walk(fitted, [(1.0, 0.0), (2.0, 0.0), (3.0, 0.0)], moved=False)
    inch = steps[0].move.pin_right_m  # what one inch asks for
    assert steps[2].move.pin_right_m == pytest.approx(2.0 * inch, rel=0.01)
    assert steps[2].move.by_reading_m == pytest.approx(0.0, abs=1e-9)


def test_arrow_by_arrow_passes_over_what_it_cannot_use():
    fitted = fitted_sight(rig())
    near, far = shot(fitted, 0.0, -OFF_M), shot(fitted, 0.0, 0.0, 40)
    mixed = replace(
        near, group=Group("2", (Impact(0.0, 0.0, 3), Impact(None, 0.1), Impact(0.01, 0.0),
                                Impact(0.5, 0.5, called_bad=True)))
    )  # fmt: skip
    shots = [far, near, mixed]
    steps = arrow_by_arrow(fitted, shots, known_scatter(shots, fitted.rig), zero_sd_m=0.1)
    assert len(steps) == 6
    assert steps[-1].observation is mixed
    marks_only = [replace(near, group=Group("3", (Impact(0.0, 0.0, 3),)))]
    assert arrow_by_arrow(fitted, marks_only, known_scatter(marks_only, fitted.rig)) == ()


def test_nothing_measured_is_nothing_told():
    fitted = fitted_sight(rig())
    nothing = Observation(Group("1", (Impact(None, None, called_bad=True),)), 20 * YARD_M, 0.02)
    _, found = told(fitted, nothing)
    assert (found.up.reason, found.right.reason) == ("not measured", "not measured")
    assert np.isnan(found.up.miss_m)


@pytest.mark.parametrize("right_in", [-6.0, 6.0])
def test_windage_by_a_drawn_triangle(right_in):
    """Seen from above, ahead real and right imaginary: eye at 0, arrow flying straight ahead.

    With the pin moved, the archer turns the bow until eye, pin and aim are in line; the arrow
    turns with it. It must end as far from where it went as the group was off, other way about.
    """
    fitted = fitted_sight(rig(clicks=False))
    one = shot(fitted, right_in * INCH_M, 0.0)
    _, found = told(fitted, one, zero_sd_m=100.0)
    radius_m = fitted.evidence.prior.unknowns.sight_radius_m
    pin = radius_m + 1j * found.move.pin_right_m
    arrow = 1.0 / (pin / abs(pin))  # straight ahead, turned until the pin is straight ahead
    right_m = one.distance_m * arrow.imag / arrow.real
    assert right_m == pytest.approx(-right_in * INCH_M, rel=1e-4)


def test_a_move_knows_how_well_it_is_known():
    sheet = rig(clicks=False)
    wide = replace(sheet, sight=replace(sheet.sight, reading_per_travel=Belief(1.4, 0.42)))
    fitted = fitted_sight(wide)
    _, found = told(fitted, shot(fitted, 0.0, OFF_M))
    # 30 % of doubt of what a reading does are 1.645 × 0.30 of the move, and a group's centre adds
    share = found.move.by_reading_half_m / abs(found.move.by_reading_m)
    assert 0.48 < share < 0.56
    _, surer = told(fitted_sight(sheet), shot(fitted_sight(sheet), 0.0, OFF_M))
    assert surer.move.by_reading_half_m < 0.3 * found.move.by_reading_half_m
    # whole clicks are turned as they are told
    _, clicked = told(fitted_sight(rig()), shot(fitted_sight(rig()), OFF_M, OFF_M))
    assert (clicked.move.by_reading_half_m, clicked.move.pin_right_half_m) == (0.0, 0.0)
