"""Limits: how far each pin reaches before housing and arrow meet, or the travel ends.

Holds:  the question ``limits``: its field, tables, sentences and cautions.
Never:  formulas, how a face asks and shows.
"""

from collections.abc import Sequence
from typing import Any, Protocol

import numpy as np

from tapewright.questions.question import Field, Question, Said
from tapewright.services.calibrate import Answer
from tapewright.services.limits import (
    USUAL_ARROW_MARGIN_M,
    USUAL_VANE_HEIGHT_M,
    FoundLimits,
    Reach,
    ReadingLimit,
    find_limits,
)
from tapewright.words.answer_blocks import Blocks, Mind, Table
from tapewright.words.answer_columns import Column, each, records, rounded, table
from tapewright.words.answer_json import head_json
from tapewright.words.bow_kind_words import eye_words, of_bow
from tapewright.words.cautions import past_limit_words
from tapewright.words.number_format import NOTHING, known, known_ends, told
from tapewright.words.quantity_parser import in_unit
from tapewright.words.readings_on_tape import on_sight
from tapewright.words.unit_system import Units, amount

LIMIT_WORDS = {
    "housing": "housing meets arrow, computed",
    "measured clearance": "housing meets arrow, measured",
    "far end": "end of travel, far",
    "near end": "end of travel, near",
}
ROLE_WORDS = {"binds": "stops", "beyond": "not reached", "overruled": "overruled"}
VANE_TOUCHES = (
    "Do not shoot past the limit: a vane that touches the housing throws the arrow off its way."
)
LOWER_ANCHOR = "A lower anchor, a shorter housing or lower vanes win distance."
WIN = (
    "A higher peep, a shorter housing or lower vanes win distance. Moving a peep means press work: "
    "that belongs to a qualified technician."
)


def _band(limit: ReadingLimit) -> str:
    low, high = 1e3 * limit.low_m, 1e3 * limit.high_m
    return NOTHING if low == high else known_ends(low, high)


LIMITS: tuple[Column[Sequence[ReadingLimit]], ...] = (
    Column("limit", "", each(lambda limit: LIMIT_WORDS[limit.kind])),
    Column("", "kind", "kind"),
    Column("reading mm", "reading_mm", "reading_m", "mm", tape="first"),
    Column("band mm", "", each(_band), tape="not"),
    Column("", "low_mm", "low_m", "mm"),
    Column("", "high_mm", "high_m", "mm"),
    Column("{unit}", "", each(lambda limit: ROLE_WORDS[limit.role])),  # no head: it has no unit
    Column("", "role", "role"),
)


def _ask(answer: Answer, said: Said, units: Units) -> FoundLimits:
    return find_limits(answer, said.distances("distances", QUESTION.usual("distances", units)))


def _tell(found: FoundLimits, units: Units) -> Blocks:
    """What stops the sight and how far each pin reaches."""
    limits = found.limits
    far = [_reaches(found, units), _travel_left(found, units)] if limits.far is not None else []
    return (
        f"{found.answer.rig.name}: {stop_words(found, units)}\n",
        *(
            [table("Limits of the reading", _columns(found), limits.found, units)]
            if limits.found
            else []
        ),
        *far,  # both ends of a travel are known, or none
        *map(Mind, limit_cautions(found, units)),
    )


def _columns(found: FoundLimits) -> list[Column[Sequence[ReadingLimit]]]:
    return on_sight(LIMITS, found.answer.tape)


def _reaches(found: FoundLimits, units: Units) -> Table:
    unit = units.distance
    rows = []
    for one in found.reaches:
        ends = (one.nearest_m[0], *one.farthest_m)
        nearest, farthest, low, high = (reach_words(one, end, units) for end in ends)
        rows.append((str(one.pin), nearest, farthest, low if low == high else f"{low} to {high}"))
    heads = ("pin", f"nearest {unit}", f"farthest {unit}", f"band {unit}")
    return Table("Distances each pin reaches", heads, tuple(rows))


def _travel_left(found: FoundLimits, units: Units) -> Table:
    columns: list[Column[FoundLimits]] = [
        Column("distance {unit}", "", "distance_m", "distance", None)
    ]
    for one, *of_pin in zip(found.reaches, 1e3 * found.left_m, 1e3 * found.left_low_m, strict=True):
        pairs = zip(*of_pin, strict=True)
        left = [f"{known(most, most - low)} ({known(low, most - low)})" for most, low in pairs]
        columns.append(Column(f"pin {one.pin}", "", left))
    gone = np.flatnonzero((found.left_m < 0.0).all(axis=0)).tolist()
    return table("Pin travel left, mm (low end of its band)", columns, found, units, gone)


