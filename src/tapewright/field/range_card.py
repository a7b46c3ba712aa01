"""Range card: what an arrow does at each distance.

Holds:  the Card record: time of flight, speed, energy, momentum, drift, hold window,
        tolerance to a wrong distance; the path over the line of sight; the far distances that
        close marks share.
Never:  marks' bands (confidence), paper, sentences, slopes (slope.py).
Source: docs/physics.md §9.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.flight.trajectory import Crossing, height_on_the_level
from tapewright.ground.constants import STANDARD_GRAVITY_MPS2 as G
from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import LEVEL, Aim, flight, sight_angle, turning_distance

Floats = NDArray[np.float64]

GUST_MPS = 1.0  # drift is given for this much wind; it is proportional, near enough
NEAREST_M, FARTHEST_M = 2.0, 200.0  # of the other distance that a mark serves
CLOSEST_M = 0.3  # past the launch point; nearer nobody shoots
BEYOND_M = 60.0  # a close mark's window may reach past its far twin
SAMPLES = 240
APART_M = 1e-3  # where both crossings are one: at the turning distance
TWIN_STEPS = 14
CLOSE_M = 1e-6


@dataclass(frozen=True)
class Spread:
    """A quantity with its band; arrays of shape (n,).

    Parameters
    ----------
    middle, low, high : array
        Median and ends of the band. [unit of the quantity]
    """

    middle: Floats
    low: Floats
    high: Floats


@dataclass(frozen=True)
class Card:
    """What an arrow does at each distance; arrays of shape (n,).

    Parameters
    ----------
    time_s, speed_mps, energy_j, momentum_n_s : Spread
        At impact. [s], [m/s], [J], [kg·m/s]
    drift_m : Spread
        To the right for 1 m/s of wind to the right. [m]
    hold_near_m, hold_far_m : array
        Nearest and farthest distance at which the mark keeps the impact inside the radius. [m]
    early_m, late_m : array
        How much nearer and farther the target may be than was thought before the miss exceeds
        the radius. [m]
    radius_m : float
        The radius of the hold window. [m]
    turning_m : float
        Distance nearer than which marks run back. [m]
    twin_m : array
        The other distance with the same mark; nan if there is none. [m]
    """

    time_s: Spread
    speed_mps: Spread
    energy_j: Spread
    momentum_n_s: Spread
    drift_m: Spread
    hold_near_m: Floats
    hold_far_m: Floats
    early_m: Floats
    late_m: Floats
    radius_m: float
    turning_m: float
    twin_m: Floats


def _flight(bow: SightedBow, distance: Floats, aim: Aim) -> Crossing:
    """The flight that hits each distance on the level."""
    angle = sight_angle(bow, distance)
    along = distance - bow.peep_height_m * np.sin(angle) - bow.launch_ahead_m * np.cos(angle)
    return flight(bow, angle, along, aim, windy=aim.is_windy)


def path_height(bow: SightedBow, angle_rad: ArrayLike, at_m: ArrayLike) -> Floats:
    """Height of the arrow over the line of sight, on the level in still air.

    Parameters
    ----------
    bow : SightedBow
        One bow, fields plain numbers.
    angle_rad : (...) array
        Sight angle it is shot with. [rad]
    at_m : (...) array
        Distance from the eye, past the launch point. [m]

    Returns
    -------
    (...) array
        Up positive; nan where the arrow does not reach. [m]

    Source
    ------
    docs/physics.md eq. (5.5).
    """
    angle, at = np.asarray(angle_rad, dtype=np.float64), np.asarray(at_m, dtype=np.float64)
    sin, cos = np.sin(angle), np.cos(angle)
    along = at - bow.peep_height_m * sin - bow.launch_ahead_m * cos
    if bow.shape is None:
        flown = height_on_the_level(bow.speed_mps, angle, bow.drag_per_m, along)
    else:
        flown = flight(bow, angle, along).across_m
    return np.asarray(flown + bow.launch_ahead_m * sin - bow.peep_height_m * cos)


def hold_window(bow: SightedBow, distance_m: ArrayLike, radius_m: float) -> tuple[Floats, Floats]:
    """Nearest and farthest distance that one reading serves.

    Parameters
    ----------
    bow : SightedBow
        One bow, fields plain numbers.
    distance_m : (n,) array
        Distances whose marks are dialled. [m]
    radius_m : float
        Radius of the miss that is still good. [m]

    Returns
    -------
    (n,) array, (n,) array
        Nearest, down to a foot past the launch point, and farthest. [m]

    Valid for
    ---------
    A hundredth of a metre, for radii of a hand's breadth or less.

    Source
    ------
    docs/physics.md eq. (9.5).
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    angle = sight_angle(bow, distance)[:, None]
    least_m = np.minimum(bow.launch_ahead_m + CLOSEST_M, distance)[:, None]
    steps = np.linspace(0.0, 1.0, SAMPLES)
    here = distance[:, None]
    nearer = here + (least_m - here) * steps
    farther = here + np.maximum(here, BEYOND_M) * steps
    near, far = (_edge(at, path_height(bow, angle, at), radius_m) for at in (nearer, farther))
    return near, far


