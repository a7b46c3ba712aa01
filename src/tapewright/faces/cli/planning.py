"""Planning: the command that says what to shoot next.

Heavy imports stand inside the command, so that help and mistakes answer at once.

Holds:  plan.
Never:  formulas, sentences that another face needs too.
"""

# ruff: noqa: PLC0415, FBT001 — see above; and click hands flags over by name
from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from tapewright.faces.cli.asking import (
    calibrated,
    load_rig_and_shots,
    say_json,
    units_of,
    warn,
)
from tapewright.faces.cli.options import BAND, JSON, METRIC, RIG, SEED, SHOTS, with_options
from tapewright.ground.errors import Withheld

if TYPE_CHECKING:
    from pathlib import Path


@click.command()
@with_options(RIG, SHOTS)
@click.option(
    "--to",
    "wanted",
    default=None,
    metavar="DISTANCE",
    help='How far the tape is to be trusted, such as "90 yd"; default: the farthest ten of the '
    "tape not yet trusted.",
)
@click.option(
    "--tolerance",
    default=None,
    metavar="RADIUS",
    help='The miss that is still good, such as "3 in"; default: the rig sheet\'s.',
)
@click.option(
    "--butt",
    default=None,
    metavar="WIDTHxHEIGHT",
    help='What stops the arrow, aimed at in its middle; default: "36x36 in", or "90x90 cm".',
)
@click.option(
    "--arrows",
    default=60,
    show_default=True,
    type=click.IntRange(3, 1000),
    help="At most so many before you tire.",
)
@click.option(
    "--distances",
    default=None,
    metavar="LIST",
    help="Where you can shoot, such as 18,30,50,70m; default: anywhere.",
)
@click.option(
    "--walk",
    default="yes",
    show_default=True,
    type=click.Choice(["yes", "no"]),
    help="Whether the range lets you stand nearer than, or between, those distances.",
)
@with_options(METRIC, BAND, SEED, JSON)
def plan(
    rig_file: Path,
    shots_file: Path | None,
    metric: bool,
    band: float,
    seed: int,
    as_json: bool,
    **asked: Any,  # noqa: ANN401 — options of the plan, handed on by name
) -> None:
    """Plan what to shoot next, so that few arrows buy much trust.

    Without shots it plans the whole session, the first arrow from near by. Each group is shot one
    arrow first; then look. Shots that would not surely land on your butt are never asked for.
    Shoot the first group, add it to SHOTS.csv, and plan anew.
    """
    from tapewright.faces.cli.tables import show
    from tapewright.faces.planning_json import withheld_plan_json
    from tapewright.questions.plan import PLAN, plan_order
    from tapewright.questions.question import Said, option
    from tapewright.services.advise import plan_shots
    from tapewright.services.calibrate import COUNTED_FROM_M
    from tapewright.words.quantities import read_distances

    rig, observations, warnings = load_rig_and_shots(rig_file, shots_file)
    warn(warnings)
    unit = read_distances(asked["wanted"], "--to").unit if asked["wanted"] else "yd"
    units = units_of(metric=metric or unit == "m")
    asked["arrows"] = str(asked["arrows"])
    said = Said(asked, lambda name: "--to" if name == "wanted" else option(name))
    answer = calibrated(rig, observations, (COUNTED_FROM_M,), units.distance, (seed, band))
    try:
        found = plan_shots(answer, plan_order(answer, said, units))
    except Withheld as refused:
        if not as_json:
            raise
        say_json(withheld_plan_json(answer, refused, units))
        click.get_current_context().exit(2)
    if as_json:
        say_json(PLAN.write(found, units))
        return
    show(PLAN.tell(found, units))
