"""JSON pieces: what several answers for other programs are put together from.

Holds:  a number in a unit or none; the head that names rig, calibration and band; trust; the key
        that says why a set-up must not be shot.
Never:  an answer.
"""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING, Any

from tapewright.words.quantities import in_unit

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tapewright.services.calibrate import Answer

Row = dict[str, Any]


def rounded(value: float | None, unit: str, decimals: int = 3) -> float | None:
    """A number in a unit, rounded, without the minus of a zero; None unless it is finite."""
    if value is None or not isfinite(value):
        return None
    return round(in_unit(float(value), unit) if unit else float(value), decimals) + 0.0


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


def with_stops(written: Row, lines: Iterable[str]) -> Row:
    """An answer with its key ``stop``: why the set-up must not be shot; empty when it may."""
    return {"schema": written["schema"], "stop": list(lines)} | written
