"""Source: [OLS] virtual mass 5.7697 g + 0.0583 m; [HICK47] 188 to 278 gr of six longbows."""

from math import log

import pytest
from exact_units import GRAIN_KG

from tapewright.calibration.rig import Bow
from tapewright.field.change_doubts import (
    moving_mass,
    shaft_flight,
    speed_by_stroke,
    speed_by_weight,
    tied_peep,
)


def of(kind):
    return Bow(kind=kind)


def test_a_bow_of_no_said_kind_is_a_compound():
    assert moving_mass(Bow()) == moving_mass(of(None)) == moving_mass(of("compound"))
    assert moving_mass(Bow())[0] / GRAIN_KG == pytest.approx(45)


def test_a_recurve_moves_what_two_arrows_of_the_measured_one_tell():
    """Of (m + K) with K = a + b m two arrows see m + a/(1 + b)."""
    assert moving_mass(of("recurve"))[0] == pytest.approx(5.7697e-3 / 1.0583, rel=0.02)


def test_a_longbow_moves_what_six_of_wood_did():
    median, log_sd = moving_mass(of("longbow"))
    assert 188 < median / GRAIN_KG < 278
    assert 0.15 < log_sd < 0.3


def test_ten_pounds_of_seventy_cost_a_compound_what_the_trade_says():
    share, doubt = speed_by_weight(Bow())
    slow, fast = (315 * (1 - (60 / 70) ** (share + by * doubt)) for by in (-1.645, 1.645))
    assert slow == pytest.approx(15.3, abs=0.5)  # 15 to 20 ft/s; by energy alone 23
    assert fast == pytest.approx(24.3, abs=0.5)
    assert speed_by_weight(of("recurve"))[0] == 0.5  # [TUI92]: energy, whatever it weighs


def test_an_inch_of_draw_gives_a_compound_between_energy_and_the_trade():
    """2.3 % an inch by energy alone, 4 to 5 % to the trade, of a stroke of 21.75 in."""
    for weighed in (False, True):
        share, doubt = speed_by_stroke(Bow(), weighed=weighed)
        slow, fast = (100 * (share + by * doubt) / 21.75 for by in (-1.645, 1.645))
        assert slow == pytest.approx(2.34, abs=0.05)
        assert fast == pytest.approx(4.46, abs=0.05)


@pytest.mark.parametrize(("kind", "stored"), [("recurve", 0.58), ("longbow", 0.52)])
def test_a_bow_drawn_farther_gets_heavier_by_a_straight_curve(kind, stored):
    """Work W(x) = F₀ x + ½ k x² of a curve that stores this share of its last force times way."""
    start = 2 * stored - 1  # force at the beginning, over that at the end

    def work(stroke):
        return start * stroke + 0.5 * (1 - start) * stroke**2

    wanted = 0.5 * log(work(1.01) / work(0.99)) / log(1.01 / 0.99)
    share, doubt = speed_by_stroke(of(kind), weighed=False)
    assert abs(share - wanted) < doubt
    assert speed_by_stroke(of(kind), weighed=True)[0] == 0.5  # the new weight says the rest


def test_only_a_peep_is_tied_again():
    assert tied_peep(Bow()) == pytest.approx(1.5e-3)
    assert tied_peep(of("recurve")) == tied_peep(of("longbow")) == 0.0


def test_a_broadhead_may_fly_farthest_off_and_a_point_least():
    point, shaft = (shaft_flight(another_shaft=one, another_point=False) for one in (False, True))
    heads = [shaft_flight(another_shaft=one, another_point=True) for one in (False, True)]
    assert point < shaft < heads[0] == heads[1]
