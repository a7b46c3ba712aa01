"""Answer JSON: a calibration as other programs read it.

Holds:  the keys of ``fit --json``, units in their names; those of fixed pins.
Never:  sentences made here, computations.
"""

from typing import Any

from tapewright.services.calibrate import Answer, Bands
from tapewright.services.look_up_marks import FixedPin
from tapewright.words.answer import caution_words, estimate_unit
from tapewright.words.json_head import head_json, rounded, trust_json
from tapewright.words.units import DECIMALS, Units

SCHEMA = "tapewright.calibration/1"


def marks_json(found: Bands, units: Units) -> list[dict[str, float | None]]:
    """Marks with their bands, one dictionary for each distance."""
    mm, miss = units.reading, units.miss
    rows = zip(
        found.distance_m,
        found.reading_m,
        found.low_m,
        found.high_m,
        found.impact_low_m,
        found.impact_high_m,
        strict=True,
    )
    return [
        {
            f"distance_{units.distance}": rounded(distance, units.distance, 4),
            f"reading_{mm}": rounded(reading, mm, 4),
            f"low_{mm}": rounded(low, mm, 4),
            f"high_{mm}": rounded(high, mm, 4),
            f"impact_low_{miss}": rounded(impact_low, miss, 3),
            f"impact_high_{miss}": rounded(impact_high, miss, 3),
        }
        for distance, reading, low, high, impact_low, impact_high in rows
    ]


def _unknowns(answer: Answer, units: Units) -> dict[str, dict[str, float | str | None]]:
    table: dict[str, dict[str, float | str | None]] = {}
    for one in answer.estimates:
        unit = estimate_unit(one, units)
        places = DECIMALS[unit] + 2
        table[one.name] = {
            "median": rounded(one.median, unit, places),
            "low": rounded(one.low, unit, places),
            "high": rounded(one.high, unit, places),
            "unit": unit,
        }
    return table


def answer_json(
    answer: Answer, units: Units, further_pins: tuple[Bands, ...] = ()
) -> dict[str, Any]:
    """A calibration as a dictionary ready for JSON."""
    estimates = {one.name: one for one in answer.estimates}
    spread = [estimates[f"dispersion_{axis}"].median for axis in ("up", "right")]
    miss = units.miss
    posterior = answer.posterior
    written: dict[str, Any] = {
        **head_json(SCHEMA, answer),
        "unknowns": _unknowns(answer, units),
        "dispersion_mrad": rounded((0.5 * (spread[0] ** 2 + spread[1] ** 2)) ** 0.5, "mrad", 4),
        "wobble_mrad": rounded(estimates["wobble"].median, "mrad", 4),
        "effective_draws": round(posterior.effective_draws),
        "tail_shape": rounded(posterior.tail_shape, "", 3),
        "method": posterior.method,
        **trust_json(answer, units.distance),
        "groups": [
            {
                "group": one.name,
                f"miss_up_{miss}": rounded(one.miss_up_m, miss, 3),
                f"miss_right_{miss}": rounded(one.miss_right_m, miss, 3),
                "surprise": round(one.surprise, 3),
            }
            for one in answer.groups
        ],
        "marks": marks_json(answer.bands, units),
        "cautions": [caution_words(one, answer, units) for one in answer.cautions],
    }
    if further_pins:
        written["pins"] = [
            {
                "pin": pin,
                **trust_json(answer, units.distance, pin),
                "marks": marks_json(found, units),
            }
            for pin, found in enumerate(further_pins, 2)
        ]
    return written


def fixed_pins_json(fixed: tuple[FixedPin, ...], units: Units) -> dict[str, Any]:
    """Places of fixed pins as a dictionary ready for JSON; empty for none."""
    if not fixed:
        return {}
    rows = [
        {
            f"distance_{units.distance}": rounded(one.distance_m, units.distance, 4),
            "below_first_mm": rounded(one.below_m, "mm", 3),
            "low_mm": rounded(one.low_m, "mm", 3),
            "high_mm": rounded(one.high_m, "mm", 3),
        }
        for one in fixed
    ]
    return {"fixed_pins": rows}
