"""Planning JSON: a session's plan as other programs read it.

Holds:  the keys of ``plan --json``, units in their names.
Never:  sentences made here, computations.
"""

from itertools import groupby
from typing import Any

from tapewright.faces.wording_planning import plan_cautions
from tapewright.services.advise import FirstShot, Hindrance, Plan, Step
from tapewright.services.calibrate import Answer
from tapewright.services.stops import PARTS, Withheld
from tapewright.words.json_head import rounded
from tapewright.words.stops import found_of, withheld_json
from tapewright.words.units import Units

PLAN_SCHEMA = "tapewright.plan/1"

Row = dict[str, Any]


def _bought(step: Step, units: Units) -> Row:
    return {
        "arrows": step.arrows,
        f"band_{units.miss}": rounded(step.band_m, units.miss),
        f"trusted_distance_{units.distance}": rounded(step.trusted_m, units.distance),
    }


def _place(step: Step, units: Units) -> Row:
    return {
        f"distance_{units.distance}": rounded(step.distance_m, units.distance, 4),
        "chance_on_butt": rounded(step.chance, "", 4),
        "safe": step.is_safe,
    }


def _first_arrow(plan: Plan, units: Units) -> Row | None:
    """Where the first arrow of the first group may hit; by eye: anywhere on the butt."""
    if not plan.steps:
        return None
    low_m, high_m = plan.lands_m
    return {
        f"distance_{units.distance}": rounded(plan.steps[0].distance_m, units.distance, 4),
        f"low_{units.miss}": None if plan.is_set_by_eye else rounded(low_m, units.miss),
        f"high_{units.miss}": None if plan.is_set_by_eye else rounded(high_m, units.miss),
    }


def _hindrance(found: Hindrance | None, units: Units) -> Row | None:
    if found is None:
        return None
    return {
        "kind": found.kind,
        f"distance_{units.distance}": rounded(found.distance_m, units.distance, 2) or None,
        f"butt_width_{units.miss}": rounded(found.width_m, units.miss, 1) or None,
        f"butt_height_{units.miss}": rounded(found.height_m, units.miss, 1) or None,
    }


def _first(first: FirstShot | None, units: Units, *, is_set_by_eye: bool) -> Row | None:
    if first is None:
        return None
    miss = units.miss
    return {
        f"distance_{units.distance}": rounded(first.distance_m, units.distance, 4),
        "reading_mm": None if is_set_by_eye else rounded(first.reading_m, "mm"),
        f"low_{miss}": rounded(first.low_m, miss),
        f"high_{miss}": rounded(first.high_m, miss),
        f"butt_height_95_{miss}": rounded(first.height_95_m, miss),
        f"butt_height_99_{miss}": rounded(first.height_99_m, miss),
        "chance_on_butt": rounded(first.chance, "", 4),
        "safe": first.is_safe,
    }


def plan_json(plan: Plan, units: Units) -> Row:
    """A plan as a dictionary ready for JSON."""
    unit, miss = units.distance, units.miss
    order, wish = plan.order, plan.order.wish
    return {
        "schema": PLAN_SCHEMA,
        "rig": plan.answer.rig.name,
        "fingerprint": plan.answer.fingerprint,
        "band": wish.probability,
        f"wanted_distance_{unit}": rounded(order.wanted_m, unit, 4),
        f"tolerance_{miss}": rounded(wish.tolerance_m, miss),
        f"butt_width_{miss}": rounded(wish.butt.width_m, miss),
        f"butt_height_{miss}": rounded(wish.butt.height_m, miss),
        "most_arrows": order.most_arrows,
        f"trusted_distance_{unit}": rounded(plan.trusted_m, unit)
        if plan.answer.is_earned
        else None,
        f"band_{miss}": rounded(plan.band_m, miss),
        "candidates": [
            _place(group[0], units) | {"groups": [_bought(step, units) for step in group]}
            for _, rows in groupby(plan.candidates, key=lambda step: step.distance_m)
            for group in [list(rows)]
        ],
        f"farthest_hit_{unit}": rounded(plan.ladder.hit_m, unit, 4) if plan.ladder.hit_m else None,
        f"next_step_to_{unit}": rounded(plan.ladder.farthest_m, unit, 4),
        f"left_out_{unit}": [rounded(one, unit, 4) for one in plan.barred_m],
        "plan": [
            _place(step, units)
            | {"reading_mm": None if plan.is_set_by_eye else rounded(reading_m, "mm")}
            | {"walk": plan.is_walk(step)}
            | _bought(step, units)
            for step, reading_m in zip(plan.steps, plan.readings_m, strict=True)
        ],
        "plan_arrows": sum(step.arrows for step in plan.steps),
        "gets_there": plan.gets_there,
        "first_arrow": _first_arrow(plan, units),
        "hindrance": _hindrance(plan.hindrance, units),
        "spare_group": None
        if plan.spare is None
        else _place(plan.spare, units) | _bought(plan.spare, units),
        "first_shot": _first(plan.first, units, is_set_by_eye=plan.is_set_by_eye),
        "walk_back": [_place(step, units) | {"arrows": step.arrows} for step in plan.chain],
        "walk_back_gets_there": plan.chain_gets_there,
        "cautions": list(plan_cautions(plan, units)),
    }


def withheld_plan_json(answer: Answer, refused: Withheld, units: Units) -> Row:
    """A plan that is withheld: the same keys with nothing in them, and why."""
    unit, miss = units.distance, units.miss
    nothing = (
        f"wanted_distance_{unit}", f"tolerance_{miss}", f"butt_width_{miss}",
        f"butt_height_{miss}", "most_arrows", f"trusted_distance_{unit}", f"band_{miss}",
        f"farthest_hit_{unit}", f"next_step_to_{unit}", "first_arrow", "hindrance",
        "spare_group", "first_shot",
    )  # fmt: skip
    empty = ("candidates", f"left_out_{unit}", "plan", "walk_back", "cautions")
    return (
        {
            "schema": PLAN_SCHEMA,
            "rig": answer.rig.name,
            "fingerprint": answer.fingerprint,
            "band": answer.bands.probability,
        }
        | dict.fromkeys(nothing)
        | {key: [] for key in empty}
        | {"plan_arrows": 0, "gets_there": False, "walk_back_gets_there": False}
        | {"checks": {part: found_of(answer.rig, part) for part in PARTS}}
        | withheld_json(refused)
    )
