"""Backup: the whole notebook copied into a new file, while others may go on writing.

Holds:  the command ``backup``.
Never:  how it is copied (storage).
"""

from pathlib import Path

import click

from tapewright.faces.cli.notebook import NOTEBOOK, opened
from tapewright.faces.cli.options import FILE
from tapewright.services.move_notebook import backup as copy


@click.command()
@click.argument("file", type=FILE)
@NOTEBOOK
def backup(file: Path, notebook: str | None) -> None:
    """Copy the whole notebook into a new file, while others may go on writing."""
    with opened(notebook) as kept:
        copy(kept, file)
    click.echo(f"Wrote {file}")
