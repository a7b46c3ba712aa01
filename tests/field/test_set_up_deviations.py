"""Set-up: what is named of two measurings, and which way each deviation pushes."""

from dataclasses import replace
from math import log, sqrt

import numpy as np
import pytest
from sessions import rig, truth_near

from tapewright.calibration.rig import Belief, Bow
from tapewright.field.set_up_deviations import (
    Push,
    SetUpBow,
    compared,
    items_of,
    least_errors,
    named_from,
    pushes,
    risk_of,
)

RECORDED = {
    "limbs.upper_bolt": Belief(3.5, 0.05), "limbs.lower_bolt": Belief(3.25, 0.05),
    "limbs.brace_height": Belief(0.165, 0.001), "limbs.tiller": Belief(0.003),
    "string.nock_height": Belief(0.006, 0.0004), "string.loop_height": Belief(0.012),
    "string.peep_height": Belief(0.140, 0.0012), "rest.side": Belief(0.020, 0.0002),
    "rest.height": Belief(0.025, 0.0003), "sight.ahead": Belief(0.230, 0.0006),
    "sight.windage": Belief(0.003), "sight.hole": Belief(2.0), "sight.notch": Belief(4.0),
}  # fmt: skip
COMPOUND, RECURVE, LONGBOW = Bow(), Bow(kind="recurve"), Bow(kind="longbow")


def bow_of(bow=COMPOUND):
    truth = truth_near(rig(bow=bow))
    return SetUpBow(bow, truth.unknowns, truth.vector, RECORDED)


def moved(name, by, bow=COMPOUND):
    """What a deviation of this size pushes."""
    now = {name: Belief(RECORDED[name].value + by, RECORDED[name].sd)}
    (one,) = compared(bow, RECORDED, now)
    return pushes(one, bow_of(bow))


def test_what_a_bow_does_not_have_is_not_measured():
    assert len(items_of(COMPOUND)) == 13
    assert "string.peep_height" not in items_of(RECURVE)
    assert "limbs.upper_bolt" in items_of(RECURVE)
    assert items_of(LONGBOW) == (
        "limbs.brace_height", "limbs.tiller", "string.nock_height", "sight.ahead",
        "sight.windage", "sight.hole", "sight.notch",
    )  # fmt: skip


@pytest.mark.parametrize(("tested", "errors"), [(1, 2.170), (5, 2.742), (11, 2.993)])
def test_the_more_is_tested_the_farther_off_it_must_be(tested, errors):
    """Two-sided normal points of 1 − 0.97^(1/n): 0.03, 0.0060733, 0.0027652; worked apart."""
    assert least_errors(tested) == pytest.approx(errors, abs=0.003)


def test_a_difference_has_the_doubt_of_both_and_usual_ones_are_told():
    now = RECORDED | {"limbs.brace_height": Belief(0.170, 0.002), "limbs.tiller": Belief(0.0035),
                      "sight.hole": Belief(3.0)}  # fmt: skip
    by = {one.name: one for one in compared(COMPOUND, RECORDED, now)}
    brace, tiller, hole = (by[f"{name}"] for name in ("limbs.brace_height", "limbs.tiller",
                                                       "sight.hole"))  # fmt: skip
    assert brace.sd == pytest.approx(0.001 * sqrt(5.0))
    assert brace.errors == pytest.approx(5.0 / sqrt(5.0))
    assert (brace.is_moved, brace.is_usual) == (False, False)  # 2.2 of eleven tested
    assert (tiller.sd, tiller.is_usual) == (pytest.approx(0.001 * sqrt(2.0)), True)
    assert (hole.by, hole.sd, hole.errors, hole.is_moved) == (1.0, 0.0, np.inf, True)
    assert by["sight.notch"].errors == 0.0
    assert not by["sight.notch"].is_moved
    assert [one.name for one in by.values() if one.is_moved] == ["sight.hole"]


def test_less_is_moved_as_well_as_more_and_a_doubt_not_said_again_is_the_recorded_one():
    now = {"limbs.brace_height": Belief(0.158), "limbs.tiller": Belief(0.003, 0.0005)}
    brace, tiller = compared(COMPOUND, RECORDED, now)
    assert brace.is_moved
    assert brace.sd == pytest.approx(0.001 * sqrt(2.0))
    assert tiller.sd == pytest.approx(0.001 * sqrt(1.25))
    (nock,) = compared(COMPOUND, RECORDED, {"string.nock_height": Belief(0.006)})
    assert nock.sd == pytest.approx(0.0004 * sqrt(2.0))


def test_only_what_was_measured_twice_is_compared():
    assert compared(COMPOUND, RECORDED, {"sight.hole": Belief(2.0)})[0].least == 0.0
    assert compared(LONGBOW, RECORDED, {"string.peep_height": Belief(0.2)}) == ()


def test_what_nobody_can_tell_pushes_nothing():
    assert moved("string.loop_height", 0.004) == ()
    assert moved("sight.hole", 1.0) == ()
    assert moved("sight.notch", -1.0) == ()


