"""Printing: sheets to shoot at.

Heavy imports stand inside the commands, so that help and mistakes answer at once.

Holds:  target.
Never:  tapes and gauge strips (making.py), drawing.
"""

# ruff: noqa: PLC0415 — see above
from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tapewright.faces.cli.asking import (
    load_rig,
    say_json,
    stops_told,
    warn,
    write_files,
)
from tapewright.faces.cli.options import FILE, JSON, OUT, PAPER, PROOF, proof_lengths, with_options

if TYPE_CHECKING:
    from tapewright.services.print_target import PlannedTarget


@click.command()
@click.argument("rig_file", metavar="[RIG.toml]", type=FILE, required=False)
@click.option(
    "--size",
    default=None,
    metavar="WIDTHxHEIGHT",
    help='Of the grid, such as "60x90 cm" or "24x36 in": as many sheets as it takes, with a plan '
    "of how to glue them. Default: what one sheet holds.",
)
@click.option(
    "--distance",
    default=None,
    help='Where you will shoot at it, such as "60 yd": sizes the aiming mark. Default: a mark for '
    "about 20 to 60 yd.",
)
@click.option(
    "--tolerance",
    default=None,
    help='Radius of the broken circle, such as "3 in", or "none". Default: the rig\'s tolerance; '
    "no circle without a rig.",
)
@click.option(
    "--metric/--imperial",
    default=None,
    help="Grid in centimetres or in inches; default: as in --size or --distance, else inches.",
)
@with_options(PAPER, PROOF, OUT)
@click.option(
    "--format",
    "formats",
    multiple=True,
    type=click.Choice(["pdf", "svg"]),
    help="May be given several times. Default: pdf.",
)
@JSON
def target(
    rig_file: Path | None,
    out: Path | None,
    formats: tuple[str, ...],
    as_json: bool,
    **wishes: Any,  # noqa: ANN401 — what is wanted of the target, read by name below
) -> None:
    """Print a sighting target: a measured grid with an aiming mark and a plumb line.

    Where an arrow hit can be read off the grid, right and up from the aim. Greys are light enough
    to see holes. A target larger than the paper comes in sheets to cut and glue.
    """
    from tapewright.faces.cli.orders import said_by
    from tapewright.faces.orders import target_order
    from tapewright.faces.target_wording import sheets_words, target_words
    from tapewright.services.print_target import plan_target, print_target

    rig = None
    if rig_file is not None:
        rig, warnings = load_rig(rig_file)
        warn(warnings)
    proof_mm = proof_lengths(wishes["proof"])
    order, distance_unit = target_order(rig, said_by(wishes), proof_mm, metric=wishes["metric"])
    plan = plan_target(order)
    today = dt.datetime.now().astimezone().date().isoformat()
    words = target_words(plan, rig.name if rig else "", distance_unit, today, stops_told())
    usual = rig_file.with_name(f"{rig_file.stem}-target") if rig_file else Path("target")
    written = write_files(out or usual, print_target(plan, words, formats or ("pdf",)))
    if as_json:
        say_json(_target_json(plan, written))
        return
    click.echo(f"{sheets_words(plan)} {words.notes[0]}")
    for path in written:
        click.echo(f"Wrote {path}")


def _target_json(plan: PlannedTarget, written: list[Path]) -> dict[str, Any]:
    made, order = plan.target, plan.order
    return {
        "schema": "tapewright.target/1",
        "unit": made.unit,
        "paper": order.paper,
        "width_mm": round(made.width_mm, 3),
        "height_mm": round(made.height_mm, 3),
        "aiming_mark_mm": round(2.0 * made.aiming_mark_mm, 2),
        "tolerance_mm": None if made.circle_mm is None else round(made.circle_mm, 3),
        "distance_m": None if order.distance_m is None else round(order.distance_m, 4),
        "tile_rows": plan.rows,
        "tile_columns": plan.columns,
        "sheets": plan.rows * plan.columns + int(plan.is_tiled),
        "files": [str(path) for path in written],
    }
