"""Photo JSON: what a photograph told, as other programs and people read it, and its rows of shots.

Holds:  the PhotoShots record; the keys of ``photo --json``, units in their names; rows for a file
        of shots; the sentences to know before they are trusted.
Never:  computations.
"""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from tapewright.reading.typed_reading import reading_text
from tapewright.services.read_photo import PhotoReading
from tapewright.services.stick_tape import Tape
from tapewright.words.answer_columns import rounded
from tapewright.words.number_format import counted
from tapewright.words.quantity_parser import in_unit
from tapewright.words.readings_on_tape import dial_json
from tapewright.words.unit_system import Units

LEAST_MARKS = 3  # which tell little of how a sheet curls
LOOK = "Holes that touch, or lie on ink, are easily missed: compare with the picture."
HIDDEN = "Arrows hide each other: holes photographed after pulling are found better."


@dataclass(frozen=True, slots=True)
class PhotoShots:
    """A group as a photograph shows it."""

    photo: PhotoReading
    group: str
    distance_m: float
    reading_m: float
    tape: Tape | None = None  # on which it was dialled


def photo_json(shots: PhotoShots, units: Units, files: Sequence[str]) -> dict[str, Any]:
    """Everything that ``photo`` says, in keys."""
    photo, miss = shots.photo, units.miss
    return {
        "schema": "tapewright.photo/1",
        "sheet": photo.sheet,
        "group": shots.group,
        f"distance_{units.distance}": rounded(shots.distance_m, units.distance, 4),
        "reading_mm": rounded(shots.reading_m, "mm", 4),
        **dial_json(shots.tape, shots.reading_m, at_m=shots.distance_m),
        "marks": photo.marks,
        "straightening_error_mm": rounded(photo.error_mm, "", 3),
        "place_error_mm": rounded(photo.place_error_mm, "", 3),
        "impacts": [
            {
                f"right_{miss}": rounded(impact.right_m, miss, 4),
                f"up_{miss}": rounded(impact.up_m, miss, 4),
                "kind": impact.kind,
                "confidence": impact.confidence,
            }
            for impact in photo.proposals
        ],
        "files": list(files),
    }


def photo_rows(shots: PhotoShots, units: Units) -> str:
    """Rows of a file of shots, header first; the note tells the number in the picture."""
    text, unit, miss = io.StringIO(), units.distance, units.miss
    rows = csv.writer(text, lineterminator="\n")
    column, mark = "reading_mm", f"{1e3 * shots.reading_m:.10g}"
    if shots.tape is not None:
        column = f"dialled_{shots.tape.unit}"
        mark = reading_text(shots.reading_m, shots.tape, 1, shots.distance_m)
    rows.writerow(["group", f"distance_{unit}", column, f"right_{miss}", f"up_{miss}", "note"])
    distance = in_unit(shots.distance_m, unit)
    for number, impact in enumerate(shots.photo.proposals, 1):
        places = (f"{in_unit(at_m, miss):.3f}" for at_m in (impact.right_m, impact.up_m))
        note = f"{number}: {impact.kind}, {100.0 * impact.confidence:.0f} %"
        rows.writerow([shots.group, f"{distance:.10g}", mark, *places, note])
    return text.getvalue()


def photo_words(photo: PhotoReading) -> tuple[str, ...]:
    """What to know before the impacts proposed are trusted."""
    count = counted(len(photo.proposals), "impact") if photo.proposals else "No impacts"
    by = f"{photo.marks} marks" if photo.marks else "four taps"
    first = f"{count} proposed on {photo.sheet}, straightened by {by}"
    flat = "" if photo.marks > LEAST_MARKS else ", if it hung flat"
    hung = f"{first}: places within {photo.place_error_mm:.1f} mm{flat}."
    shafts = any(impact.kind == "shaft" for impact in photo.proposals)
    return (hung, LOOK, HIDDEN) if shafts else (hung, LOOK)
