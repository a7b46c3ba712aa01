"""New: write a commented rig sheet, or a file of house values, to fill in.

Holds:  the command new.
Never:  what a sheet holds (reading).
"""

from pathlib import Path

import click

from tapewright.faces.cli.options import FILE, METRIC
from tapewright.ground.errors import BadInput
from tapewright.reading.house_values import house_template
from tapewright.reading.sheet_template import new_rig_sheet


@click.command()
@click.argument("rig_file", metavar="RIG.toml", type=FILE)
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
@METRIC
def new(
    rig_file: Path, name: str | None, hand: str, kind: str | None, is_house: bool, metric: bool
) -> None:
    """Write a commented rig sheet to fill in.

    An existing file is never overwritten. With --house: the usual values that a shop or a club
    writes once, for every command that takes --house.
    """
    name = name or ("Your shop or club" if is_house else rig_file.stem)
    if is_house:
        text = house_template(name, metric=metric)
    else:
        text = new_rig_sheet(name, "left" if hand == "left" else "right", metric, kind or "")
    try:
        with rig_file.open("x", encoding="utf-8") as sheet:
            sheet.write(text)
    except FileExistsError:
        wrong = "a file of this name is there already"
        raise BadInput(str(rig_file), wrong, "Choose another name") from None
    told = "" if kind else " First the kind of bow: a compound, unless the sheet says another."
    click.echo(f"Wrote {rig_file}. Fill in what you know; every line says how to measure it.{told}")
