"""Card JSON: range cards as other programs read them, and two of them side by side.

Holds:  the keys of a card and of a comparison, units in their names; a card's rows as CSV.
Never:  sentences made here, computations.
"""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from tapewright.faces.wording_card import card_cautions
from tapewright.faces.wording_outdoors import field_units
from tapewright.words.columns import records
from tapewright.words.json_head import Row, head_json, rounded, trust_json
from tapewright.words.marks import MARKS
from tapewright.words.quantities import in_unit

if TYPE_CHECKING:
    from tapewright.services.compare_rigs import Comparison
    from tapewright.services.make_card import RangeCard, Spread
    from tapewright.words.units import Units

CARD_SCHEMA = "tapewright.card/1"
COMPARE_SCHEMA = "tapewright.compare/1"


def _spread(name: str, spread: Spread, place: int, factor: float, decimals: int) -> Row:
    """Median and ends of a band, name_unit, name_low_unit, name_high_unit."""
    word, unit = name.split("|")
    ends = (("", spread.middle), ("_low", spread.low), ("_high", spread.high))
    return {
        f"{word}{which}_{unit}": round(float(values[place]) / factor, decimals)
        for which, values in ends
    }


def _card_rows(card: RangeCard, units: Units) -> list[Row]:
    unit, miss, field = units.distance, units.miss, field_units(units)
    flight = card.flight
    speed = "ftps" if units.speed == "ft/s" else "mps"
    energy, momentum = ("ftlbf", "slugftps") if unit == "yd" else ("j", "kgmps")
    wind = "mph" if unit == "yd" else "mps"
    per_speed, per_miss = 1.0 / in_unit(1.0, units.speed), 1.0 / in_unit(1.0, miss)
    rows = []
    for place, mark in enumerate(records(MARKS, card.marks, units)):
        rows.append(
            mark
            | _spread("time|s", flight.time_s, place, 1.0, 4)
            | _spread(f"speed|{speed}", flight.speed_mps, place, per_speed, 2)
            | _spread(f"energy|{energy}", flight.energy_j, place, field.energy_j, 3)
            | _spread(f"momentum|{momentum}", flight.momentum_n_s, place, field.momentum_n_s, 5)
            | _spread(f"drift|{miss}_per_{wind}", flight.drift_m, place,
                      per_miss / field.wind_mps, 4)
            | {
                f"from_{unit}": rounded(flight.hold_near_m[place], unit, 2),
                f"to_{unit}": rounded(flight.hold_far_m[place], unit, 2),
                f"nearer_{unit}": rounded(flight.early_m[place], unit, 2),
                f"farther_{unit}": rounded(flight.late_m[place], unit, 2),
                f"same_mark_{unit}": rounded(flight.twin_m[place], unit, 2),
            }
        )  # fmt: skip
    return rows


def card_json(card: RangeCard, units: Units) -> Row:
    """A range card as a dictionary ready for JSON."""
    unit = units.distance
    close = records(MARKS, card.close, units)
    return head_json(CARD_SCHEMA, card.answer) | {
        "pin": card.order.pin,
        f"radius_{units.miss}": rounded(card.order.radius_m, units.miss),
        f"turning_distance_{unit}": rounded(card.flight.turning_m, unit, 2),
        **trust_json(card.answer, unit, card.order.pin),
        "card": _card_rows(card, units),
        "close": [
            row | {f"same_mark_{unit}": rounded(twin, unit, 2)}
            for row, twin in zip(close, card.close_twin_m, strict=True)
        ],
        "cautions": list(card_cautions(card, units)),
    }


def card_csv(card: RangeCard, units: Units) -> str:
    """A range card as CSV: a header, then a distance a row."""
    rows = _card_rows(card, units)
    text = io.StringIO()
    writer = csv.DictWriter(text, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def compare_json(found: Comparison, units: Units) -> Row:
    """Two rigs as a dictionary ready for JSON."""
    return {"schema": COMPARE_SCHEMA, "rigs": [card_json(card, units) for card in found.cards]}
