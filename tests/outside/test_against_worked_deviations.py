"""Marks at risk after a re-assembly, against values worked apart.

Source: similar triangles and plain mechanics, written out below. The drop of an arrow in flat fire
with a drag that goes with the square of the speed is g/(4k²v²)(e^(2kx) − 1 − 2kx), from
integrating dv/dx = −kv once and the fall twice; nothing of the program's own flight, scale or
deviations is used. The bow is one of usual numbers: 85 m/s, k = 0.002 per m, the eye 0.10 m above
the arrow, the pin 0.85 m before it.
"""

from math import exp, hypot, log

import numpy as np
import pytest
from exact_units import YARD_M

from tapewright.calibration.rig import Belief, Bow
from tapewright.calibration.unknowns import Unknowns
from tapewright.field.set_up_deviations import Deviation, SetUpBow, pushes, risk_of

G, V, K, EYE, RADIUS = 9.80665, 85.0, 0.002, 0.10, 0.85
AT_M = np.array([20.0, 40.0, 60.0]) * YARD_M
NAMES = {"log_speed": log(V), "log_drag": log(K), "peep_height": EYE, "log_gain": log(RADIUS)}
SHARE = 0.03  # of a miss: flat fire, a launch a little before the eye, squares of the deviation


def fallen(at_m, v):
    """How far it has fallen [m]."""
    return G / (4.0 * K**2 * v**2) * (np.exp(2.0 * K * at_m) - 1.0 - 2.0 * K * at_m)


def bow():
    """Readings in metres of pin travel: the scale is the bare sight."""
    unknowns = Unknowns(0, 0, RADIUS, 1, None, 0.0)
    vector = np.array([NAMES.get(name, 0.0) for name in unknowns.names])
    measured = {"string.peep_height": Belief(0.14), "limbs.brace_height": Belief(0.165)}
    return SetUpBow(Bow(draw_length_m=0.7366, kind="compound"), unknowns, vector, measured)


def risked(name, before, by):
    one, of = Deviation(name, before, before + by, 1e-3, False, 0.0), bow()  # noqa: FBT003 — as declared
    return risk_of(pushes(one, of), of, AT_M)


@pytest.mark.parametrize("by", [0.004, -0.003])
def test_a_brace_height_changes_the_speed(by, ledger):
    """Energy goes with the push, three quarters of it with the speed's square root twice over."""
    stroke = 0.7366 - 1.75 * 0.0254 - 0.165
    v = V * ((stroke - by) / stroke) ** 0.74
    worked = fallen(AT_M, V) - fallen(AT_M, v)
    found = risked("limbs.brace_height", 0.165, by)
    assert found.up_m == pytest.approx(worked, rel=SHARE)
    # The pin goes down by as much as the line of sight must be lowered at the target.
    assert found.mark_m == pytest.approx(-worked * RADIUS / AT_M, rel=SHARE)
    ledger(f"impact, brace height {1e3 * by:g} mm off", "flat fire worked apart", 6,
           float(np.abs(found.up_m / worked - 1.0).max()), SHARE, "of the miss")  # fmt: skip


@pytest.mark.parametrize("by", [0.003, -0.005])
def test_a_peep_that_slid_moves_the_near_marks_and_the_slope(by, ledger):
    """The eye rises by as much as the string's slant takes of it; the pin stays, the line of sight
    through both meets the target lower, so the bow is held higher: similar triangles.
    """
    lift = by * EYE / 0.14
    worked = lift * (AT_M / RADIUS - 1.0)
    found = risked("string.peep_height", 0.14, by)
    assert found.up_m == pytest.approx(worked, rel=SHARE)
    assert found.mark_m == pytest.approx(-worked * RADIUS / AT_M, rel=SHARE)
    ledger(f"impact, peep slid by {1e3 * by:g} mm", "similar triangles", 6,
           float(np.abs(found.up_m / worked - 1.0).max()), SHARE, "of the miss")  # fmt: skip


def test_a_pin_set_farther_ahead_is_seen_under_a_smaller_angle():
    """The pin sits D tan ψ under the level line through the eye; 2 mm farther the same drop is a
    smaller angle, and the arrow lands lower by the difference at the target.
    """
    angle = (EYE + fallen(AT_M, V)) / AT_M  # from eye over arrow and drop
    worked = (angle * RADIUS / (RADIUS + 0.002) - angle) * AT_M
    found = risked("sight.ahead", 0.229, 0.002)
    assert found.up_m == pytest.approx(worked, rel=SHARE, abs=0.1e-3)


def test_bolts_turned_out_by_a_turn_cost_speed():
    """4 % of the draw weight for both, so 2 % for one; 0.42 of that is one of speed."""
    found = risked("limbs.upper_bolt", 3.5, 1.0)
    v = V * exp(-0.42 * 0.02)
    assert found.up_m == pytest.approx(fallen(AT_M, V) - fallen(AT_M, v), rel=SHARE)


def test_a_nock_and_a_rest_turn_the_arrow_about_the_other_end():
    """1 mm at one end of 0.7 m, and nobody knows how much of it is left as the arrow leaves: from
    all one way to all the other, evenly, whose standard deviation is 1/√3.
    """
    turned = 1e-3 / 0.7 / 3**0.5
    assert risked("string.nock_height", 0.006, 1e-3).up_sd_m == pytest.approx(
        turned * AT_M, rel=0.02
    )
    assert risked("rest.height", 0.02, 1e-3).up_sd_m == pytest.approx(turned * AT_M, rel=0.02)
    assert risked("rest.side", 0.02, 1e-3).side_m == pytest.approx(turned * AT_M, rel=0.02)


def test_a_windage_of_a_millimetre_is_one_at_the_pin():
    found = risked("sight.windage", 0.003, -1e-3)
    assert found.side_m == pytest.approx(1e-3 * AT_M / RADIUS)
    assert hypot(*found.up_m) < 1e-9
