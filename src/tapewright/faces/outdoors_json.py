"""Outdoors JSON: cards, slopes, weather, wind, changes and budgets as other programs read them.

Holds:  the keys of these answers, units in their names; the rows of a card as CSV.
Never:  sentences made here, computations.
"""

from __future__ import annotations

import csv
import io
from math import isfinite
from typing import TYPE_CHECKING, Any

import numpy as np

from tapewright.faces.answer_json import marks_json
from tapewright.faces.quantities import in_unit
from tapewright.faces.wording import Units, caution_words
from tapewright.faces.wording_outdoors import (
    budget_words,
    card_cautions,
    change_cautions,
    field_units,
    slope_notes,
    weather_words,
    wind_words,
)

if TYPE_CHECKING:
    from tapewright.services.calibrate import Answer
    from tapewright.services.change_rig import ChangedRig
    from tapewright.services.compare_rigs import Comparison
    from tapewright.services.make_card import RangeCard, Spread
    from tapewright.services.meet_weather import Blown, Weather
    from tapewright.services.table_slopes import Slopes
    from tapewright.services.weigh_errors import Budget

Row = dict[str, Any]

CARD_SCHEMA = "tapewright.card/1"
SLOPES_SCHEMA = "tapewright.slopes/1"
WEATHER_SCHEMA = "tapewright.weather/1"
WIND_SCHEMA = "tapewright.wind/1"
CHANGE_SCHEMA = "tapewright.change/1"
COMPARE_SCHEMA = "tapewright.compare/1"
BUDGET_SCHEMA = "tapewright.budget/1"


def _number(value: float, unit: str, decimals: int = 3) -> float | None:
    if not isfinite(value):
        return None
    return round(in_unit(float(value), unit) if unit else float(value), decimals) + 0.0


def _head(schema: str, answer: Answer) -> Row:
    return {
        "schema": schema,
        "rig": answer.rig.name,
        "fingerprint": answer.fingerprint,
        "band": answer.bands.probability,
    }


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
    for place, mark in enumerate(marks_json(card.marks, units)):
        rows.append(
            mark
            | _spread("time|s", flight.time_s, place, 1.0, 4)
            | _spread(f"speed|{speed}", flight.speed_mps, place, per_speed, 2)
            | _spread(f"energy|{energy}", flight.energy_j, place, field.energy_j, 3)
            | _spread(f"momentum|{momentum}", flight.momentum_n_s, place, field.momentum_n_s, 5)
            | _spread(f"drift|{miss}_per_{wind}", flight.drift_m, place,
                      per_miss / field.wind_mps, 4)
            | {
                f"from_{unit}": _number(flight.hold_near_m[place], unit, 2),
                f"to_{unit}": _number(flight.hold_far_m[place], unit, 2),
                f"nearer_{unit}": _number(flight.early_m[place], unit, 2),
                f"farther_{unit}": _number(flight.late_m[place], unit, 2),
                f"same_mark_{unit}": _number(flight.twin_m[place], unit, 2),
            }
        )  # fmt: skip
    return rows


def card_json(card: RangeCard, units: Units) -> Row:
    """A range card as a dictionary ready for JSON.

    Parameters
    ----------
    card : RangeCard
        The card.
    units : Units
        What the reader wants; the keys say which.

    Returns
    -------
    dict
        Keys as documented in docs/command-line.md.
    """
    unit = units.distance
    close = marks_json(card.close, units)
    return _head(CARD_SCHEMA, card.answer) | {
        "pin": card.order.pin,
        f"radius_{units.miss}": _number(card.order.radius_m, units.miss),
        f"turning_distance_{unit}": _number(card.flight.turning_m, unit, 2),
        f"trusted_distance_{unit}": _number(card.trusted_m, unit),
        "card": _card_rows(card, units),
        "close": [
            row | {f"same_mark_{unit}": _number(twin, unit, 2)}
            for row, twin in zip(close, card.close_twin_m, strict=True)
        ],
        "cautions": list(card_cautions(card, units)),
    }


