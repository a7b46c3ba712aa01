"""Rigs: the rigs in the notebook by name, with trust, last session and what is next.

Holds:  the command ``rigs``.
Never:  how anything is kept (storage).
"""

import json
from typing import Any

import click

from tapewright.faces.cli.input_files import units_of
from tapewright.faces.cli.notebook import NOTEBOOK, opened
from tapewright.faces.cli.options import JSON, METRIC, with_options
from tapewright.faces.cli.tables import show
from tapewright.faces.rig_list import Listed, found_words, list_rigs
from tapewright.services.keep import RigsAsked
from tapewright.words.blocks import Table
from tapewright.words.columns import rounded
from tapewright.words.units import Units

STOPPED = "STOP: correct the rig sheet first"


@click.command()
@click.option(
    "--find", default="", metavar="TEXT", help="Only rigs whose name holds this; accents aside."
)
@click.option(
    "--limit",
    default=1000,
    show_default=True,
    type=click.IntRange(1, 1_000_000),
    help="How many at most.",
)
@click.option("--after", default="", metavar="ID", help="Those that follow this rig in the list.")
@with_options(NOTEBOOK, METRIC, JSON)
def rigs(
    find: str, limit: int, after: str, notebook: str | None, metric: bool, as_json: bool
) -> None:
    """List the rigs in the notebook by name.

    Each with how far it is trusted, when it was shot last, and what is next. If there are more
    than the limit, the last line (in JSON: next_after) says how to go on.
    """
    units, asked = units_of(metric=metric), RigsAsked(find, after, limit=limit)
    with opened(notebook) as kept:
        page, listed = list_rigs(kept, asked)
    if as_json:
        written = {
            "schema": "tapewright.rigs/1",
            "rigs": [_row(one, units) for one in listed],
            "next_after": page.after,
        }
        click.echo(json.dumps(written, indent=1, ensure_ascii=False))
        return
    if not listed:
        nobody = "No rig is kept yet. Try tapewright import RIG.toml, or tapewright serve."
        click.echo("No rig is found." if find or after else nobody)
        return
    key = f"trusted_distance_{units.distance}"
    lines = tuple(
        (
            f"{one.name} ({one.apart})" if one.apart else one.name,
            _whole(row[key]),
            row["shot_on"] or "never",
            str(row["arrows"]),
            row["next"],
        )
        for one, row in ((one, _row(one, units)) for one in listed)
    )
    for one in listed:
        for line in one.stops:
            click.echo(f"{one.name}: {line}")
    heads = ("rig", f"trusted {units.distance}", "shot last", "arrows", "next")
    show((Table("Rigs", heads, lines),))
    if page.after is not None:
        click.echo(f"{found_words(page, asked)}. More: --after {page.after}, or --find TEXT")


def _whole(distance: float | None) -> str:
    return f"{distance:.0f}" if distance else "–"


def _row(rig: Listed, units: Units) -> dict[str, Any]:
    """A rig of the list, ready for JSON."""
    found, far_m = rig.calibration, rig.trusted_m
    trusted = rounded(far_m, units.distance)
    return {
        "id": rig.entry.id,
        "name": rig.name,
        "version": rig.entry.number,
        "stop": list(rig.stops),
        f"trusted_distance_{units.distance}": trusted,
        "shot_on": rig.shot_on or None,
        "arrows": found.arrows if found else 0,
        "next": STOPPED if rig.stops else found.next_shot if found else "",
    }
