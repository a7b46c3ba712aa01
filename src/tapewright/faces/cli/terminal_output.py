"""Terminal output: answers on the screen: tables drawn with rules, plain when piped; JSON.

Holds:  the two ways of a table onto the screen; blocks shown one after the other; an answer shown
        to a person or, as JSON, to another program; that it is withheld.
Never:  sentences, computations, files written (standard_streams.py).
"""

import json
import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import click
from rich.console import Console
from rich.table import Table as Drawn

from tapewright.faces.cli.command_list import say_next
from tapewright.faces.cli.input_files import IS_JSON, STOPS
from tapewright.faces.cli.narrow_tables import narrow_table
from tapewright.faces.cli.standard_streams import is_answer_written, say
from tapewright.ground.errors import Withheld
from tapewright.words.answer_blocks import Blocks, Drawing, Mind, More, Table
from tapewright.words.answer_json import with_stops
from tapewright.words.stops import UNTIL, refused_words, withheld_json


def plain_table(table: Table) -> str:
    """Text of a table without colours or rules."""
    widths = [
        max(len(row[column]) for row in (table.heads, *table.rows))
        for column in range(len(table.heads))
    ]
    lines = [
        "  ".join(
            cell.ljust(width) if column == 0 else cell.rjust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in (table.heads, *table.rows)
    ]
    return "\n".join([table.title, *lines])


def ruled_width(table: Table) -> int:
    """Width of a table with rules: a rule and two blanks for each column, and a rule at the end."""
    columns = zip(table.heads, *table.rows, strict=True)
    return 1 + sum(3 + max(map(len, column)) for column in columns)


def show_table(table: Table) -> None:
    """Print a table: with rules in a terminal that has room for it, plain when piped."""
    if is_answer_written() or not sys.stdout.isatty():
        say(plain_table(table) + "\n")
        return
    drawn = Drawn(title=table.title, title_justify="left", title_style="bold")
    for column, head in enumerate(table.heads):
        drawn.add_column(head, justify="left" if column == 0 else "right")
    for place, row in enumerate(table.rows):
        drawn.add_row(*row, style="dim" if place in table.faint else None)
    console = Console()
    if ruled_width(table) <= console.width:
        console.print(drawn)
        return
    text, gone = narrow_table(table, console.width, more=_is_more())
    left_out = f"\n(No room for {', '.join(gone)}: see --more.)" if gone else ""
    say(f"{text}{left_out}\n")


def _is_more() -> bool:
    """Whether all is wanted, what hardly anyone looks at, too."""
    context = click.get_current_context(silent=True)
    return context is not None and bool(context.params.get("more"))


def show(blocks: Blocks) -> None:
    """Print tables, sentences and cautions in their order; what is folded once more is wanted."""
    folded = [block for block in blocks if isinstance(block, More)]
    for block in blocks:
        if isinstance(block, Table):
            show_table(block)
        elif isinstance(block, More):
            show(block.blocks if _is_more() else ())
        elif not isinstance(block, Drawing):  # a terminal has none
            say(f"Mind: {block.text}" if isinstance(block, Mind) else block)
    if folded and not _is_more():
        about = " and ".join(one.about for one in folded)
        say(f"{about[:1].upper()}{about[1:]}: see --more.")


def answer(
    tell: Callable[[], Blocks],
    write: Callable[[], dict[str, Any]] | None,
    written: Sequence[Path] | None = None,
) -> None:
    """Answer a person, unless it is to be written for a program; and which files were written."""
    if write is not None:
        files = {} if written is None else {"files": [str(path) for path in written]}
        say_json(write() | files)
        return
    show(tell())
    for path in written or ():
        say(f"Wrote {path}")
    say_next(written or ())


def echo_json(written: Mapping[str, Any]) -> None:
    """Say something to another program."""
    is_utf8 = sys.stdout.encoding.casefold().replace("-", "") == "utf8"  # as JSON is always read
    click.echo(json.dumps(written, indent=1, ensure_ascii=not is_utf8))


def say_json(written: dict[str, Any]) -> None:
    """Answer another program, the stops with it."""
    context = click.get_current_context(silent=True)
    echo_json(with_stops(written, () if context is None else context.meta.get(STOPS, ())))


def say_withheld(context: click.Context, refused: Withheld) -> None:
    """Say that something is withheld, and why, in the form that was asked for."""
    if context.meta.get(IS_JSON):
        echo_json({"schema": "tapewright.withheld/1"} | withheld_json(refused))
    is_told = refused.stops and context.meta.get(STOPS)  # with the sheet, as it was read
    told = f"{UNTIL}." if is_told else refused_words(refused)
    click.echo(f"tapewright: {told}", err=True)
