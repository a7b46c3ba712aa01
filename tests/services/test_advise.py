from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import groups, rig, truth_near
from slips import slipped

from tapewright.confidence.ladder import open_shots
from tapewright.confidence.landing import landings
from tapewright.services.advise import (
    Butt,
    Hindrance,
    PlanOrder,
    Wish,
    plan_shots,
)
from tapewright.services.calibrate import calibrate
from tapewright.services.correct_groups import windage_moved
from tapewright.services.next_groups import safe_without
from tapewright.services.usual_wish import tape_end, usual_places, usual_wish

GRID_M = np.arange(10, 126) * YARD_M
PLACES_M = tuple(np.arange(10, 91, 10) * YARD_M)
WISH = Wish(0.0762, Butt(0.9, 0.9))
ANYWHERE_M = usual_places(90 * YARD_M, YARD_M)
ORDER = PlanOrder(90 * YARD_M, WISH, 60, ANYWHERE_M, shown_m=PLACES_M)


def answer(sheet, shots):
    return calibrate(sheet, shots, PLACES_M, GRID_M)


@pytest.fixture(scope="module")
def short():
    sheet = rig()
    return answer(sheet, groups(sheet, truth_near(sheet), (20, 40)))


@pytest.fixture(scope="module")
def bare():
    return answer(rig(), ())


def test_a_plan_leads_from_where_the_archer_stands_to_the_wish(short):
    plan = plan_shots(short, ORDER)
    assert 0 < plan.trusted_m < ORDER.wanted_m
    assert not plan.is_trusted
    assert plan.gets_there
    assert sum(step.arrows for step in plan.steps) <= ORDER.most_arrows
    assert len(plan.readings_m) == len(plan.steps)
    assert plan.steps[-1].band_m < plan.band_m
    assert len(plan.candidates) == 4 * len(PLACES_M)


def test_what_is_dialled_is_the_tapes_mark(short):
    plan = plan_shots(short, ORDER)
    marks = dict(zip(short.bands.distance_m, short.bands.reading_m, strict=True))
    told = [
        (reading_m, marks[step.distance_m])
        for step, reading_m in zip(plan.steps, plan.readings_m, strict=True)
        if step.distance_m in marks
    ]
    assert told
    assert all(dialled == pytest.approx(mark, abs=1e-9) for dialled, mark in told)


def test_from_no_arrow_the_whole_session_is_planned(bare):
    plan = plan_shots(bare, ORDER)
    assert plan.trusted_m == 0.0
    assert plan.gets_there
    assert len(plan.steps) >= 2
    assert plan.first is not None
    assert not plan.first.is_safe
    assert plan.chain_gets_there


def test_a_trusted_distance_needs_no_arrow():
    sheet = rig()
    full = answer(sheet, groups(sheet, truth_near(sheet), (20, 30, 40, 50, 60, 70), arrows=6))
    plan = plan_shots(full, replace(ORDER, wanted_m=40 * YARD_M, distances_m=PLACES_M[:4]))
    assert plan.is_trusted
    assert plan.gets_there
    assert plan.steps == ()
    assert plan.hindrance is None
    assert plan.spare.distance_m <= 40 * YARD_M + 1e-6
    assert plan.first.is_safe
    assert [step.distance_m for step in plan.chain] == pytest.approx([40 * YARD_M])


def test_a_tiny_budget_or_butt_ends_short(bare):
    few = plan_shots(bare, replace(ORDER, most_arrows=3))
    assert len(few.steps) == 1
    assert not few.gets_there
    assert few.hindrance is None  # arrows are what is missing, and the plan says so
    none = plan_shots(bare, replace(ORDER, wish=Wish(0.0762, Butt(0.06, 0.06))))
    assert none.steps == ()
    assert not none.gets_there
    assert not none.chain_gets_there
    assert none.hindrance.kind == "butt"
    assert none.hindrance.distance_m == pytest.approx(3.0)
    # evenly within 40 mm at 33 in: 99 of 100 lie within 0.142 m at 3 m, scatter apart
    assert none.hindrance.height_m == pytest.approx(2 * 0.143, abs=0.03)
    assert 0.05 < none.hindrance.width_m < none.hindrance.height_m


