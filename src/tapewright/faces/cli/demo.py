"""Demo: show it all on an invented archer.

Holds:  the command demo: the sample's place and the walk through it.
Never:  numbers of real people; computations.
"""

from importlib.resources import files
from pathlib import Path

import click

from tapewright.faces.cli.command_list import called
from tapewright.faces.cli.standard_streams import OUT, OVERWRITES
from tapewright.ground.errors import BadInput

SAMPLE = ("heron.toml", "heron-shots.csv")


@click.command()
@click.argument("folder", type=OUT, default=Path("tapewright-demo"))
@click.pass_context
def demo(context: click.Context, folder: Path) -> None:
    """Show it all on an invented archer."""
    rig, shots = (_sample(folder, name) for name in SAMPLE)
    click.echo(f"An invented archer's rig sheet and arrows are in {folder}.\n")
    _run(context, "fit", rig, shots)
    click.echo()
    _run(context, "tape", rig, shots)
    click.echo(
        "\nOpen the PDF, print it without scaling, measure the proof rulers, cut out the middle "
        "strip."
    )


def _sample(folder: Path, name: str) -> str:
    """Write a file of the sample; one that was changed is never overwritten."""
    folder.mkdir(parents=True, exist_ok=True)
    text = (files("tapewright.faces") / "sample" / name).read_text(encoding="utf-8")
    path = folder / name
    if path.exists() and path.read_text(encoding="utf-8", errors="replace") != text:
        raise BadInput(str(path), "it was changed and would be overwritten", "Name another folder")
    path.write_text(text, encoding="utf-8", newline="\n")
    return str(path)


def _run(context: click.Context, *typed: str) -> None:
    """Show what a person would type after the program's name, and do it."""
    program = context.find_root().command
    click.echo(f"$ {called()} {' '.join(typed)}")
    status = program.main(list(typed), standalone_mode=False, obj=OVERWRITES)
    if status:
        context.exit(status)
