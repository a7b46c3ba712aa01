"""Plans: what to shoot next as tables and sentences.

Holds:  what ``plan`` shows; the next shot of a plan in a few words.
Never:  computations, how a face draws it.
"""

from itertools import groupby

from tapewright.faces.wording_planning import (
    barred_words,
    chain_words,
    chance_words,
    counted_words,
    first_shot_words,
    hindrance_words,
    plan_cautions,
    plan_words,
    spare_words,
    standing_words,
    step_rule_words,
    tidy_distance,
)
from tapewright.services.advise import ARROWS, Plan, Step
from tapewright.words.blocks import Block, Blocks, Mind, Table
from tapewright.words.quantities import in_unit
from tapewright.words.units import Units, amount


def _distance(step: Step, units: Units) -> str:
    return f"{in_unit(step.distance_m, units.distance):.5g}"


def _on_butt(step: Step) -> str:
    return chance_words(step.chance) + ("" if step.is_safe else " unsafe")


def _bought(step: Step, units: Units) -> str:
    trusted = f"{in_unit(step.trusted_m, units.distance):.0f}" if step.trusted_m else "–"
    return f"±{in_unit(step.band_m, units.miss):.1f}, {trusted}"


def candidates_table(plan: Plan, units: Units) -> Table:
    """What one more group buys at each distance, unsafe ones marked."""
    wanted = tidy_distance(plan.order.wanted_m, units.distance)
    title = (
        f"What one group buys (band at {wanted}, {units.miss}; trusted distance, {units.distance})"
    )
    heads = (units.distance, "on the butt", *(f"{arrows} arrows" for arrows in ARROWS))
    places = [
        list(steps) for _, steps in groupby(plan.candidates, key=lambda step: step.distance_m)
    ]
    rows = tuple(
        (_distance(steps[0], units), _on_butt(steps[0]), *(_bought(one, units) for one in steps))
        for steps in places
    )
    unsafe = frozenset(place for place, steps in enumerate(places) if not steps[0].is_safe)
    return Table(title, heads, rows, unsafe)


def plan_table(plan: Plan, units: Units) -> Table:
    """The plan, group by group."""
    heads = (
        "group",
        units.distance,
        "dial mm",
        "arrows",
        "on the butt",
        f"then band {units.miss}",
        f"trusted {units.distance}",
    )
    rows = tuple(
        (
            str(place),
            _distance(step, units),
            "by eye" if plan.is_set_by_eye else f"{1e3 * reading_m:.2f}",
            str(step.arrows),
            _on_butt(step),
            *_bought(step, units).split(", "),
        )
        for place, (step, reading_m) in enumerate(zip(plan.steps, plan.readings_m, strict=True), 1)
    )
    return Table("Plan", heads, rows)


def plan_blocks(plan: Plan, units: Units) -> Blocks:
    """A plan: where the archer stands, what groups buy, the steps, the first far arrow."""
    blocks: list[Block] = [f"{plan.answer.rig.name}: {standing_words(plan, units)}\n"]
    if plan.candidates:
        blocks.append(candidates_table(plan, units))
    if plan.steps:
        blocks.append(plan_table(plan, units))
    said = (
        step_rule_words(plan, units),
        plan_words(plan, units),
        counted_words(plan),
        hindrance_words(plan, units),
        spare_words(plan, units),
        barred_words(plan, units),
        first_shot_words(plan, units),
        chain_words(plan, units),
    )
    return (*blocks, *dict.fromkeys(filter(None, said)), *map(Mind, plan_cautions(plan, units)))


def step_words(plan: Plan, place: int, units: Units) -> str:
    """One group of a plan, in a few words; before the first arrow nothing can be dialled."""
    step = plan.steps[place]
    dial = "" if plan.is_set_by_eye else f"dial {amount(plan.readings_m[place], 'mm')}, "
    return f"{tidy_distance(step.distance_m, units.distance)}: {dial}{step.arrows} arrows"
