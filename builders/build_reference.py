"""Build the command reference of docs/command-line.md from the program's own help.

Rewrites what stands between two markers; ``--check`` only compares.

Holds:  every command and option as the program describes them, as Markdown.
Never:  text written by hand, numbers.
"""

import sys
from pathlib import Path

import click

from tapewright.faces.cli.commands import main as program

PAGE = Path(__file__).resolve().parents[1] / "docs" / "command-line.md"
BEGIN, END = "<!-- reference -->\n", "<!-- /reference -->"


def typed(context: click.Context, command: click.Command) -> str:
    """What a person types, arguments included."""
    pieces = " ".join(command.collect_usage_pieces(context))
    return f"tapewright {context.info_name} {pieces}".rstrip()


def option_rows(context: click.Context, command: click.Command) -> list[str]:
    """One table row for each option."""
    options = [one for one in command.get_params(context) if isinstance(one, click.Option)]
    rows = []
    for option in options:
        record = option.get_help_record(context)
        if record is not None and "--help" not in option.opts:
            name, words = record
            rows.append(f"| `{name.replace('|', ', ')}` | {words.replace('|', '/')} |")
    return rows


def command_section(parent: click.Context, name: str, command: click.Command) -> str:
    """Heading, usage, what it is for, options."""
    context = click.Context(command, info_name=name, parent=parent)
    words = (command.help or "").replace("\b\n", "").strip()
    paragraphs = [" ".join(one.split()) for one in words.split("\n\n")]
    rows = option_rows(context, command)
    table = ["\n".join(["| option | what it does |", "| --- | --- |", *rows])] if rows else []
    return "\n\n".join([f"### {name}", f"```\n{typed(context, command)}\n```", *paragraphs, *table])


def reference() -> str:
    """Sections of all commands, in the order the program lists them."""
    context = click.Context(program, info_name="tapewright")
    names = program.list_commands(context)
    sections = [command_section(context, name, program.commands[name]) for name in names]
    return "\n" + "\n\n".join(sections) + "\n\n"


def main() -> int:
    """Write or check."""
    text = PAGE.read_text(encoding="utf-8")
    before, rest = text.split(BEGIN)
    told, after = rest.split(END)
    fresh = reference()
    if told == fresh:
        return 0
    if "--check" in sys.argv:
        print("docs/command-line.md is older than the help: python builders/build_reference.py")
        return 1
    PAGE.write_text(before + BEGIN + fresh + END + after, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
