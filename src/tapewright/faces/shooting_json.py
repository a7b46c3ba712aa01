"""Shooting JSON: groups, corrections and clicks as other programs read them.

Holds:  the keys of ``group --json`` and ``clicks --json``, units in their names.
Never:  sentences, computations.
"""

from collections.abc import Sequence
from typing import Any

from tapewright.services.correct import ArrowStep, AxisMove, Correction
from tapewright.services.learn_clicks import ClickRow, LearntClick
from tapewright.services.measure_groups import Banded, GroupMeasure, Measured, Spread
from tapewright.services.move_sight import SightMove
from tapewright.words.json_head import rounded
from tapewright.words.units import Units

GROUP_SCHEMA = "tapewright.group/1"
CLICKS_SCHEMA = "tapewright.clicks/1"

Row = dict[str, Any]


def _banded(name: str, found: Banded, unit: str, decimals: int = 4) -> Row:
    return {
        f"{name}_{unit}": rounded(found.value, unit, decimals),
        f"{name}_low_{unit}": rounded(found.low, unit, decimals),
        f"{name}_high_{unit}": rounded(found.high, unit, decimals),
    }


def _spread(spread: Spread) -> Row:
    return {
        **_banded("dispersion", spread.dispersion_rad, "mrad"),
        **_banded("dispersion_up", spread.up_rad, "mrad"),
        **_banded("dispersion_right", spread.right_rad, "mrad"),
        **_banded("mean_radius", spread.mean_radius_rad, "mrad"),
        **_banded("radius_50", spread.radius_rad(0.5), "mrad"),
        **_banded("radius_90", spread.radius_rad(0.9), "mrad"),
    }


def _group(measure: GroupMeasure, units: Units) -> Row:
    one, centre, miss = measure.observation, measure.centre, units.miss
    row: Row = {
        "group": one.group.name,
        f"distance_{units.distance}": rounded(one.distance_m, units.distance, 4),
        "reading_mm": rounded(one.reading_m, "mm", 4),
        "arrows": one.group.arrows,
        "called_bad": one.group.called_bad,
        f"centre_up_{miss}": rounded(centre.up_m, miss, 4),
        f"centre_right_{miss}": rounded(centre.right_m, miss, 4),
        f"region_up_{miss}": rounded(centre.reach_up_m, miss, 4),
        f"region_right_{miss}": rounded(centre.reach_right_m, miss, 4),
        "chance": rounded(centre.chance, "", 6),
        "chance_up": rounded(centre.chance_up, "", 6),
        "chance_right": rounded(centre.chance_right, "", 6),
        f"mean_radius_measured_{miss}": rounded(measure.mean_radius_m, miss, 4),
        f"extreme_spread_{miss}": rounded(measure.extreme_spread_m, miss, 4),
        **_spread(measure.spread),
        **_banded("radius_50", measure.spread.radius_rad(0.5).times(one.distance_m), miss),
        **_banded("radius_90", measure.spread.radius_rad(0.9).times(one.distance_m), miss),
        "ellipse": None,
        "flyer": None,
    }
    if measure.hotelling is not None:
        row["ellipse"] = {
            "chance": rounded(measure.hotelling.chance, "", 6),
            f"major_{miss}": rounded(measure.hotelling.major_m, miss, 4),
            f"minor_{miss}": rounded(measure.hotelling.minor_m, miss, 4),
            "tilt_deg": rounded(measure.hotelling.tilt_rad, "deg", 2),
        }
    if measure.flyer is not None and measure.findable is not None:
        row["flyer"] = {
            f"up_{miss}": rounded(measure.flyer_at_m[1], miss, 4),
            f"right_{miss}": rounded(measure.flyer_at_m[0], miss, 4),
            "statistic": rounded(measure.flyer.statistic, "", 4),
            "critical": rounded(measure.flyer.critical, "", 4),
            "chance": rounded(measure.flyer.chance, "", 6),
            "is_flyer": measure.flyer.is_flyer,
            "findable_50_dispersions": rounded(measure.findable[0], "", 2),
            "findable_90_dispersions": rounded(measure.findable[1], "", 2),
        }
    return row


