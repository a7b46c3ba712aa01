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
from tapewright.words.blocks import Blocks, Mind, Table


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


def show_table(table: Table) -> None:
    """Print a table: with rules in a terminal, plain when piped."""
    if not sys.stdout.isatty():
        click.echo(plain_table(table) + "\n")
        return
    drawn = Drawn(title=table.title, title_justify="left", title_style="bold")
    for column, head in enumerate(table.heads):
        drawn.add_column(head, justify="left" if column == 0 else "right")
    for place, row in enumerate(table.rows):
        drawn.add_row(*row, style="dim" if place in table.faint else None)
    Console().print(drawn)


def show(blocks: Blocks) -> None:
    """Print tables, sentences and cautions in their order."""
    for block in blocks:
        if isinstance(block, Table):
            show_table(block)
        else:
            click.echo(f"Mind: {block.text}" if isinstance(block, Mind) else block)


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
        click.echo(f"Wrote {path}")
