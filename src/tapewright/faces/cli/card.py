"""Outdoors: the commands for the field: range card, slopes, weather, wind.

Heavy imports stand inside the commands, so that help and mistakes answer at once.

Holds:  card, slopes, weather, wind.
Never:  changes and budgets (changing.py), how options are read and answered (errands).
"""

# ruff: noqa: PLC0415 — see above
from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

import click

from tapewright.faces.cli.asking import (
    ask_question,
    say_json,
    write_files,
)
from tapewright.faces.cli.options import (
    BAND,
    FILE,
    JSON,
    METRIC,
    OUT,
    PAPER,
    RIG,
    SEED,
    SHOTS,
    with_options,
)

if TYPE_CHECKING:
    from pathlib import Path

    from tapewright.services.make_card import RangeCard
    from tapewright.words.units import Units

DISTANCES = click.option(
    "--distances", default=None, metavar="LIST", help='Such as "20:80:10yd" or "18,30 m".'
)
PIN = click.option(
    "--pin",
    default=1,
    show_default=True,
    type=click.IntRange(1, 9),
    callback=lambda _context, _option, pin: str(pin),  # as any face says it
    help="Which pin is aimed with, 1 the top one.",
)
WISH = ("metric", "band", "seed", "as_json")


def parted(said: dict[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """What is asked, and how the answer is wanted."""
    wish = {name: said.pop(name) for name in WISH if name in said}
    return said, wish


@click.command()
@with_options(RIG, SHOTS, DISTANCES)
@click.option(
    "--radius",
    default=None,
    help='The miss that is still good, such as "3 in"; default: the rig sheet\'s tolerance.',
)
@PIN
@click.option(
    "--csv", "csv_file", type=FILE, default=None, help="Write the card as CSV into this file, too."
)
@click.option(
    "--print",
    "sizes",
    multiple=True,
    type=click.Choice(["pocket", "page"]),
    help="Print it: a pocket card to fold, a full page, or both.",
)
@click.option(
    "--format",
    "formats",
    multiple=True,
    type=click.Choice(["pdf", "svg"]),
    help="Of the print; may be given several times. Default: pdf.",
)
@with_options(PAPER, OUT, METRIC, BAND, SEED, JSON)
def card(
    rig_file: Path,
    shots_file: Path | None,
    csv_file: Path | None,
    sizes: tuple[str, ...],
    formats: tuple[str, ...],
    paper: str,
    out: Path | None,
    as_json: bool,
    **said: Any,  # noqa: ANN401 — what is asked and wanted, handed on by name
) -> None:
    """Range card: what the arrow does at each distance, on the level and in calm air.

    Mark with its band, time of flight, speed, energy, momentum, drift in a crosswind; from which
    to which distance one mark serves, how wrong a distance may be, and the close marks.
    """
    from tapewright.faces.cli.tables import show
    from tapewright.questions.card import QUESTION as CARD
    from tapewright.services.stops import refuse_stopped

    said, wish = parted(said)
    made, units = ask_question(CARD, (rig_file, shots_file), said, **wish)
    if csv_file is not None or sizes or formats or out:
        refuse_stopped(made.answer.rig)
    written = [] if csv_file is None else _write_csv(made, units, csv_file)
    if sizes or formats or out:
        stem = out or rig_file.with_name(f"{rig_file.stem}-card")
        written += _print(made, units, (paper, sizes, formats), stem)
    if as_json:
        found = CARD.write(made, units) | {"files": [str(path) for path in written]}
        say_json(found)
        return
    show(CARD.tell(made, units))
    for path in written:
        click.echo(f"Wrote {path}")


def _write_csv(made: RangeCard, units: Units, path: Path) -> list[Path]:
    from tapewright.faces.card_json import card_csv

    return write_files(path, ((".csv", card_csv(made, units).encode()),), "--csv")


def _print(
    made: RangeCard, units: Units, look: tuple[str, tuple[str, ...], tuple[str, ...]], stem: Path
) -> list[Path]:
    """The card on paper, in both sizes unless one was asked for."""
    from tapewright.faces.wording_card import card_table, card_words
    from tapewright.services.make_card import print_card

    paper, sizes, formats = look
    today = dt.datetime.now().astimezone().date().isoformat()
    drawn = print_card(
        made, card_table(made, units), card_words(made, units, today),
        "Letter" if paper == "Letter" else "A4", sizes or ("page", "pocket"), formats or ("pdf",),
    )  # fmt: skip
    return write_files(stem, drawn)
