"""Checking JSON: limits and tilts as other programs read them.

Holds:  the keys of ``limits --json`` and ``level --json``, units in their names.
Never:  sentences made here, computations.
"""

from typing import Any

from tapewright.faces.wording_checking import (
    level_cautions,
    levelling_notes,
    limit_cautions,
    mend_words,
)
from tapewright.services.calibrate import Answer
from tapewright.services.level import FoundTilts, Levelling
from tapewright.services.limits import FoundLimits, Reach
from tapewright.words.json_head import head_json, rounded
from tapewright.words.units import Units

LIMITS_SCHEMA = "tapewright.limits/1"
LEVEL_SCHEMA = "tapewright.level/1"


def _reach(reach: Reach, unit: str) -> dict[str, Any]:
    written: dict[str, Any] = {"pin": reach.pin}
    for name, ends in (("nearest", reach.nearest_m), ("farthest", reach.farthest_m)):
        for which, end in zip(("", "_low", "_high"), ends, strict=True):
            written[f"{name}{which}_{unit}"] = rounded(end, unit, 2)
    written["reaches_farther"] = reach.farthest_m[0] >= reach.looked_to_m - 1e-6
    return written


def limits_json(found: FoundLimits, units: Units) -> dict[str, Any]:
    """Limits as a dictionary ready for JSON."""
    unit = units.distance
    return {
        **head_json(LIMITS_SCHEMA, found.answer),
        "limits": [
            {
                "kind": one.kind,
                "reading_mm": rounded(one.reading_m, "mm", 3),
                "low_mm": rounded(one.low_m, "mm", 3),
                "high_mm": rounded(one.high_m, "mm", 3),
                "role": one.role,
            }
            for one in found.limits.found
        ],
        "pins": [_reach(one, unit) for one in found.reaches],
        "travel_left": [
            {
                f"distance_{unit}": rounded(distance, unit, 4),
                "pins": [
                    {
                        "pin": pin,
                        "left_mm": rounded(float(left[place]), "mm", 3),
                        "low_mm": rounded(float(low[place]), "mm", 3),
                    }
                    for pin, (left, low) in enumerate(
                        zip(found.left_m, found.left_low_m, strict=True), 1
                    )
                ],
            }
            for place, distance in enumerate(found.distance_m)
        ],
        "cautions": list(limit_cautions(found, units)),
    }


def level_json(found: FoundTilts, units: Units) -> dict[str, Any]:
    """Tilts as a dictionary ready for JSON."""
    answer, tilts, misses, test = found.answer, found.tilts, found.misses, found.test
    unit, miss = units.distance, units.miss
    columns = {
        "cant_right": misses.cant_right_m,
        "cant_up": misses.cant_up_m,
        "constant_cant_right": misses.constant_cant_right_m,
        "third_axis_uphill_right": misses.uphill_right_m,
        "third_axis_downhill_right": misses.downhill_right_m,
        "travel_axis_right": misses.travel_right_m,
        "peep": misses.peep_m,
    }
    written: dict[str, Any] = {
        **head_json(LEVEL_SCHEMA, answer),
        "cant_deg": rounded(tilts.cant_rad, "deg", 4),
        "third_axis_deg": rounded(tilts.swing_rad, "deg", 4),
        "travel_axis_deg": rounded(tilts.travel_rad, "deg", 4),
        "peep_mm": rounded(tilts.peep_m, "mm", 4),
        "slope_deg": rounded(tilts.slope_rad, "deg", 4),
        f"zeroed_{unit}": rounded(tilts.zeroed_m, unit, 4),
        "misses": [
            {f"distance_{unit}": rounded(float(distance), unit, 4)}
            | {
                f"{name}_{miss}": rounded(float(column[place]), miss, 4)
                for name, column in columns.items()
            }
            for place, distance in enumerate(misses.distance_m)
        ],
    }
    if test is not None:
        written["test"] = _test(test, answer, units)
    return written | {"cautions": list(level_cautions(tilts, test))}


def _test(test: Levelling, answer: Answer, units: Units) -> dict[str, Any]:
    miss = units.miss
    return {
        "tilts": [
            {
                "name": tilt.name,
                "angle_deg": rounded(tilt.angle_rad, "deg", 3),
                "low_deg": rounded(tilt.low_rad, "deg", 3),
                "high_deg": rounded(tilt.high_rad, "deg", 3),
                "verdict": tilt.verdict,
                f"shown_most_at_{units.distance}": rounded(tilt.at_m, units.distance, 2),
                f"costs_{miss}": rounded(tilt.miss_m, miss, 3),
                f"could_cost_{miss}": rounded(tilt.hidden_m, miss, 3),
                "mend": mend_words(tilt, answer.rig.hand),
            }
            for tilt in test.tilts
        ],
        "windage_mrad": rounded(test.windage_rad, "mrad", 4),
        "surprise": round(test.surprise, 3),
        "notes": list(levelling_notes(test)),
    }
