"""Check: every row of the notebook looked at, and what is not as it was written.

Holds:  the command ``check``.
Never:  how rows are checked (storage).
"""

import json
from pathlib import Path

import click

from tapewright.faces.cli.notebook import NOTEBOOK, address, write_private
from tapewright.faces.cli.options import FILE, JSON, with_options
from tapewright.faces.notebook_check import checked_at, checked_json, checked_lines
from tapewright.ground.errors import BadInput
from tapewright.services.move_notebook import text_of


@click.command()
@click.option(
    "--save",
    type=FILE,
    default=None,
    metavar="SOUND.json",
    help="Write what is sound to a new archive, to be restored into a new notebook.",
)
@with_options(NOTEBOOK, JSON)
@click.pass_context
def check(ctx: click.Context, save: Path | None, notebook: str | None, as_json: bool) -> None:
    """Look at every row of the notebook and say what is not as it was written.

    Status 2 if anything is not. Nothing is changed: what is damaged stays as it is.
    """
    if save is not None and save.exists():
        raise BadInput("--save", f"{save.name} is there already", "Name a new file")
    url = address(notebook)
    if url.startswith("sqlite:///") and not Path(url.removeprefix("sqlite:///")).exists():
        wrong = "there is no notebook yet"
        raise BadInput(url.removeprefix("sqlite:///"), wrong, "Name another with --notebook")
    checked, sound = checked_at(url)
    if as_json:
        click.echo(json.dumps(checked_json(checked), indent=1, ensure_ascii=False))
    else:
        click.echo("\n".join((f"Notebook {checked.place}", *checked_lines(checked))))
    if save is not None and sound is not None:
        write_private(save, text_of(sound))
        click.echo(f"Wrote {save}: {len(sound.histories)} sound entries.", err=as_json)
    if not checked.is_sound:
        ctx.exit(2)
