"""Offline pack: a calibration as it goes along, in one file that a browser's script reads.

Holds:  curves and draws to JSON; draws as whole numbers of sixteen bits; what the file says of
        where it comes from.
Never:  formulas, addresses; what the script does with it (web/static/carried.js).
"""

import base64
import json
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tapewright import __version__
from tapewright.ground.units import UNITS
from tapewright.services.carry import CarriedDraws, CarriedRig
from tapewright.services.stick_tape import Tape
from tapewright.words.unit_system import Units

SCHEMA = 1
DIGITS = 7  # of every number but the draws
STEPS = 32_767  # of a whole number of sixteen bits, either way

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a carried rig comes from; empty and 0 for one that no notebook keeps."""

    rig_id: str = ""
    rig_number: int = 0  # version of the rig
    setup: int = 0  # how many changes the rig had had
    holds: tuple[str, ...] = ()  # ids of its groups, so that none of them counts twice


def _short(values: Floats) -> Any:  # noqa: ANN401 — nested lists of whatever depth
    """Numbers as lists, each with a few digits."""
    if values.ndim:
        return [_short(one) for one in values]
    return float(f"{float(values):.{DIGITS}g}")


def _columns(draws: CarriedDraws) -> dict[str, Any]:
    """Columns of the draws as whole numbers, one column after the other, the low byte first."""
    table = np.concatenate([draws.mark_score, draws.gain_score, draws.spread], axis=1)
    middle = 0.5 * (table.min(axis=0) + table.max(axis=0))
    step = np.maximum(0.5 * np.ptp(table, axis=0) / STEPS, 1e-12)
    whole = np.round((table - middle) / step).astype("<i2")
    return {
        "count": len(table),
        "marks": draws.mark_score.shape[1],
        "gains": draws.gain_score.shape[1],
        "middle": [float(f"{one:.9g}") for one in middle],
        "step": [float(f"{one:.9g}") for one in step],
        "base64": base64.b64encode(whole.T.tobytes()).decode(),
    }


def tape_numbers(tape: Tape | None) -> dict[str, Any] | None:
    """A tape for the script that tells what it shows; None without one."""
    if tape is None:
        return None
    pins = [
        {
            "distance_m": _short(np.array(one.distances_m)),
            "reading_m": _short(np.array(one.readings_m)),
        }
        for one in tape.pins
    ]
    return {"name": tape.name, "unit": tape.unit, "white_m": tape.white_m, "pins": pins}


def script_text(value: dict[str, Any]) -> str:
    """JSON that cannot end the element it stands in, as a name might."""
    text = json.dumps(value, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return text.replace("<", "\\u003c")


def units_here(units: Units) -> dict[str, Any]:
    """Units in which a pack is told; a page may put its own in their place."""
    return {
        "unit": units.distance,
        "unit_m": UNITS[units.distance].factor,
        "miss": units.miss,
        "miss_m": UNITS[units.miss].factor,
    }


def carried_json(
    carried: CarriedRig, units: Units, made_at: datetime, origin: Origin | None = None
) -> dict[str, Any]:
    """A carried rig as the script reads it."""
    answer, draws, known = carried.answer, carried.draws, carried.known
    rig, ladder, limits = answer.rig, carried.ladder, answer.limits
    unknowns = answer.posterior.calibration.evidence.prior.unknowns
    windage, covariance = draws.windage
    origin = origin or Origin()
    return {
        "schema": SCHEMA,
        "kind": "carried rig",
        "program": __version__,
        "rig": rig.name,
        "point": rig.arrow.point,
        "rig_id": origin.rig_id,
        "rig_number": origin.rig_number,
        "setup": origin.setup,
        "holds": list(origin.holds),
        "made_at": made_at.isoformat(timespec="seconds"),
        "fingerprint": answer.fingerprint,
        **units_here(units),
        "probability": answer.bands.probability,
        "tolerance_m": rig.archer.tolerance_m,
        "is_shot": not answer.posterior.is_set_by_eye,
        "asks": list(answer.questions),
        "is_settled": not answer.slips,
        "curves": {
            "near_m": draws.near_m,
            "far_m": draws.far_m,
            "mark_m2": _short(draws.mark_m2),
            "mark_parts_m2": _short(draws.mark_parts_m2),
            "gain": _short(draws.gain),
            "gain_parts": _short(draws.gain_parts),
            "bend": _short(draws.bend),
        },
        "draws": _columns(draws),
        "windage": {"mean": _short(windage), "covariance": _short(covariance)},
        "distances": [
            {
                "distance_m": one.distance_m,
                "mean_m": float(f"{one.mean_m:.6g}"),
                "by_score_m": _short(one.by_score_m),
                "sd_m": float(f"{one.sd_m:.6g}"),
            }
            for one in draws.distances
        ],
        "groups": len(answer.groups),
        "distance_sd_m": rig.archer.distance_sd_m,
        "reading_sd_m": rig.archer.reading_sd_m,
        "scatter": {
            "variance_rad2": known.variance_rad2,
            "freedoms": known.freedoms,
            "wobble_rad": known.wobble_rad,
            "is_of_arrows": known.source == "arrows",
        },
        "sight": {
            "radius_m": unknowns.sight_radius_m,
            "direction": unknowns.direction,
            "has_arm": unknowns.arm_length_m is not None,
            "up_click_m": rig.sight.elevation_click_m,
            "right_click_m": rig.sight.windage_click_m,
            "far_reading_m": None if limits.far is None else limits.far.reading_m,
            "near_reading_m": None if limits.near is None else limits.near.reading_m,
        },
        "tape": tape_numbers(rig.sight.tape),
        "ladder": {
            "hit_m": ladder.hit_m,
            "before_m": ladder.before_m,
            "missed_m": ladder.missed_m,
            "misses": ladder.misses,
            "broadheads": ladder.broadheads,
            "fitting_m": carried.hit_m,
            "off_m": carried.off_m,
        },
        "trusted_m": list(answer.trusted_m),
        "most_m": None if carried.most_m is None else list(carried.most_m),
        "wanted_m": carried.wanted_m,
    }
