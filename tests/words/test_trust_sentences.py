"""Sentences that people read: right numbers, right units, both ways to say them."""

from dataclasses import replace
from math import nan

import numpy as np
import pytest
from exact_units import FOOT_M, INCH_M, YARD_M
from sessions import groups, rig, truth_near
from written_out import IMPERIAL, METRIC

from tapewright.calibration.rig import Belief, Bow, Chronograph, HouseValue, HouseValues
from tapewright.printing.tape_sentences import tape_words
from tapewright.services.calibrate import Caution, calibrate
from tapewright.services.print_tape import TapeOrder, plan_tape
from tapewright.words.cautions import caution_words
from tapewright.words.estimate_names import estimate_unit, unknown_words
from tapewright.words.trust_sentences import trust_words
from tapewright.words.unit_system import amount

SAFETY = (
    "Shoot only at a safe stop with clear ground behind it; a first far arrow needs a larger butt.",
    "Distances to people and boundaries: club's and national body's rules, and local law.",
    "Never shoot a damaged shaft or one lighter than the bow maker allows; never dry-fire.",
    "Never shoot past the distance at which arrow and housing clear each other.",
    "Press work and changes at peak weight belong to a qualified technician.",
    "In hunting the trusted distance is no permission: local law and the animal decide.",
)


@pytest.fixture(scope="module")
def answer():
    sheet = rig()
    shots = groups(sheet, truth_near(sheet), arrows=5)
    return calibrate(sheet, shots, np.array([20.0, 60.0]), np.arange(10, 100) * YARD_M)


def test_an_odd_group_is_placed_in_words(answer):
    odd = Caution("odd group", "far", (60 * YARD_M, -1.5 * INCH_M, 4 * INCH_M))
    told = caution_words(odd, answer, IMPERIAL)
    assert "Group far at 60 yd" in told
    assert "4.00 in high and 1.50 in left" in told
    other = replace(odd, numbers=(50.0, 0.03, -0.12))
    assert "12.0 cm low and 3.0 cm right" in caution_words(other, answer, METRIC)


def test_an_axis_not_measured_is_not_spoken_of(answer):
    odd = Caution("odd group", "far", (60 * YARD_M, nan, -4 * INCH_M))
    told = caution_words(odd, answer, IMPERIAL)
    assert "4.00 in low of where" in told
    assert "nan" not in told


@pytest.mark.parametrize(
    ("caution", "words"),
    [
        (Caution("no arrows"), "starting strip"),
        (Caution("few arrows", numbers=(4.0,)), "Only 4 arrows"),
        (Caution("unusual drag", "drag_coefficient", (0.0061,)), "0.0061 per metre"),
        (Caution("second sampler", numbers=(1812.0,)), "1812 distinct draws"),
        (
            Caution("not determined", "reading_per_travel", (1.4, 0.6, 3.0)),
            "reading per pin travel",
        ),
        (Caution("same arrows", "late and 1"), "hold the same arrows"),
        (Caution("same arrows", "late and 1", (1.0, 3.0)), "share arrows (1, 3 of the first)"),
        (Caution("sheet contradicted", "launch_speed", (84.7, 80.0, 79.0, 81.0)), "278.0 ft/s"),
    ],
)
def test_every_caution_is_one_paragraph_with_its_number(answer, caution, words):
    told = caution_words(caution, answer, IMPERIAL)
    assert words in told
    assert told.endswith(".")
    assert "\n" not in told


def test_statements_that_differ_are_told_with_what_they_come_to():
    bow = Bow(
        launch_speed_mps=Belief(270 * FOOT_M, 1 * FOOT_M),
        chronograph=(Chronograph(Belief(292 * FOOT_M, 2 * FOOT_M), 0.0),),
    )
    sheet = replace(rig(), bow=bow)
    found = calibrate(sheet, (), np.array([20.0, 60.0]), np.arange(10, 100) * YARD_M)
    first = found.cautions[0]
    assert first.kind == "statements differ"
    assert caution_words(first, found, IMPERIAL) == (
        "The sheet's statements about the launch speed differ by more than they allow: "
        "launch_speed 270 ft/s ± 1, chronograph 1 292 ft/s ± 2. Together they count as 275 ft/s ± "
        "9, 10.1 times as wide as they say. Measure the speed again with the arrow of the sheet, "
        "or take off what is wrong."
    )


def test_a_house_value_that_arrows_contradict_is_told_with_whose_it_is(answer):
    said = Caution("sheet contradicted", "reading_per_travel", (1.6, 1.7, 1.65, 1.75))
    assert caution_words(said, answer, IMPERIAL).startswith("Your sheet says reading per pin")
    house = HouseValues("Reed", (HouseValue("sight.reading_per_travel", Belief(1.6, 0.01)),))
    housed = replace(answer, rig=replace(answer.rig, house=house))
    told = caution_words(said, housed, IMPERIAL)
    assert told.startswith("The house values of Reed say reading per pin travel 1.6")
    assert "Is the kind named on the sheet the right one?" in told
    other = replace(said, subject="launch_speed")
    assert caution_words(other, housed, IMPERIAL).startswith("Your sheet says launch speed")


def test_readings_count_from_twenty_yards_in_the_reader_s_unit(answer):
    assert "20 yd" in caution_words(Caution("no arrows"), answer, IMPERIAL)
    assert "18.3 m" in caution_words(Caution("no arrows"), answer, METRIC)


