"""Picture: a chart of a calibration as SVG or PNG, readable in black and white.

Holds:  picture.
Never:  what is drawn (faces/charts.py).
"""

from pathlib import Path
from typing import Any

import click

from tapewright.faces.charts import PICTURES, picture_bytes
from tapewright.faces.cli import standard_streams
from tapewright.faces.cli.input_files import answer_for
from tapewright.faces.cli.question_command import options_of, said_by
from tapewright.faces.cli.shared_options import (
    BAND,
    FORCE,
    METRIC,
    RIG,
    SEED,
    SHOTS,
    TAPE,
    with_options,
)
from tapewright.faces.cli.standard_streams import STANDARD, file_beside, write_files
from tapewright.ground.errors import BadInput
from tapewright.questions.budget import AT
from tapewright.words.unit_spellings import quoted

KINDS = (".svg", ".png")


@click.command()
@click.argument("what", type=click.Choice(list(PICTURES)))
@with_options(RIG, SHOTS)
@options_of((AT,))
@click.option(
    "--out", type=standard_streams.OUT, default=None,
    help="File to write, .svg or .png; default: an SVG named after rig and picture; - is SVG on "
    "standard output.",
)  # fmt: skip
@with_options(FORCE, METRIC, BAND, SEED, TAPE)
def picture(what: str, rig_file: Path, shots_file: Path | None, **typed: Any) -> None:  # noqa: ANN401 — options, handed on by name
    """Draw a picture, as SVG or PNG, that reads in black and white.

    flight: the arrow's path and the line of sight. marks: marks and their bands over distance.
    slopes: what to dial up and down hill. budget: which error costs how much. Needs an
    optional library; without it the command that adds it is told.
    """
    path = typed["out"] or file_beside(rig_file, f"-{what}.svg")
    ending = ".svg" if path == STANDARD else path.suffix
    if ending not in KINDS:
        wrong = f"{quoted(path.name)} is neither .svg nor .png"
        raise BadInput("--out", wrong, "Write such as fan.svg")
    said = said_by((AT,), typed)
    answer, units = answer_for((rig_file, shots_file), said, AT, typed)
    distance_m = said.distance(AT.name, AT.usual_in(units))
    drawn = picture_bytes(PICTURES[what], answer, distance_m, units, ending[1:])
    for written in write_files(path, ((ending, drawn),)):
        click.echo(f"Wrote {written}")
