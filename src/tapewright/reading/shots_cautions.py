"""Shots cautions: what is odd about a file of shots as a whole.

Holds:  numbers that run the wrong way, rows entered twice, metres under a yard's heading, air that
        the bow's maker forbids.
Never:  single cells (csv_columns.py), calibration.
Source: common practice, no source.
"""

from collections.abc import Sequence
from math import radians
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tapewright.ground.errors import BadShots
from tapewright.ground.units import INCH_M, YARD_M
from tapewright.reading.csv_columns import Column
from tapewright.reading.csv_reader import Origin
from tapewright.services.equip import Rig
from tapewright.services.record_groups import Observation, group_centre, of_point

Floats = NDArray[np.float64]

TURNING_M = 15 * YARD_M  # nearer, marks turn back and any order may be right
APART = 1.1  # distances nearer to each other than 10 % are not compared
STEEP_RAD = radians(10.0)  # steeper shots are not compared
USUAL_RADIUS_M = 33 * INCH_M
GENEROUS_RATIO = 2.0  # reading per travel, when the sheet says nothing
ANGLE_SLACK_RAD = 1e-3  # what group, archer and flat part of the curve may explain
READING_SLACK_M = 0.5e-3
MISS_SLACK = 1.5  # a miss explains half again what it would move the sight
# whole metres at which targets stand by the books of rules, 18 and 90 being no usual yards
_METRES = {18, 25, 30, 50, 60, 70, 90}
_SHOWN = 5


class Placed(NamedTuple):
    """An observation and the line on which it begins."""

    line: int
    observation: Observation


def shots_cautions(
    placed: Sequence[Placed],
    rows: Sequence[tuple[int, tuple[str, ...]]],
    columns: Sequence[Column],
    origin: Origin,
    rig: Rig | None,
) -> list[str]:
    """Oddities of the file."""
    warnings = [*_copies(rows, origin), *_metres(placed, columns, origin.name)]
    if rig is not None:
        warnings += [
            *_other_points(placed, origin, rig),
            *_order(placed, origin, rig),
            *_too_cold(placed, origin, rig),
        ]
    return warnings


def _too_cold(placed: Sequence[Placed], origin: Origin, rig: Rig) -> list[str]:
    """Groups shot in air colder than the bow's maker allows: shot already, but never again."""
    least_k = rig.bow.least_temperature_k
    rows = [
        str(line) for line, one in placed
        if least_k is not None and one.air is not None and one.air.temperature_k < least_k - 1e-9
    ]  # fmt: skip
    wrong = "shot in air colder than the bow's maker allows: limbs may break, do not shoot there"
    return [f"{origin.name}, {origin.row}s {_listed(rows)}: {wrong}"] if rows else []


def _other_points(placed: Sequence[Placed], origin: Origin, rig: Rig) -> list[str]:
    """Groups that calibrate nothing, for another point was shot than the sheet's."""
    _, others = of_point([one.observation for one in placed], rig.arrow.point)
    if not others:
        return []
    point = rig.arrow.point
    named = ", ".join(one.group.name for one in others[:_SHOWN])
    more = f" (and {len(others) - _SHOWN} more)" if len(others) > _SHOWN else ""
    place = f"{origin.name}, column head: {named}{more}"
    wrong = f"moved no mark, for the rig sheet says {point}"
    return [f"{place} {wrong}. The question broadheads tells what they say."]


def _copies(rows: Sequence[tuple[int, tuple[str, ...]]], origin: Origin) -> list[str]:
    """Rows that are the same in every cell."""
    first: dict[tuple[str, ...], int] = {}
    pairs = [
        f"{first[cells]} and {line}"
        for line, cells in rows
        if first.setdefault(cells, line) != line
    ]
    if not pairs:
        return []
    wrong = f"{origin.name}, {origin.row}s {_listed(pairs)}: rows are the same in every cell"
    return [f"{wrong}. Delete one of each pair if an arrow was entered twice."]


