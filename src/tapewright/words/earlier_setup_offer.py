"""Earlier setup offer: a set-up comes again; what taking its calibration up is worth.

Holds:  the sentences of the offer; the same for programs.
Never:  which set-ups are one (services/there_and_back.py), what a face offers to press or type.
"""

from typing import Any

from tapewright.services.calibrate import Answer, answer_at
from tapewright.words.answer_columns import records
from tapewright.words.marks_table import MARKS
from tapewright.words.readings_on_tape import half_words
from tapewright.words.trust_sentences import shot_words, trust_json
from tapewright.words.unit_system import Units, distance_words, trusted_words

NEAR_FIRST = (
    "Whatever was taken off and put on again may sit otherwise: one near arrow first, then look."
)


def back_words(kept: Answer, now: Answer, take_it_up: str, units: Units) -> str:
    """What a set-up's own calibration tells, beside the one carried over to it."""
    at_m = kept.trusted_m[0] or kept.once_zeroed_m[0]
    trust = f"trusted to {trusted_words(kept.trusted_m[0], units)}" if kept.trusted_m[0] else ""
    what = ", ".join(filter(None, (shot_words(kept), f"calibration {kept.fingerprint}", trust)))
    worth = ""
    if at_m:
        own, carried = (_half_words(one, now, at_m) for one in (kept, now))
        worth = (
            f" At {distance_words(at_m, units)} it knows the mark to {own}, carried "
            f"over the changes it is {carried}."
        )
    return (
        f"This set-up was calibrated before: {what}.{worth} If bow, arrow and sight are again as "
        f"they were then, {take_it_up}. {NEAR_FIRST}"
    )


def back_json(kept: Answer, units: Units) -> dict[str, Any]:
    """The calibration that a set-up had before, for programs."""
    return {
        "fingerprint": kept.fingerprint,
        "arrows": sum(one.group.arrows for one in kept.observations),
        **trust_json(kept, units.distance, before="was_"),
        "marks": records(MARKS, kept.bands, units),
    }


def _half_words(answer: Answer, now: Answer, distance_m: float) -> str:
    """Half of a mark's band, in what is on the sight now."""
    bands = answer_at(answer, [distance_m]).bands
    half_m = 0.5 * float(bands.high_m[0] - bands.low_m[0])
    return half_words(now, float(bands.reading_m[0]), half_m, 2)
