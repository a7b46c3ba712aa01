"""Pocket table: all marks of a bow in a few hundred numbers.

Distance × tangent of the sight angle is nearly a polynomial in distance, slope and temperature.
Its Chebyshev coefficients are small enough to be carried in a pocket and summed by anything that
can multiply; a reading follows by the scale.

Holds:  the PocketTable record: domain, coefficients, how far off its readings are; tangents out
        of it.
Never:  a second flight; doubt; how a table is shown or written.
Source: docs/physics.md eq. (9.13) to (9.15).
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.flight.air import Air, air_density
from tapewright.ground.errors import LaunchUnreachable
from tapewright.ground.units import ZERO_CELSIUS_K
from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import Aim, sight_angle

Floats = NDArray[np.float64]

NEAREST_M = 3.0
FARTHEST_M = 110.0
STEEPEST_RAD = np.pi / 3.0  # 60°
COLDEST_K, HOTTEST_K = ZERO_CELSIUS_K - 20.0, ZERO_CELSIUS_K + 45.0
ORDERS = (20, 14, 5)  # of distance, slope, temperature: under 0.002 mm for usual bows
SHORTER = 0.9  # if an arrow does not go so far, or turns too sharply to be a polynomial
ENOUGH_M = 0.01e-3  # a tenth of what a pointer can be set to
GRAIN_M = 1e-7  # coefficients are written in whole numbers of this: 0.0001 mm of reading
LEAST_M = 20.0
CHECKED = 3000


@dataclass(frozen=True)
class PocketTable:
    """All marks of one bow in coefficients.

    Parameters
    ----------
    farthest_m : float
        End of the domain; it begins at 3 m. [m]
    heights_m : (i, j, k) array
        Chebyshev coefficients of distance × tangent. [m]
    error_m : float
        Worst difference of a reading from the exact mark, over places spread evenly over the
        domain and its edges. [m]
    checked : int
        How many places. [-]
    """

    farthest_m: float
    heights_m: Floats
    error_m: float
    checked: int

    def tangent(
        self, distance_m: ArrayLike, slope_rad: ArrayLike, temperature_k: ArrayLike
    ) -> Floats:
        """Tangent of the sight angle.

        Parameters
        ----------
        distance_m, slope_rad, temperature_k : (n,) array
            Distance, slope (uphill positive), temperature of the air. [m], [rad], [K]

        Returns
        -------
        (n,) array
            Tangent. [-]

        Source
        ------
        docs/physics.md eq. (9.13).
        """
        distance = np.asarray(distance_m, dtype=np.float64)
        places = (
            _place(distance, NEAREST_M, self.farthest_m),
            _place(np.asarray(slope_rad, dtype=np.float64), -STEEPEST_RAD, STEEPEST_RAD),
            _place(np.asarray(temperature_k, dtype=np.float64), COLDEST_K, HOTTEST_K),
        )
        waves = [
            np.cos(np.multiply.outer(np.arange(order), np.arccos(place)))
            for order, place in zip(self.heights_m.shape, places, strict=True)
        ]
        return np.asarray(np.einsum("ijk,in,jn,kn->n", self.heights_m, *waves) / distance)


def _place(value: Floats, low: float, high: float) -> Floats:
    """Where a value lies in its domain, −1 to 1."""
    return np.asarray(np.clip((2.0 * value - low - high) / (high - low), -1.0, 1.0))


def _nodes(order: int, low: float, high: float) -> Floats:
    cosines = np.cos(np.pi * (np.arange(order) + 0.5) / order)
    return np.asarray(0.5 * (low + high) + 0.5 * (high - low) * cosines)


def _to_coefficients(order: int) -> Floats:
    """Matrix from values at the nodes to coefficients, (order, order)."""
    waves = np.arange(order)
    angles = np.pi * (np.arange(order) + 0.5) / order
    return np.asarray(np.cos(np.outer(angles, waves)) * (2.0 - (waves == 0)) / order)


def _density_ratio(home: Air, temperature_k: Floats) -> Floats:
    """Density of the air of home at another temperature, over that at home."""
    density = air_density(temperature_k, home.pressure_pa, home.relative_humidity)
    return np.asarray(density / home.density_kg_m3)


def _exact(bow: SightedBow, home: Air, distance: Floats, slope: Floats, warmth: Floats) -> Floats:
    """Tangents from the forward model; all arguments of one shape."""
    aim = Aim(slope_rad=slope, density_ratio=_density_ratio(home, warmth))
    return np.asarray(np.tan(sight_angle(bow, distance, aim)))


def _heights(bow: SightedBow, home: Air, farthest_m: float) -> Floats:
    """Coefficients of distance × tangent, eq. (9.13), in whole grains."""
    distance, slope, warmth = np.meshgrid(
        _nodes(ORDERS[0], NEAREST_M, farthest_m),
        _nodes(ORDERS[1], -STEEPEST_RAD, STEEPEST_RAD),
        _nodes(ORDERS[2], COLDEST_K, HOTTEST_K),
        indexing="ij",
    )
    values = distance * _exact(bow, home, distance, slope, warmth)
    matrices = [_to_coefficients(order) for order in ORDERS]
    coefficients = np.einsum("abc,ai,bj,ck->ijk", values, *matrices)
    return np.asarray(GRAIN_M * np.round(coefficients / GRAIN_M))


def _spread_evenly(count: int) -> Floats:
    """Places in a cube of −1 to 1 that leave no hole, each third one moved to an edge; (3, n).

    Multiples of three irrational numbers, with the plastic number of three dimensions.
    """
    root = 1.2207440846057596  # of x⁴ = x + 1
    steps = root ** -np.arange(1.0, 4.0)
    places = 2.0 * np.mod(0.5 + np.outer(steps, np.arange(1, count + 1)), 1.0) - 1.0
    for axis in range(3):
        places[axis, axis::9] = np.sign(places[axis, axis::9])
    return np.asarray(places)


def _error(
    bow: SightedBow, home: Air, table: PocketTable, pins_below_m: tuple[float, ...]
) -> float:
    """Worst difference of a reading between table and forward model, over all pins. [m]"""
    across, up, warm = _spread_evenly(CHECKED)
    distance = NEAREST_M + 0.5 * (across + 1.0) * (table.farthest_m - NEAREST_M)
    slope, warmth = STEEPEST_RAD * up, COLDEST_K + 0.5 * (warm + 1.0) * (HOTTEST_K - COLDEST_K)
    wanted = _exact(bow, home, distance, slope, warmth)
    found = table.tangent(distance, slope, warmth)
    pins = (bow.scale.reading(wanted, pin) - bow.scale.reading(found, pin) for pin in pins_below_m)
    return max(float(np.nanmax(np.abs(one), initial=0.0)) for one in pins)


def pocket_table(
    bow: SightedBow,
    home: Air,
    pins_below_m: tuple[float, ...] = (0.0,),
    farthest_m: float = FARTHEST_M,
) -> PocketTable:
    """All marks of a bow in a few hundred numbers.

    The domain reaches from 3 to 110 m, from 60° downhill to 60° uphill and from −20 to 45 °C at
    the pressure and humidity of home. For an arrow that does not go so far on the steepest
    slope, it ends nearer.

    Parameters
    ----------
    bow : SightedBow
        One bow, no draws.
    home : Air
        The air that the bow's drag is for.
    pins_below_m : tuple of float, default the first alone
        Drop of each pin below the first. [m]
    farthest_m : float, default 110
        Where the domain should end. [m]

    Returns
    -------
    PocketTable
        Domain, coefficients, and how far off its readings are.

    Raises
    ------
    LaunchUnreachable
        If the arrow does not even go 20 m.

    Source
    ------
    docs/physics.md eq. (9.13) to (9.15).
    """
    end_m = farthest_m
    while end_m >= LEAST_M:
        table = _tried(bow, home, end_m, pins_below_m)
        if table is not None:
            return table
        end_m *= SHORTER
    raise LaunchUnreachable(LEAST_M)


def _tried(
    bow: SightedBow, home: Air, farthest_m: float, pins_below_m: tuple[float, ...]
) -> PocketTable | None:
    """A table to a distance; None if the arrow does not go there or it is not near enough."""
    ends = STEEPEST_RAD * np.linspace(-1.0, 1.0, 9)
    try:  # the far edge alone first: searches that find nothing are the slow ones
        _exact(bow, home, np.full(9, farthest_m), ends, np.full(9, COLDEST_K))
        heights = _heights(bow, home, farthest_m)
        table = PocketTable(farthest_m, heights, 0.0, CHECKED)
        error_m = _error(bow, home, table, pins_below_m)
    except LaunchUnreachable:
        return None
    return replace(table, error_m=error_m) if error_m <= ENOUGH_M else None
