"""Shared options: what several commands let a person say, declared once.

Holds:  arguments and options with their help; which of them hardly anyone uses, and where these
        are told of.
Never:  what is done with them (commands), what a question or a print is told (their records).
"""

from collections.abc import Callable
from math import isnan
from typing import Any

import click

from tapewright.faces.cli import standard_streams
from tapewright.faces.cli.command_list import called
from tapewright.faces.cli.standard_streams import FILE

ALL_HELP = "tapewright.all_help"  # what a command remembers: --help --more was typed


class Rare(click.Option):
    """An option that hardly anyone uses: --help --more tells of it, --help names it only."""

    def get_help_record(self, ctx: click.Context) -> tuple[str, str] | None:
        """Its line in a help, if that tells all."""
        return super().get_help_record(ctx) if ctx.meta.get(ALL_HELP) else None


def rare_words(ctx: click.Context, command: click.Command, name: str) -> str | None:
    """Which options of a command are folded away, and how they are told of; None for none."""
    names = [one.opts[0] for one in command.params if isinstance(one, Rare)]
    if not names or ctx.meta.get(ALL_HELP):
        return None
    return f"Seldom needed: {', '.join(names)}. {called()} {name} --help --more tells of them."


def with_options(*options: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """Several options on one command, in the order they are listed in its help."""

    def decorate(command: Any) -> Any:  # noqa: ANN401 — any function click can decorate
        for option in reversed(options):
            command = option(command)
        return command

    return decorate


def file_argument(name: str, metavar: str, **more: Any) -> Callable[[Any], Any]:  # noqa: ANN401 — as click takes it
    """A file that a command is given."""
    return click.argument(name, metavar=metavar, type=FILE, **more)


def formats_option(formats: tuple[str, ...], about: str) -> Callable[[Any], Any]:
    """In which formats a print is wanted."""
    return click.option(
        "--format", "formats", multiple=True, type=click.Choice(formats), help=about
    )


def _number(ctx: click.Context, param: click.Parameter, value: float) -> float:
    """A number; "nan" is none, although no range leaves it out."""
    if isnan(value):
        raise click.BadParameter("nan is no number.", ctx, param)
    return value


RIG = file_argument("rig_file", "RIG.toml")
SHOTS = file_argument("shots_file", "[SHOTS.csv]", required=False)
METRIC = click.option(
    "--metric/--imperial", default=False, help="Metres and centimetres, or yards and inches."
)
SEED = click.option(
    "--seed", cls=Rare, default=1, show_default=True, type=click.IntRange(min=0),
    help="Of the random draws: same seed, same answer.",
)  # fmt: skip
BAND = click.option(
    "--band", cls=Rare, default=90.0, show_default=True, type=click.FloatRange(50.0, 99.0),
    callback=_number, help="Chance in percent with which a band holds the truth.",
)  # fmt: skip
PAPER = click.option(
    "--paper", default="A4", show_default=True, type=click.Choice(["A4", "Letter"])
)
OUT = click.option(
    "--out", type=standard_streams.OUT, default=None,
    help="Where to write; the ending is added. Default: the rig; - is standard output.",
)  # fmt: skip
FORCE = click.option("--force", is_flag=True, help="Overwrite files that are there already.")
JSON = click.option("--json", "as_json", is_flag=True, help="Answer as JSON, for other programs.")
MORE = click.option(
    "--more",
    is_flag=True,
    help="All statistics, and what hardly anyone needs; with --help all options.",
)
HOUSE = click.option(
    "--house", "house_file", cls=Rare, default=None, type=FILE, metavar="HOUSE.toml",
    envvar="TAPEWRIGHT_HOUSE", show_envvar=True,
    help="Usual values of your shop or club, where the sheet is silent.",
)  # fmt: skip
_RECORD_HELP = "Record of the tape on the sight, beside its print: its numbers may be dialled."
TAPE = click.option(
    "--tape", "tape_file", default=None, type=FILE, metavar="TAPE.json", help=_RECORD_HELP
)
ON_SIGHT = click.option(  # of a command whose --tape prints one
    "--on-sight", "tape_file", default=None, type=FILE, metavar="TAPE.json", help=_RECORD_HELP
)
WISHES = (METRIC, BAND, SEED, HOUSE, TAPE, MORE, JSON)  # of whatever a calibration answers