def test_trust_is_told_with_its_tolerance_and_chance(answer):
    sixty = replace(answer, trusted_m=(60 * YARD_M,), once_zeroed_m=(60 * YARD_M,))
    assert trust_words(sixty, IMPERIAL) == (
        "Trusted to 60 yd: up to there a mark misses by less than 3 in with 90 % chance."
    )
    assert "55 m" in trust_words(sixty, METRIC)
    assert "7.6 cm" in trust_words(sixty, METRIC)
    nowhere = replace(answer, trusted_m=(0.0,), once_zeroed_m=(0.0,))
    assert trust_words(nowhere, IMPERIAL).startswith("Not yet trusted")


def test_trust_that_hits_do_not_carry_is_told_with_the_farthest_hit(answer):
    wide = replace(answer, trusted_m=(60 * YARD_M,), once_zeroed_m=(90 * YARD_M,))
    assert trust_words(wide, IMPERIAL) == (
        "Trusted to 60 yd: up to there a mark misses by less than 3 in with 90 % chance. The bands "
        "alone would carry 90 yd; no group that fits hit past 70 yd."
    )


def test_without_a_group_that_fits_nothing_is_trusted(answer):
    odd = tuple(replace(one, is_odd=True) for one in answer.groups)
    none = replace(answer, groups=odd, trusted_m=(0.0,), once_zeroed_m=(90 * YARD_M,))
    assert trust_words(none, IMPERIAL) == (
        "No group fits, so nothing is trusted. If the bands are right, a mark up to 90 yd misses "
        "by less than 3 in with 90 % chance."
    )


def test_every_estimate_has_a_name_and_a_unit(answer):
    for one in answer.estimates:
        assert unknown_words(one.name, answer.rig).replace(" ", "").isalnum()
        for units in (IMPERIAL, METRIC):
            assert amount(one.median, estimate_unit(one, units))
    assert unknown_words("pin_2_below_first", answer.rig) == "pin 2 below first"


def test_without_a_peep_the_eye_has_the_height(answer):
    recurve = replace(answer.rig, bow=replace(answer.rig.bow, kind="recurve"))
    assert unknown_words("peep_height", recurve) == "eye height"
    assert unknown_words("peep_height", answer.rig) == "peep height"


def test_readings_are_in_mm_for_everyone(answer):
    zero = next(one for one in answer.estimates if one.name == "zero_reading")
    assert estimate_unit(zero, IMPERIAL) == estimate_unit(zero, METRIC) == "mm"


def words_for(answer, **other):
    usual = {"unit": "yd", "distances": (20.0, 40.0, 60.0), "between": (20.0, 60.0)}
    return tape_words(plan_tape(answer, TapeOrder(**(usual | other))), IMPERIAL, "2030-04-01")


def test_strips_are_named_by_how_much_longer_they_are(answer):
    words = words_for(answer, step_mm=0.5)
    shorter, middle, longer = words.strip_names
    assert middle == "start here"
    check = next(note for note in words.notes if note.startswith("Check lengths"))
    where, _, lengths = check.partition(": ")
    assert where == "Check lengths, strip by strip, from the tick 20 to the tick 60"
    less, same, more = (float(one) for one in lengths.removesuffix(" mm").split(", "))
    assert (same - less, more - same) == pytest.approx((0.5, 0.5), abs=0.11)  # told to 0.1 mm
    assert shorter == f"−{50 / same:.1f} %"
    assert longer == f"+{50 / same:.1f} %"
    assert words.strip_feet == (shorter, "0 %", longer)


def test_strips_that_differ_little_are_named_apart(answer):
    assert len(set(words_for(answer, step_mm=0.02).strip_names)) == 3


def test_small_print_tells_what_a_strip_was_made_from(answer):
    notes = " ".join(words_for(answer).notes)
    for told in ("Heron", "2030-04-01", "15 °C", "1013 hPa", "6 groups, 30 arrows", "right-handed"):
        assert told in notes
    assert answer.fingerprint in notes
    assert "Tapewright" in notes


def test_a_tape_says_where_to_stick_it(answer):
    assert any("20 yd tick" in one for one in words_for(answer).advice)
    empty = calibrate(rig(), (), np.array([20.0, 60.0]), np.arange(10, 100) * YARD_M)
    assert any("Zero the bow at 20 yd" in one for one in words_for(empty).advice)


def test_safety_stands_on_every_sheet(answer):
    proof, *safety = words_for(answer).cautions
    assert proof.startswith("Prove the tape before anything hangs on it: a group at each of three ")
    assert tuple(safety) == SAFETY
    whole = " ".join(SAFETY)
    for told in ("safe stop", "clear ground", "damaged", "local law", "housing", "technician"):
        assert told in whole


@pytest.mark.parametrize("kind", ["recurve", "longbow"])
def test_a_bow_that_knows_no_press_is_told_of_its_limbs(kind):
    bow = Bow(kind=kind, launch_speed_mps=Belief(57.0, 0.5))
    bare = calibrate(rig(bow=bow), (), np.array([20.0, 60.0]), np.arange(10, 60) * YARD_M)
    told = words_for(bare).cautions
    limbs = "A cracked or twisted limb ends a bow; limb bolts stay inside their maker's limits."
    assert told[-6:] == (*SAFETY[:4], limbs, SAFETY[5])
    assert not any("peep" in one or "Press" in one for one in told)
