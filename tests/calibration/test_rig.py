import dataclasses

import pytest
from sessions import rig
from written_out import STANDARD_AIR

from tapewright.calibration.belief import Belief, Beliefs
from tapewright.calibration.rig import Archer, Arrow, Bow, Chronograph, Rating, Rig, Sight
from tapewright.ground.errors import BadInput
from tapewright.sight.tape import Tape, Ticks

SHAFT = Arrow(Belief(0.027), 0.006)


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


def test_every_limit_of_the_sheet_lies_within_that_of_the_record():
    # what a sheet may say must become a record; the record's own ends catch wrong units only
    for name, low, high in (
        ("mass_kg", 0.0065, 0.0972),
        ("shaft_diameter_m", 0.003, 0.012),
        ("length_m", 0.381, 0.914),
    ):
        for value in (low, high):
            said = {"mass_kg": 0.0272, "shaft_diameter_m": 0.006} | {name: value}
            mass = Belief(said.pop("mass_kg"))
            assert Arrow(mass, **said) is not None
    assert Sight(sight_radius_m=Belief(0.254), peep_height_m=Belief(0.3048)) is not None
    assert Sight(travel_ends_m=(-0.5, 0.5), clearance_reading_m=0.5) is not None
    assert Archer(dispersion_rad=Belief(0.02), tolerance_m=1.016, distance_sd_m=10.0) is not None
    assert Bow(draw_weight_n=534.0, launch_speed_mps=Belief(152.4), rest_ahead_m=-0.15) is not None


@pytest.mark.parametrize(
    ("made", "told"),
    [
        (lambda: Bow(rating=(100.6, 311.0)), r"Bow\.rating: a tuple is no Rating\. Give Rating"),
        (lambda: Sight(tape="heron.tape.json"), r"Sight\.tape: .* is no Tape\. Give the tape of"),
        (lambda: Sight(travel_ends_m=0.08), r"travel_ends_m: 0\.08 is not two readings\. Give two"),
        (lambda: Sight(travel_ends_m=(0.0, 80.0)), r"travel_ends_m\[1\]: 80 is outside -1 to 1"),
        (lambda: Sight(pins_below_first_m=[Belief(9.0)]), r"first_m\[0\]: 9 is outside 1e-05 to 0"),
        (
            lambda: Sight(travel_ends_m=(0.08, 0.01)),
            r"travel_ends_m: 0\.08 is not below 0\.01\. Give .* the smaller first",
        ),
        (
            lambda: Arrow(Belief(0.027), 0.006, drag_law=2.1),
            r"drag_law: 2\.1 is no drag law\. Give",
        ),
        (lambda: Rig(7, SHAFT), r"Rig\.name: 7 is no text"),
        (lambda: Rig("a", SHAFT, beliefs=Belief(1.0)), r"Rig\.beliefs: a Belief is no Beliefs"),
        (
            lambda: Chronograph(84.0, 1.0),
            r"speed_mps: 84 is no Belief\. Give it in",
        ),
    ],
)
def test_parts_of_a_rig_refuse_what_cannot_be_meant(made, told):
    with pytest.raises(BadInput, match=told):
        made()


def test_lists_are_taken_for_tuples():
    sight = Sight(pins_below_first_m=[Belief(0.009)], travel_ends_m=[0, 0.08])
    assert sight == Sight(pins_below_first_m=(Belief(0.009),), travel_ends_m=(0.0, 0.08))
    assert hash(sight)


def test_a_rig_may_hold_every_part():
    read = (Chronograph(Belief(84.1, 0.4), 0.91),)
    rating = Rating(Belief(100.6, 2.0), 311.4, 0.762, 0.0227)
    bow = Bow(chronograph=read, rating=rating)
    tape = Tape("first", "yd", (Ticks((18.0, 54.0), (0.01, 0.04)),))
    rig = Rig("Heron", SHAFT, bow, Sight(tape=tape), beliefs=Beliefs(side_m=Belief(0.0, 0.001)))
    assert rig.sight.scales[-1].name == "first"