def test_distances_past_the_limit_are_left_out():
    sheet = rig()
    shots = groups(sheet, truth_near(sheet), (20, 40))
    far = answer(sheet, shots).bands.reading_m[5]
    held = rig({"clearance_reading_m": float(far)})
    plan = plan_shots(answer(held, shots), ORDER)
    assert plan.barred_m == pytest.approx((60 * YARD_M, 70 * YARD_M, 80 * YARD_M, 90 * YARD_M))
    assert PLACES_M[-1] in plan.barred_m
    assert plan.hindrance.kind == "reach"
    assert plan.first is None
    assert plan.chain == ()
    assert not plan.chain_gets_there
    assert {step.distance_m for step in plan.candidates}.isdisjoint(plan.barred_m)
    assert {step.distance_m for step in plan.steps}.isdisjoint(plan.barred_m)


def test_with_every_distance_barred_nothing_is_planned():
    sheet = rig()
    shots = groups(sheet, truth_near(sheet), (20, 40))
    held = rig({"clearance_reading_m": -0.3})
    plan = plan_shots(answer(held, shots), ORDER)
    assert plan.barred_m == pytest.approx(PLACES_M)
    assert plan.candidates == ()
    assert plan.steps == ()


def test_a_wish_of_the_nearest_distance_is_one_too(short):
    plan = plan_shots(short, replace(ORDER, wanted_m=PLACES_M[0], distances_m=PLACES_M[:1]))
    assert plan.band_m > 0


def fixed(*yards, walks=()):
    places_m = tuple(one * YARD_M for one in yards)
    return PlanOrder(places_m[-1], WISH, 60, places_m, walks)


def test_a_lane_too_far_for_a_first_arrow_wants_a_walk(bare):
    plan = plan_shots(bare, fixed(20, 40, 60, walks=ANYWHERE_M[:40]))
    assert plan.steps[0].distance_m == pytest.approx(10 * YARD_M)
    assert plan.is_walk(plan.steps[0])
    assert [plan.is_walk(step) for step in plan.steps if step.distance_m == 20 * YARD_M] == [False]


def test_where_walking_is_forbidden_the_place_that_would_do_is_said(bare):
    plan = plan_shots(bare, fixed(20, 40, 60))
    assert plan.steps == ()
    assert plan.hindrance.kind == "place"
    assert 8.5 < plan.hindrance.distance_m <= 9.144 + 1e-6


def test_lanes_that_lie_too_far_apart_end_a_plan_where_they_do(short):
    plan = plan_shots(short, fixed(20, 40, 70, 90))
    assert plan.answer.ladder.farthest_m == pytest.approx(60 * YARD_M)
    assert all(step.distance_m <= 40 * YARD_M + 1e-6 for step in plan.steps)
    assert not plan.gets_there


def test_the_first_arrow_is_told_where_it_may_hit(short, bare):
    low_m, high_m = plan_shots(short, ORDER).lands_m
    assert -0.5 < low_m < 0 < high_m < 0.5
    by_eye = plan_shots(bare, ORDER)
    assert by_eye.is_set_by_eye
    assert by_eye.lands_m[1] > 0.3  # a pin 40 mm off at 10 yd


def test_nobody_says_and_the_farthest_ten_of_the_tape_is_wanted(short, bare):
    for answered in (short, bare):
        end = tape_end(answered, YARD_M)
        assert 60 <= end <= 120
        assert end % 10 == 0
        assert end * YARD_M > max(answered.once_zeroed_m)
        assert usual_wish(answered, YARD_M) == pytest.approx(end * YARD_M)


def test_a_wish_stays_within_the_sights_reach():
    sheet = rig()
    shots = groups(sheet, truth_near(sheet), (20, 40))
    far = answer(sheet, shots).bands.reading_m[4]  # 50 yd
    held = answer(rig({"clearance_reading_m": float(far)}), shots)
    assert usual_wish(held, YARD_M) == pytest.approx(40 * YARD_M)
    nowhere = answer(rig({"clearance_reading_m": -0.3}), shots)
    assert usual_wish(nowhere, YARD_M) == pytest.approx(10 * YARD_M)


def test_no_farther_group_is_asked_for_than_the_sheet_says_is_shot_at(short):
    def wished(farthest_m):
        archer = replace(short.rig.archer, farthest_m=farthest_m)
        told = replace(short, rig=replace(short.rig, archer=archer))
        assert tape_end(told, YARD_M) == tape_end(short, YARD_M)  # the tape is as long as before
        return usual_wish(told, YARD_M) / YARD_M

    assert wished(55 * YARD_M) == pytest.approx(55.0)
    assert wished(50.0) == pytest.approx(54.68, abs=0.01)  # metres
    assert wished(9.05) == pytest.approx(10.0)  # nearer than anything can be trusted