def card_csv(card: RangeCard, units: Units) -> str:
    """A range card as CSV: a header, then a distance a row.

    Parameters
    ----------
    card : RangeCard
        The card.
    units : Units
        What the reader wants; the header says which.

    Returns
    -------
    str
        The file; the columns are the keys of the JSON.
    """
    rows = _card_rows(card, units)
    text = io.StringIO()
    writer = csv.DictWriter(text, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def slopes_json(found: Slopes, units: Units) -> Row:
    """Marks on slopes as a dictionary ready for JSON.

    Parameters
    ----------
    found : Slopes
        The table.
    units : Units
        What the reader wants; the keys say which.

    Returns
    -------
    dict
        Keys as documented in docs/command-line.md.
    """
    unit, miss, table, rule = units.distance, units.miss, found.table, found.rule
    return _head(SLOPES_SCHEMA, found.answer) | {
        "pin": found.pin,
        "slopes": [
            {
                "slope_deg": round(float(np.degrees(slope)), 4),
                "marks": [
                    {
                        f"distance_{unit}": _number(distance, unit, 4),
                        "reading_mm": _number(table.reading_m[row, column], "mm"),
                        f"dial_{unit}": _number(table.dial_m[row, column], unit, 2),
                        f"horizontal_{unit}": _number(rule.dial_m[row, column], unit, 2),
                        f"horizontal_miss_{miss}": _number(rule.miss_m[row, column], miss),
                        f"uncorrected_miss_{miss}": _number(rule.uncorrected_m[row, column], miss),
                    }
                    for column, distance in enumerate(table.distance_m)
                ],
            }
            for row, slope in enumerate(table.slope_rad)
        ],
        "cautions": list(slope_notes(found, units)),
    }


def weather_json(found: Weather, units: Units) -> Row:
    """Marks at home and away as a dictionary ready for JSON.

    Parameters
    ----------
    found : Weather
        Both marks.
    units : Units
        What the reader wants; the keys say which.

    Returns
    -------
    dict
        Keys as documented in docs/command-line.md.
    """
    unit, marks, air = units.distance, found.marks, found.air
    return _head(WEATHER_SCHEMA, found.answer) | {
        "pin": found.pin,
        "air": {
            "temperature_c": _number(air.temperature_k, "°C", 2),
            "pressure_hpa": _number(air.pressure_pa, "hPa", 2),
            "humidity_percent": round(100.0 * air.relative_humidity, 1),
            "density_ratio": round(marks.density_ratio, 5),
        },
        "marks": [
            {
                f"distance_{unit}": _number(distance, unit, 4),
                "home_mm": _number(marks.home_m[place], "mm"),
                "away_mm": _number(marks.away_m[place], "mm"),
                "away_low_mm": _number(marks.away_low_m[place], "mm"),
                "away_high_mm": _number(marks.away_high_m[place], "mm"),
                f"miss_{units.miss}": _number(marks.miss_m[place], units.miss),
            }
            for place, distance in enumerate(marks.distance_m)
        ],
        "cautions": list(weather_words(found, units)),
    }


def wind_json(found: Blown, units: Units, spot_m: float) -> Row:
    """What a wind does as a dictionary ready for JSON.

    Parameters
    ----------
    found : Blown
        The wind and its misses.
    units : Units
        What the reader wants; the keys say which.
    spot_m : float
        Width of the spot aimed at. [m]

    Returns
    -------
    dict
        Keys as documented in docs/command-line.md.
    """
    unit, miss, misses = units.distance, units.miss, found.misses
    return _head(WIND_SCHEMA, found.answer) | {
        "cross_mps": round(found.cross_mps, 4),
        "head_mps": round(found.head_mps, 4),
        f"spot_{miss}": _number(spot_m, miss),
        "misses": [
            {
                f"distance_{unit}": _number(distance, unit, 4),
                f"right_{miss}": _number(misses.right_m[place], miss),
                f"right_low_{miss}": _number(misses.right_low_m[place], miss),
                f"right_high_{miss}": _number(misses.right_high_m[place], miss),
                f"hold_off_right_{miss}": _number(-misses.right_m[place], miss),
                "hold_off_right_spots": round(float(-misses.right_m[place]) / spot_m, 3) + 0.0,
                f"up_{miss}": _number(misses.up_m[place], miss),
                "reading_change_mm": _number(misses.reading_m[place], "mm"),
            }
            for place, distance in enumerate(misses.distance_m)
        ],
        "cautions": list(wind_words(found, units)),
    }


def change_json(found: ChangedRig, units: Units) -> Row:
    """A rig before and after a change as a dictionary ready for JSON.

    Parameters
    ----------
    found : ChangedRig
        Before and after.
    units : Units
        What the reader wants; the keys say which.

    Returns
    -------
    dict
        Keys as documented in docs/command-line.md.
    """
    unit = units.distance
    old, new = found.old, found.new
    return _head(CHANGE_SCHEMA, new) | {
        "old_rig": old.rig.name,
        "old_fingerprint": old.fingerprint,
        "method": new.posterior.method,
        f"old_trusted_distance_{unit}": _number(old.trusted_m[0], unit),
        f"trusted_distance_{unit}": _number(new.trusted_m[0], unit),
        "old_marks": marks_json(old.bands, units),
        "marks": marks_json(new.bands, units),
        "confirm": [
            {
                f"distance_{unit}": _number(step.distance_m, unit, 4),
                "arrows": step.arrows,
                "reading_mm": _number(reading, "mm"),
                f"trusted_distance_{unit}": _number(step.trusted_m, unit),
            }
            for step, reading in zip(found.steps, found.readings_m, strict=True)
        ],
        "confirm_arrows": sum(step.arrows for step in found.steps),
        "gets_there": found.is_restored or found.gets_there,
        "cautions": [
            *(caution_words(one, new, units) for one in new.cautions),
            *change_cautions(),
        ],
    }


def compare_json(found: Comparison, units: Units) -> Row:
    """Two rigs as a dictionary ready for JSON.

    Parameters
    ----------
    found : Comparison
        Their cards.
    units : Units
        What the reader wants; the keys say which.

    Returns
    -------
    dict
        Keys as documented in docs/command-line.md.
    """
    return {"schema": COMPARE_SCHEMA, "rigs": [card_json(card, units) for card in found.cards]}


def budget_json(found: Budget, units: Units) -> Row:
    """A miss budget as a dictionary ready for JSON.

    Parameters
    ----------
    found : Budget
        The budget.
    units : Units
        What the reader wants; the keys say which.

    Returns
    -------
    dict
        Keys as documented in docs/command-line.md.
    """
    unit, miss = units.distance, units.miss
    return _head(BUDGET_SCHEMA, found.answer) | {
        f"distance_{unit}": _number(found.distance_m, unit, 4),
        "errors": [
            {
                "error": share.name,
                f"right_{miss}": _number(share.right_m, miss),
                f"up_{miss}": _number(share.up_m, miss),
                "share": round(share.saved, 4),
            }
            for share in found.shares
        ],
        "advice": list(budget_words(found, units)),
    }
