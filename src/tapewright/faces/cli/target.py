"""Target: print a sighting target: a measured grid with an aiming mark and a plumb line.

Holds:  the command target.
Never:  what may be said of a target, its sentences (printing/target.py).
"""

from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli.options import JSON
from tapewright.faces.cli.print_command import SOME_RIG, hand_over, print_options, some_rig, wish_of
from tapewright.printing.target import TARGET
from tapewright.words.units import IMPERIAL

GRIDS = {True: "cm", False: "in", None: None}


@click.command()
@SOME_RIG
@print_options(TARGET, without=("grid",))
@click.option(
    "--metric/--imperial",
    default=None,
    help="Grid in centimetres or in inches; default: as in --size or --distance, else inches.",
)
@JSON
def target(rig_file: Path | None, **typed: Any) -> None:  # noqa: ANN401 — options, handed on by name
    """Print a sighting target: a measured grid with an aiming mark and a plumb line.

    Where an arrow hit can be read off the grid, right and up from the aim. Greys are light enough
    to see holes. A target larger than the paper comes in sheets to cut and glue.
    """
    wish = wish_of(TARGET, typed | {"grid": GRIDS[typed["metric"]]}, IMPERIAL)
    hand_over(TARGET, some_rig(rig_file), wish, rig_file, typed)
