"""Card: a range card as tables and sentences.

Holds:  what ``card`` shows.
Never:  computations, how a face draws it; the card on paper (wording_card.py).
"""

from tapewright.faces.wording_card import (
    card_cautions,
    card_notes,
    card_table,
    close_words,
    trust_line,
)
from tapewright.faces.wording_outdoors import bare_distance, field_units
from tapewright.services.make_card import RangeCard, Spread
from tapewright.words.blocks import Blocks, Mind, Table
from tapewright.words.quantities import in_unit
from tapewright.words.units import Units


def card_blocks(card: RangeCard, units: Units) -> Blocks:
    """A range card: marks and windows, the flight, close marks."""
    pin = f", pin {card.order.pin}" if len(card.answer.trusted_m) > 1 else ""
    close = close_words(card, units)
    return (
        f"{card.answer.rig.name}{pin}: {trust_line(card, units)}\n",
        _marks_table(card, units),
        _flight_table(card, units),
        *([f"Close marks: {'; '.join(close)}."] if close else []),
        *card_notes(card, units),
        *map(Mind, card_cautions(card, units)),
    )


def _marks_table(card: RangeCard, units: Units) -> Table:
    paper = card_table(card, units)
    front = paper.columns(tuple(range(paper.front)))
    heads = tuple(f"{name} {unit}".strip() for name, unit in front.heads)
    return Table("Marks, and how far each serves", heads, front.rows, front.faint)


def _flight_table(card: RangeCard, units: Units) -> Table:
    field, flight, miss = field_units(units), card.flight, units.miss
    per_speed, per_miss = 1.0 / in_unit(1.0, units.speed), 1.0 / in_unit(1.0, miss)
    rows = tuple(
        (
            bare_distance(distance, units),
            _banded(flight.time_s, place, 1.0, 3),
            _banded(flight.speed_mps, place, per_speed, 1),
            _banded(flight.energy_j, place, field.energy_j, 1),
            _banded(flight.momentum_n_s, place, field.momentum_n_s, 3),
            _banded(flight.drift_m, place, per_miss / field.wind_mps, 2),
        )
        for place, distance in enumerate(card.marks.distance_m)
    )
    heads = (units.distance, "time s", f"speed {units.speed}", f"energy {field.energy}",
             f"momentum {field.momentum}", f"drift {miss} per {field.wind}")  # fmt: skip
    return Table("Flight: at the target", heads, rows)


def _banded(spread: Spread, place: int, per: float, decimals: int) -> str:
    half = 0.5 * (spread.high[place] - spread.low[place]) / per
    return f"{spread.middle[place] / per:.{decimals}f} ±{half:.{decimals}f}"
