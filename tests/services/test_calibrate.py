from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import groups, rig, truth_near
from slips import slipped

from tapewright.calibration.rig import Belief
from tapewright.confidence.bands import bands, trusted_distance
from tapewright.flight.air import Air
from tapewright.services.calibrate import calibrate, fixed_pins, pin_bands
from tapewright.sight.prediction import sight_angle
from tapewright.target.group import Impact

ASKED_M = np.arange(20, 81, 10) * YARD_M
GRID_M = np.arange(10, 126) * YARD_M


def answer(sheet, shots, seed=1, probability=0.9):
    return calibrate(sheet, shots, ASKED_M, GRID_M, seed, probability)


@pytest.fixture(scope="module")
def usual():
    sheet = rig({"pins_below_first_m": (Belief(9e-3, 0.2e-3),)})
    shots = groups(sheet, truth_near(sheet))
    return sheet, shots, answer(sheet, shots)


def test_an_answer_keeps_what_it_was_made_from(usual):
    sheet, shots, made = usual
    assert made.rig is sheet
    assert made.observations == shots
    assert made.posterior.calibration.rig is sheet


def test_the_same_question_gives_the_same_answer_to_the_last_digit(usual):
    sheet, shots, made = usual
    again = answer(sheet, shots)
    assert again.fingerprint == made.fingerprint
    assert (again.bands.reading_m == made.bands.reading_m).all()
    assert again.trusted_m == made.trusted_m
    assert again.estimates == made.estimates
    assert again.cautions == made.cautions


def test_a_fingerprint_is_eight_hexadecimal_digits(usual):
    assert len(usual[2].fingerprint) == 8
    assert set(usual[2].fingerprint) <= set("0123456789abcdef")


def nudged(shots):
    first = shots[0]
    hits = first.group.impacts
    moved = Impact(hits[0].right_m, hits[0].up_m + 1e-4)
    return (replace(first, group=replace(first.group, impacts=(moved, *hits[1:]))), *shots[1:])


CHANGES = {
    "an arrow": lambda sheet, shots: (sheet, nudged(shots), 1),
    "a group more": lambda sheet, shots: (sheet, shots[:-1], 1),
    "a reading": lambda sheet, shots: (
        sheet, (replace(shots[0], reading_m=shots[0].reading_m + 1e-5), *shots[1:]), 1,
    ),
    "the sheet": lambda sheet, shots: (replace(sheet, name="Wren"), shots, 1),
    "the seed": lambda sheet, shots: (sheet, shots, 2),
}  # fmt: skip


@pytest.mark.parametrize("change", CHANGES)
def test_a_fingerprint_changes_with(change, usual):
    sheet, shots, made = usual
    assert answer(*CHANGES[change](sheet, shots)).fingerprint != made.fingerprint


def test_a_fingerprint_does_not_change_with_what_is_asked(usual):
    # another distance, another band: the same calibration
    sheet, shots, made = usual
    other = calibrate(sheet, shots, [33.0], GRID_M[:50], 1, 0.5)
    assert other.fingerprint == made.fingerprint


def test_every_pin_has_its_own_trusted_distance_and_marks(usual):
    _, _, made = usual
    assert len(made.trusted_m) == 2
    second = pin_bands(made, 2)
    assert (second.reading_m < made.bands.reading_m).all()
    assert (second.distance_m == made.bands.distance_m).all()
    assert second.probability == made.bands.probability
    assert (pin_bands(made, 1).reading_m == made.bands.reading_m).all()


def test_marks_nearer_than_the_turning_distance_run_back(usual):
    _, _, made = usual
    assert 11 < made.turning_m / YARD_M < 18
    bow = made.posterior.calibration.evidence.prior.unknowns.bow(
        np.median(made.posterior.vectors, axis=0)
    )
    around = sight_angle(bow, made.turning_m * np.array([0.8, 1.0, 1.25]))
    assert around[1] < min(around[0], around[2])


def test_fixed_pins_are_where_marks_of_those_distances_are(usual):
    _, _, made = usual
    drop, low, high = fixed_pins(made, [20 * YARD_M, 40 * YARD_M, 60 * YARD_M])
    assert drop[0] == low[0] == high[0] == 0
    assert (low[1:] < drop[1:]).all()
    assert (drop[1:] < high[1:]).all()
    per_travel = {one.name: one for one in made.estimates}["reading_per_travel"].median
    between_m = made.bands.reading_m[[2, 4]] - made.bands.reading_m[0]
    # medians of a product against products of medians
    assert drop[1:] == pytest.approx(between_m / per_travel, rel=0.01)


