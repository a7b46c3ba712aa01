"""Learn clicks: what one click does, and how large it is when the maker's figure is unknown.

Holds:  the ClickRow, TurnedGroup, LearntClick and FoundClicks records; the table of clicks; the
        regression of groups on clicks turned.
Never:  formulas of flight (sight), files, sentences.
Source: docs/physics.md eq. (6.15).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtri, stdtrit

from tapewright.calibration.fit import Calibration
from tapewright.calibration.kinds import stated_or_usual, usual_of
from tapewright.calibration.observation import Observation
from tapewright.calibration.rig import Rig
from tapewright.ground.errors import CalibrationFailed
from tapewright.services.measure_groups import Banded, KnownScatter, known_scatter
from tapewright.sight.prediction import impact_gradient, mark
from tapewright.target.group import Group

__all__ = [
    "ClickRow",
    "FoundClicks",
    "LearntClick",
    "TurnedGroup",
    "click_table",
    "learn_clicks",
]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class ClickRow:
    """What a turn of the sight does at one distance."""

    distance_m: float  # the distance and the mark for it
    mark_m: float
    up_per_reading: float  # rise of the impact per change of reading, signed as the numbers run
    # Shift of the impact to the right per way of the pin to the right; negative: the impact goes
    # the other way
    right_per_pin: float
    up_click_m: float | None  # the same per click, without sign; None: no click on the sheet
    right_click_m: float | None


@dataclass(frozen=True, slots=True)
class TurnedGroup:
    """A group shot after so many clicks were turned from a start."""

    group: Group  # where the arrows landed
    distance_m: float  # eye to target
    clicks: float | None = None  # elevation clicks from the start, positive toward larger numbers
    # Windage clicks from the start, positive when the pin went right
    right_clicks: float | None = None


@dataclass(frozen=True, slots=True)
class LearntClick:
    """The size of a click, learnt from arrows."""

    axis: str  # ``"elevation"`` or ``"windage"``
    click_m: Banded  # change of reading, or way of the pin, per click
    angle_rad: Banded  # angle by which the impact goes per click, signed as the clicks were counted
    groups: int  # how many told it
    arrows: int


@dataclass(frozen=True, slots=True)
class FoundClicks:
    """What clicks do, and what was learnt of them."""

    rig: Rig  # the sheet
    rows: tuple[ClickRow, ...]  # one for each distance
    learnt: tuple[LearntClick, ...]  # sizes learnt from arrows; may be empty
    probability: float  # of the bands of what was learnt


def click_table(fitted: Calibration, distance_m: ArrayLike) -> tuple[ClickRow, ...]:
    """What one click does at each distance."""
    distance = np.asarray(distance_m, dtype=np.float64)
    unknowns, sight = fitted.evidence.prior.unknowns, fitted.rig.sight
    bow = unknowns.bow(fitted.best)
    marks = mark(bow, distance)
    slopes = impact_gradient(bow, distance, marks).by_reading
    rows = []
    for place, one_m in enumerate(distance):
        right = -float(one_m) / unknowns.sight_radius_m
        up = float(slopes[place])
        up_click_m = None if sight.elevation_click_m is None else abs(up) * sight.elevation_click_m
        right_click_m = None if sight.windage_click_m is None else -right * sight.windage_click_m
        rows.append(
            ClickRow(float(one_m), float(marks[place]), up, right, up_click_m, right_click_m)
        )
    return tuple(rows)


def learn_clicks(
    fitted: Calibration, turned: Sequence[TurnedGroup], probability: float = 0.9
) -> tuple[LearntClick, ...]:
    """Size of the clicks from groups between which clicks were turned."""
    known = known_scatter(
        [Observation(one.group, one.distance_m, 0.0) for one in turned], fitted.rig
    )
    found = [
        learnt
        for axis in ("elevation", "windage")
        if (learnt := _learn(fitted, turned, axis, known, probability)) is not None
    ]
    if not found:
        raise CalibrationFailed(
            "These groups do not tell the size of a click",
            "Shoot two groups at one distance and turn twenty clicks or more between them",
        )
    return tuple(found)


def _learn(
    fitted: Calibration,
    turned: Sequence[TurnedGroup],
    axis: str,
    known: KnownScatter,
    probability: float,
) -> LearntClick | None:
    """One axis, eq. (6.15); None when nothing was turned along it."""
    rows = []
    for one in turned:
        clicks = one.clicks if axis == "elevation" else one.right_clicks
        values, arrows = one.group.along("up" if axis == "elevation" else "right")
        if clicks is not None and arrows.sum() > 0:
            middle = float(np.average(values, weights=arrows)) / one.distance_m
            variance = known.variance_rad2 / arrows.sum() + known.wobble_rad**2
            rows.append((one.distance_m, clicks, middle, 1.0 / variance, arrows.sum()))
    table = np.array(rows, dtype=np.float64).reshape(-1, 5)
    distance, clicks_turned, angle, weight, count = table.T
    about, height = clicks_turned.copy(), angle.copy()
    for here in np.unique(distance):
        same = distance == here
        about[same] -= np.average(clicks_turned[same], weights=weight[same])
        height[same] -= np.average(angle[same], weights=weight[same])
    told = float((weight * about**2).sum())
    if told <= 1e-6 * weight.sum():  # less than a thousandth of a click apart
        return None
    slope = float((weight * about * height).sum()) / told
    middle_m = float(np.average(distance, weights=weight * about**2))
    per_angle_m, relative_sd = _length_per_angle(fitted, middle_m, axis)
    tail = 0.5 * (1.0 - probability)
    reach = -float(stdtrit(known.freedoms, tail)) / sqrt(told)
    click_m = slope * per_angle_m
    half_m = float(np.hypot(reach * per_angle_m, -float(ndtri(tail)) * relative_sd * click_m))
    return LearntClick(
        axis,
        Banded(click_m, click_m - half_m, click_m + half_m),
        Banded(slope, slope - reach, slope + reach),
        len(table),
        int(count.sum()),
    )


def _length_per_angle(fitted: Calibration, distance_m: float, axis: str) -> tuple[float, float]:
    """Reading, or way of the pin to the right, per angle of the impact; its relative doubt."""
    unknowns, sight = fitted.evidence.prior.unknowns, fitted.rig.sight
    if axis == "windage":
        radius = stated_or_usual(sight.sight_radius_m, usual_of(fitted.rig.bow).sight_radius_m)
        return -unknowns.sight_radius_m, (radius.sd or 0.0) / radius.value
    bow, place = unknowns.bow(fitted.best), unknowns.place("log_gain")
    slope = impact_gradient(bow, distance_m, mark(bow, distance_m)).by_reading
    relative_sd = sqrt(float(fitted.covariance[place, place]))
    return distance_m / float(np.squeeze(slope)), relative_sd
