"""JSON head: what every answer for other programs begins with.

Holds:  a number in a unit, or none; rig, calibration and band; trust; why a set-up must not be
        shot.
Never:  an answer.
"""

from collections.abc import Iterable
from typing import Any

from tapewright.services.calibrate import Answer
from tapewright.words.numbers import written
from tapewright.words.quantities import in_unit

Row = dict[str, Any]


def rounded(value: float | None, unit: str, decimals: int = 3) -> float | None:
    """A number in a unit, rounded; None for what JSON cannot hold."""
    return written(value if value is None or not unit else in_unit(float(value), unit), decimals)


def earned(answer: Answer, unit: str, pin: int = 1) -> float | None:
    """How far a pin is trusted; None until a group that fits has hit with this set-up."""
    return rounded(answer.trusted_m[pin - 1], unit) if answer.is_earned else None


def trust_json(answer: Answer, unit: str, pin: int = 1, before: str = "") -> Row:
    """How far a pin is trusted; what its bands alone would carry has a key of its own."""
    return {
        f"{before}trusted_distance_{unit}": earned(answer, unit, pin),
        f"{before}once_zeroed_distance_{unit}": rounded(answer.once_zeroed_m[pin - 1], unit),
    }


def head_json(schema: str, answer: Answer) -> Row:
    """What an answer is and which calibration it comes from."""
    return {
        "schema": schema,
        "rig": answer.rig.name,
        "fingerprint": answer.fingerprint,
        "band": answer.bands.probability,
    }


def with_stops(answered: Row, lines: Iterable[str]) -> Row:
    """An answer with its key ``stop``: why the set-up must not be shot; empty when it may."""
    return {"schema": answered["schema"], "stop": list(lines)} | answered
