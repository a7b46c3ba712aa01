"""Family: print a family of ready strips for one kind of sight, told apart by their span.

Holds:  the command family.
Never:  what may be said of a family, its sentences (printing/family.py).
"""

from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli.asking import units_of
from tapewright.faces.cli.options import JSON, METRIC, with_options
from tapewright.faces.cli.print_command import SOME_RIG, hand_over, print_options, some_rig, wish_of
from tapewright.printing.family import FAMILY


@click.command()
@SOME_RIG
@print_options(FAMILY)
@with_options(METRIC, JSON)
def family(rig_file: Path | None, **typed: Any) -> None:  # noqa: ANN401 — options, handed on by name
    """Print a family of ready strips for one kind of sight, told apart by their span.

    RIG.toml tells sight, arrow and archer; the strips are for bows that differ from it in launch
    speed alone. Beside the sheets stands a table: "tapewright strips RIG SHOTS --set TABLE.csv"
    says which strip is an archer's.
    """
    wish = wish_of(FAMILY, typed, units_of(metric=typed["metric"]))
    hand_over(FAMILY, some_rig(rig_file), wish, rig_file, typed)