def _edge(at: Floats, height: Floats, radius_m: float) -> Floats:
    """Where, going outward from the target, the height first leaves the radius; (n,)."""
    off = np.where(np.isfinite(height), np.abs(height), np.inf)
    outside = off > radius_m
    leaves = outside.any(axis=1)
    first = np.maximum(np.argmax(outside, axis=1), 1)
    rows = np.arange(len(at))
    inner, outer = off[rows, first - 1], off[rows, first]
    share = np.clip((radius_m - inner) / np.maximum(outer - inner, 1e-12), 0.0, 1.0)
    crossed = at[rows, first - 1] + share * (at[rows, first] - at[rows, first - 1])
    return np.where(leaves, crossed, at[:, -1])


def twin_distances(bow: SightedBow, distance_m: ArrayLike) -> Floats:
    """The other distance that each mark serves: nearer for a far one, farther for a close one.

    Parameters
    ----------
    bow : SightedBow
        One bow, fields plain numbers.
    distance_m : (n,) array
        Distances. [m]

    Returns
    -------
    (n,) array
        The other crossing of the line of sight; nan if it lies outside 2 to 200 m. [m]

    Source
    ------
    docs/physics.md eq. (9.6): secant steps on the height over its distance from the known root.
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    angle = sight_angle(bow, distance)
    rule = 2.0 * bow.peep_height_m * np.square(bow.speed_mps) / (G * distance)  # eq. (5.8)

    def reduced(at: Floats) -> Floats:
        apart = np.where(np.abs(at - distance) < APART_M, APART_M, at - distance)
        return path_height(bow, angle, at) / apart

    one = np.clip(rule, NEAREST_M, FARTHEST_M)
    other = 0.98 * one
    before = reduced(other)
    for _ in range(TWIN_STEPS):
        now = reduced(one)
        change = np.where(now == before, np.inf, now - before)
        step = np.clip(now * (one - other) / change, -0.3 * one, 0.3 * one)
        step = np.where(np.abs(one - other) < CLOSE_M, 0.0, step)  # there: only noise is left
        one, other, before = one - step, one, now
    good = (np.abs(one - other) < CLOSE_M) & (one >= NEAREST_M) & (one <= FARTHEST_M)
    return np.where(good, one, np.nan)


def range_card(
    draws: SightedBow,
    middle: SightedBow,
    mass_kg: float | Floats,
    distance_m: ArrayLike,
    radius_m: float,
    probability: float = 0.9,
) -> Card:
    """What an arrow does at each distance, on the level, in the rig's own air.

    Parameters
    ----------
    draws : SightedBow
        Equally likely bows, fields of shape (d, 1); a couple of hundred are enough.
    middle : SightedBow
        The middling one, fields plain numbers.
    mass_kg : float or (d, 1) array
        Of the arrow. [kg]
    distance_m : (n,) array
        Distances. [m]
    radius_m : float
        Radius of the hold window. [m]
    probability : float, default 0.9
        Chance with which a band holds the truth. [-]

    Returns
    -------
    Card
        The flight in numbers.

    Source
    ------
    docs/physics.md eq. (9.4) to (9.6).
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    calm = _flight(draws, distance, LEVEL)
    blown = _flight(draws, distance, Aim(crosswind_mps=GUST_MPS))
    tail = 0.5 * (1.0 - probability)

    def spread(values: Floats) -> Spread:
        low, median, high = np.quantile(values, [tail, 0.5, 1.0 - tail], axis=0)
        return Spread(median, low, high)

    near, far = hold_window(middle, distance, radius_m)
    turning_m = turning_distance(middle)
    return Card(
        time_s=spread(calm.time_s),
        speed_mps=spread(calm.speed_mps),
        energy_j=spread(0.5 * mass_kg * np.square(calm.speed_mps)),
        momentum_n_s=spread(mass_kg * calm.speed_mps),
        drift_m=spread(blown.right_m),
        hold_near_m=near,
        hold_far_m=far,
        early_m=distance - near,
        late_m=far - distance,
        radius_m=radius_m,
        turning_m=turning_m,
        twin_m=twin_distances(middle, distance),
    )
