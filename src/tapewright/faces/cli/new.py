"""New: write a commented rig sheet, or a file of house values, to fill in.

Holds:  the command new.
Never:  what a sheet holds (reading).
"""

from pathlib import Path

import click

from tapewright.faces.cli import standard_streams
from tapewright.faces.cli.command_list import say_next
from tapewright.faces.cli.shared_options import FORCE, METRIC
from tapewright.faces.cli.standard_streams import STANDARD, say, write_one
from tapewright.reading.house_values import house_template
from tapewright.reading.sheet_template import new_rig_sheet


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
@FORCE
@METRIC
def new(
    rig_file: Path,
    name: str | None,
    hand: str,
    kind: str | None,
    is_house: bool,
    force: bool,  # noqa: ARG001 — heard where files are written
    metric: bool,
) -> None:
    """Write a commented rig sheet to fill in.

    An existing file is not overwritten, unless --force is given. With --house: the usual values
    that a shop or a club writes once, for every command that takes --house.
    """
    usual = "My bow" if rig_file == STANDARD else rig_file.stem
    name = name or ("Your shop or club" if is_house else usual)
    if is_house:
        text = house_template(name, metric=metric)
    else:
        text = new_rig_sheet(name, "left" if hand == "left" else "right", metric, kind or "")
    written = write_one(rig_file, text.encode(), str(rig_file))
    told = "" if kind else " First the kind of bow: a compound, unless the sheet says another."
    for path in written:
        say(f"Wrote {path}. Fill in what you know; every line says how to measure it.{told}")
    if not is_house:
        say_next()
