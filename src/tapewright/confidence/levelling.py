"""Levelling: from sideways misses at several distances and slopes back to the tilts behind them.

Groups on level ground tell how far the line of the pin's travel leans from plumb when the bubble
is in the middle; a canted bow and a travel turned on an upright bow look the same there, to a
couple of millimetres. Groups up and down hill tell the level's swing (third axis).

Holds:  the SideGroup, Tilt and Levelling records; the weighted least squares.
Never:  geometry (sight/level.py), what to turn (faces).
Source: docs/physics.md eq. (8.21).
"""

from dataclasses import dataclass
from math import log10
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import gammaincc, ndtri

from tapewright.calibration.evidence import CENTRE_VARIANCE
from tapewright.calibration.prior import SIDE_SD_M, WINDAGE_SD_RAD
from tapewright.confidence.posterior import Posterior
from tapewright.ground.units import DEGREE_RAD
from tapewright.sight.bow import SightedBow
from tapewright.sight.level import (
    cant_miss,
    departure_height,
    left_after_windage,
    peep_miss,
    swung_level_cant,
    travel_miss,
)
from tapewright.sight.prediction import LEVEL, Aim, sight_angle

Floats = NDArray[np.float64]

TILT_SD_RAD = 2.0 * DEGREE_RAD  # common practice, no source: sights are set roughly right by eye
UNTOLD = 0.7  # share of that doubt that is left; above, the groups did not tell
SURE = 2.24  # deviations from zero: one sound test in forty is called tilted, for each tilt
SMALL_RAD = 1e-4  # a tilt for which misses are in proportion


@dataclass(frozen=True, slots=True)
class SideGroup:
    """Where a group lies to the side of a plumb line or an upright aim.

    Parameters
    ----------
    distance_m : float
        Eye to target along the line of sight. [m]
    slope_rad : float
        Slope of the line of sight, uphill positive. [rad]
    right_m : float
        Centre of the group, right of the aim positive. [m]
    arrows : int
        Arrows in the group. [-]
    """

    distance_m: float
    slope_rad: float
    right_m: float
    arrows: int


@dataclass(frozen=True, slots=True)
class Tilt:
    """One tilt as the groups tell it.

    Parameters
    ----------
    name : str
        ``"travel lean"``, top to the right positive, or ``"level swing"``, right end ahead
        positive.
    angle_rad : float
        The likeliest. [rad]
    low_rad, high_rad : float
        Ends of its band. [rad]
    verdict : str
        ``"tilted"`` when chance alone hardly explains it, ``"none seen"`` when it may,
        ``"not told"`` when these groups could not show it.
    at_m : float
        Distance of the group that shows it most; 0 when none does. [m]
    miss_m : float
        What the likeliest tilt costs there. [m]
    hidden_m : float
        What the worst tilt in the band costs there. [m]
    """

    name: Literal["travel lean", "level swing"]
    angle_rad: float
    low_rad: float
    high_rad: float
    verdict: Literal["tilted", "none seen", "not told"]
    at_m: float
    miss_m: float
    hidden_m: float


@dataclass(frozen=True)
class Levelling:
    """What a plumb-line or slope test says.

    Parameters
    ----------
    tilts : tuple of Tilt
        Travel lean, then level swing.
    windage_rad : float
        Windage still off: arrows fly right positive. [rad]
    side_m : float
        Arrows start right of the line of sight. [m]
    surprise : float
        One sound test in 10 to this power scatters as much about the best explanation. [-]
    """

    tilts: tuple[Tilt, Tilt]
    windage_rad: float
    side_m: float
    surprise: float


@dataclass(frozen=True)
class TiltMisses:
    """What given tilts do at some distances; arrays of shape (n,), right positive.

    Parameters
    ----------
    distance_m : array
        Distances. [m]
    cant_right_m, cant_up_m : array
        Of a bow canted for this one shot. [m]
    constant_cant_right_m : array
        Of a bow always canted so, windage set to be right where it was set. [m]
    uphill_right_m, downhill_right_m : array
        Of a swung level on the slope, windage set on the level. [m]
    travel_right_m : array
        Of a leaning travel, windage set likewise. [m]
    peep_m : array
        Of an eye beside the middle of the peep, to the eye's side. [m]
    """

    distance_m: Floats
    cant_right_m: Floats
    cant_up_m: Floats
    constant_cant_right_m: Floats
    uphill_right_m: Floats
    downhill_right_m: Floats
    travel_right_m: Floats
    peep_m: Floats