def _move(move: SightMove) -> Row:
    return {
        "new_reading_mm": rounded(move.reading_m, "mm", 4),
        "by_reading_mm": rounded(move.by_reading_m, "mm", 4),
        "reading_clicks": move.reading_clicks,
        "pin_vertical": {1: "up", -1: "down", 0: ""}[move.pin_up],
        "pin_right_mm": rounded(move.pin_right_m, "mm", 4),
        "right_clicks": move.right_clicks,
    }


def _shifts(right: AxisMove, up: AxisMove, units: Units) -> Row:
    return {
        "share": rounded(up.share, "", 4),
        "elevation": up.reason,
        "windage": right.reason,
        f"shift_up_{units.miss}": rounded(up.shift_m, units.miss, 4),
        f"shift_right_{units.miss}": rounded(right.shift_m, units.miss, 4),
    }


def group_json(
    measured: Measured,
    corrections: Sequence[Correction | tuple[AxisMove, AxisMove]],
    units: Units,
) -> Row:
    """Groups and corrections as a dictionary ready for JSON."""
    rows = []
    for measure, found in zip(measured.groups, corrections, strict=True):
        if isinstance(found, Correction):
            told = _shifts(found.right, found.up, units) | _move(found.move)
        else:
            told = _shifts(*found, units)
        rows.append(_group(measure, units) | {"correction": told})
    return {
        "schema": GROUP_SCHEMA,
        "band": measured.probability,
        "groups": rows,
        "together": {
            "groups": measured.together.groups,
            "arrows": measured.together.arrows,
            **_spread(measured.together),
        },
        "judged_by": {
            "source": measured.known.source,
            "dispersion_mrad": rounded(measured.known.dispersion_rad, "mrad", 4),
            "wobble_mrad": rounded(measured.known.wobble_rad, "mrad", 4),
        },
    }


def steps_json(steps: Sequence[ArrowStep], units: Units) -> Row:
    """Moves after each arrow as a dictionary ready for JSON."""
    miss = units.miss
    return {
        "schema": GROUP_SCHEMA,
        "arrows": [
            {
                "arrow": step.arrow,
                "group": step.observation.group.name,
                "reading_mm": rounded(step.observation.reading_m, "mm", 4),
                f"up_{miss}": rounded(step.up_m, miss, 4),
                f"right_{miss}": rounded(step.right_m, miss, 4),
                "share": rounded(step.share, "", 4),
                **_move(step.move),
            }
            for step in steps
        ],
    }


def clicks_json(
    rows: Sequence[ClickRow], learnt: Sequence[LearntClick], units: Units, probability: float
) -> Row:
    """What clicks do as a dictionary ready for JSON."""
    miss = units.miss
    written: Row = {
        "schema": CLICKS_SCHEMA,
        "clicks": [
            {
                f"distance_{units.distance}": rounded(row.distance_m, units.distance, 4),
                "mark_mm": rounded(row.mark_m, "mm", 4),
                f"up_{miss}_per_mm": rounded(row.up_per_reading * 1e-3, miss, 5),
                f"right_{miss}_per_pin_mm": rounded(row.right_per_pin * 1e-3, miss, 5),
                f"up_{miss}_per_click": rounded(row.up_click_m, miss, 5),
                f"right_{miss}_per_click": rounded(row.right_click_m, miss, 5),
            }
            for row in rows
        ],
    }
    if learnt:
        written["band"] = probability
        written["learnt"] = [
            {
                "axis": one.axis,
                **_banded("click", one.click_m, "mm", 5),
                **_banded("angle", one.angle_rad, "mrad", 5),
                "groups": one.groups,
                "arrows": one.arrows,
            }
            for one in learnt
        ]
    return written
