"""Commands: the program, and how it refuses.

Holds:  the group of all commands; wrong input ends in one paragraph and status 2.
Never:  what a command does (making.py and its neighbours).
"""

import os
import sys
from typing import Any

import click

from tapewright import __version__
from tapewright.faces.cli import (
    batching,
    carrying,
    changing,
    checking,
    families,
    keeping,
    making,
    outdoors,
    photographing,
    planning,
    printing,
    proving,
    shooting,
)
from tapewright.faces.cli.asking import withhold
from tapewright.ground.errors import TapewrightError, Withheld

ALL = (
    making.demo,
    making.new,
    making.gauge,
    printing.target,
    shooting.group,
    photographing.photo,
    shooting.clicks,
    making.fit,
    planning.plan,
    making.tape,
    carrying.pocket,
    proving.strips,
    proving.prove,
    outdoors.card,
    outdoors.slopes,
    outdoors.weather,
    outdoors.wind,
    changing.change,
    changing.compare,
    changing.budget,
    changing.picture,
    checking.limits,
    checking.level,
    batching.batch,
    families.family,
    keeping.serve,
    keeping.rigs,
    keeping.import_,
    keeping.export,
    keeping.backup,
    keeping.restore,
    keeping.check,
)


class _Refusing(click.Group):
    """A group whose commands end in one paragraph and status 2 when input is wrong."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 — click's own
        return list(self.commands)  # in the order of use, not of the alphabet

    def invoke(self, ctx: click.Context) -> Any:  # noqa: ANN401 — click's own signature
        try:
            return super().invoke(ctx)
        except Withheld as refused:
            withhold(ctx, refused)
            ctx.exit(2)
        except TapewrightError as refused:
            click.echo(f"tapewright: {refused}", err=True)
            ctx.exit(2)
        except BrokenPipeError:  # whoever was listening has heard enough
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            ctx.exit(0)
        except OSError as refused:
            place = refused.filename or "a file"
            click.echo(f"tapewright: {place}: {refused.strerror}.", err=True)
            ctx.exit(2)


@click.group(cls=_Refusing, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="tapewright")
def main() -> None:
    """From a bow just bolted on to a printed sight tape, with a band around every mark.

    New here? Run "tapewright demo", look at what it wrote, then "tapewright new RIG.toml" for
    your own bow. Tab completion: see docs/command-line.md.
    """


for _command in ALL:
    main.add_command(_command)
