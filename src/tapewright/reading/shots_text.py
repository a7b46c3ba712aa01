"""Shots text: observations become the text of a file of shots again.

Holds:  rows, and which columns are needed.
Never:  reading (shots.py), files.
"""

import csv
import io
from collections.abc import Sequence

from tapewright.services.record_groups import Impact, Observation
from tapewright.words.quantities import in_unit
from tapewright.words.units import Units


def shots_text(observations: Sequence[Observation], units: Units) -> str:
    """Groups as the text of a file of shots, one arrow a row."""
    rows = [_row(one, impact, units) for one in observations for impact in one.group.impacts]
    always = {"group", f"distance_{units.distance}", "reading_mm"}
    always |= {f"right_{units.miss}", f"up_{units.miss}"}
    heads = [head for head in rows[0] if head in always or any(row[head] for row in rows)]
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(heads)
    writer.writerows([row[head] for head in heads] for row in rows)
    return text.getvalue()


def _digits(value: float | None, unit: str) -> str:
    return "" if value is None else f"{in_unit(value, unit):.10g}"


def _row(one: Observation, impact: Impact, units: Units) -> dict[str, str]:
    """Cells of one arrow by column; empty where the usual holds."""
    air = one.air
    temperature_k, pressure_pa = (
        (None, None) if air is None else (air.temperature_k, air.pressure_pa)
    )
    return {
        "group": one.group.name,
        f"distance_{units.distance}": _digits(one.distance_m, units.distance),
        "reading_mm": _digits(one.reading_m, "mm"),
        f"right_{units.miss}": _digits(impact.right_m, units.miss),
        f"up_{units.miss}": _digits(impact.up_m, units.miss),
        "pin": str(one.pin) if one.pin > 1 else "",
        "slope_deg": _digits(one.slope_rad, "deg") if one.slope_rad else "",
        "temperature_c": _digits(temperature_k, "°C"),
        "pressure_hpa": _digits(pressure_pa, "hPa"),
        "crosswind_mps": _digits(one.crosswind_mps, "m/s") if one.crosswind_mps else "",
        "arrows": str(impact.arrows) if impact.arrows > 1 else "",
        "note": "bad" if impact.called_bad else "",
    }
