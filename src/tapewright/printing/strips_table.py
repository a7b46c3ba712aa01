"""Strips table: a family of strips as the table that ``strips --set`` reads, and as JSON.

Holds:  names of strips; a family to CSV text and to JSON.
Never:  reading such a table (reading/strips.py), how a family is made.
"""

from typing import Any

from tapewright.services.print_family import PlannedFamily
from tapewright.words.quantities import in_unit

SCHEMA = "tapewright.family/1"
DIGITS = 4  # of a millimetre


def strip_name(span_mm: float) -> str:
    """What a strip is called, by its span."""
    return f"span {span_mm:g} mm"


def strips_csv(plan: PlannedFamily) -> str:
    """One tick a row: strip, distance, position."""
    unit = plan.order.unit
    rows = [f"strip,distance_{unit},position_mm"]
    for span, places in zip(plan.spans_mm, plan.position_mm, strict=True):
        rows += [
            f"{strip_name(span)},{distance:g},{place + 0.0:.{DIGITS}f}"
            for distance, place in zip(plan.order.distances, places, strict=True)
        ]
    return "\n".join(rows) + "\n"


def strips_json(plan: PlannedFamily, speed_unit: str) -> dict[str, Any]:
    """The family for other programs."""
    order = plan.order
    return {
        "schema": SCHEMA,
        f"between_{order.unit}": list(order.span),
        "strips": [
            {
                "strip": strip_name(span),
                "span_mm": span,
                f"launch_speed_{speed_unit.replace('/', '_')}": round(
                    in_unit(float(speed), speed_unit), 2
                ),
                "ticks": [
                    {f"distance_{order.unit}": distance, "position_mm": round(place, DIGITS) + 0.0}
                    for distance, place in zip(order.distances, places.tolist(), strict=True)
                ],
            }
            for span, speed, places in zip(
                plan.spans_mm, plan.speed_mps, plan.position_mm, strict=True
            )
        ],
    }
