"""Outdoors JSON: slopes, weather and wind as other programs read them.

Holds:  the keys of these answers, units in their names.
Never:  sentences made here, computations; cards, changes, budgets (their own files).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from tapewright.faces.json_pieces import Row, head_json, rounded
from tapewright.faces.wording_outdoors import (
    slope_cautions,
    slope_notes,
    weather_cautions,
    weather_words,
    wind_cautions,
    wind_words,
)

if TYPE_CHECKING:
    from tapewright.services.meet_weather import Blown, Weather
    from tapewright.services.table_slopes import Slopes
    from tapewright.words.units import Units

SLOPES_SCHEMA = "tapewright.slopes/1"
WEATHER_SCHEMA = "tapewright.weather/1"
WIND_SCHEMA = "tapewright.wind/1"


def slopes_json(found: Slopes, units: Units) -> Row:
    """Marks on slopes as a dictionary ready for JSON."""
    unit, miss, table, rule = units.distance, units.miss, found.table, found.rule
    return head_json(SLOPES_SCHEMA, found.answer) | {
        "pin": found.pin,
        "slopes": [
            {
                "slope_deg": round(float(np.degrees(slope)), 4),
                "marks": [
                    {
                        f"distance_{unit}": rounded(distance, unit, 4),
                        "reading_mm": rounded(table.reading_m[row, column], "mm"),
                        f"dial_{unit}": rounded(table.dial_m[row, column], unit, 2),
                        f"horizontal_{unit}": rounded(rule.dial_m[row, column], unit, 2),
                        f"horizontal_miss_{miss}": rounded(rule.miss_m[row, column], miss),
                        f"uncorrected_miss_{miss}": rounded(rule.uncorrected_m[row, column], miss),
                    }
                    for column, distance in enumerate(table.distance_m)
                ],
            }
            for row, slope in enumerate(table.slope_rad)
        ],
        "cautions": [*slope_notes(found, units), *slope_cautions(found.answer, units)],
    }


def weather_json(found: Weather, units: Units) -> Row:
    """Marks at home and away as a dictionary ready for JSON."""
    unit, marks, air = units.distance, found.marks, found.air
    return head_json(WEATHER_SCHEMA, found.answer) | {
        "pin": found.pin,
        "air": {
            "temperature_c": rounded(air.temperature_k, "°C", 2),
            "pressure_hpa": rounded(air.pressure_pa, "hPa", 2),
            "humidity_percent": round(100.0 * air.relative_humidity, 1),
            "density_ratio": round(marks.density_ratio, 5),
        },
        "warmer_c": round(found.warmer_k, 2) + 0.0,
        "near_arrow_first": found.is_far,
        "marks": [
            {
                f"distance_{unit}": rounded(distance, unit, 4),
                "home_mm": rounded(marks.home_m[place], "mm"),
                "away_mm": rounded(marks.away_m[place], "mm"),
                "away_low_mm": rounded(marks.away_low_m[place], "mm"),
                "away_high_mm": rounded(marks.away_high_m[place], "mm"),
                f"miss_{units.miss}": rounded(marks.miss_m[place], units.miss),
            }
            for place, distance in enumerate(marks.distance_m)
        ],
        "cautions": [*weather_words(found, units), *weather_cautions(found, units)],
    }


def wind_json(found: Blown, units: Units, spot_m: float, butt_width_m: float) -> Row:
    """What a wind does as a dictionary ready for JSON."""
    unit, miss, misses = units.distance, units.miss, found.misses
    stays = found.stays_on(butt_width_m)
    return head_json(WIND_SCHEMA, found.answer) | {
        "cross_mps": round(found.cross_mps, 4),
        "head_mps": round(found.head_mps, 4),
        f"spot_{miss}": rounded(spot_m, miss),
        f"butt_width_{miss}": rounded(butt_width_m, miss),
        "misses": [
            {
                f"distance_{unit}": rounded(distance, unit, 4),
                f"right_{miss}": rounded(misses.right_m[place], miss),
                f"right_low_{miss}": rounded(misses.right_low_m[place], miss),
                f"right_high_{miss}": rounded(misses.right_high_m[place], miss),
                f"hold_off_right_{miss}": rounded(-misses.right_m[place], miss),
                "hold_off_right_spots": round(float(-misses.right_m[place]) / spot_m, 3) + 0.0,
                f"up_{miss}": rounded(misses.up_m[place], miss),
                "reading_change_mm": rounded(misses.reading_m[place], "mm"),
                "stays_on_butt": bool(stays[place]),
            }
            for place, distance in enumerate(misses.distance_m)
        ],
        "cautions": [*wind_words(found, units), *wind_cautions(found, units, butt_width_m)],
    }