@dataclass(frozen=True, slots=True)
class Tilts:
    """How much of each tilt, and where windage was set.

    Parameters
    ----------
    cant_rad : float
        Lean of the bow, top to the right positive. [rad]
    swing_rad : float
        Third axis: the level's right end ahead positive. [rad]
    travel_rad : float
        Lean of the travel, lower end to the left positive. [rad]
    peep_m : float
        Eye beside the middle of the peep. [m]
    slope_rad : float
        Slope on which the swung level is looked at. [rad]
    zeroed_m : float
        Distance at which windage was set. [m]
    """

    cant_rad: float
    swing_rad: float
    travel_rad: float
    peep_m: float
    slope_rad: float
    zeroed_m: float


def _middle_bow(posterior: Posterior) -> SightedBow:
    unknowns = posterior.calibration.evidence.prior.unknowns
    return unknowns.bow(np.median(posterior.vectors, axis=0))


def tilt_misses(posterior: Posterior, distance_m: ArrayLike, tilts: Tilts) -> TiltMisses:
    """What tilts do, for the middle bow.

    Parameters
    ----------
    posterior : Posterior
        Draws; only their medians are used: a speed wrong by 1 % changes a miss by 2 %.
    distance_m : (n,) array
        Distances. [m]
    tilts : Tilts
        How much of each.

    Returns
    -------
    TiltMisses
        Right positive.

    Raises
    ------
    LaunchUnreachable
        If the arrow does not reach a distance.

    Source
    ------
    docs/physics.md eq. (5.13) to (5.16).
    """
    bow, distance = _middle_bow(posterior), np.asarray(distance_m, dtype=np.float64)
    right, up = cant_miss(departure_height(bow, distance), tilts.cant_rad)
    zeroed, _ = cant_miss(departure_height(bow, tilts.zeroed_m), tilts.cant_rad)
    swung = [
        cant_miss(
            departure_height(bow, distance, Aim(slope_rad=slope)),
            swung_level_cant(tilts.swing_rad, slope),
        )[0]
        for slope in (tilts.slope_rad, -tilts.slope_rad)
    ]
    tangent, zeroed_tangent = (np.tan(sight_angle(bow, at)) for at in (distance, tilts.zeroed_m))
    return TiltMisses(
        distance_m=distance,
        cant_right_m=right,
        cant_up_m=up,
        constant_cant_right_m=left_after_windage(right, distance, zeroed, tilts.zeroed_m),
        uphill_right_m=swung[0],
        downhill_right_m=swung[1],
        travel_right_m=travel_miss(distance, tangent, zeroed_tangent, tilts.travel_rad),
        peep_m=peep_miss(distance, bow.scale.sight_radius_m, tilts.peep_m),
    )


def _merged(groups: tuple[SideGroup, ...]) -> tuple[Floats, Floats, Floats, Floats]:
    """Distance, slope, centre and arrows; rows shot at one place are one group."""
    places: dict[tuple[float, float], list[SideGroup]] = {}
    for one in groups:
        places.setdefault((one.distance_m, one.slope_rad), []).append(one)
    rows = []
    for (distance, slope), here in places.items():
        arrows = sum(one.arrows for one in here)
        centre = sum(one.arrows * one.right_m for one in here) / arrows
        rows.append((distance, slope, centre, arrows))
    distance, slope, centre, arrows = np.array(rows, dtype=np.float64).T
    return distance, slope, centre, arrows


