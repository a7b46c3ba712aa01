"""Shots writer: observations become the text of a file of shots, and cells of their columns.

Holds:  which columns are written, and in which order.
Never:  reading (shots_reader.py), units of columns (csv_columns.py).
"""

import csv
import io
from collections.abc import Sequence
from typing import Any

from tapewright.reading.csv_columns import MEASURES, PLAINLY_SAID
from tapewright.reading.shots_reader import SHARED
from tapewright.services.record_groups import Impact, Observation
from tapewright.words.quantity_parser import in_unit
from tapewright.words.unit_system import Units

# In the order in which they are written; the first five always.
WRITTEN = ("group", "distance", "reading", "right", "up", "pin", "slope", "temperature", "pressure",
           "crosswind", "session", "date", "windage", "windage_clicks", "distances", "scale",
           "head", "arrow", "arrows", "note")  # fmt: skip


def measured_of(one: Observation) -> dict[str, float | None]:
    """What was measured of a group, by column; an altitude is kept as its pressure."""
    kept = [word for word in SHARED if word in MEASURES and word != "altitude"]
    attributes = {word: MEASURES[word].attribute for word in kept}
    return {
        word: getattr(one if hasattr(one, attribute) else one.air, attribute, None)
        for word, attribute in attributes.items()
    }


def plainly_said_of(one: Observation) -> dict[str, Any]:
    """What was said of a group without a unit, by column."""
    return {word: getattr(one, word) for word in PLAINLY_SAID}


def shots_text(observations: Sequence[Observation], units: Units) -> str:
    """Groups as the text of a file of shots, one arrow a row; empty cells where the usual holds."""
    rows = [_cells(one, impact, units) for one in observations for impact in one.group.impacts]
    heads = [
        head for place, head in enumerate(rows[0]) if place < 5 or any(row[head] for row in rows)
    ]
    text = io.StringIO()
    writer = csv.DictWriter(text, heads, extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def _cells(one: Observation, impact: Impact, units: Units) -> dict[str, str]:
    """Cells of one arrow by column."""
    measured = measured_of(one) | {"right": impact.right_m, "up": impact.up_m}
    counted = {"pin": one.pin, "arrows": impact.arrows}
    note = "bad" if impact.called_bad else "missed" if impact.missed else "proof" * one.proved
    named = {"group": one.group.name, "arrow": impact.arrow, "note": note}
    own_units = {"distance": units.distance, "right": units.miss, "up": units.miss}
    cells = named | {word: str(count) if count > 1 else "" for word, count in counted.items()}
    cells |= {
        word: f"{said:.10g}" if isinstance(said, float) else said or ""
        for word, said in plainly_said_of(one).items()
    }
    heads = dict.fromkeys(WRITTEN, "")
    for word, value in measured.items():
        measure = MEASURES[word]
        unit = own_units.get(word, measure.sent_unit)
        heads[word] = f"{word}_{unit}" if word in own_units else measure.sent
        is_said = value is not None and value != measure.usual
        cells[word] = f"{in_unit(value or 0.0, unit):.10g}" if is_said else ""
    return {heads[word] or word: cells[word] for word in WRITTEN}
