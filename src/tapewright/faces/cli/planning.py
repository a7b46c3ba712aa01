"""Planning: the command that says what to shoot next.

Heavy imports stand inside the command, so that help and mistakes answer at once.

Holds:  plan, and how its options are read.
Never:  formulas, sentences that another face needs too.
"""

# ruff: noqa: PLC0415, FBT001 — see above; and click hands flags over by name
from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import click

from tapewright.faces.cli.asking import calibrated, load_rig_and_shots, units_of, warn
from tapewright.faces.cli.options import BAND, JSON, METRIC, RIG, SEED, SHOTS, with_options
from tapewright.ground.errors import BadInput

if TYPE_CHECKING:
    from pathlib import Path

    from tapewright.faces.wording import Units
    from tapewright.services.advise import Butt, PlanOrder
    from tapewright.services.equip import Rig

LEAST_BUTT_M, MOST_BUTT_M = 0.05, 20.0
LEAST_TOLERANCE_M, MOST_TOLERANCE_M = 0.002, 2.0
CLOSE_M = 1e-6


@click.command()
@with_options(RIG, SHOTS)
@click.option(
    "--to",
    "wanted",
    default=None,
    metavar="DISTANCE",
    help='How far the tape is to be trusted, such as "90 yd"; default: 60 yd, or 50 m.',
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
    help="Where you can shoot; default: each 5 from 10 to the wanted distance.",
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

    Without shots it plans the whole session. Shots that would not surely land on your butt are
    marked and never asked for. Shoot the first group, add it to SHOTS.csv, and plan anew.
    """
    from tapewright.faces.cli.plans import show_plan
    from tapewright.faces.planning_json import plan_json
    from tapewright.services.advise import plan_shots

    rig, observations, warnings = load_rig_and_shots(rig_file, shots_file)
    warn(warnings)
    order, units = _order(rig, asked, band / 100.0, metric=metric)
    answer = calibrated(rig, observations, (order.wanted_m,), units.distance, (seed, band))
    found = plan_shots(answer, order)
    if as_json:
        click.echo(json.dumps(plan_json(found, units), indent=1, ensure_ascii=False))
        return
    show_plan(found, units)


def _order(
    rig: Rig, asked: dict[str, Any], probability: float, *, metric: bool
) -> tuple[PlanOrder, Units]:
    """What the options ask for; metres typed for the wanted distance ask for metric answers."""
    from tapewright.faces.quantities import read_distances
    from tapewright.services.advise import NEAREST_TRUSTED_M, PlanOrder, Wish

    wanted = read_distances(asked["wanted"] or ("50 m" if metric else "60 yd"), "--to")
    if len(wanted.distances_m) != 1:
        raise BadInput("--to", f"{asked['wanted']!r} is not one distance", "Write one, as 90 yd")
    wanted_m = wanted.distances_m[0]
    if wanted_m < NEAREST_TRUSTED_M - CLOSE_M:
        wrong = f"{asked['wanted']!r} is nearer than a trusted distance can be"
        raise BadInput("--to", wrong, "Write 10 yd or more, as 90 yd")
    units = units_of(metric=metric or wanted.unit == "m")
    wish = Wish(
        _tolerance(asked["tolerance"], rig),
        _butt(asked["butt"] or ("90x90 cm" if units.distance == "m" else "36x36 in")),
        probability,
    )
    places = _places(asked["distances"], wanted_m, units)
    return PlanOrder(wanted_m, wish, asked["arrows"], places), units


def _tolerance(text: str | None, rig: Rig) -> float:
    from tapewright.faces.quantities import read_quantity

    if text is None:
        return rig.archer.tolerance_m
    tolerance_m = read_quantity(text, "length", "--tolerance", "3 in")
    if not LEAST_TOLERANCE_M <= tolerance_m <= MOST_TOLERANCE_M:
        raise BadInput("--tolerance", f"{text!r} is no miss to ask for", "Write such as 3 in")
    return tolerance_m


def _butt(text: str) -> Butt:
    """Width and height as typed, one unit for both or one each."""
    from tapewright.faces.quantities import read_quantity
    from tapewright.services.advise import Butt

    parts = text.replace("×", "x").casefold().split("x")
    if len(parts) != 2:
        raise BadInput("--butt", f"{text!r} is not width x height", "Write both, as 36x36 in")
    unit = parts[1].strip().lstrip("0123456789., ")
    first = parts[0] if any(letter.isalpha() for letter in parts[0]) else f"{parts[0]} {unit}"
    sides = [read_quantity(one, "length", "--butt", "36x36 in") for one in (first, parts[1])]
    if not all(LEAST_BUTT_M <= side <= MOST_BUTT_M for side in sides):
        raise BadInput("--butt", f"{text!r} stops no arrow, or is a hill", "Write such as 36x36 in")
    return Butt(*sides)


def _places(text: str | None, wanted_m: float, units: Units) -> tuple[float, ...]:
    """Where groups may be shot."""
    from tapewright.faces.quantities import read_distances
    from tapewright.ground.units import UNITS

    if text is not None:
        places = read_distances(text, "--distances").distances_m
        if places[-1] > wanted_m + CLOSE_M:
            wrong = f"{text!r} goes past the wanted distance"
            raise BadInput("--distances", wrong, "Ask for a farther one with --to, or shoot nearer")
        return places
    factor = UNITS[units.distance].factor
    steps = [step * factor for step in range(10, round(wanted_m / factor) + 5, 5)]
    nearer = tuple(one for one in steps if one < wanted_m - CLOSE_M)
    return (*nearer, wanted_m)
