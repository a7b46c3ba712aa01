"""Tables: records as aligned text: drawn with rules in a terminal, plain when piped.

Holds:  the two ways of a table onto the screen; blocks shown one after the other; an answer shown
        to a person or another program.
Never:  sentences, computations.
"""

import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import click
from rich.console import Console
from rich.table import Table as Drawn

from tapewright.faces.cli.files import say_json
from tapewright.faces.cli.narrow import narrow_table
from tapewright.faces.cli.sections import say_next
from tapewright.faces.cli.streams import is_answer_written, say
from tapewright.words.blocks import Blocks, Drawing, Mind, More, Table


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
    say_next()