def _centre_sd(posterior: Posterior, distance: Floats, arrows: Floats) -> Floats:
    """How well a group's centre is known, from the archer's own spread."""
    unknowns, middle = (
        posterior.calibration.evidence.prior.unknowns,
        np.median(posterior.vectors, axis=0),
    )
    spread, wobble = (
        np.exp(middle[unknowns.place(name)]) for name in ("log_dispersion_right", "log_wobble")
    )
    return np.asarray(
        distance * np.sqrt(CENTRE_VARIANCE * spread**2 / arrows + wobble**2), dtype=np.float64
    )


def find_tilts(
    posterior: Posterior, groups: tuple[SideGroup, ...], probability: float = 0.9
) -> Levelling:
    """Tilts behind the sideways misses of a plumb-line or slope test.

    Parameters
    ----------
    posterior : Posterior
        Draws: tell the drop at each distance and the archer's spread.
    groups : tuple of SideGroup
        At least one; all shot with one windage setting.
    probability : float, default 0.9
        Chance with which a band holds the truth. [-]

    Returns
    -------
    Levelling
        Travel lean and level swing with bands, and the windage that explains the rest.

    Raises
    ------
    LaunchUnreachable
        If the arrow does not reach a distance.

    Source
    ------
    docs/physics.md eq. (8.21).
    """
    bow = _middle_bow(posterior)
    distance, slope, centre, arrows = _merged(groups)
    aim = LEVEL if not slope.any() else Aim(slope_rad=slope)
    tangent = np.tan(sight_angle(bow, distance, aim))
    drop = departure_height(bow, distance, aim)
    lean = travel_miss(distance, tangent, float(tangent.min()), SMALL_RAD) / SMALL_RAD
    swing = cant_miss(drop, swung_level_cant(SMALL_RAD, slope))[0] / SMALL_RAD
    causes = np.stack([lean, swing, distance, np.ones_like(distance)], axis=1)
    prior_sd = np.array([TILT_SD_RAD, TILT_SD_RAD, WINDAGE_SD_RAD, SIDE_SD_M])
    sd = _centre_sd(posterior, distance, arrows)
    scaled = causes / sd[:, None] * prior_sd
    curvature = scaled.T @ scaled + np.eye(4)
    covariance = np.linalg.inv(curvature)
    found = covariance @ scaled.T @ (centre / sd)
    left = centre / sd - scaled @ found
    reach = float(ndtri(0.5 + 0.5 * probability))
    told = np.sqrt(np.diag(covariance))
    worst = [_worst(distance, np.abs(causes[:, place])) for place in (0, 1)]
    travel = _tilt("travel lean", (found[0], told[0], reach), worst[0])
    level = _tilt("level swing", (found[1], told[1], reach), worst[1])
    windage, side = (float(one) for one in (found * prior_sd)[2:])
    # What is left plus what was spent on the beliefs has as many freedoms as there are groups.
    chance = float(gammaincc(0.5 * len(centre), 0.5 * (left @ left + found @ found)))
    return Levelling((travel, level), windage, side, -log10(max(chance, 1e-12)))


def _worst(distance: Floats, per_rad: Floats) -> tuple[float, float]:
    """Where a tilt shows most, and what it costs there per radian."""
    place = int(np.argmax(per_rad))
    return (float(distance[place]), float(per_rad[place])) if per_rad[place] > 0.0 else (0.0, 0.0)


def _tilt(
    name: Literal["travel lean", "level swing"],
    told: tuple[float, float, float],
    worst: tuple[float, float],
) -> Tilt:
    """One tilt, from its share of the belief, the share of doubt left, and the band's reach."""
    at_m, per_rad = worst
    middle, doubt, reach = told
    low, high = (TILT_SD_RAD * (middle + side * reach * doubt) for side in (-1.0, 1.0))
    verdict: Literal["tilted", "none seen", "not told"] = "none seen"
    if doubt > UNTOLD:
        verdict = "not told"
    elif abs(middle) > SURE * doubt:
        verdict = "tilted"
    return Tilt(
        name,
        float(TILT_SD_RAD * middle),
        float(low),
        float(high),
        verdict,
        at_m,
        float(abs(TILT_SD_RAD * middle) * per_rad),
        float(max(abs(low), abs(high)) * per_rad),
    )
