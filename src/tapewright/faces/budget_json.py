"""Budget JSON: a miss budget as other programs read it.

Holds:  the keys of that answer, units in their names.
Never:  sentences made here, computations.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tapewright.faces.wording_budget import budget_words
from tapewright.faces.wording_outdoors import mark_cautions
from tapewright.words.json_head import Row, head_json, rounded

if TYPE_CHECKING:
    from tapewright.services.weigh_errors import Budget
    from tapewright.words.units import Units

BUDGET_SCHEMA = "tapewright.budget/1"


def budget_json(found: Budget, units: Units) -> Row:
    """A miss budget as a dictionary ready for JSON."""
    unit, miss = units.distance, units.miss
    return head_json(BUDGET_SCHEMA, found.answer) | {
        f"distance_{unit}": rounded(found.distance_m, unit, 4),
        "errors": [
            {
                "error": share.name,
                f"right_{miss}": rounded(share.right_m, miss),
                f"up_{miss}": rounded(share.up_m, miss),
                "share": round(share.saved, 4),
            }
            for share in found.shares
        ],
        "advice": list(budget_words(found, units)),
        "cautions": list(mark_cautions(found.answer, units)),
    }
