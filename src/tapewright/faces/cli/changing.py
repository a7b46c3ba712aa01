"""Changing: the commands for another arrow, another rig, and what to improve first.

Heavy imports stand inside the commands, so that help and mistakes answer at once.

Holds:  change, compare, budget, picture; how their options are read.
Never:  cards, slopes, weather, wind (outdoors.py), formulas, sentences another face needs too.
"""

# ruff: noqa: PLC0415, FBT001 — see above; and click hands flags over by name
from __future__ import annotations

import datetime as dt
import json
import re
from typing import TYPE_CHECKING, Any

import click

from tapewright.faces.cli.asking import (
    asked_distances,
    calibrated,
    load_rig_and_shots,
    tape_ticks,
    units_of,
    warn,
    write_files,
)
from tapewright.faces.cli.options import (
    BAND,
    FILE,
    JSON,
    METRIC,
    OUT,
    PAPER,
    RIG,
    SEED,
    SHOTS,
    with_options,
)
from tapewright.faces.cli.outdoors import DISTANCES, answer_for, length_between
from tapewright.ground.errors import BadInput

if TYPE_CHECKING:
    from pathlib import Path

    from tapewright.faces.wording import Units
    from tapewright.services.calibrate import Answer
    from tapewright.services.weigh_errors import Errors

BUTT_ENDS_M = (0.05, 20.0)
FARTHEST = {"yd": 125, "m": 115}

# Option, kind, largest sensible value in SI, an example.
ERROR_LIMITS = {
    "distance": ("length", 30.0, "1 yd"),
    "cant": ("angle", 0.3, "0.6 deg"),
    "peep": ("length", 0.01, "0.25 mm"),
    "wind": ("speed", 20.0, "1 m/s"),
    "slope": ("angle", 0.5, "3 deg"),
    "temperature": ("temperature", 40.0, "8 K"),
    "speed": ("speed", 10.0, "1.5 ft/s"),
}


@click.command()
@with_options(RIG)
@click.argument("shots_file", metavar="SHOTS.csv", type=FILE)
@click.argument("new_rig_file", metavar="NEWRIG.toml", type=FILE)
@click.argument("new_shots_file", metavar="[NEWSHOTS.csv]", type=FILE, required=False)
@DISTANCES
@click.option(
    "--butt",
    default=None,
    metavar="WIDTH",
    help='Width and height of what stops the confirming arrows; default: "36 in", or "90 cm".',
)
@click.option(
    "--new-string", is_flag=True, help="String or cables were replaced, too: no sheet tells that."
)
@click.option("--tape", is_flag=True, help="Print the new sight tape at once, as PDF and SVG.")
@with_options(PAPER, OUT, METRIC, BAND, SEED, JSON)
def change(
    rig_file: Path,
    shots_file: Path,
    new_rig_file: Path,
    new_shots_file: Path | None,
    distances: str | None,
    butt: str | None,
    new_string: bool,
    tape: bool,
    paper: str,
    out: Path | None,
    metric: bool,
    band: float,
    seed: int,
    as_json: bool,
) -> None:
    """Carry a calibration over to another arrow, point, vane, peep, pin or draw weight.

    RIG.toml and SHOTS.csv are the old rig, NEWRIG.toml its sheet after the change: copy the old
    one and alter what changed. A speed that only the new sheet tells counts as measured anew;
    what both tell is left as the old arrows have it. NEWSHOTS.csv holds arrows shot since.
    """
    from tapewright.faces.cli.outings import show_change
    from tapewright.faces.outdoors_json import change_json
    from tapewright.ground.units import UNITS
    from tapewright.services.change_rig import Butt, change_rig

    old, _, units = answer_for(
        (rig_file, shots_file), (distances, "10:90:10m", "10:100:10yd"), (seed, band), metric=metric
    )
    new_rig, observations, warnings = load_rig_and_shots(new_rig_file, new_shots_file)
    warn(warnings)
    usual = "90 cm" if units.distance == "m" else "36 in"
    side_m = length_between(butt or usual, "--butt", BUTT_ENDS_M, "36 in")
    factor = UNITS[units.distance].factor
    grid_m = [step * factor for step in range(9, FARTHEST[units.distance] + 1)]
    found = change_rig(
        old, new_rig, observations, grid_m, Butt(side_m, side_m), seed, new_string=new_string
    )
    stem = out or new_rig_file.with_name(f"{new_rig_file.stem}-tape")
    written = _new_tape(found.new, units, paper, stem) if tape or out else []
    if as_json:
        said = change_json(found, units) | {"files": [str(path) for path in written]}
        click.echo(json.dumps(said, indent=1, ensure_ascii=False))
        return
    show_change(found, units)
    for path in written:
        click.echo(f"Wrote {path}")


