"""Changing: the commands for another arrow, another rig, and what to improve first.

Heavy imports stand inside the commands, so that help and mistakes answer at once.

Holds:  change, compare, budget, picture; how their options are read.
Never:  cards, slopes, weather, wind (outdoors.py), formulas, sentences another face needs too.
"""

# ruff: noqa: PLC0415, FBT001 — see above; and click hands flags over by name
from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

import click

from tapewright.faces.cli.asking import (
    FARTHEST,
    answer_for,
    answer_question,
    load_rig_and_shots,
    say_json,
    spoken,
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
from tapewright.faces.cli.outdoors import DISTANCES, parted
from tapewright.ground.errors import BadInput
from tapewright.questions.question import Said

if TYPE_CHECKING:
    from pathlib import Path

    from tapewright.services.calibrate import Answer
    from tapewright.words.units import Units

BUTT_ENDS = (5.0, 2000.0, "cm")


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
    from tapewright.faces.change_json import change_json
    from tapewright.faces.cli.tables import show
    from tapewright.faces.telling.change import change_blocks
    from tapewright.ground.units import UNITS
    from tapewright.services.change_rig import Butt, change_rig

    usual = "10:90:10m" if metric else "10:100:10yd"
    heard = spoken({"butt": butt, "distances": distances})
    old, _, units = answer_for(
        (rig_file, shots_file), distances, usual, (seed, band), metric=metric
    )
    new_rig, observations, warnings = load_rig_and_shots(new_rig_file, new_shots_file)
    warn(warnings)
    side = "90 cm" if units.distance == "m" else "36 in"
    side_m = heard.quantity("butt", "length", side, BUTT_ENDS)
    factor = UNITS[units.distance].factor
    grid_m = [step * factor for step in range(9, round(FARTHEST[units.distance]) + 1)]
    try:
        found = change_rig(
            old, new_rig, observations, grid_m, Butt(side_m, side_m), seed,
            new_string=new_string, step_m=5.0 * factor,
        )  # fmt: skip
    except BadInput as bad:  # the service does not know the file's name
        raise BadInput(new_rig_file.name, bad.wrong, bad.mend) from None
    stem = out or new_rig_file.with_name(f"{new_rig_file.stem}-tape")
    written = _new_tape(found.new, units, paper, stem) if tape or out else []
    if as_json:
        said = change_json(found, units) | {"files": [str(path) for path in written]}
        say_json(said)
        return
    show(change_blocks(found, units))
    for path in written:
        click.echo(f"Wrote {path}")


def _new_tape(answer: Answer, units: Units, paper: str, stem: Path) -> list[Path]:
    """The changed rig's tape, with the usual look."""
    from tapewright.printing.order import Wish
    from tapewright.printing.tape import PRINT as TAPE

    today = dt.datetime.now().astimezone().date().isoformat()
    made = TAPE.made_of(answer, Wish(Said({"paper": paper}), units), today)
    return write_files(stem, TAPE.files(made, ("pdf", "svg")))


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
    from tapewright.faces.card_json import compare_json
    from tapewright.faces.cli.tables import show
    from tapewright.faces.telling.change import comparison_blocks
    from tapewright.ground.units import UNITS
    from tapewright.services.compare_rigs import compare_rigs
    from tapewright.services.make_card import CardOrder

    usual, chance = "20:80:20m" if metric else "20:80:20yd", (seed, band)
    first, distances_m, units = answer_for(
        (rig_file, shots_file), distances, usual, chance, metric=metric
    )
    others = (other_rig_file, other_shots_file)
    other, _, _ = answer_for(others, distances, usual, chance, metric=metric)
    factor = UNITS[units.distance].factor
    order = CardOrder(distances_m, first.rig.archer.tolerance_m, 1, factor)
    found = compare_rigs(first, other, order)
    if as_json:
        say_json(compare_json(found, units))
        return
    show(comparison_blocks(found, units))


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
def budget(rig_file: Path, shots_file: Path | None, **said: Any) -> None:  # noqa: ANN401 — options, handed on by name
    """Say which error costs how much at a distance, and what to improve first.

    Each error is one standard deviation: two times in three you are better than that. Dispersion,
    wobble and the band of the tape come from your own arrows.
    """
    from tapewright.questions.budget import QUESTION as BUDGET

    said, wish = parted(said)
    answer_question(BUDGET, (rig_file, shots_file), said, **wish)


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
    slopes: what to dial up and down hill. budget: which error costs how much. Needs an
    optional library; without it the command that adds it is told.
    """
    from tapewright.faces.pictures import PICTURES, picture_bytes
    from tapewright.words.unit_names import quoted

    path = out or rig_file.with_name(f"{rig_file.stem}-{what}.svg")
    if path.suffix not in (".svg", ".png"):
        wrong = f"{quoted(path.name)} is neither .svg nor .png"
        raise BadInput("--out", wrong, "Write such as fan.svg")
    usual = "50 m" if metric else "60 yd"
    answer, _, units = answer_for(
        (rig_file, shots_file), at, usual, (seed, band), "--at", metric=metric
    )
    distance_m = spoken({"at": at}).distance("at", usual)
    drawn = picture_bytes(PICTURES[what], answer, distance_m, units, path.suffix[1:])
    for written in write_files(path, ((path.suffix, drawn),)):
        click.echo(f"Wrote {written}")
