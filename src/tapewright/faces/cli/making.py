"""Making: the commands from a rig sheet to a printed tape.

Heavy imports stand inside the commands, so that help and mistakes answer at once.

Holds:  new, gauge, fit, tape, demo.
Never:  formulas, sentences that another face needs too.
"""

# ruff: noqa: PLC0415 — see above; and click hands flags over by name
from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tapewright import __version__
from tapewright.faces.cli.asking import (
    asked_distances,
    calibrated,
    load_rig,
    load_rig_and_shots,
    say_json,
    stops_told,
    tape_ticks,
    units_of,
    warn,
    write_files,
)
from tapewright.faces.cli.options import (
    BAND,
    FAR_END,
    FILE,
    FORMAT,
    JSON,
    LENGTH,
    METRIC,
    OUT,
    PAPER,
    POINTER,
    PROOF,
    RIG,
    SEED,
    SHOTS,
    WIDTH,
    with_options,
)
from tapewright.ground.errors import BadInput

if TYPE_CHECKING:
    from tapewright.services.calibrate import Answer


@click.command()
@with_options(RIG, SHOTS)
@click.option(
    "--distances",
    default=None,
    metavar="LIST",
    help="Ticks of the tape; default: each yard or metre from 5 to a little past the trusted one.",
)
@click.option(
    "--span",
    default=None,
    metavar="NEAR,FAR",
    help='Between which distances strips are told apart; default "20,60".',
)
@click.option("--step", default=None, help="Difference of the neighbours' spans, such as 0.5 mm.")
@click.option(
    "--number-every", default="5", show_default=True, type=click.Choice(["5", "10"]),
    help="Which ticks get a number, where they fit.",
)  # fmt: skip
@click.option(
    "--wheel",
    default=None,
    metavar="DIAMETER",
    help="For a tape on a wheel whose readings were taken on the bare wheel.",
)
@click.option(
    "--thickness", default="0.15 mm", show_default=True, help="Of the printed strip on a wheel."
)
@with_options(WIDTH, LENGTH, POINTER, FAR_END, PAPER, PROOF, OUT, FORMAT, METRIC, BAND, SEED, JSON)
def tape(
    rig_file: Path,
    shots_file: Path | None,
    distances: str | None,
    metric: bool,
    band: float,
    seed: int,
    out: Path | None,
    formats: tuple[str, ...],
    as_json: bool,
    **look: Any,  # noqa: ANN401 — options of the look, handed on by name
) -> None:
    """Print the sight tape, at true length.

    On the sheet stand the likeliest strip and its two neighbours. Ticks past the trusted
    distance are drawn lighter. Measure the two 100 mm proof rulers before you cut; if they are
    off, print again with --proof.
    """
    from tapewright.faces.cli.orders import tape_order
    from tapewright.services.print_tape import plan_tape, print_tape
    from tapewright.words.answer import trust_words
    from tapewright.words.tape import limit_notes, tape_cautions, tape_words

    rig, observations, warnings = load_rig_and_shots(rig_file, shots_file)
    warn(warnings)
    units = units_of(metric=metric)
    asked_m, units = asked_distances(distances, "20,60 m" if metric else "20,60 yd", units)
    answer = calibrated(rig, observations, asked_m, units.distance, (seed, band))
    ticks = tape_ticks(answer, asked_m if distances else (), units)
    order = tape_order(rig, ticks, units, look)
    plan = plan_tape(answer, order)
    today = dt.datetime.now().astimezone().date().isoformat()
    words = tape_words(plan, units, today)
    stem = out or rig_file.with_name(f"{rig_file.stem}-tape")
    written = write_files(stem, print_tape(plan, words, formats or ("pdf", "svg")))
    if as_json:
        say_json(_tape_json(plan.spans_mm, plan.near_mm, answer, written))
        return
    click.echo(trust_words(answer, units))
    for note in (*tape_cautions(plan, units), *limit_notes(plan)):
        click.echo(f"Mind: {note}")
    click.echo(f"Strips: {'; '.join(words.strip_names)}. {words.advice[1]}")
    for path in written:
        click.echo(f"Wrote {path}")