def test_a_push_or_a_radius_of_which_nothing_is_left_is_told_by_nobody():
    """A brace beyond the draw, 29 in, and a pin behind the eye, about 0.84 m from it."""
    assert moved("limbs.brace_height", 0.6) == ()
    assert moved("sight.ahead", -0.9) == ()
    (lower,) = compared(COMPOUND, RECORDED, {"limbs.brace_height": Belief(0.155)})
    short = replace(bow_of(), bow=Bow(draw_length_m=0.2))  # no push is left as recorded
    assert pushes(lower, short) == ()


def test_bolts_out_are_a_slower_bow_a_recurve_s_less():
    speed, angle = moved("limbs.upper_bolt", 0.5)
    assert speed.along == {"log_speed": 1.0}
    assert speed.by == pytest.approx(-0.42 * 0.5 * 0.04 * 0.5)
    # 0.42 of half of 0.015 a turn and 0.06 of half of 0.04 a turn, half a turn
    assert speed.sd == pytest.approx(sqrt(0.001575**2 + 0.0006**2))
    assert (angle.by, angle.sd) == (0.0, pytest.approx(0.25e-3))
    slower, _ = moved("limbs.lower_bolt", 0.5, RECURVE)
    assert slower.by == pytest.approx(-0.5 * 0.5 * 0.025 * 0.5)


def test_a_higher_brace_shortens_the_push():
    (speed,) = moved("limbs.brace_height", 0.010)
    # 29 in less 1.75 in less 165 mm: 527.15 mm; then 10 mm less
    shorter = log(517.15 / 527.15)
    assert speed.by == pytest.approx(0.74 * shorter)
    assert speed.sd == pytest.approx(0.14 * abs(shorter))
    (short,) = moved("limbs.brace_height", 0.010, Bow(draw_length_m=0.66, kind="longbow"))
    assert short.by == pytest.approx(0.94 * log(440.55 / 450.55), rel=1e-6)


@pytest.mark.parametrize(
    ("name", "by", "unknown", "sd"),
    [
        ("limbs.tiller", -0.0032, "zero_tangent", 0.5e-3),
        ("string.nock_height", 0.001, "zero_tangent", 0.58e-3 / 0.7),
        ("rest.height", -0.002, "zero_tangent", 1.16e-3 / 0.7),
        ("rest.side", 0.001, "windage", 0.58e-3 / 0.7),
        ("sight.windage", -0.001, "windage", 1e-3 / (33 * 0.0254)),
    ],
)
def test_angles_that_nobody_knows_the_way_of(name, by, unknown, sd):
    (one,) = moved(name, by)
    assert one.along == {unknown: 1.0}
    assert (one.by, one.sd) == (0.0, pytest.approx(sd))


def test_a_peep_that_slid_lifts_the_eye_by_the_slant_of_the_string():
    (one,) = moved("string.peep_height", 0.007)
    peep_m = 4.6 * 0.0254
    assert one.by == pytest.approx(0.007 * peep_m / 0.140)
    assert one.along == {"peep_height": 1.0, "zero_tangent": pytest.approx(-1 / (33 * 0.0254))}


def test_a_pin_farther_ahead_stretches_the_scale_and_its_bar_may_lean():
    of = bow_of()
    stretch, angle, side = moved("sight.ahead", 0.002)
    radius_m = 33 * 0.0254
    assert stretch.by == pytest.approx(log((radius_m + 0.002) / radius_m))
    zero = of.vector[of.unknowns.place("zero_tangent")]
    assert stretch.along == {"log_gain": 1.0, "zero_tangent": pytest.approx(-zero)}
    assert (angle.sd, side.sd) == (pytest.approx(0.02 * 0.002 / radius_m),) * 2


def test_pushes_add_their_sizes_and_their_doubts_by_squares():
    of, at_m = bow_of(), [18.288, 54.864]
    up, left = Push({"zero_tangent": 1.0}, 0.0, 1e-3), Push({"windage": 1.0}, 0.0, 2e-3)
    one, two = risk_of([up, left], of, at_m), risk_of([up, up, left], of, at_m)
    assert one.up_m == pytest.approx([0.0, 0.0], abs=1e-9)
    assert one.up_sd_m == pytest.approx([18.3e-3, 54.9e-3], rel=0.02)
    assert two.up_sd_m == pytest.approx(sqrt(2.0) * one.up_sd_m, rel=1e-9)
    assert one.side_m == pytest.approx([2e-3 * 18.288, 2e-3 * 54.864])
    assert one.mark_m == pytest.approx([0.0, 0.0], abs=1e-9)


def test_what_flies_lower_needs_a_mark_for_farther():
    faster = Push({"log_speed": 1.0}, -0.01, 0.0)
    for farther, sign in (("increases", 1.0), ("decreases", -1.0)):
        truth = truth_near(rig({"farther": farther}))
        of = SetUpBow(COMPOUND, truth.unknowns, truth.vector)
        found = risk_of([faster], of, [54.864])
        assert found.up_m[0] < -0.03
        assert sign * found.mark_m[0] > 0.5e-3


def test_each_thing_just_far_enough_off_to_be_named():
    told = {one.name: one for one in named_from(COMPOUND, RECORDED)}
    assert told["sight.hole"].by == 1.0
    assert told["limbs.brace_height"].errors == pytest.approx(2.993, abs=0.003)
