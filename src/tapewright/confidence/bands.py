"""Bands: how uncertain each mark is, and how far the tape can be trusted.

Holds:  the Bands and Spread records; marks with their bands in reading and at the target; trusted
        distance.
Never:  new evidence; how a band is drawn or worded.
Source: docs/physics.md §8.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.confidence.posterior import CURVE_FROM_M, CURVE_TO_M, NODES, Posterior
from tapewright.ground.errors import LaunchUnreachable
from tapewright.sight.prediction import LEVEL, Aim, impact_gradient, sight_angle

Floats = NDArray[np.float64]

NEAREST_TRUSTED_M = 9.144  # the first distance a trusted distance can be: 10 yd
CLOSE_M = 1e-9  # one distance and the same


@dataclass(frozen=True, repr=False)
class Bands:
    """Marks for some distances, and how far each can be wrong; arrays of shape (n,).

    Parameters
    ----------
    probability : float
        Chance with which a band holds the truth. [-]
    distance_m : array
        Distances. [m]
    reading_m : array
        The marks: medians of what is possible. [m]
    low_m, high_m : array
        Ends of each band, low the smaller number. [m]
    impact_low_m, impact_high_m : array
        Where an arrow lands, up of the aim, when the median is dialled and the truth lies at
        the worse and the better end; low the lower on the target. [m]

    Example
    -------
    >>> import numpy as np
    >>> Bands(0.9, *np.ones((6, 1)))
    <Bands: 1 mark from 1 to 1 m, 90 %>
    """

    probability: float
    distance_m: Floats
    reading_m: Floats
    low_m: Floats
    high_m: Floats
    impact_low_m: Floats
    impact_high_m: Floats

    def __repr__(self) -> str:
        where = [f"{one:g}" for one in (*self.distance_m[:1], *self.distance_m[-1:])]
        marks = f"{len(self.distance_m)} mark{'s' * (len(self.distance_m) != 1)}"
        reach = f"{marks} from {' to '.join(where)} m" if where else "no mark"
        return f"<Bands: {reach}, {100.0 * self.probability:g} %>"


@dataclass(frozen=True)
class Spread:
    """Marks of one pin for some distances, before anything is said of them.

    Parameters
    ----------
    probability : float
        Chance with which a band holds the truth. [-]
    distance_m : (n,) array
        Distances. [m]
    marks_m : (d, n) array
        The mark of every draw. [m]
    reading_m, low_m, high_m : (n,) array
        Their medians and the ends of their bands. [m]
    up_per_reading : (n,) array
        Impact at the target per change of reading, for the middle bow. [-]
    """

    probability: float
    distance_m: Floats
    marks_m: Floats
    reading_m: Floats
    low_m: Floats
    high_m: Floats
    up_per_reading: Floats

    def at(self, kept: NDArray[np.bool_] | NDArray[np.intp]) -> "Spread":
        """The same for some of the distances.

        Parameters
        ----------
        kept : (n,) array of bool or (k,) array of int
            Which of them, and in which order.

        Returns
        -------
        Spread
            Of those.
        """
        return Spread(
            self.probability,
            self.distance_m[kept],
            self.marks_m[:, kept],
            self.reading_m[kept],
            self.low_m[kept],
            self.high_m[kept],
            self.up_per_reading[kept],
        )


def on_the_curves(posterior: Posterior, distance_m: ArrayLike) -> bool:
    """Whether level marks for distances come from the posterior's curves.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    distance_m : (n,) array
        Distances. [m]

    Returns
    -------
    bool
        False when each must be solved: an arrow that does not fly so far, a distance past them.
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    within = (distance >= CURVE_FROM_M) & (distance <= CURVE_TO_M)
    return bool(within.all()) and posterior.tangent_curves is not None


