"""Pocket: write a card for your phone: marks for any slope and weather, without a signal.

Holds:  the command pocket; what is told of the card written.
Never:  the card itself (faces/pocket), computations.
"""

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli import standard_streams
from tapewright.faces.cli.input_files import calibrated, load_rig_and_shots, units_of
from tapewright.faces.cli.shared_options import FORCE, MORE, RIG, SHOTS, WISHES, with_options
from tapewright.faces.cli.standard_streams import file_beside, say, write_files
from tapewright.faces.cli.terminal_output import say_json
from tapewright.faces.offline_pack import carried_json
from tapewright.faces.pocket.page import LISTED_M, pocket_page
from tapewright.faces.settings import today
from tapewright.ground.units import UNITS
from tapewright.services.carry import carry
from tapewright.services.pocket import PocketCard, make_pocket_card
from tapewright.words.quantity_parser import in_unit
from tapewright.words.trust_sentences import trust_json, trust_words
from tapewright.words.unit_system import Units, amount


@click.command()
@with_options(RIG, SHOTS)
@click.option(
    "--out", type=standard_streams.OUT, default=None, metavar="CARD.html",
    help="Where to write; default: the rig; - is standard output.",
)  # fmt: skip
@with_options(FORCE, *(one for one in WISHES if one is not MORE))
def pocket(rig_file: Path, shots_file: Path | None, **typed: Any) -> None:  # noqa: ANN401 — options, read by name
    """Write a card for your phone: marks for any slope and weather, without a signal.

    One file that loads nothing from anywhere: send it to the phone once and open it there. It
    shows the reading, the tape mark to dial instead, the band and the hold window for distance,
    slope, temperature and pin. A list of marks stands in it too, for a phone that runs no
    scripts.
    """
    rig, observations = load_rig_and_shots(rig_file, shots_file)
    units = units_of(metric=typed["metric"])
    answer = calibrated(rig, observations, (LISTED_M[0],), units.distance, typed)
    card = make_pocket_card(answer, LISTED_M)
    pack = carried_json(carry(answer, UNITS[units.distance].factor), units, datetime.now(UTC))
    page = pocket_page(card, units, today(), pack).encode()
    stem = typed["out"] or file_beside(rig_file, "-pocket")
    written = write_files(stem, ((".html", page),))
    if typed["as_json"]:
        say_json(_pocket_json(card, units, written[0], len(page)))
        return
    far = amount(card.table.farthest_m, units.distance)
    near = f"{max(1e3 * card.table.error_m, 0.001):.3f} mm of the program's own"
    say(trust_words(answer, units))
    for path in written:
        say(f"Wrote {path} ({len(page) / 1000:.0f} kB). ", end=False)
    say(f"To {far} and 60° up and down, its readings are within {near}.")


def _pocket_json(card: PocketCard, units: Units, path: Path, size: int) -> dict[str, Any]:
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
