"""Slope: marks up and down hill, exactly.

Holds:  the mark on a slope and the level mark to dial instead; a table of both; the rule of
        thumb, shown as what it is.
Never:  doubt, weather of particular places.
Source: docs/physics.md §9; docs/sources.md [HAL].
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.ground.constants import STANDARD_GRAVITY_MPS2
from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import Aim, impact, mark, sight_angle, turning_distance

Floats = NDArray[np.float64]

STEEPEST_RAD = np.pi / 3.0  # 60°
FARTHEST_M = 200.0
KNOTS = 160
WAVES = 24  # of Chebyshev over the slopes; 0.00001 mm at the target


@dataclass(frozen=True)
class SlopeTable:
    """Marks for every distance on every slope; arrays of shape (g, n).

    Parameters
    ----------
    slope_rad : (g,) array
        Slopes, uphill positive. [rad]
    distance_m : (n,) array
        Eye to target along the line of sight. [m]
    reading_m : array
        The marks. [m]
    dial_m : array
        Level distance whose mark is the same; nan if there is none. [m]
    """

    slope_rad: Floats
    distance_m: Floats
    reading_m: Floats
    dial_m: Floats


@dataclass(frozen=True)
class RuleOfThumb:
    """What dialling for the horizontal distance does; arrays of one shape.

    Parameters
    ----------
    dial_m : array
        Horizontal distance. [m]
    miss_m : array
        Impact above the line of sight when its mark is dialled. [m]
    uncorrected_m : array
        Impact above the line of sight when the slant distance is dialled. [m]
    """

    dial_m: Floats
    miss_m: Floats
    uncorrected_m: Floats


def level_equivalent(bow: SightedBow, reading_m: ArrayLike, aim: Aim | None = None) -> Floats:
    """Level distance, past the turning distance, whose mark a reading is.

    Parameters
    ----------
    bow : SightedBow
        One bow, no draws.
    reading_m : (...) array
        Readings. [m]
    aim : Aim, optional
        Pin and air of the level marks.

    Returns
    -------
    (...) array
        Distance; nan for a reading that no level distance has. [m]

    Valid for
    ---------
    Level marks to 200 m; 0.0001 mm of reading from the exact one.

    Source
    ------
    docs/physics.md eq. (9.2).
    """
    level = _on_the_level(aim)
    return _level_distance(bow, bow.scale.tangent(reading_m, level.pin_below_m), level)


def _on_the_level(aim: Aim | None) -> Aim:
    usual = Aim() if aim is None else aim
    return Aim(density_ratio=usual.density_ratio, pin_below_m=usual.pin_below_m)


def _level_distance(bow: SightedBow, tangent: Floats, level: Aim) -> Floats:
    """Distance with this tangent of the sight angle, between exact ones by a cubic.

    Past the turning distance the distance is a smooth function of the root of what the tangent
    has over the least one, though the tangent itself has no slope there.
    """
    turn_m = turning_distance(bow, level)
    distance = turn_m + (_farthest(bow) - turn_m) * np.linspace(0.0, 1.0, KNOTS) ** 1.5
    knots = np.tan(sight_angle(bow, distance, level))
    least, most = knots[0], knots[-1]
    root = np.sqrt(np.maximum(knots - least, 0.0))
    wanted = np.sqrt(np.maximum(tangent - least, 0.0))
    slope = np.gradient(distance, root)
    left = np.clip(np.searchsorted(root, wanted) - 1, 0, KNOTS - 2)
    width = root[left + 1] - root[left]
    s = (wanted - root[left]) / width
    s2, s3 = s * s, s * s * s
    found = (
        distance[left] * (2.0 * s3 - 3.0 * s2 + 1.0)
        + distance[left + 1] * (3.0 * s2 - 2.0 * s3)
        + width * (slope[left] * (s3 - 2.0 * s2 + s) + slope[left + 1] * (s3 - s2))
    )
    return np.where((tangent >= least) & (tangent <= most), found, np.nan)


def _farthest(bow: SightedBow) -> float:
    """How far level marks are looked for: where a slow arrow still arrives."""
    speed_mps = float(np.asarray(bow.speed_mps).item())
    return min(FARTHEST_M, 0.5 * speed_mps**2 / STANDARD_GRAVITY_MPS2)


def slope_table(
    bow: SightedBow, slope_rad: ArrayLike, distance_m: ArrayLike, aim: Aim | None = None
) -> SlopeTable:
    """Marks on slopes, and the level marks to dial instead.

    Parameters
    ----------
    bow : SightedBow
        One bow, no draws.
    slope_rad : (g,) array
        Slopes, uphill positive, at most 60°. [rad]
    distance_m : (n,) array
        Eye to target along the line of sight. [m]
    aim : Aim, optional
        Pin and air.

    Returns
    -------
    SlopeTable
        Both, (g, n).

    Source
    ------
    docs/physics.md eq. (9.1), (9.2).
    """
    level = _on_the_level(aim)
    slopes = np.asarray(slope_rad, dtype=np.float64)
    distance = np.asarray(distance_m, dtype=np.float64)
    tangent = _tangents(bow, slopes, distance, level)
    reading = bow.scale.reading(tangent, level.pin_below_m)
    return SlopeTable(slopes, distance, reading, _level_distance(bow, tangent, level))


def _tangents(bow: SightedBow, slopes: Floats, distance: Floats, level: Aim) -> Floats:
    """Tangent of the sight angle for all slopes and distances, (g, n).

    It is a smooth function of the slope: for many slopes it is solved at Chebyshev's places and
    carried to the others by their polynomial.
    """

    def solved(at: Floats) -> Floats:
        tilted = Aim(at[:, None], level.density_ratio)
        grid = np.broadcast_to(distance, (len(at), len(distance)))
        return np.asarray(np.tan(sight_angle(bow, grid, tilted)))

    if len(slopes) <= WAVES:
        return solved(slopes)
    least, most = slopes.min(), slopes.max()
    middle, half = 0.5 * (most + least), max(0.5 * (most - least), 1e-9)
    turns = np.pi * (np.arange(WAVES) + 0.5) / WAVES
    order = np.arange(WAVES)
    fit = np.cos(np.outer(order, turns)) * (2.0 - (order == 0))[:, None] / WAVES
    waves = np.cos(np.outer(np.arccos(np.clip((slopes - middle) / half, -1.0, 1.0)), order))
    places = middle + half * np.cos(turns)
    return np.asarray(np.einsum("gk,kj,jn->gn", waves, fit, solved(places), optimize=True))


def rule_of_thumb(
    bow: SightedBow, slope_rad: ArrayLike, distance_m: ArrayLike, aim: Aim | None = None
) -> RuleOfThumb:
    """How wrong "dial the horizontal distance" is.

    Parameters
    ----------
    bow : SightedBow
        One bow, no draws.
    slope_rad : (...) array
        Slope, uphill positive. [rad]
    distance_m : (...) array
        Eye to target along the line of sight. [m]
    aim : Aim, optional
        Pin and air.

    Returns
    -------
    RuleOfThumb
        All inputs broadcast. Its misses, and those of no correction at all.

    Source
    ------
    docs/physics.md eq. (9.3); [HAL].
    """
    level = _on_the_level(aim)
    slope = np.asarray(slope_rad, dtype=np.float64)
    distance = np.asarray(distance_m, dtype=np.float64)
    flat = distance * np.cos(slope)
    tilted = Aim(slope, level.density_ratio, level.pin_below_m)
    _, miss = impact(bow, distance, mark(bow, flat, level), tilted)
    _, uncorrected = impact(bow, distance, mark(bow, distance, level), tilted)
    return RuleOfThumb(flat, miss, uncorrected)
