"""Proving JSON: proofs and strips as other programs read them.

Holds:  the keys of ``prove --json`` and ``strips --json``, units in their names.
Never:  sentences made here, computations.
"""

from typing import Any

from tapewright.faces.wording_proving import cause_unit, mend_words, proof_cautions, verdict_words
from tapewright.services.choose_strip import ChosenSet, Neighbours, Ranked
from tapewright.services.prove import Accepted, Cause, Proof, Proving
from tapewright.words.json_head import earned, rounded, trust_json
from tapewright.words.units import Units

PROOF_SCHEMA = "tapewright.proof/1"
STRIPS_SCHEMA = "tapewright.strips/1"

Row = dict[str, Any]


def _proof(one: Proof, units: Units) -> Row:
    miss = units.miss
    return {
        "group": one.name,
        f"distance_{units.distance}": rounded(one.distance_m, units.distance, 4),
        f"miss_up_{miss}": rounded(one.miss_up_m, miss),
        f"miss_right_{miss}": rounded(one.miss_right_m, miss),
        f"doubt_up_{miss}": rounded(one.doubt_up_m, miss),
        f"doubt_right_{miss}": rounded(one.doubt_right_m, miss),
    }


def _cause(cause: Cause, proving: Proving, units: Units) -> Row:
    written: Row = {"cause": cause.name, "odds": rounded(cause.odds, "", 4)}
    if cause.name == "nothing":
        return written
    unit, _ = cause_unit(cause.name, units)
    key = "percent" if unit == "%" else unit
    for name, value in (("size", cause.size), ("low", cause.low), ("high", cause.high)):
        written[f"{name}_{key}"] = rounded(value, unit)
    if cause.group is not None:
        written["group"] = proving.shot[cause.group].group.name
    return written


def proof_json(proving: Proving, accepted: Accepted | None, units: Units) -> Row:
    """A proof as a dictionary ready for JSON."""
    asked, spread = proving.mend, proving.spread.dispersion_rad
    written: Row = {
        "schema": PROOF_SCHEMA,
        "rig": proving.answer.rig.name,
        "fingerprint": proving.answer.fingerprint,
        "groups": [_proof(one, units) for one in proving.verdict.proofs],
        "families": [
            {"family": name, "odds": rounded(odds, "", 4)}
            for name, odds in proving.verdict.families
        ],
        "causes": [_cause(one, proving, units) for one in proving.verdict.causes],
        "mend": {
            "reading_mm": rounded(asked.reading_m, "mm"),
            "reading_clicks": proving.clicks,
            "pin_right_mm": rounded(asked.pin_right_m, "mm"),
            "pin_right_clicks": proving.right_clicks,
            "longer_span_mm": rounded(asked.span_m, "mm"),
        },
        "spans_mm": [rounded(span, "mm") for span in proving.spans_m],
        f"telling_distance_{units.distance}": rounded(proving.verdict.telling_m, units.distance, 4),
        "dispersion_mrad": rounded(spread.value, "mrad", 4),
        "dispersion_low_mrad": rounded(spread.low, "mrad", 4),
        "dispersion_high_mrad": rounded(spread.high, "mrad", 4),
        "verdict": verdict_words(proving, units),
        "advice": mend_words(proving, units),
        "cautions": list(proof_cautions(proving)),
    }
    if accepted is not None:
        written["accepted"] = _accepted(accepted, units)
    return written


def _accepted(accepted: Accepted, units: Units) -> Row:
    unit = units.distance
    rows = zip(accepted.distance_m, accepted.answer.bands.reading_m, accepted.moved_m, strict=True)
    return {
        "fingerprint": accepted.answer.fingerprint,
        **trust_json(accepted.answer, unit),
        f"trusted_distance_before_{unit}": earned(accepted.before, unit),
        "marks": [
            {
                f"distance_{unit}": rounded(distance, unit, 4),
                "reading_mm": rounded(reading, "mm", 4),
                "moved_mm": rounded(moved, "mm", 4),
            }
            for distance, reading, moved in rows
        ],
    }


def _ranked(one: Ranked, units: Units) -> Row:
    return {
        "strip": one.strip.name,
        "chance": rounded(one.chance, "", 4),
        f"worst_{units.miss}": rounded(one.worst_m, units.miss),
        f"align_distance_{units.distance}": rounded(float(one.distance_m.min()), units.distance, 4),
        "align_reading_mm": rounded(one.align_m, "mm"),
        "runs_against_scale": one.reversed_way,
        "errors": [
            {
                f"distance_{units.distance}": rounded(distance, units.distance, 4),
                f"error_up_{units.miss}": rounded(error, units.miss),
            }
            for distance, error in zip(one.distance_m, one.error_m, strict=True)
        ],
    }


def strips_json(found: Neighbours, chosen: ChosenSet | None, units: Units) -> Row:
    """Strips as a dictionary ready for JSON."""
    unit, miss = units.distance, units.miss
    written: Row = {
        "schema": STRIPS_SCHEMA,
        "rig": found.answer.rig.name,
        "fingerprint": found.answer.fingerprint,
        f"near_{unit}": rounded(found.ends_m[0], unit, 4),
        f"far_{unit}": rounded(found.ends_m[1], unit, 4),
        "strips": [
            {
                "span_mm": rounded(strip.span_m, "mm"),
                "marks": [
                    {
                        f"distance_{unit}": rounded(distance, unit, 4),
                        "reading_mm": rounded(reading, "mm", 4),
                        f"impact_up_{miss}": rounded(impact, miss),
                    }
                    for distance, reading, impact in zip(
                        found.distance_m, strip.reading_m[0], impacts, strict=True
                    )
                ],
            }
            for strip, impacts in zip(found.strips, found.impact_m, strict=True)
        ],
    }
    if chosen is not None:
        written["set"] = {
            f"to_{unit}": rounded(chosen.farthest_m, unit, 4),
            "good_enough": chosen.best_is_good,
            "ranked": [_ranked(one, units) for one in chosen.ranked],
        }
    return written
