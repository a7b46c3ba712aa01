"""Plans: what to shoot next as tables and lines on a screen.

Holds:  the tables of ``plan``.
Never:  computations, options.
"""

from itertools import groupby

import click

from tapewright.faces.cli.tables import Table, show_table
from tapewright.faces.quantities import in_unit
from tapewright.faces.wording import Units
from tapewright.faces.wording_planning import (
    barred_words,
    chain_words,
    chance_words,
    counted_words,
    first_shot_words,
    plan_cautions,
    plan_words,
    standing_words,
    tidy_distance,
)
from tapewright.services.advise import ARROWS, Plan, Step


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
            f"{1e3 * reading_m:.2f}",
            str(step.arrows),
            _on_butt(step),
            *_bought(step, units).split(", "),
        )
        for place, (step, reading_m) in enumerate(zip(plan.steps, plan.readings_m, strict=True), 1)
    )
    return Table("Plan", heads, rows)


def show_plan(plan: Plan, units: Units) -> None:
    """Print a plan."""
    click.echo(f"{plan.answer.rig.name}: {standing_words(plan, units)}\n")
    if plan.candidates:
        show_table(candidates_table(plan, units))
    if plan.steps:
        show_table(plan_table(plan, units))
    said = (
        plan_words(plan, units),
        counted_words(plan, units),
        barred_words(plan, units),
        first_shot_words(plan, units),
        chain_words(plan, units),
    )
    for sentence in said:
        if sentence:
            click.echo(sentence)
    for caution in plan_cautions():
        click.echo(f"Mind: {caution}")
