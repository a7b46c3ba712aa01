"""Notebook: what the commands on the notebook do alike.

Holds:  the option that names it; the notebook opened and closed; a private file written.
Never:  a command, how anything is kept (storage).
"""

import datetime as dt
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from tapewright.faces.kept_stops import stops_verdict
from tapewright.faces.settings import VARIABLE, notebook_url
from tapewright.services.keep import Notebook, open_notebook
from tapewright.services.move_notebook import Counts, make_private

NOTEBOOK = click.option(
    "--notebook",
    default=None,
    metavar="PATH|URL",
    help="Where the notebook is; default: TAPEWRIGHT_NOTEBOOK, else a file in your own folder.",
)


def address(given: str | None) -> str:
    """Address of the notebook asked for."""
    return notebook_url() if given is None else notebook_url({VARIABLE: given})


@contextmanager
def opened(given: str | None) -> Iterator[Notebook]:
    """The notebook asked for, closed afterwards."""
    notebook = open_notebook(address(given), stops_verdict)
    try:
        yield notebook
    finally:
        notebook.close()


def now() -> dt.datetime:
    """The instant at which a command runs."""
    return dt.datetime.now(dt.UTC)


def write_private(out: Path, text: str) -> None:
    """Write a new file that is the owner's alone: it holds what a notebook holds."""
    draft = out.with_name(f"{out.name}.part")
    draft.unlink(missing_ok=True)
    make_private(draft)
    draft.write_text(text, encoding="utf-8")
    draft.replace(out)


def counted(counts: Counts) -> str:
    """What taking in an archive did."""
    if not counts.new + counts.longer:
        return f"Nothing new: all {counts.same} entries were there already."
    return (
        f"Taken in: {counts.new} new entries, {counts.longer} with later versions; "
        f"{counts.same} were there already."
    )