def drawn_tangents(posterior: Posterior, distance_m: Floats, aim: Aim = LEVEL) -> Floats:
    """Tangent of the sight angle of every draw at every distance.

    On the level they come from the posterior's curves, if there are any; else each is solved.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    distance_m : (n,) array
        Distances. [m]
    aim : Aim, optional
        One slope and one air for all.

    Returns
    -------
    (d, n) array
        Tangents. [-]

    Source
    ------
    docs/physics.md eq. (8.5).
    """
    curves = posterior.tangent_curves if aim is LEVEL else None
    if curves is None or not on_the_curves(posterior, distance_m):
        return np.asarray(np.tan(sight_angle(posterior.bows(), distance_m, aim)))
    place = (2.0 * distance_m - CURVE_TO_M - CURVE_FROM_M) / (CURVE_TO_M - CURVE_FROM_M)
    waves = np.cos(np.outer(np.arange(NODES), np.arccos(place))) / distance_m
    # A row for each distance: what follows sorts along the draws.
    return np.asarray(np.einsum("kd,kn->nd", np.ascontiguousarray(curves.T), waves).T)


def drawn_marks(
    posterior: Posterior, distance_m: ArrayLike, pin: int = 1, aim: Aim = LEVEL
) -> Floats:
    """Mark of every draw at every distance.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    distance_m : (n,) array
        Distances. [m]
    pin : int, default 1
        Which pin is aimed with. [-]
    aim : Aim, optional
        One slope and one air for all.

    Returns
    -------
    (d, n) array
        Marks. [m]
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    unknowns, vectors = posterior.calibration.evidence.prior.unknowns, posterior.vectors
    below = unknowns.pin_below(vectors, np.array([pin]))
    return posterior.bows().scale.reading(drawn_tangents(posterior, distance, aim), below)


def _impact_per_reading(
    posterior: Posterior, distance: Floats, reading: Floats, pin: int
) -> Floats:
    """Impact at the target per change of reading, for the middle bow, (n,)."""
    unknowns = posterior.calibration.evidence.prior.unknowns
    middle = np.median(posterior.vectors, axis=0)
    below = unknowns.pin_below(middle, np.array([pin]))
    aim = Aim(pin_below_m=below)
    return impact_gradient(unknowns.bow(middle), distance, reading, aim).by_reading


def _shares(drawn: Floats, shares: tuple[float, ...]) -> list[Floats]:
    """Quantiles over the draws of (d, n), interpolated as usual, by one sort."""
    ordered = np.sort(drawn.T, axis=1)  # nan last
    found = []
    for share in shares:
        place = share * (ordered.shape[1] - 1)
        here = min(int(place), ordered.shape[1] - 2)
        low, high = ordered[:, here], ordered[:, here + 1]
        value = low + (place - here) * (high - low)
        found.append(np.where(np.isnan(ordered[:, -1]), np.nan, value))
    return found


def spread_of_marks(
    posterior: Posterior, distance_m: ArrayLike, probability: float = 0.9, pin: int = 1
) -> Spread:
    """Everything from which bands and trusted distance are told.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    distance_m : (n,) array
        Distances. [m]
    probability : float, default 0.9
        Chance with which a band holds the truth. [-]
    pin : int, default 1
        Which pin is aimed with. [-]

    Returns
    -------
    Spread
        Of the marks.
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    marks = drawn_marks(posterior, distance, pin)
    tail = 0.5 * (1.0 - probability)
    low, reading, high = _shares(marks, (tail, 0.5, 1.0 - tail))
    per_reading = _impact_per_reading(posterior, distance, reading, pin)
    return Spread(probability, distance, marks, reading, low, high, per_reading)


def banded_anew(spread: Spread) -> Spread:
    """The same marks with the ends of the band taken anew from the draws.

    Parameters
    ----------
    spread : Spread
        Whose draws were exchanged.

    Returns
    -------
    Spread
        With the ends of its own draws.
    """
    tail = 0.5 * (1.0 - spread.probability)
    low, high = _shares(spread.marks_m, (tail, 1.0 - tail))
    return replace(spread, low_m=low, high_m=high)


def bands_of(spread: Spread) -> Bands:
    """Marks with their bands, from what was drawn.

    Parameters
    ----------
    spread : Spread
        Of the marks.

    Returns
    -------
    Bands
        One mark for each distance.

    Source
    ------
    docs/physics.md eq. (8.6).
    """
    reading, per_reading = spread.reading_m, spread.up_per_reading
    ends = np.stack([(reading - end) * per_reading for end in (spread.low_m, spread.high_m)])
    return Bands(
        spread.probability,
        spread.distance_m,
        reading,
        spread.low_m,
        spread.high_m,
        ends.min(axis=0),
        ends.max(axis=0),
    )