def _new_tape(answer: Answer, units: Units, paper: str, stem: Path) -> list[Path]:
    """The changed rig's tape, with the usual look."""
    from tapewright.faces.cli.orders import tape_order
    from tapewright.faces.wording import tape_words
    from tapewright.services.print_tape import plan_tape, print_tape

    look = dict.fromkeys(("width", "length", "pointer", "proof"))
    ticks = tape_ticks(answer, (), units)
    order = tape_order(answer.rig, ticks, units, look | {"far_end": "down", "paper": paper})
    plan = plan_tape(answer, order)
    today = dt.datetime.now().astimezone().date().isoformat()
    return write_files(stem, print_tape(plan, tape_words(plan, units, today), ("pdf", "svg")))


@click.command()
@with_options(RIG)
@click.argument("shots_file", metavar="SHOTS.csv", type=FILE)
@click.argument("other_rig_file", metavar="OTHER.toml", type=FILE)
@click.argument("other_shots_file", metavar="OTHERSHOTS.csv", type=FILE)
@DISTANCES
@with_options(METRIC, BAND, SEED, JSON)
def compare(
    rig_file: Path,
    shots_file: Path,
    other_rig_file: Path,
    other_shots_file: Path,
    distances: str | None,
    metric: bool,
    band: float,
    seed: int,
    as_json: bool,
) -> None:
    """Two calibrated rigs side by side: marks, speed, energy, drift, hold windows."""
    from tapewright.faces.cli.outings import show_comparison
    from tapewright.faces.outdoors_json import compare_json
    from tapewright.ground.units import UNITS
    from tapewright.services.compare_rigs import compare_rigs
    from tapewright.services.make_card import CardOrder

    asked = (distances, "20:80:20m", "20:80:20yd")
    first, distances_m, units = answer_for(
        (rig_file, shots_file), asked, (seed, band), metric=metric
    )
    other, _, _ = answer_for((other_rig_file, other_shots_file), asked, (seed, band), metric=metric)
    factor = UNITS[units.distance].factor
    order = CardOrder(distances_m, first.rig.archer.tolerance_m, 1, factor)
    found = compare_rigs(first, other, order)
    if as_json:
        click.echo(json.dumps(compare_json(found, units), indent=1, ensure_ascii=False))
        return
    show_comparison(found, units)


@click.command()
@with_options(RIG, SHOTS)
@click.option("--at", default=None, metavar="DISTANCE", help='Where; default: "60 yd", or "50 m".')
@click.option("--distance", default=None, help="Error of judging a distance; default: 1 m.")
@click.option("--cant", default=None, help="Of holding the bow upright; default: 0.6 deg.")
@click.option("--peep", default=None, help="Of the eye in the peep; default: 0.25 mm.")
@click.option("--wind", default=None, help="Of judging a crosswind; default: 1 m/s.")
@click.option("--slope", default=None, help="Of judging a slope; default: 3 deg.")
@click.option("--temperature", default=None, help="Of the air against the tape's; default: 8 K.")
@click.option("--speed", default=None, help="From arrow to arrow; default: 0.4 m/s.")
@with_options(METRIC, BAND, SEED, JSON)
def budget(
    rig_file: Path,
    shots_file: Path | None,
    at: str | None,
    metric: bool,
    band: float,
    seed: int,
    as_json: bool,
    **said: Any,  # noqa: ANN401 — the archer's own errors, read by name below
) -> None:
    """Say which error costs how much at a distance, and what to improve first.

    Each error is one standard deviation: two times in three you are better than that. Dispersion,
    wobble and the band of the tape come from your own arrows.
    """
    from tapewright.faces.cli.outings import show_budget
    from tapewright.faces.outdoors_json import budget_json
    from tapewright.services.weigh_errors import weigh_errors

    errors = _errors(said)
    answer, distance_m, units = _at((rig_file, shots_file), at, (seed, band), metric=metric)
    found = weigh_errors(answer, distance_m, errors)
    if as_json:
        click.echo(json.dumps(budget_json(found, units), indent=1, ensure_ascii=False))
        return
    show_budget(found, units)


