"""Withheld: how the program says that something is withheld, and why.

Holds:  the answer in the form that was asked for.
Never:  when something is withheld (services/stops.py).
"""

import json

import click

from tapewright.ground.errors import Withheld

IS_JSON = "tapewright.json"  # what a command remembers


def withhold(context: click.Context, refused: Withheld) -> None:
    """Say that something is withheld, and why, in the form that was asked for."""
    from tapewright.words.stops import UNTIL, refused_words, withheld_json  # noqa: PLC0415 — help answers at once

    if context.meta.get(IS_JSON):
        written = {"schema": "tapewright.withheld/1"} | withheld_json(refused)
        click.echo(json.dumps(written, indent=1, ensure_ascii=False))
    told = f"{UNTIL}." if refused.stops else refused_words(refused)  # the stops are told already
    click.echo(f"tapewright: {told}", err=True)
