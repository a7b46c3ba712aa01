"""Photo JSON: what a photograph told, as other programs read it, and its rows of shots.

Holds:  the keys of ``photo --json``, units in their names; rows for a file of shots.
Never:  sentences, computations.
"""

import csv
import io
from collections.abc import Sequence
from typing import Any

from tapewright.services.read_photo import PhotoReading
from tapewright.words.quantities import in_unit
from tapewright.words.units import Units

PHOTO_SCHEMA = "tapewright.photo/1"


def photo_json(
    reading: PhotoReading,
    group: str,
    distance_m: float,
    reading_m: float,
    units: Units,
    files: Sequence[str],
) -> dict[str, Any]:
    """Everything that ``photo`` says, in keys."""
    miss = units.miss
    return {
        "schema": PHOTO_SCHEMA,
        "sheet": reading.sheet,
        "group": group,
        f"distance_{units.distance}": round(in_unit(distance_m, units.distance), 4),
        "reading_mm": round(1e3 * reading_m, 4),
        "marks": reading.marks,
        "straightening_error_mm": round(reading.error_mm, 3),
        "impacts": [
            {
                f"right_{miss}": round(in_unit(one.right_m, miss), 4),
                f"up_{miss}": round(in_unit(one.up_m, miss), 4),
                "kind": one.kind,
                "confidence": one.confidence,
            }
            for one in reading.proposals
        ],
        "files": list(files),
    }


def photo_rows(
    reading: PhotoReading, group: str, distance_m: float, reading_m: float, units: Units
) -> str:
    """Rows of a file of shots, header first; the note tells the number in the picture."""
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    miss = units.miss
    rows.writerow(
        ["group", f"distance_{units.distance}", "reading_mm", f"right_{miss}", f"up_{miss}", "note"]
    )
    distance = f"{in_unit(distance_m, units.distance):.10g}"
    mark = f"{1e3 * reading_m:.10g}"
    for number, one in enumerate(reading.proposals, 1):
        places = (f"{in_unit(at_m, miss):.3f}" for at_m in (one.right_m, one.up_m))
        note = f"{number}: {one.kind}, {100.0 * one.confidence:.0f} %"
        rows.writerow([group, distance, mark, *places, note])
    return text.getvalue()
