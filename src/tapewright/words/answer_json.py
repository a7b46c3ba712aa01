"""Answer JSON: what every answer for programs begins with, and how it tells trust and stops.

Holds:  the head of an answer; how far a pin is trusted; why a set-up must not be shot.
Never:  tables (answer_columns.py), sentences, computations.
"""

from collections.abc import Iterable
from typing import Any

from tapewright.services.calibrate import Answer
from tapewright.words.answer_columns import rounded
from tapewright.words.house_value_sentences import house_json
from tapewright.words.trust_sentences import unproven_k


def earned(answer: Answer, unit: str, pin: int = 1) -> float | None:
    """How far a pin is trusted; None until a group that fits has hit with this set-up."""
    return rounded(answer.trusted_m[pin - 1], unit) if answer.is_earned else None


def unproven_json(answer: Answer, before: str = "") -> dict[str, float]:
    """How much warmer the air is than where arrows were shot; no key where limbs are as then."""
    warmer_k = unproven_k(answer)
    return {f"{before}air_warmer_than_shot_c": round(warmer_k, 2)} if warmer_k else {}


def trust_json(answer: Answer, unit: str, pin: int = 1, before: str = "") -> dict[str, Any]:
    """How far a pin is trusted; what its bands alone would carry has a key of its own."""
    return {
        **unproven_json(answer, before),
        f"{before}trusted_distance_{unit}": earned(answer, unit, pin),
        f"{before}once_zeroed_distance_{unit}": rounded(answer.once_zeroed_m[pin - 1], unit),
    }


def head_json(schema: str, answer: Answer) -> dict[str, Any]:
    """What an answer is and which calibration it comes from; house values, if any are in it."""
    house = house_json(answer.rig)
    return {
        "schema": schema,
        "rig": answer.rig.name,
        "fingerprint": answer.fingerprint,
        "band": answer.bands.probability,
        **({"house": house} if house else {}),
    }


def with_stops(answered: dict[str, Any], lines: Iterable[str]) -> dict[str, Any]:
    """An answer with its key ``stop``: why the set-up must not be shot; empty when it may."""
    return {"schema": answered["schema"], "stop": list(lines)} | answered