def test_places_are_near_by_each_and_farther_out_each_five():
    metres = usual_places(70.0, 1.0)
    assert metres[:4] == (3.0, 4.0, 5.0, 6.0)
    assert metres[27:31] == (30.0, 35.0, 40.0, 45.0)
    assert metres[-1] == 70.0
    yards = usual_places(33 * YARD_M, YARD_M)
    assert yards[:2] == pytest.approx((3.0, 4 * YARD_M))
    assert yards[-2:] == pytest.approx((30 * YARD_M, 33 * YARD_M))


def test_one_rule_says_where_the_next_arrow_may_be_shot(short, bare):
    tries = np.array([5.0, 9.0, 12.0, 40.0, 54.0, 56.0])
    for one, opened in ((bare, [True, True, *[False] * 4]), (short, [True] * 5 + [False])):
        seen = landings(one.posterior, tries)
        assert open_shots(seen, one.ladder, WISH.butt).tolist() == opened


def far_right(answered):
    """Where the next arrow lands at 20 yd, right of the aim, mrad."""
    seen = landings(answered.posterior, [20 * YARD_M])
    return 1e3 * float(np.median(seen.right_rad))


def test_the_next_arrow_flies_with_the_windage_of_the_last_group_or_as_it_was_moved_since():
    sheet = rig()
    before = groups(sheet, truth_near(sheet, windage=4e-3), (20, 30))
    last = groups(sheet, truth_near(sheet, windage=-6e-3), (40,))
    as_it_stood = answer(sheet, (*before, *last))
    assert far_right(as_it_stood) == pytest.approx(-6, abs=0.4)
    assert far_right(windage_moved(as_it_stood)) == pytest.approx(0, abs=0.4)
    assert far_right(answer(sheet, before)) == pytest.approx(4, abs=0.4)
    assert windage_moved(answer(sheet, ())).observations == ()
    one = PlanOrder(50 * YARD_M, Wish(0.0762, Butt(0.5, 0.9)), 60, (50 * YARD_M,))
    still, moved = (plan_shots(each, one) for each in (as_it_stood, windage_moved(as_it_stood)))
    assert still.first.chance < 0.3  # 6 mrad at 50 yd are 27 cm, past the side of the butt
    assert moved.first.chance > 0.99


def test_a_slip_closes_every_shot_until_it_is_settled():
    case = slipped("pin", 1)
    answer = calibrate(case.sheet, case.written, [20 * YARD_M], np.arange(9, 100) * YARD_M)
    assert {one.mistake.kind for one in answer.slips} >= {"pin"}
    order = PlanOrder(90 * YARD_M, Wish(0.0762, Butt(1.2, 1.2)), 60, (20 * YARD_M, 90 * YARD_M))
    found = plan_shots(answer, order)
    assert (found.steps, found.readings_m, found.candidates, found.chain) == ((), (), (), ())
    assert (found.first, found.hindrance) == (None, Hindrance("slip"))
    assert not found.is_trusted
    settled = calibrate(case.sheet, case.meant, [20 * YARD_M], np.arange(9, 100) * YARD_M)
    assert plan_shots(settled, order).steps
    assert answer.trusted_m[0] <= settled.trusted_m[0]


def test_a_group_that_no_slip_explains_lets_shoot_only_where_both_are_safe():
    sheet = rig()
    shots = groups(sheet, truth_near(sheet), (20, 30, 40, 50))
    sound = answer(sheet, shots)
    assert sound.doubt.without == ()
    shot_m = np.array([10.0, 20.0, 60.0]) * YARD_M
    assert safe_without(sound, shot_m, Butt(0.02, 0.02)).all()  # nothing is in doubt
    aside = tuple(replace(hit, up_m=hit.up_m + 0.4) for hit in shots[3].group.impacts)
    moved = replace(shots[3], group=replace(shots[3].group, impacts=aside))
    found = answer(sheet, (*shots[:3], moved))
    assert found.slips == ()
    assert any(one.is_odd for one in found.groups)
    assert found.doubt.without
    assert not safe_without(found, shot_m, Butt(0.02, 0.02)).any()
    order = PlanOrder(60 * YARD_M, Wish(0.0762, Butt(0.02, 0.02)), 60, tuple(shot_m))
    assert plan_shots(found, order).hindrance == Hindrance("doubt")