def _at(
    files: tuple[Path, Path | None], text: str | None, chance: tuple[int, float], *, metric: bool
) -> tuple[Answer, float, Units]:
    """Calibration for one distance."""
    rig, observations, warnings = load_rig_and_shots(*files)
    warn(warnings)
    units = units_of(metric=metric)
    distances_m, units = asked_distances(text, "50 m" if metric else "60 yd", units)
    if len(distances_m) != 1:
        raise BadInput("--at", f"{text!r} is not one distance", "Write one, as 60 yd")
    answer = calibrated(rig, observations, distances_m, units.distance, chance)
    return answer, distances_m[0], units


def _errors(said: dict[str, Any]) -> Errors:
    """The archer's own errors as typed; what is not said stays as is usual."""
    from tapewright.faces.quantities import read_quantity
    from tapewright.services.weigh_errors import Errors

    fields = dict(zip(ERROR_LIMITS, Errors.__dataclass_fields__, strict=True))
    found: dict[str, float] = {}
    for name, (kind, most, example) in ERROR_LIMITS.items():
        text = said[name]
        if text is None:
            continue
        if kind == "temperature":
            value = _difference(text)
        else:
            value = read_quantity(text, kind, f"--{name}", example)  # type: ignore[arg-type]
        if not 0.0 <= value <= most:
            wrong = f"{text!r} is less than nothing, or more than anybody errs"
            raise BadInput(f"--{name}", wrong, f"Write such as {example}")
        found[fields[name]] = value
    return Errors(**found)


def _difference(text: str) -> float:
    """A difference of temperatures as typed: 8 K, 8 °C and 14 °F are the same. [K]"""
    from tapewright.faces.quantities import read_quantity

    warm, cold = (
        read_quantity(one, "temperature", "--temperature", "8 K")
        for one in (text, re.sub(r"[0-9]+(?:[.,][0-9]+)?", "0", text, count=1))
    )
    return warm - cold


@click.command()
@click.argument("what", type=click.Choice(["flight", "marks", "slopes", "budget"]))
@with_options(RIG, SHOTS)
@click.option("--at", default=None, metavar="DISTANCE", help='Where; default: "60 yd", or "50 m".')
@click.option(
    "--out",
    type=FILE,
    default=None,
    help="File to write, .svg or .png; default: an SVG named after rig and picture.",
)
@with_options(METRIC, BAND, SEED)
def picture(
    what: str,
    rig_file: Path,
    shots_file: Path | None,
    at: str | None,
    out: Path | None,
    metric: bool,
    band: float,
    seed: int,
) -> None:
    """Draw a picture, as SVG or PNG, that reads in black and white.

    flight: the arrow's path and the line of sight. marks: marks and their bands over distance.
    slopes: what to dial up and down hill. budget: which error costs how much. Needs the extra
    "pictures".
    """
    from tapewright.faces.pictures import PICTURES, picture_bytes

    path = out or rig_file.with_name(f"{rig_file.stem}-{what}.svg")
    if path.suffix not in (".svg", ".png"):
        raise BadInput("--out", f"{path.name!r} is neither .svg nor .png", "Write such as fan.svg")
    answer, distance_m, units = _at((rig_file, shots_file), at, (seed, band), metric=metric)
    drawn = picture_bytes(PICTURES[what], answer, distance_m, units, path.suffix[1:])
    for written in write_files(path.with_suffix(""), ((path.suffix, drawn),)):
        click.echo(f"Wrote {written}")
