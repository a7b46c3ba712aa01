"""Export: everything that is kept, or one rig of it, as one readable file.

Holds:  the command ``export``.
Never:  what an archive holds (storage).
"""

from contextlib import suppress
from pathlib import Path

import click

from tapewright.faces.cli.notebook import NOTEBOOK, opened, write_private
from tapewright.faces.cli.options import FILE
from tapewright.faces.settings import today
from tapewright.ground.errors import BadInput, NotKept
from tapewright.services.keep import KeptRig, Notebook, RigsAsked, kept_as
from tapewright.services.move_notebook import archive_text

MOST_ALIKE, MOST_TOLD = 1000, 20  # rigs looked at for one name, and named in a refusal


@click.command()
@click.option("--rig", default=None, metavar="NAME", help="Only this rig; default: all.")
@click.option("--out", type=FILE, default=None, help="A new file; default: by the day's date.")
@NOTEBOOK
def export(rig: str | None, out: Path | None, notebook: str | None) -> None:
    """Write everything that is kept, or one rig of it, to one readable file.

    The file can be imported on another machine, or again here: what is there already stays.
    """
    out = out or Path(f"tapewright-{today()}.json")
    if out.exists():
        raise BadInput("--out", f"{out.name} is there already", "Name a new file")
    with opened(notebook) as kept:
        text = archive_text(kept, None if rig is None else (_rig_id(kept, rig),))
    write_private(out, text)
    click.echo(f"Wrote {out}")


def _rig_id(kept: Notebook, name: str) -> str:
    """Id of the rig of a name, or of an id."""
    page = kept.rigs(RigsAsked(name, limit=MOST_ALIKE))
    found = [one.id for one in page.rigs if name == kept_as(one, KeptRig).name]
    if not found:
        with suppress(NotKept):
            found = [kept.entry(name).id]
    if len(found) == 1:
        return found[0]
    wrong = f"{len(found) or 'no'} rigs are called {name!r}"
    if found:
        mend = f"Give the id of one: {', '.join(found[:MOST_TOLD])}"
    else:
        rigs = page.rigs or kept.rigs(RigsAsked(limit=MOST_TOLD)).rigs
        names = ", ".join(sorted(kept_as(one, KeptRig).name for one in rigs[:MOST_TOLD]))
        mend = f"Choose from: {names or 'none yet'}; or give its id, see tapewright rigs --json"
    raise BadInput("--rig", wrong, mend)