def _tape_json(
    spans_mm: tuple[float, ...], near_mm: float, answer: Answer, written: list[Path]
) -> dict[str, Any]:
    return {
        "schema": "tapewright.tape/1",
        "fingerprint": answer.fingerprint,
        "spans_mm": [round(span, 3) for span in spans_mm],
        "align_at_mm": round(near_mm, 3),
        "files": [str(path) for path in written],
    }


@click.command()
@click.argument("rig_file", metavar="[RIG.toml]", type=FILE, required=False)
@click.option("--start", default=0, show_default=True, help="Number at the low end, in mm.")
@click.option("--reach", default=80, show_default=True, help="How many mm it measures.")
@with_options(WIDTH, POINTER, FAR_END, PAPER, PROOF, OUT, FORMAT)
def gauge(
    rig_file: Path | None,
    start: int,
    reach: int,
    out: Path | None,
    formats: tuple[str, ...],
    **look: Any,  # noqa: ANN401 — options of the look, handed on by name
) -> None:
    """Print a gauge strip to take readings with.

    A plain mm ruler to stick on the sight. Its numbers run as the rig sheet says they do toward
    --far-end. Leave it on while you shoot; the tape replaces it later.
    """
    from tapewright.faces.cli.orders import gauge_order
    from tapewright.faces.orders import gauge_ruler
    from tapewright.services.print_tape import print_gauge
    from tapewright.words.stops import stop_title

    if "dxf" in formats:
        raise BadInput("--format", "a gauge strip is not engraved", "Choose pdf or svg")
    title, hand, numbers_fall = "Gauge strip", "right", False
    if rig_file is not None:
        rig, warnings = load_rig(rig_file)
        warn(warnings)
        title, hand = rig.name, rig.hand
        numbers_fall = rig.sight.farther == "decreases"
    order = gauge_order(hand, look)
    stem = out or (rig_file or Path("gauge")).with_name(
        f"{rig_file.stem}-gauge" if rig_file else "gauge"
    )
    ruler = gauge_ruler(start, reach, order, numbers_fall=numbers_fall)
    today = dt.datetime.now().astimezone().date().isoformat()
    notes = (*stops_told(), f"Printed {today}, Tapewright {__version__}")
    for path in write_files(
        stem,
        print_gauge(
            ruler, order, stop_title(title, stops_told()), notes, formats or ("pdf", "svg")
        ),
    ):
        click.echo(f"Wrote {path}")


@click.command()
@click.argument("rig_file", metavar="RIG.toml", type=FILE)
@click.option("--name", default=None, help="What you call the rig; default: the file's name.")
@click.option("--hand", default="right", show_default=True, type=click.Choice(["right", "left"]))
@METRIC
def new(rig_file: Path, name: str | None, hand: str, metric: bool) -> None:
    """Write a commented rig sheet to fill in.

    An existing file is never overwritten.
    """
    from tapewright.reading.sheet_template import new_rig_sheet

    text = new_rig_sheet(
        name or rig_file.stem, "left" if hand == "left" else "right", metric=metric
    )
    try:
        with rig_file.open("x", encoding="utf-8") as sheet:
            sheet.write(text)
    except FileExistsError:
        raise BadInput(
            str(rig_file), "a file of this name is there already", "Choose another name"
        ) from None
    click.echo(f"Wrote {rig_file}. Fill in what you know; every line says how to measure it.")


@click.command()
@click.argument("folder", type=FILE, default=Path("tapewright-demo"))
def demo(folder: Path) -> None:
    """Show it all on an invented archer."""
    from tapewright.faces.cli.demo import run_demo

    program = click.get_current_context().find_root().command

    def run(typed: list[str]) -> None:
        status = program.main(typed, standalone_mode=False)
        if status:
            click.get_current_context().exit(status)

    run_demo(folder, run)
