"""A belief has a doubt above nothing; own beliefs take the place of what is usual."""

from dataclasses import replace

import numpy as np
import pytest

from tapewright.calibration.belief import Belief, Beliefs
from tapewright.calibration.prior import prior_from_rig
from tapewright.calibration.rig import Arrow, Bow, Chronograph, Rig
from tapewright.flight.air import Air
from tapewright.flight.drag import TabulatedDrag, TransitionDrag
from tapewright.ground.errors import BadInput

RIG = Rig("invented", Arrow(Belief(0.0272, 0.0001), 0.006), air=Air(288.15, 101325.0, 0.0))


def row(rig, name):
    prior = prior_from_rig(rig, np.zeros(0))
    place = prior.unknowns.place(name)
    return prior.mean[place], prior.sd[place]


def test_numbers_are_kept_as_floats_and_doubts_are_above_nothing():
    assert repr(Belief(np.float64(3), np.int64(1))) == "Belief(value=3.0, sd=1.0)"
    for sd in (0.0, -0.5):
        with pytest.raises(BadInput, match=r"Belief\.sd: -?0(\.5)? is not above 0"):
            Belief(1.0, sd)


def test_the_value_of_a_belief_is_checked_where_it_stands():
    with pytest.raises(BadInput, match=r"^Arrow\.mass_kg, sd: 0\.5 is outside 0 to 0\.2 kilograms"):
        Arrow(Belief(0.0272, 0.5), 0.006)


def test_own_beliefs_stand_in_the_prior():
    own = Beliefs(
        launch_ahead_m=Belief(1.1, 0.02),
        windage_rad=Belief(0.003, 0.001),
        side_m=Belief(-0.004, 0.002),
        dispersion_up_rad=Belief(0.8e-3, 0.2e-3),
        dispersion_right_rad=Belief(0.5e-3, 0.05e-3),
        wobble_rad=Belief(0.3e-3, 0.03e-3),
    )
    believed = replace(RIG, beliefs=own)
    assert row(believed, "launch_ahead") == (1.1, 0.02)
    assert row(believed, "windage") == (0.003, 0.001)
    assert row(believed, "side") == (-0.004, 0.002)
    assert row(believed, "log_dispersion_up") == pytest.approx((np.log(0.8e-3), 0.25))
    assert row(believed, "log_dispersion_right") == pytest.approx((np.log(0.5e-3), 0.1))
    assert row(believed, "log_wobble") == pytest.approx((np.log(0.3e-3), 0.1))


def test_what_is_not_believed_stays_usual():
    believed = replace(RIG, beliefs=Beliefs(side_m=Belief(0.0, 0.001)))
    assert row(believed, "side") == (0.0, 0.001)
    for name in ("launch_ahead", "windage", "log_wobble", "log_dispersion_up", "log_speed"):
        assert row(believed, name) == row(RIG, name)


def test_a_law_tells_the_drag_at_sixty_metres_a_second():
    law = TabulatedDrag((2e4, 3e4), (1.4, 2.4), doubt=0.1)
    shot = replace(RIG, arrow=replace(RIG.arrow, drag_law=law))
    # Re = ρ v d / μ = 1.2255 × 60 × 0.006 / 1.7894e-5: 24 655; a straight line over its logarithm
    at_60 = 1.4 + np.log(24_655 / 20_000) / np.log(1.5)
    per_coefficient = 0.5 * 1.2255 * np.pi / 4 * 0.006**2 / 0.0272
    mean, sd = row(shot, "log_drag")
    assert np.exp(mean) == pytest.approx(at_60 * per_coefficient, rel=2e-4)
    assert sd == pytest.approx(np.hypot(0.1, 0.0001 / 0.0272))


def test_a_coefficient_that_is_said_sizes_the_law():
    arrow = replace(RIG.arrow, drag_law=TransitionDrag(2e4), drag_coefficient=Belief(1.9, 0.19))
    mean, sd = row(replace(RIG, arrow=arrow), "log_drag")
    constant = replace(RIG, arrow=replace(arrow, drag_law=None))
    assert mean == pytest.approx(row(constant, "log_drag")[0])
    assert sd == pytest.approx(np.hypot(0.1, 0.0001 / 0.0272))


def test_a_chronograph_down_the_range_is_carried_back_under_the_law():
    bow = Bow(chronograph=(Chronograph(Belief(80.0, 0.5), at_m=20.0),))
    arrow = replace(RIG.arrow, drag_coefficient=Belief(2.1, 0.1))
    laws = (None, TabulatedDrag((1e3, 1e6), (2.1, 2.1)), TabulatedDrag((2e4, 4e4), (1.0, 3.0)))
    constant, flat, falling = (
        np.exp(row(replace(RIG, bow=bow, arrow=replace(arrow, drag_law=law)), "log_speed")[0])
        for law in laws
    )
    assert flat == pytest.approx(constant, abs=1e-4)  # the quadrature's speed is good to 1e-3
    # 2.1 at 60 m/s means more at 80: the arrow was faster when it left
    assert falling > constant + 0.5
