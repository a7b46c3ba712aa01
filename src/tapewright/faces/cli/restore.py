"""Restore: a backup or an archive into an empty notebook.

Holds:  the command ``restore``.
Never:  what an archive holds (storage).
"""

from pathlib import Path

import click

from tapewright.faces.cli.notebook import NOTEBOOK, counted, opened
from tapewright.faces.cli.options import FILE
from tapewright.services.move_notebook import restore as take_back


@click.command()
@click.argument("file", type=FILE)
@NOTEBOOK
def restore(file: Path, notebook: str | None) -> None:
    """Take a backup or an archive into an empty notebook.

    Nothing is ever replaced: if the notebook is not empty, name a new one with --notebook.
    """
    with opened(notebook) as kept:
        click.echo(counted(take_back(kept, file)))
