"""Pocket: put a calibration into a card that needs no program and no signal.

Holds:  the PocketCard record and the errand that makes it.
Never:  formulas, sentences, HTML.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.confidence.bands import bands, drawn_tangents, within_reach
from tapewright.confidence.limits import ReadingLimits, reading_limits
from tapewright.confidence.posterior import Posterior
from tapewright.field.middle_bow import middle_bow
from tapewright.field.pocket_table import FARTHEST_M, NEAREST_M, STEEPEST_RAD, PocketTable
from tapewright.field.pocket_table import pocket_table as table_of
from tapewright.field.range_card import hold_window
from tapewright.ground.errors import LaunchUnreachable
from tapewright.services.calibrate import Answer
from tapewright.services.stops import refuse_stopped
from tapewright.sight.bow import SightedBow, scalar_bow
from tapewright.sight.prediction import Aim, mark, turning_distance

__all__ = ["FARTHEST_M", "NEAREST_M", "PinMarks", "PocketCard", "make_pocket_card"]

Floats = NDArray[np.float64]

DISTANCES = 28  # of the bands; between them straight lines
SLOPES = 13  # each 10°
DRAWS = 500  # for bands on slopes: their ends are good to a tenth of the band


@dataclass(frozen=True)
class PinMarks:
    """Marks and bands of one pin."""

    below_m: float  # drop of the pin below the first
    trusted_m: float  # trusted distance; 0 for none
    # Ends of the band minus the mark of the middle bow, on each slope at each distance
    low_m: Floats
    high_m: Floats
    listed_m: Floats  # mark and band on the level at the listed distances
    listed_low_m: Floats
    listed_high_m: Floats


@dataclass(frozen=True)
class PocketCard:
    """A calibration as a card carries it."""

    answer: Answer  # the calibration it is made from
    bow: SightedBow  # the one whose marks the card gives: on the level they are those of the tape
    table: PocketTable  # its marks in coefficients
    turning_m: float  # distance nearer than which marks run back, on the level
    slope_rad: Floats  # slopes of the bands
    distance_m: Floats  # distances of the bands
    listed_m: Floats  # distances of the printed list
    hold_near_m: Floats  # hold window of each for the tolerance, on the level
    hold_far_m: Floats
    pins: tuple[PinMarks, ...]  # the first first
    limits: ReadingLimits  # where the sight must not go


def make_pocket_card(answer: Answer, listed_m: ArrayLike) -> PocketCard:
    """Everything a pocket card shows, in numbers."""
    refuse_stopped(answer.rig)
    posterior = answer.posterior
    reach_m = float(within_reach(posterior, np.arange(NEAREST_M, FARTHEST_M + 1e-9))[-1])
    bow = _bow(posterior, reach_m)
    unknowns = posterior.calibration.evidence.prior.unknowns
    numbers = np.arange(1, unknowns.pins + 2)
    below = tuple(_below(posterior, bow, pin, reach_m) for pin in numbers.tolist())
    table = table_of(bow, answer.rig.air, below, reach_m)
    distance = _spread(table.farthest_m)
    slope = np.linspace(-STEEPEST_RAD, STEEPEST_RAD, SLOPES)
    tangents = _tangents(posterior, distance, slope)
    listed = np.asarray(listed_m, dtype=np.float64)
    listed = listed[(listed >= NEAREST_M) & (listed <= table.farthest_m)]
    pins = tuple(
        _pin(answer, bow, pin, drop, (tangents, slope, distance, listed))
        for pin, drop in zip(numbers.tolist(), below, strict=True)
    )
    near, far = hold_window(bow, listed, answer.rig.archer.tolerance_m)
    return PocketCard(
        answer=answer,
        bow=bow,
        table=table,
        turning_m=turning_distance(bow),
        slope_rad=slope,
        distance_m=distance,
        listed_m=listed,
        hold_near_m=near,
        hold_far_m=far,
        pins=pins,
        limits=reading_limits(posterior),
    )


def _bow(posterior: Posterior, reach_m: float) -> SightedBow:
    """The bow whose level marks are the medians of the draws' marks."""
    unknowns = posterior.calibration.evidence.prior.unknowns
    middle = scalar_bow(unknowns.bow(np.median(posterior.vectors, axis=0)))
    distance = np.linspace(NEAREST_M, reach_m, 3 * DISTANCES)
    return middle_bow(middle, distance, bands(posterior, distance).reading_m)


def _below(posterior: Posterior, bow: SightedBow, pin: int, reach_m: float) -> float:
    """Drop of a pin with which its level marks come nearest to those of the tape. [m]"""
    if pin == 1:
        return 0.0
    unknowns = posterior.calibration.evidence.prior.unknowns
    middle = np.median(posterior.vectors, axis=0)
    below_m = float(unknowns.pin_below(middle, np.array([pin])).item())
    distance = np.linspace(NEAREST_M, reach_m, DISTANCES)
    wanted = bands(posterior, distance, pin=pin).reading_m
    off = mark(bow, distance, Aim(pin_below_m=below_m)) - wanted
    middle_off = 0.5 * float(np.nanmax(off) + np.nanmin(off))
    per_drop = bow.scale.reading_per_tangent_m / bow.scale.sight_radius_m
    return below_m + middle_off / float(per_drop)


def _spread(farthest_m: float) -> Floats:
    """Distances that lie closer where bands change fast."""
    share = np.linspace(0.0, 1.0, DISTANCES)
    return np.asarray(NEAREST_M + (farthest_m - NEAREST_M) * share**1.5)


def _tangents(posterior: Posterior, distance: Floats, slope: Floats) -> tuple[Floats, ...]:
    """Tangents of draws on each slope; those of the level where some draw does not arrive."""
    step = max(len(posterior.vectors) // DRAWS, 1)
    few = replace(posterior, vectors=posterior.vectors[::step])
    level = drawn_tangents(few, distance)
    found = []
    for one in slope.tolist():
        try:
            found.append(drawn_tangents(few, distance, Aim(slope_rad=one)) if one else level)
        except LaunchUnreachable:
            found.append(level)
    return tuple(found)


def _pin(
    answer: Answer,
    bow: SightedBow,
    pin: int,
    below_m: float,
    places: tuple[tuple[Floats, ...], Floats, Floats, Floats],
) -> PinMarks:
    tangents, slope, distance, listed = places
    posterior, probability = answer.posterior, answer.bands.probability
    unknowns = posterior.calibration.evidence.prior.unknowns
    step = max(len(posterior.vectors) // DRAWS, 1)
    few = posterior.vectors[::step]
    drops, scale = unknowns.pin_below(few, np.array([pin])), unknowns.bow(few).scale
    tail = 0.5 * (1.0 - probability)
    ends = []
    level = bands(posterior, distance, probability, pin)  # from all draws, as on the tape
    for one, climb in zip(tangents, slope.tolist(), strict=True):
        centre = mark(bow, distance, Aim(slope_rad=climb, pin_below_m=below_m))
        band = np.quantile(scale.reading(one, drops), [tail, 1.0 - tail], axis=0)
        ends.append((band if climb else np.array([level.low_m, level.high_m])) - centre)
    found = bands(posterior, listed, probability, pin)
    return PinMarks(
        below_m=below_m,
        trusted_m=answer.trusted_m[pin - 1],
        low_m=np.array([low for low, _ in ends]),
        high_m=np.array([high for _, high in ends]),
        listed_m=mark(bow, listed, Aim(pin_below_m=below_m)),
        listed_low_m=found.low_m,
        listed_high_m=found.high_m,
    )