def test_no_arrows_make_an_answer_too(usual):
    sheet, _, _ = usual
    empty = answer(sheet, ())
    assert empty.groups == ()
    assert empty.cautions[0].kind == "no arrows"
    assert empty.bands.reading_m[0] == pytest.approx(0, abs=1e-6)


def test_a_surer_answer_trusts_less(usual):
    sheet, shots, made = usual
    assert answer(sheet, shots, probability=0.99).trusted_m[0] <= made.trusted_m[0]


@pytest.mark.parametrize("farthest_m", [110.0, 130.0])  # within the curves, and past them
def test_marks_and_trust_drawn_at_once_are_those_drawn_alone(farthest_m, usual):
    sheet, shots, _ = usual
    asked_m = np.append(ASKED_M[::-1], farthest_m)  # in any order
    made = calibrate(sheet, shots, asked_m, GRID_M)
    alone = bands(made.posterior, asked_m)
    for name in ("distance_m", "reading_m", "low_m", "high_m", "impact_low_m", "impact_high_m"):
        # 1e-9 of a metre or of itself: only the order of sums differs
        assert getattr(made.bands, name) == pytest.approx(getattr(alone, name), rel=1e-9, abs=1e-12)
    trusted = [
        trusted_distance(made.posterior, sheet.archer.tolerance_m, GRID_M, pin=pin)
        for pin in (1, 2)
    ]
    assert list(made.trusted_m) == trusted


def test_no_distance_to_trust_is_no_trust(usual):
    sheet, shots, _ = usual
    assert calibrate(sheet, shots, ASKED_M, [5.0]).trusted_m == (0.0, 0.0)


def test_trust_is_the_lesser_of_with_and_without_the_group_in_doubt():
    case = slipped("distance digit", 104)
    made = answer(case.sheet, case.written)
    (left,) = made.doubt.without
    assert left.written.group.name == "3"
    with_all_m = trusted_distance(made.posterior, 0.0762, GRID_M)
    without_m = trusted_distance(left.posterior, 0.0762, GRID_M)
    assert 0.0 < made.trusted_m[0] <= min(with_all_m, without_m)
    assert with_all_m > made.once_zeroed_m[0] + 10 * YARD_M  # not the hits alone
    assert [one.is_odd for one in made.groups] == [False, False, True]


def test_a_slip_in_all_rows_leaves_no_trust():
    case = slipped("exchanged in all", 3)
    made = answer(case.sheet, case.written)
    assert len(made.slips[0].mistake.places) == len(case.written)
    assert made.trusted_m == tuple(0.0 for _ in made.trusted_m)
    assert not made.is_earned


def test_groups_shot_far_colder_leave_the_marks_of_home_alone(usual):
    sheet, shots, made = usual
    cold = Air(sheet.air.temperature_k - 15.0, 101325.0)
    low = [replace(hit, up_m=hit.up_m - 0.2) for hit in shots[0].group.impacts]
    strayed = replace(
        shots[0], group=replace(shots[0].group, name="K", impacts=tuple(low)), air=cold
    )
    both = answer(sheet, (*shots, strayed))
    assert both.elsewhere == (strayed,)
    assert both.observations == shots
    assert (both.bands.reading_m == made.bands.reading_m).all()
    assert (both.cautions[-1].kind, both.cautions[-1].subject) == ("shot elsewhere", "K")
    assert both.fingerprint != made.fingerprint
    cool = replace(strayed, air=replace(cold, temperature_k=cold.temperature_k + 0.1))
    assert answer(sheet, (*shots, cool)).elsewhere == ()
    # where most were shot so, all calibrate: marks from few groups alone would be worse
    most = answer(sheet, (shots[0], strayed, replace(strayed, distance_m=40.0)))
    assert most.elsewhere == ()
    # but what they prove in the air of the sheet is no more than if all had been shot so
    assert [one.numbers for one in most.cautions if one.kind == "other air"] == [(15.0,)]
    # and which made the marks before, since they jump when the others become the more
    assert most.cautions[-1].kind == "most elsewhere"
    assert most.cautions[-1].subject == shots[0].group.name
    half = answer(sheet, (*shots[:1], strayed))
    assert (half.cautions[-1].kind, half.elsewhere) == ("half elsewhere", (strayed,))
