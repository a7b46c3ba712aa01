"""Commands: the program, and how it refuses.

Each command is loaded when it is asked for: it has a file of its name beside this one, stands in
notebook.py, or is made from the record of a print or of a question.

Holds:  the group of all commands; wrong input ends in one paragraph and status 2.
Never:  what a command does (its own file, questions).
"""

import os
import sys
from difflib import get_close_matches
from importlib import import_module
from pathlib import Path
from typing import Any

import click

from tapewright import __version__
from tapewright.faces.cli.console_encoding import be_readable
from tapewright.ground.errors import BadInput, TapewrightError, Withheld
from tapewright.questions.all_questions import question_files, question_path
from tapewright.words.unit_spellings import quoted

HERE = Path(__file__).parent
PRINTS = ("gauge", "target", "tape", "family", "handover", "large")
# Commands that are no questions, by the question before which they are listed.
BEFORE = {
    "group": ("demo", "new", "house", "gauge", "target", "add"), "clicks": ("photo",),
    "strips": ("tape", "stuck", "large", "pocket"), "limits": ("picture",),
    "hold": ("batch", "family", "serve", "rigs", "import", "export", "backup", "restore", "check",
             "handover", "give", "erase"),
}  # fmt: skip
NOTEBOOK = ("rigs", "import", "export", "backup", "restore", "check")  # one file holds these


def _in_cli(file: str) -> Any:  # noqa: ANN401 — a module
    return import_module(f"tapewright.faces.cli.{file}")


def _called() -> str:
    return str(_in_cli("command_list").called())


class _Refusing(click.Group):
    """A group whose commands end in one paragraph and status 2 when input is wrong."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 — click's own
        return [name for file in question_files() for name in (*BEFORE.get(file, ()), file)]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in self.list_commands(ctx):
            return None
        command: click.Command
        if cmd_name in PRINTS:
            command = _in_cli("print_command").print_command(cmd_name)
        elif cmd_name in NOTEBOOK:
            command = _in_cli("notebook").COMMANDS[cmd_name]
        elif (HERE / f"{cmd_name}.py").exists():
            command = getattr(_in_cli(cmd_name), cmd_name)
        else:
            command = _in_cli("question_command").question_command(cmd_name)
        command.epilog = _in_cli("shared_options").rare_words(ctx, command, cmd_name)
        return command

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        if "--more" in args and {"-h", "--help"} & set(args):
            ctx.meta[_in_cli("shared_options").ALL_HELP] = True
            args = [one for one in args if one != "--more"]
        if args[:1] in (["help"], ["-h"], ["--help"]):  # whichever way round it is asked
            is_of_one = args[1:2] and args[1] in self.list_commands(ctx)
            args = [args[1], "--help"] if is_of_one else ["--help"]
        return super().parse_args(ctx, args)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        name, names = args[0], self.list_commands(ctx)
        if name not in names and not name.startswith("-") and not ctx.resilient_parsing:
            near = " or ".join(get_close_matches(name, names, 3))
            mend = f"Perhaps {near}?" if near else f"{_called()} --help lists them all."
            ctx.fail(f"There is no command {quoted(name)}. {mend}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Sections with a line a command: to list them, none has to be loaded."""
        names, seldom = self.list_commands(ctx), set[str]()
        if not ctx.meta.get(_in_cli("shared_options").ALL_HELP):
            seldom = _in_cli("command_list").SELDOM & set(names)
        open_ones = [name for name in names if name not in seldom]
        for title, rows in _in_cli("command_list").in_sections(open_ones):
            with formatter.section(title):
                formatter.write_dl(
                    [(name, line or _door_card(name.strip())) for name, line in rows]
                )
        if seldom:
            formatter.write_paragraph()
            named = ", ".join(name for name in names if name in seldom)
            formatter.write_text(f"More: {named}. {_called()} --help --more lists them, too.")

    def main(self, *args: Any, **extra: Any) -> Any:  # noqa: ANN401 — click's own signature
        be_readable()
        if "TAPEWRIGHT_CALLED" in os.environ:
            extra.setdefault("prog_name", _called())
        return super().main(*args, **extra)

    def invoke(self, ctx: click.Context) -> Any:  # noqa: ANN401 — click's own signature
        try:
            return super().invoke(ctx)
        except Withheld as refused:
            _in_cli("terminal_output").say_withheld(ctx, refused)
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
    """What the file that holds a command, or its record, says of it in its first line."""
    path = HERE.parents[1] / "printing" / f"{name}.py" if name in PRINTS else HERE / f"{name}.py"
    with (path if path.exists() else question_path(name)).open(encoding="utf-8") as text:
        claim = text.readline().removeprefix('"""').partition(": ")[2].strip()
    return claim[:1].upper() + claim[1:]


@click.group(cls=_Refusing, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="tapewright")
def main() -> None:
    """From a bow just bolted on to a printed sight tape, with a band around every mark.

    New here? Run "tapewright demo", look at what it wrote, then "tapewright new RIG.toml" for
    your own bow. Two marks known already? A strip from them alone:

    \b
      tapewright tape --mark "20 yd = 17.2" --mark "60 yd = 48.5"

    Where a file is named, - is standard input or output. Nothing is overwritten without --force.
    Tab completion: see docs/command-line.md.
    """  # noqa: D301 — \b keeps the line as it stands