class Looked(Protocol):
    """Whatever knows how far was looked."""

    @property
    def looked_to_m(self) -> float:
        """A distance that says this much means it, or more. [m]"""


def reach_words(reach: Looked, distance_m: float, units: Units) -> str:
    """A distance that a pin reaches, without its unit."""
    if distance_m <= 0.0:
        return "none"
    number = told(in_unit(distance_m, units.distance), 0)
    return f"{number} or more" if distance_m >= reach.looked_to_m - 1e-6 else number


def stop_words(found: FoundLimits, units: Units) -> str:
    """What stops the sight toward farther targets, as a sentence."""
    return past_limit_words(found.answer, units) or (
        "Nothing on the sheet tells how far down the sight may go. Measure the reading at "
        "which the housing just clears an arrow (clearance_reading), and travel_ends."
    )


def limit_cautions(found: FoundLimits, units: Units) -> tuple[str, ...]:
    """What must be read before the limits are believed."""
    warned = [VANE_TOUCHES]
    sight, limit = found.answer.rig.sight, found.limits.far
    kinds = [one.kind for one in found.limits.found]
    if "housing" in kinds and "measured clearance" not in kinds:
        given_m = sight.arrow_margin_m
        margin = amount(USUAL_ARROW_MARGIN_M if given_m is None else given_m, "mm")
        height = eye_words(found.answer.rig)
        warned.append(
            f"The housing's limit is computed with {margin} of air over the vane, and is no surer "
            f"than the {height}. Look at the arrow under the housing, then write down "
            "clearance_reading."
        )
    if found.vane_is_assumed:
        warned.append(f"Vanes are taken to be {amount(USUAL_VANE_HEIGHT_M, units.miss)} high.")
    if found.answer.posterior.is_set_by_eye:
        measured = sight.clearance_reading_m is not None or sight.travel_ends_m is not None
        warned.append(
            "No arrow was shot yet, so readings are counted from a near mark"
            + (" and the readings measured on the sight cannot be used." if measured else ".")
        )
    if limit is not None and limit.kind != "far end":
        warned.append(of_bow(found.answer.rig, WIN, LOWER_ANCHOR))
    return tuple(warned)


def _write(found: FoundLimits, units: Units) -> dict[str, Any]:
    unit, ends_m = units.distance, np.stack((found.left_m, found.left_low_m), axis=2)
    return head_json("tapewright.limits/1", found.answer) | {
        "limits": records(_columns(found), found.limits.found, units),
        "pins": [reach_json(one, unit) for one in found.reaches],
        "travel_left": [
            {
                f"distance_{unit}": rounded(distance, unit, 4),
                "pins": [
                    {"pin": pin, "left_mm": rounded(left, "mm"), "low_mm": rounded(low, "mm")}
                    for pin, (left, low) in enumerate(ends_m[:, place], 1)
                ],
            }
            for place, distance in enumerate(found.distance_m)
        ],
        "cautions": list(limit_cautions(found, units)),
    }


def reach_json(reach: Reach, unit: str) -> dict[str, Any]:
    """What a pin reaches, for programs."""
    ends = {
        f"{name}{which}_{unit}": rounded(end, unit, 2)
        for name, three_m in (("nearest", reach.nearest_m), ("farthest", reach.farthest_m))
        for which, end in zip(("", "_low", "_high"), three_m, strict=True)
    }
    farther = reach.farthest_m[0] >= reach.looked_to_m - 1e-6
    return {"pin": reach.pin, **ends, "reaches_farther": farther}


QUESTION = Question(
    "limits", "Limits of the sight",
    "How far each pin reaches before housing and arrow meet, or the travel ends.",
    (Field("distances", "Distances", "40:120:10yd", "40:110:10m", "Where travel left is wanted."),),
    _ask, _tell, _write,
    more="From housing_below_pin and vane_height in the rig sheet it is computed; "
    "clearance_reading, measured on the bow, overrules it; travel_ends stop the sight too. The "
    "tape carries no ticks past the limit.", shelf="check",
)  # fmt: skip
