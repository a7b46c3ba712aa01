"""New: write a commented rig sheet, house values or a set-up record to fill in.

Holds:  the command new.
Never:  what a sheet holds (reading).
"""

from pathlib import Path

import click

from tapewright.faces.cli import standard_streams
from tapewright.faces.cli.command_list import say_next
from tapewright.faces.cli.shared_options import FORCE, METRIC
from tapewright.faces.cli.standard_streams import STANDARD, say, write_one
from tapewright.ground.errors import BadInput
from tapewright.reading.house_values import house_template
from tapewright.reading.set_up_record import set_up_template
from tapewright.reading.sheet_template import new_rig_sheet

KIND_FIRST = " First the kind of bow: a compound, unless the sheet says another."


@click.command()
@click.argument("rig_file", metavar="RIG.toml", type=standard_streams.OUT)
@click.option("--name", default=None, help="What you call the rig; default: the file's name.")
@click.option("--hand", default="right", show_default=True, type=click.Choice(["right", "left"]))
@click.option(
    "--kind",
    default=None,
    type=click.Choice(["compound", "recurve", "longbow"]),
    help="Kind of bow, whose sheet it is; without it a compound's, which leaves the kind open.",
)
@click.option(
    "--house", "is_house", is_flag=True, help="House values of a shop or club in place of a rig."
)
@click.option(
    "--setup", "is_setup", is_flag=True,
    help="A set-up record of what makes the bow itself, to set it up by again.",
)  # fmt: skip
@FORCE
@METRIC
def new(
    rig_file: Path,
    name: str | None,
    hand: str,
    kind: str | None,
    is_house: bool,
    is_setup: bool,
    force: bool,  # noqa: ARG001 — heard where files are written
    metric: bool,
) -> None:
    """Write a commented rig sheet to fill in.

    An existing file is not overwritten, unless --force is given. With --house: the usual values
    that a shop or a club writes once, for every command that takes --house. With --setup: what
    "tapewright setup" measures a bow against after a journey or a repair.
    """
    if is_house and is_setup:
        wrong = "house values are one file and a set-up record is another"
        raise BadInput("--house --setup", wrong, "Write one of them, then the other")
    usual = "My bow" if rig_file == STANDARD else rig_file.stem
    name = name or ("Your shop or club" if is_house else usual)
    if is_setup:
        text = set_up_template(name, metric=metric, kind=kind or "")
    elif is_house:
        text = house_template(name, metric=metric)
    else:
        text = new_rig_sheet(name, "left" if hand == "left" else "right", metric, kind or "")
    written = write_one(rig_file, text.encode(), str(rig_file))
    is_rig = not (is_house or is_setup)
    told = "" if kind or not is_rig else KIND_FIRST
    for path in written:
        say(f"Wrote {path}. Fill in what you know; every line says how to measure it.{told}")
    if is_rig:
        say_next()
