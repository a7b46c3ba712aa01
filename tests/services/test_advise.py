from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import groups, rig, truth_near

from tapewright.services.advise import Butt, PlanOrder, Wish, plan_shots
from tapewright.services.calibrate import calibrate

GRID_M = np.arange(10, 126) * YARD_M
PLACES_M = tuple(np.arange(10, 91, 10) * YARD_M)
WISH = Wish(0.0762, Butt(0.9, 0.9))
ORDER = PlanOrder(90 * YARD_M, WISH, 60, PLACES_M)


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
    for step, reading_m in zip(plan.steps, plan.readings_m, strict=True):
        assert reading_m == pytest.approx(marks[step.distance_m], abs=1e-9)


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
    assert plan.first.is_safe
    assert [step.distance_m for step in plan.chain] == pytest.approx([40 * YARD_M])


def test_a_tiny_budget_or_butt_ends_short(bare):
    few = plan_shots(bare, replace(ORDER, most_arrows=3))
    assert len(few.steps) == 1
    assert not few.gets_there
    none = plan_shots(bare, replace(ORDER, wish=Wish(0.0762, Butt(0.06, 0.06))))
    assert none.steps == ()
    assert not none.gets_there
    assert not none.chain_gets_there


def test_distances_past_the_limit_are_left_out():
    sheet = rig()
    shots = groups(sheet, truth_near(sheet), (20, 40))
    far = answer(sheet, shots).bands.reading_m[5]
    held = rig({"clearance_reading_m": float(far)})
    plan = plan_shots(answer(held, shots), ORDER)
    assert min(plan.barred_m) >= 60 * YARD_M - 1e-6
    assert PLACES_M[-1] in plan.barred_m
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
