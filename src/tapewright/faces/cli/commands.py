"""Commands: the program, and how it refuses.

A question's command is made from its record and loaded when it is asked for; so is every other.

Holds:  the group of all commands; wrong input ends in one paragraph and status 2.
Never:  what a command does (its own file, questions).
"""

import os
import sys
from importlib import import_module
from pathlib import Path
from typing import Any

import click

from tapewright import __version__
from tapewright.faces.cli.withheld import withhold
from tapewright.ground.errors import BadInput, TapewrightError, Withheld
from tapewright.questions.every import question_files, question_in, question_path

HOUSE = Path(__file__).parents[2]
PRINT = "print"  # made from a print's record
# In the order of use; behind each the file beside this one that holds it, unless a question does.
FILES = {
    "demo": "demo", "new": "new", "gauge": PRINT, "target": PRINT, "group": "group",
    "photo": "photo", "clicks": "clicks", "fit": "", "plan": "", "tape": PRINT,
    "pocket": "pocket", "strips": "", "prove": "prove", "card": "card",
    "slopes": "", "weather": "", "wind": "", "change": "change", "compare": "compare",
    "budget": "", "picture": "picture", "limits": "", "level": "",
    "batch": "batch", "family": PRINT, "serve": "serve", "rigs": "rigs",
    "import": "import_", "export": "export", "backup": "backup", "restore": "restore",
    "check": "check",
}  # fmt: skip


class _Refusing(click.Group):
    """A group whose commands end in one paragraph and status 2 when input is wrong."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 — click's own
        return list(dict.fromkeys((*FILES, *question_files())))

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in self.list_commands(ctx):
            return None
        if (file := FILES.get(cmd_name, "")) == PRINT:
            made = import_module("tapewright.faces.cli.print_command")
            return made.print_command(cmd_name)  # type: ignore[no-any-return]
        if file:
            room = import_module(f"tapewright.faces.cli.{file}")
            command: click.Command = getattr(room, cmd_name, None) or getattr(room, f"{cmd_name}_")
            return command
        made = import_module("tapewright.faces.cli.question_command")
        return made.question_command(cmd_name, question_in(cmd_name))  # type: ignore[no-any-return]

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Names and door cards: to list them, none has to be loaded."""
        rows = [(name, _door_card(name)) for name in self.list_commands(ctx)]
        with formatter.section("Commands"):
            formatter.write_dl(rows)

    def invoke(self, ctx: click.Context) -> Any:  # noqa: ANN401 — click's own signature
        try:
            return super().invoke(ctx)
        except Withheld as refused:
            withhold(ctx, refused)
            ctx.exit(2)
        except TapewrightError as refused:
            click.echo(f"tapewright: {self._named(ctx, refused)}", err=True)
            ctx.exit(2)
        except BrokenPipeError:  # whoever was listening has heard enough
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            ctx.exit(0)
        except OSError as refused:
            place = refused.filename or "a file"
            click.echo(f"tapewright: {place}: {refused.strerror}.", err=True)
            ctx.exit(2)

    def _named(self, ctx: click.Context, refused: TapewrightError) -> str:
        """A refusal with its field named as the command's option, where it is one of them."""
        if type(refused) is BadInput and ctx.invoked_subcommand:
            command = self.get_command(ctx, ctx.invoked_subcommand)
            for option in command.params if command else ():
                if isinstance(option, click.Option) and option.name == refused.place:
                    return str(BadInput(option.opts[0], refused.wrong, refused.mend))
        return str(refused)


def _door_card(name: str) -> str:
    """What the file that holds a command says of it in its first line."""
    file = FILES.get(name, "")
    path = Path(__file__).with_name(f"{file}.py") if file else question_path(name)
    if file == PRINT:
        path = HOUSE / "printing" / f"{name}.py"
    with path.open(encoding="utf-8") as text:
        claim = text.readline().removeprefix('"""').partition(": ")[2].strip()
    return claim[:1].upper() + claim[1:]


@click.group(cls=_Refusing, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="tapewright")
def main() -> None:
    """From a bow just bolted on to a printed sight tape, with a band around every mark.

    New here? Run "tapewright demo", look at what it wrote, then "tapewright new RIG.toml" for
    your own bow. Tab completion: see docs/command-line.md.
    """
