"""Source: [OLS] virtual mass 5.7697 g + 0.0583 m; [HICK47] 188 to 278 gr of six longbows."""

from types import SimpleNamespace

import pytest
from exact_units import GRAIN_KG

from tapewright.calibration.rig import Bow
from tapewright.field.change_doubts import moving_mass, shaft_flight, tied_peep


def of(kind):
    return SimpleNamespace(kind=kind)


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


def test_only_a_peep_is_tied_again():
    assert tied_peep(Bow()) == pytest.approx(1.5e-3)
    assert tied_peep(of("recurve")) == tied_peep(of("longbow")) == 0.0


def test_a_broadhead_may_fly_farthest_off_and_a_point_least():
    point, shaft = (shaft_flight(another_shaft=one, another_point=False) for one in (False, True))
    heads = [shaft_flight(another_shaft=one, another_point=True) for one in (False, True)]
    assert point < shaft < heads[0] == heads[1]
