import dataclasses

import pytest
from sessions import rig
from written_out import STANDARD_AIR

from tapewright.calibration.rig import Archer, Arrow, Belief, Bow, Rig, Sight


def test_a_rig_needs_only_a_name_and_an_arrow():
    least = Rig("Heron", Arrow(Belief(0.027), 0.006))
    assert least.bow == Bow()
    assert least.sight == Sight()
    assert least.archer == Archer()
    assert least.air == STANDARD_AIR
    assert least.hand == "right"


def test_what_was_not_said_stays_unsaid():
    least = Rig("Heron", Arrow(Belief(0.027), 0.006))
    assert least.bow.launch_speed_mps is None
    assert least.sight.reading_per_travel is None
    assert least.arrow.mass_kg.sd is None


@pytest.mark.parametrize("record", [rig(), rig().sight, rig().arrow, rig().bow, rig().archer])
def test_no_record_of_a_rig_can_be_changed(record):
    name = dataclasses.fields(record)[0].name
    with pytest.raises(dataclasses.FrozenInstanceError):
        setattr(record, name, None)


def test_rigs_that_say_the_same_are_equal_and_written_the_same():
    # the fingerprint of a calibration rests on it
    assert rig() == rig()
    assert repr(rig()) == repr(rig())


def test_an_archer_who_says_nothing_allows_three_inches():
    silent = Archer()
    assert silent.tolerance_m == pytest.approx(3 * 0.0254)  # common practice, no source
    assert silent.reading_sd_m == pytest.approx(0.1e-3)  # a tenth of a millimetre: a sharp pointer
