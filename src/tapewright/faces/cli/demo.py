"""Demo: the main job once through, on an archer who does not exist.

Holds:  the sample's place and the walk through it.
Never:  numbers of real people; computations.
"""

from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import click

from tapewright.ground.errors import BadInput

SAMPLE = ("heron.toml", "heron-shots.csv")


def run_demo(folder: Path, run: Callable[[list[str]], object]) -> None:
    """Write the sample into a folder, calibrate it, print its tape, and tell what was done.

    ``run`` takes what a person would type after the program's name.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for name in SAMPLE:
        text = (files("tapewright.faces") / "sample" / name).read_text(encoding="utf-8")
        path = folder / name
        if path.exists() and path.read_text(encoding="utf-8", errors="replace") != text:
            raise BadInput(
                str(path), "it was changed and would be overwritten", "Name another folder"
            )
        path.write_text(text, encoding="utf-8")
    rig, shots = (str(folder / name) for name in SAMPLE)
    click.echo(f"An invented archer's rig sheet and arrows are in {folder}.\n")
    click.echo(f"$ tapewright fit {rig} {shots}")
    run(["fit", rig, shots])
    click.echo(f"\n$ tapewright tape {rig} {shots}")
    run(["tape", rig, shots])
    click.echo(
        "\nOpen the PDF, print it without scaling, measure the proof rulers, cut out the middle "
        "strip."
    )
