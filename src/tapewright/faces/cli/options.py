"""Options: what several commands let a person say, declared once.

Holds:  arguments and options with their help.
Never:  what is done with them (commands.py).
"""

from collections.abc import Callable
from math import isnan
from pathlib import Path
from typing import Any

import click

from tapewright.ground.errors import BadInput

FILE = click.Path(path_type=Path)
FORMATS = ("pdf", "svg", "dxf")


def with_options(*options: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """Several options on one command, in the order they are listed in its help."""

    def decorate(command: Any) -> Any:  # noqa: ANN401 — any function click can decorate
        for option in reversed(options):
            command = option(command)
        return command

    return decorate


def _number(ctx: click.Context, param: click.Parameter, value: float) -> float:
    """A number; "nan" is none, although no range leaves it out."""
    if isnan(value):
        raise click.BadParameter("nan is no number.", ctx, param)
    return value


RIG = click.argument("rig_file", metavar="RIG.toml", type=FILE)
SHOTS = click.argument("shots_file", metavar="[SHOTS.csv]", type=FILE, required=False)
METRIC = click.option(
    "--metric/--imperial", default=False, help="Metres and centimetres, or yards and inches."
)
SEED = click.option(
    "--seed",
    default=1,
    show_default=True,
    type=click.IntRange(min=0),
    help="Of the random draws: same seed, same answer.",
)

BAND = click.option(
    "--band",
    default=90.0,
    show_default=True,
    type=click.FloatRange(50.0, 99.0),
    callback=_number,
    help="Chance in percent with which a band holds the truth.",
)
PAPER = click.option(
    "--paper", default="A4", show_default=True, type=click.Choice(["A4", "Letter"])
)
WIDTH = click.option(
    "--width",
    default=None,
    help='Width of the strip, such as "10 mm"; default: 12 mm, more for several pins.',
)
LENGTH = click.option("--length", default=None, help="Length of the strip; default: as needed.")
POINTER = click.option(
    "--pointer",
    type=click.Choice(["right", "left"]),
    default=None,
    help="Side of the strip where the pointer stands; default: the rig's hand.",
)
FAR_END = click.option(
    "--far-end",
    default="down",
    show_default=True,
    type=click.Choice(["down", "up"]),
    help="End of the strip where far distances stand.",
)
PROOF = click.option(
    "--proof",
    default=None,
    metavar="ACROSS,DOWN",
    help='What the two proof rulers measured on a print without --proof, as "99.6,100.2 mm".',
)
OUT = click.option(
    "--out", type=FILE, default=None, help="Where to write; the ending is added. Default: the rig."
)
FORMAT = click.option(
    "--format",
    "formats",
    multiple=True,
    type=click.Choice(FORMATS),
    help="May be given several times. Default: pdf and svg.",
)
JSON = click.option("--json", "as_json", is_flag=True, help="Answer as JSON, for other programs.")


def proof_lengths(text: str | None) -> tuple[float, float] | None:
    """Lengths of the two proof rulers as typed, across and down. [mm]"""
    from tapewright.words.quantities import read_number  # noqa: PLC0415 — help answers at once

    if text is None:
        return None
    parts = text.replace("mm", "").split(";" if ";" in text else ",")
    if len(parts) != 2:
        raise BadInput("--proof", f"{text!r} is not two lengths", "Write both, as 99.6,100.2 mm")
    across_mm, down_mm = (read_number(part, "--proof", "99.6,100.2 mm") for part in parts)
    return across_mm, down_mm