def bands(
    posterior: Posterior, distance_m: ArrayLike, probability: float = 0.9, pin: int = 1
) -> Bands:
    """Marks with their bands.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    distance_m : (n,) array
        Distances. [m]
    probability : float, default 0.9
        Chance with which a band holds the truth. [-]
    pin : int, default 1
        Which pin is aimed with. [-]

    Returns
    -------
    Bands
        One mark for each distance.

    Source
    ------
    docs/physics.md eq. (8.6).
    """
    return bands_of(spread_of_marks(posterior, distance_m, probability, pin))


def within_reach(posterior: Posterior, distance_m: Floats) -> Floats:
    """Those growing distances to which every drawn bow can throw its arrow.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    distance_m : (n,) array
        Distances, growing. [m]

    Returns
    -------
    (k,) array
        The first k of them. [m]
    """
    if on_the_curves(posterior, distance_m):
        return distance_m
    bow = posterior.bows()
    reached, unknown = 0, len(distance_m)
    while reached < unknown:
        middle = (reached + unknown + 1) // 2
        try:
            sight_angle(bow, distance_m[middle - 1 : middle])
            reached = middle
        except LaunchUnreachable:
            unknown = middle - 1
    return distance_m[:reached]


def within_trust(posterior: Posterior, grid_m: Floats) -> Floats:
    """Those growing distances that may be trusted: none too near, none out of reach.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    grid_m : (n,) array
        Distances, growing. [m]

    Returns
    -------
    (k,) array
        A run of them. [m]
    """
    return within_reach(posterior, grid_m[grid_m >= NEAREST_TRUSTED_M - CLOSE_M])


def trusted_distance(
    posterior: Posterior,
    tolerance_m: float,
    distance_m: ArrayLike,
    probability: float = 0.9,
    pin: int = 1,
) -> float:
    """The farthest distance up to which the tape may be trusted.

    Up to there every band, as impact at the target, stays inside the tolerance, and the chance
    that any mark at all misses by more is at most one minus the probability.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    tolerance_m : float
        Radius of the miss that is still good. [m]
    distance_m : (n,) array
        Distances to try, growing; none nearer than 10 yd counts. [m]
    probability : float, default 0.9
        Trust wanted. [-]
    pin : int, default 1
        Which pin is aimed with. [-]

    Returns
    -------
    float
        One of the distances, or 0 when not even the first is trusted. [m]

    Source
    ------
    docs/physics.md eq. (8.7).
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    distance = within_reach(posterior, distance[distance >= NEAREST_TRUSTED_M - 1e-9])
    if not len(distance):
        return 0.0
    return trusted_of(spread_of_marks(posterior, distance, probability, pin), tolerance_m)


def trusted_of(spread: Spread, tolerance_m: float) -> float:
    """The farthest distance up to which the tape may be trusted, from what was drawn.

    Parameters
    ----------
    spread : Spread
        Of the marks, at growing distances from the first that counts.
    tolerance_m : float
        Radius of the miss that is still good. [m]

    Returns
    -------
    float
        One of the distances, or 0 when not even the first is trusted. [m]

    Source
    ------
    docs/physics.md eq. (8.7).
    """
    reading, per_reading = spread.reading_m, np.abs(spread.up_per_reading)
    wider = np.maximum(reading - spread.low_m, spread.high_m - reading)
    good = np.logical_and.accumulate(wider * per_reading <= tolerance_m)
    if not good.any():
        return 0.0
    last = int(np.count_nonzero(good))
    off = np.abs(spread.marks_m[:, :last] - reading[:last]) * per_reading[:last]
    ever = np.logical_or.accumulate(off > tolerance_m, axis=1).mean(axis=0)
    kept = int(np.count_nonzero(ever <= 1.0 - spread.probability))  # ever grows with distance
    return float(spread.distance_m[kept - 1]) if kept else 0.0
