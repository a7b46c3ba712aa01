"""Change JSON: a rig before and after a change, as other programs read it.

Holds:  the keys of that answer, units in their names.
Never:  sentences made here, computations.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tapewright.faces.wording_change import change_cautions
from tapewright.words.columns import records
from tapewright.words.json_head import Row, head_json, rounded, trust_json
from tapewright.words.marks import MARKS

if TYPE_CHECKING:
    from tapewright.services.change_rig import ChangedRig
    from tapewright.words.units import Units

CHANGE_SCHEMA = "tapewright.change/1"


def change_json(found: ChangedRig, units: Units) -> Row:
    """A rig before and after a change as a dictionary ready for JSON."""
    from tapewright.services.change_rig import further_pins  # noqa: PLC0415 — its services are heavy

    unit = units.distance
    old, new = found.old, found.new
    return head_json(CHANGE_SCHEMA, new) | {
        "old_rig": old.rig.name,
        "old_fingerprint": old.fingerprint,
        "method": new.posterior.method,
        **trust_json(old, unit, before="old_"),
        **trust_json(new, unit),
        "old_marks": records(MARKS, old.bands, units),
        "marks": records(MARKS, new.bands, units),
        "pins": [
            {
                "pin": pin,
                **trust_json(new, unit, pin),
                "old_marks": None if was is None else records(MARKS, was, units),
                "marks": records(MARKS, now, units),
            }
            for pin, (was, now) in enumerate(further_pins(found), 2)
        ],
        "confirm": [
            {
                f"distance_{unit}": rounded(step.distance_m, unit, 4),
                "arrows": step.arrows,
                "reading_mm": None if new.posterior.is_set_by_eye else rounded(reading, "mm"),
                f"trusted_distance_{unit}": rounded(step.trusted_m, unit),
            }
            for step, reading in zip(found.steps, found.readings_m, strict=True)
        ],
        "confirm_arrows": sum(step.arrows for step in found.steps),
        "gets_there": found.is_restored or found.gets_there,
        "cautions": list(change_cautions(found, units)),
    }
