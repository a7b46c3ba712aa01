"""Printing: sheets to shoot at.

Heavy imports stand inside the commands, so that help and mistakes answer at once.

Holds:  target.
Never:  tapes and gauge strips (making.py), drawing.
"""

# ruff: noqa: PLC0415 — see above
from __future__ import annotations

import datetime as dt
import json
import re
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from tapewright.faces.cli.asking import warn, write_files
from tapewright.faces.cli.options import FILE, JSON, OUT, PAPER, PROOF, proof_lengths, with_options
from tapewright.ground.errors import BadInput

if TYPE_CHECKING:
    from tapewright.services.equip import Rig
    from tapewright.services.print_target import PlannedTarget

SIZE_EXAMPLE = "60x90 cm"
METRIC_UNITS = ("mm", "cm", "m")
_TIMES = re.compile(r"\s*(?:[x×]|\bby\b)\s*", re.IGNORECASE)
_UNIT = re.compile(r"[^0-9.,\s]+\s*$")


@dataclass(frozen=True, slots=True)
class _Typed:
    """A length or two as typed, and the unit used."""

    lengths_m: tuple[float, ...]
    unit: str


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
    as_json: bool,  # noqa: FBT001 — click hands flags over by name
    **wishes: Any,  # noqa: ANN401 — what is wanted of the target, read by name below
) -> None:
    """Print a sighting target: a measured grid with an aiming mark and a plumb line.

    Where an arrow hit can be read off the grid, right and up from the aim. Greys are light enough
    to see holes. A target larger than the paper comes in sheets to cut and glue.
    """
    from tapewright.faces.rig_sheet import load_rig_sheet
    from tapewright.faces.target_wording import target_words
    from tapewright.services.print_target import plan_target, print_target

    rig = None
    if rig_file is not None:
        rig, warnings = load_rig_sheet(rig_file)
        warn(warnings)
    order, distance_unit = _order(rig, wishes)
    plan = plan_target(order)
    today = dt.datetime.now().astimezone().date().isoformat()
    words = target_words(plan, rig.name if rig else "", distance_unit, today)
    usual = rig_file.with_name(f"{rig_file.stem}-target") if rig_file else Path("target")
    written = write_files(out or usual, print_target(plan, words, formats or ("pdf",)))
    if as_json:
        click.echo(json.dumps(_target_json(plan, written), indent=1))
        return
    click.echo(_said(plan, words.notes[0]))
    for path in written:
        click.echo(f"Wrote {path}")


def _order(rig: Rig | None, wishes: dict[str, Any]) -> tuple[Any, str]:
    """What the options ask for, and the unit in which distances are read."""
    from tapewright.services.print_target import TargetOrder

    size = None if wishes["size"] is None else _size(wishes["size"])
    distance = None if wishes["distance"] is None else _distance(wishes["distance"], wishes)
    metric = wishes["metric"]
    if metric is None:
        named = size or distance
        metric = named is not None and named.unit in METRIC_UNITS
    unit: Literal["in", "cm"] = "cm" if metric else "in"
    order = TargetOrder(
        unit=unit,
        size_mm=None if size is None else (1e3 * size.lengths_m[0], 1e3 * size.lengths_m[1]),
        distance_m=None if distance is None else distance.lengths_m[0],
        tolerance_m=_tolerance_m(wishes["tolerance"], rig),
        paper=wishes["paper"],
        proof_mm=proof_lengths(wishes["proof"]),
    )
    return order, distance.unit if distance else ("m" if metric else "yd")


def _size(text: str) -> _Typed:
    """Width and height as typed; a unit at the end serves both."""
    from tapewright.faces.quantities import read_quantity
    from tapewright.faces.unit_names import unit_name

    parts = _TIMES.split(text.strip())
    if len(parts) != 2:
        raise BadInput("--size", f"{text!r} is not a width and a height", f"Write {SIZE_EXAMPLE}")
    wide, high = parts
    unit = _UNIT.search(high)
    if unit and not _UNIT.search(wide):
        wide = f"{wide} {unit.group()}"
    lengths_m = tuple(read_quantity(part, "length", "--size", "60 cm") for part in (wide, high))
    name = unit.group().strip() if unit else ""
    return _Typed(lengths_m, unit_name(name, "length") or name)


def _distance(text: str, wishes: dict[str, Any]) -> _Typed:
    """One distance; without a unit it is in metres for a metric target, else in yards."""
    from tapewright.faces.quantities import read_distances

    bare = text.strip()
    usual = "m" if wishes["metric"] else "yd"
    found = read_distances(bare if bare[-1:].isalpha() else f"{bare} {usual}", "--distance")
    if len(found.distances_m) != 1:
        raise BadInput("--distance", f"{text!r} is not one distance", "Write one, as 60 yd")
    return _Typed(found.distances_m, found.unit)


def _tolerance_m(text: str | None, rig: Rig | None) -> float | None:
    from tapewright.faces.quantities import read_quantity

    if text is None:
        return rig.archer.tolerance_m if rig else None
    if text.strip().casefold() == "none":
        return None
    return read_quantity(text, "length", "--tolerance", "3 in")


def _said(plan: PlannedTarget, mark: str) -> str:
    """What was printed, in a sentence or two."""
    from tapewright.faces.quantities import format_quantity

    unit, wanted = plan.target.unit, (plan.target.width_mm, plan.target.height_mm)
    wide, high = (format_quantity(side_mm / 1e3, unit, 1).replace(".0 ", " ") for side_mm in wanted)
    sheets = "one sheet"
    if plan.is_tiled:
        tiles = plan.rows * plan.columns
        sheets = f"{tiles} sheets ({plan.rows} rows, {plan.columns} columns) and a plan sheet"
    return f"Target of {wide} by {high} on {sheets}. {mark}"


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
