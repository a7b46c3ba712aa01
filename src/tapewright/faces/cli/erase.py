"""Erase: a person's rigs, with their names and all that was shot, gone for good.

Holds:  the command ``erase``.
Never:  how rows are emptied and files swept (storage), what is told (faces/rig_erasure.py).
"""

import datetime as dt

import click

from tapewright.faces.cli.notebook import NOTEBOOK, opened, rig_id_of
from tapewright.faces.cli.shared_options import JSON, with_options
from tapewright.faces.cli.standard_streams import say
from tapewright.faces.cli.terminal_output import echo_json
from tapewright.faces.rig_erasure import (
    KEPT_ALL_THE_SAME,
    OUT_OF_REACH,
    Going,
    Gone,
    erase_rigs,
    erased_json,
    going,
)
from tapewright.ground.errors import BadInput
from tapewright.services.keep import Entry, KeptRig, Notebook, kept_as
from tapewright.services.move_notebook import sweep


@click.command()
@click.argument("rig", nargs=-1, metavar="[RIG]...")
@click.option("--yes", is_flag=True, help="Do it; without it, it is only told what would go.")
@click.option(
    "--also", multiple=True, metavar="NAME",
    help="Another name of the person, to be looked for in what stays. May be said again.",
)  # fmt: skip
@click.option("--sweep", "only_sweep", is_flag=True, help="Only sweep old bytes away once more.")
@with_options(NOTEBOOK, JSON)
def erase(
    rig: tuple[str, ...],
    yes: bool,
    also: tuple[str, ...],
    only_sweep: bool,
    notebook: str | None,
    as_json: bool,
) -> None:
    """Erase rigs by name or id: sheets, arrows, notes, prints, with every version, for good.

    For a person who wants to be forgotten, name all their rigs. There is no way back. The notebook
    stays sound, and no byte of a name is left in it; what it cannot reach is listed.
    """
    if only_sweep == bool(rig):
        wrong = "rigs to erase, or --sweep alone, is wanted"
        raise BadInput("RIG", wrong, "Name the rigs, see tapewright rigs; or say --sweep")
    with opened(notebook) as kept:
        if only_sweep:
            gone = Gone(going(kept, ()), 0, sweep(kept), ())
        else:
            rigs = tuple(_rig(kept, one) for one in dict.fromkeys(rig))
            if not yes:
                _say_what_would(going(kept, rigs), as_json=as_json)
                return
            gone = erase_rigs(kept, rigs, dt.datetime.now(dt.UTC), also)
    if as_json:
        echo_json(erased_json(gone))
        return
    say("\n".join(gone.lines))
    _say_out_of_reach()


def _rig(kept: Notebook, name: str) -> Entry:
    """A rig of the list, or one put aside."""
    try:
        rig_id = rig_id_of(kept, name, "RIG")
    except BadInput as not_listed:
        try:
            rig_id = rig_id_of(kept, name, "RIG", withdrawn=True)
        except BadInput:
            raise not_listed from None
    entry = kept.entry(rig_id)
    kept_as(entry, KeptRig)
    return entry


def _say_what_would(found: Going, *, as_json: bool) -> None:
    if as_json:
        would = {"names": list(found.names), "counts": dict(sorted(found.counts.items()))}
        copies = {"copies": list(found.copies), "out_of_reach": list(OUT_OF_REACH)}
        echo_json({"schema": "tapewright.erasing/1", "erased_entries": 0} | would | copies)
        return
    say("Would be erased for good:")
    say("\n".join(found.lines))
    say(KEPT_ALL_THE_SAME)
    _say_out_of_reach()
    say("Nothing was erased yet: say it again with --yes.")


def _say_out_of_reach() -> None:
    say("What this program cannot reach:")
    say("\n".join(f"- {line}" for line in OUT_OF_REACH))