def _metres(placed: Sequence[Placed], columns: Sequence[Column], name: str) -> list[str]:
    """Distances that look like metres under a yard's heading."""
    column = next(one for one in columns if one.word == "distance")
    yards = {round(one.observation.distance_m / YARD_M, 3) for one in placed}
    if column.unit_name != "yd" or not yards <= _METRES or not yards & {18, 90} or len(yards) < 2:
        return []
    listed = ", ".join(f"{one:g}" for one in sorted(yards))
    place = f"{name}, column {column.header}"
    wrong = f"{listed} are distances at which targets stand in metres"
    return [f"{place}: {wrong}. Name the column distance_m if they are."]


def _order(placed: Sequence[Placed], origin: Origin, rig: Rig) -> list[str]:
    """Pairs of groups whose readings run against the rig sheet."""
    against: list[tuple[int, int]] = []
    along = 0
    for pin, scale in sorted({(one.observation.pin, one.observation.scale) for one in placed}):
        alike = [one for one in placed if one.observation.scale == scale]
        found, agreeing = _compared(_comparable(alike, pin, rig))
        against += found
        along += agreeing
    if not against:
        return []
    listed = _listed([f"{min(pair)} and {max(pair)}" for pair in against])
    other = "decreases" if rig.sight.farther == "increases" else "increases"
    place = f"{origin.name}, {origin.row}s {listed}, columns distance and reading"
    wrong = f'readings run against farther = "{rig.sight.farther}" in the rig sheet'
    if along == 0:
        mend = f'If the numbers run the other way, set farther = "{other}"; else correct the rows'
        raise BadShots(place, wrong, mend)
    return [f"{place}: {wrong}, by more than misses explain. Check distance and reading there."]


def _comparable(placed: Sequence[Placed], pin: int, rig: Rig) -> Floats:
    """Groups of one pin whose readings must rise with the distance, ordered by it, (4, g).

    Line, distance [m], and between which ends the reading lies, counted so that farther is more,
    once the miss and what else may explain it are given away [m].
    """
    said_ratio, said_radius = rig.sight.reading_per_travel, rig.sight.sight_radius_m
    ratio = GENEROUS_RATIO if said_ratio is None else said_ratio.value
    radius_m = USUAL_RADIUS_M if said_radius is None else said_radius.value
    sign = 1.0 if rig.sight.farther == "increases" else -1.0
    rows = [
        (line, one.distance_m, sign * one.reading_m, abs(group_centre(one.group)[1]))
        for line, one in placed
        if one.pin == pin and one.distance_m >= TURNING_M and abs(one.slope_rad) <= STEEP_RAD
    ]
    line, distance_m, reading_m, up_m = np.array(rows, np.float64).reshape(-1, 4).T
    angle = MISS_SLACK * up_m / distance_m + ANGLE_SLACK_RAD
    slack_m = ratio * radius_m * angle + READING_SLACK_M
    ordered = np.stack([line, distance_m, reading_m - slack_m, reading_m + slack_m])
    ordered = ordered[:, np.isfinite(up_m)]
    return ordered[:, np.argsort(ordered[1], kind="stable")]


def _compared(ordered: Floats) -> tuple[list[tuple[int, int]], int]:
    """Lines of pairs that run against the order, and how many groups run along with it."""
    line, distance_m, low_m, high_m = ordered
    nearer = np.searchsorted(distance_m * APART, distance_m, side="right")
    far = np.flatnonzero(nearer)
    last = nearer[far] - 1  # of the groups that are nearer by enough
    highest_m, lowest_m = np.maximum.accumulate(low_m), np.minimum.accumulate(high_m)
    against = far[high_m[far] < highest_m[last]]
    pairs = [(int(line[np.argmax(low_m[: nearer[place]])]), int(line[place])) for place in against]
    return pairs, int(np.sum(low_m[far] > lowest_m[last]))


def _listed(pairs: Sequence[str]) -> str:
    """First few of many pairs of lines."""
    more = f" (and {len(pairs) - _SHOWN} more)" if len(pairs) > _SHOWN else ""
    return "; ".join(pairs[:_SHOWN]) + more
