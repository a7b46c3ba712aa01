"""House values stand in where a sheet is silent, and nowhere else."""

from dataclasses import replace

from tapewright.calibration.house_values import same_kind, unknown_kinds, with_house
from tapewright.calibration.rig import (
    Archer,
    Arrow,
    Belief,
    Bow,
    Chronograph,
    HouseValue,
    HouseValues,
    Rig,
    Sight,
)

DRAG, TRAVEL = "arrow.drag_coefficient", "sight.reading_per_travel"
SPREAD, READS = "archer.dispersion", "chronograph.reads"
HOUSE = HouseValues(
    "Reed Lane",
    (
        HouseValue(TRAVEL, Belief(1.573, 0.010), "Counter  Slider"),
        HouseValue(TRAVEL, Belief(1.71, 0.02)),
        HouseValue(DRAG, Belief(2.05, 0.10), "thin", "field"),
        HouseValue(DRAG, Belief(2.70, 0.20), "thin", "broadhead"),
        HouseValue(SPREAD, Belief(0.9e-3, 0.3e-3)),
        HouseValue(READS, Belief(1.012, 0.004), "counter"),
    ),
)
ARROW = Arrow(Belief(0.0272, 0.0001), 0.006)
SILENT = Rig("Heron", ARROW)


def test_a_silent_sheet_gets_what_the_house_knows_of_its_kind():
    rig = replace(
        SILENT,
        sight=Sight(kind="counter slider"),
        arrow=replace(ARROW, kind="Thin", point="broadhead"),
    )
    found = with_house(rig, HOUSE)
    assert found.sight.reading_per_travel == Belief(1.573, 0.010)
    assert found.arrow.drag_coefficient == Belief(2.70, 0.20)
    assert found.archer.dispersion_rad == Belief(0.9e-3, 0.3e-3)
    assert found.house.name == "Reed Lane"
    assert [one.value.value for one in found.house.values] == [2.70, 1.573, 0.9e-3]
    assert found.is_from_house(TRAVEL)
    assert not found.is_from_house(READS)


def test_a_sheet_that_names_no_kind_gets_the_value_without_a_name():
    found = with_house(SILENT, HOUSE)
    assert found.sight.reading_per_travel == Belief(1.71, 0.02)
    assert found.arrow.drag_coefficient is None  # every drag of this house has a name


def test_a_kind_that_the_house_does_not_know_gets_nothing():
    rig = replace(SILENT, sight=Sight(kind="another"), arrow=replace(ARROW, kind="thick"))
    found = with_house(rig, HOUSE)
    assert found.sight.reading_per_travel is None
    assert found.arrow.drag_coefficient is None
    assert list(unknown_kinds(found, HOUSE)) == [
        (DRAG, "thick", ("thin",)),
        (TRAVEL, "another", ("Counter  Slider",)),
    ]


def test_what_a_sheet_states_is_never_replaced():
    stated = replace(
        SILENT,
        sight=Sight(reading_per_travel=Belief(1.60), kind="counter slider"),
        arrow=replace(ARROW, drag_coefficient=Belief(1.9, 0.5), kind="thin"),
        archer=Archer(dispersion_rad=Belief(0.5e-3)),
    )
    assert with_house(stated, HOUSE) is stated
    assert list(unknown_kinds(stated, HOUSE)) == []


def test_a_bias_belongs_to_readings_of_its_instrument_which_stay_as_they_were_read():
    read = Chronograph(Belief(85.0, 0.5), 0.9, instrument="Counter")
    other = Chronograph(Belief(86.0, 0.5), 0.9)
    lost = Chronograph(Belief(87.0, 0.5), 0.9, instrument="mine")
    found = with_house(replace(SILENT, bow=Bow(chronograph=(read, other, lost))), HOUSE)
    assert found.bow.chronograph == (replace(read, bias=Belief(1.012, 0.004)), other, lost)
    assert [kind for key, kind, _ in unknown_kinds(found, HOUSE) if key == READS] == ["mine"]


def test_house_values_are_taken_once_and_without_a_house_nothing_is():
    once = with_house(SILENT, HOUSE)
    assert with_house(once, replace(HOUSE, name="Other")) is once
    assert with_house(SILENT, None) is SILENT
    assert with_house(SILENT, HouseValues("Empty")) is SILENT


def test_names_of_kinds_are_compared_word_for_word_capitals_aside():
    assert same_kind(" Thin  carbon", "thin Carbon ")
    assert not same_kind("thin carbon", "thincarbon")
    assert same_kind("", " ")
