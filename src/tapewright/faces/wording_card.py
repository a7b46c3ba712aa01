"""Wording of cards: what a range card says, on a screen and on paper.

Holds:  heads, cells and sentences of a card.
Never:  layout, computations, other outings (wording_outdoors.py).
"""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING

from tapewright import __version__
from tapewright.faces.wording_outdoors import field_units, mark_cautions, short_distance
from tapewright.faces.wording_planning import tidy_distance
from tapewright.services.make_card import CardTable, CardWords
from tapewright.words.answer import SAFETY, trust_words
from tapewright.words.quantities import format_quantity, in_unit
from tapewright.words.units import Units, amount, round_amount

if TYPE_CHECKING:
    from tapewright.services.make_card import RangeCard

HOUSING, HUNTING = SAFETY[3], SAFETY[5]


def close_words(card: RangeCard, units: Units) -> tuple[str, ...]:
    """Each close mark and the far mark that is the same."""
    unit = units.distance
    return tuple(
        f"{in_unit(near, unit):.0f} {unit}: {in_unit(reading, 'mm'):.1f} mm"
        + (f", as {in_unit(twin, unit):.1f} {unit}" if isfinite(twin) else "")
        for near, reading, twin in zip(
            card.close.distance_m, card.close.reading_m, card.close_twin_m, strict=True
        )
    )


def card_notes(card: RangeCard, units: Units) -> tuple[str, ...]:
    """How to read a card."""
    unit, radius = units.distance, round_amount(card.order.radius_m, units.miss)
    field, percent = field_units(units), f"{100 * card.answer.bands.probability:.0f} %"
    turning = f"{in_unit(card.flight.turning_m, unit):.0f} {unit}"
    notes = [
        (
            f"± is half of the {percent} band. From and to: the nearest and farthest target that "
            f"the mark still hits within {radius}; nearer and farther: by how much the distance "
            "may be wrong before the miss exceeds that."
        ),
        (
            f"Drift is for a crosswind of 1 {field.wind}; hold off against the wind. Nearer than "
            f"{turning} marks run back."
        ),
    ]
    if unit == "yd":
        notes.append("Energy in ft·lbf with standard gravity: grains × (ft/s)² / 450,436.7.")
    return tuple(notes)


def card_cautions(card: RangeCard, units: Units) -> tuple[str, ...]:
    """What must be read before a card is used."""
    known = mark_cautions(card.answer, units)
    return (*known, SAFETY[0], SAFETY[1], HOUSING, HUNTING)


def _half(low: float, high: float) -> float:
    return 0.5 * (high - low)


def card_table(card: RangeCard, units: Units) -> CardTable:
    """Heads and cells of a card on paper."""
    unit, miss, field = units.distance, units.miss, field_units(units)
    flight, marks = card.flight, card.marks
    heads = (
        (unit, ""), ("mark", "mm"), ("±", "mm"), ("±", miss), ("from", unit), ("to", unit),
        ("nearer", unit), ("farther", unit), ("time", "s"), ("speed", units.speed),
        ("energy", field.energy), ("momentum", field.momentum),
        ("drift", f"{miss} per {field.wind}"),
    )  # fmt: skip
    rows = []
    for place, distance in enumerate(marks.distance_m):
        impact_m = _half(marks.impact_low_m[place], marks.impact_high_m[place])
        rows.append(
            (
                f"{in_unit(distance, unit):.5g}",
                f"{1e3 * marks.reading_m[place]:.1f}",
                f"{1e3 * _half(marks.low_m[place], marks.high_m[place]):.1f}",
                f"{in_unit(impact_m, miss):.1f}",
                short_distance(flight.hold_near_m[place], unit),
                short_distance(flight.hold_far_m[place], unit),
                short_distance(flight.early_m[place], unit),
                short_distance(flight.late_m[place], unit),
                f"{flight.time_s.middle[place]:.2f}",
                f"{in_unit(flight.speed_mps.middle[place], units.speed):.0f}",
                f"{flight.energy_j.middle[place] / field.energy_j:.1f}",
                f"{flight.momentum_n_s.middle[place] / field.momentum_n_s:.3f}",
                f"{in_unit(flight.drift_m.middle[place] * field.wind_mps, miss):.2f}",
            )
        )
    faint = frozenset(
        place for place, one in enumerate(marks.distance_m) if one > card.trusted_m + 1e-6
    )
    return CardTable(heads, tuple(rows), 8, faint)


def card_words(card: RangeCard, units: Units, date: str) -> CardWords:
    """The sentences of a printed card."""
    answer = card.answer
    air = answer.rig.air
    pin = f", pin {card.order.pin}" if len(answer.trusted_m) > 1 else ""
    conditions = (
        f"{format_quantity(air.temperature_k, '°C', 0)}, "
        f"{format_quantity(air.pressure_pa, 'hPa', 0)}"
    )
    trusted = (
        f"trusted to {amount(card.trusted_m, units.distance)}" if card.trusted_m else "not trusted"
    )
    grey = " Grey rows lie beyond the trusted distance." if card.trusted_m else ""
    return CardWords(
        title=f"{answer.rig.name}{pin}",
        subtitle=f"Range card, {date}",
        trust=f"Level ground, calm, {conditions}; {trusted}.{grey}",
        close=close_words(card, units),
        notes=(
            *card_notes(card, units),
            f"Calibration {answer.fingerprint}, Tapewright {__version__}",
        ),
        cautions=card_cautions(card, units),
        fold="Pocket card: cut along the frame, fold away from you along the broken line, and "
        "cover both sides with clear tape.",
    )


def trust_line(card: RangeCard, units: Units) -> str:
    """How far the card may be trusted, as a sentence."""
    answer = card.answer
    if card.order.pin == 1:
        return trust_words(answer, units)
    where = tidy_distance(card.trusted_m, units.distance) if card.trusted_m else "no distance"
    return f"Pin {card.order.pin} is trusted to {where}."
