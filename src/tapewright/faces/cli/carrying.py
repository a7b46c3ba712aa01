"""Carrying: the commands for what goes out into the field: pocket.

Heavy imports stand inside the commands, so that help and mistakes answer at once.

Holds:  pocket.
Never:  formulas, sentences that another face needs too.
"""

# ruff: noqa: PLC0415 — see above; and click hands flags over by name
from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

import click

from tapewright.faces.cli.asking import (
    calibrated,
    load_rig_and_shots,
    say_json,
    units_of,
    warn,
    write_files,
)
from tapewright.faces.cli.options import (
    BAND,
    FILE,
    JSON,
    METRIC,
    RIG,
    SEED,
    SHOTS,
    with_options,
)

if TYPE_CHECKING:
    from pathlib import Path

    from tapewright.services.pocket import PocketCard
    from tapewright.words.units import Units


@click.command()
@with_options(RIG, SHOTS)
@click.option(
    "--out", type=FILE, default=None, metavar="CARD.html", help="Where to write; default: the rig."
)
@with_options(METRIC, BAND, SEED, JSON)
def pocket(
    rig_file: Path,
    shots_file: Path | None,
    out: Path | None,
    metric: bool,
    band: float,
    seed: int,
    as_json: bool,
) -> None:
    """Write a card for your phone: marks for any slope and weather, without a signal.

    One file that loads nothing from anywhere: send it to the phone once and open it there. It
    shows the reading, the tape mark to dial instead, the band and the hold window for distance,
    slope, temperature and pin. A list of marks stands in it too, for a phone that runs no
    scripts.
    """
    from tapewright.faces.pocket.card import LISTED_M, pocket_page
    from tapewright.services.pocket import make_pocket_card
    from tapewright.words.answer import trust_words

    rig, observations, warnings = load_rig_and_shots(rig_file, shots_file)
    warn(warnings)
    units = units_of(metric=metric)
    answer = calibrated(rig, observations, (LISTED_M[0],), units.distance, (seed, band))
    card = make_pocket_card(answer, LISTED_M)
    today = dt.datetime.now().astimezone().date().isoformat()
    page = pocket_page(card, units, today).encode()
    stem = out or rig_file.with_name(f"{rig_file.stem}-pocket")
    (path,) = write_files(stem, ((".html", page),))
    if as_json:
        say_json(_pocket_json(card, units, path, len(page)))
        return
    click.echo(trust_words(answer, units))
    click.echo(f"Wrote {path} ({len(page) / 1000:.0f} kB). {_worth(card, units)}")


def _worth(card: PocketCard, units: Units) -> str:
    """How far the card goes and how near it comes."""
    from tapewright.words.units import amount

    return (
        f"To {amount(card.table.farthest_m, units.distance)} and 60° up and down, its readings "
        f"are within {max(1e3 * card.table.error_m, 0.001):.3f} mm of the program's own."
    )


def _pocket_json(card: PocketCard, units: Units, path: Path, size: int) -> dict[str, Any]:
    from tapewright.words.json_head import trust_json
    from tapewright.words.quantities import in_unit

    table, unit = card.table, units.distance
    return {
        "schema": "tapewright.pocket/1",
        "rig": card.answer.rig.name,
        "fingerprint": card.answer.fingerprint,
        "file": str(path),
        "bytes": size,
        f"farthest_{unit}": round(in_unit(table.farthest_m, unit), 3),
        f"turning_distance_{unit}": round(in_unit(card.turning_m, unit), 3),
        "worst_difference_mm": round(1e3 * table.error_m, 6),
        "places_compared": table.checked,
        "pins": [
            {
                "pin": number,
                **trust_json(card.answer, unit, number),
                "below_first_mm": round(1e3 * pin.below_m, 3),
            }
            for number, pin in enumerate(card.pins, 1)
        ],
    }
