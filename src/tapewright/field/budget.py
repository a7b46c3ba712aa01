"""Budget: which error costs how much at a distance.

Holds:  the Errors and Share records; each error alone, and all together.
Never:  advice in words.
Source: docs/physics.md §9.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapewright.flight.air import Air, air_density
from tapewright.sight.bow import SightedBow
from tapewright.sight.level import cant_miss, departure_height, peep_miss
from tapewright.sight.prediction import Aim, impact, impact_gradient, mark

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Errors:
    """What usually goes wrong, each as one standard deviation.

    Parameters
    ----------
    distance_m : float
        Of judging or measuring a distance. [m]
    cant_rad : float
        Of holding the bow upright. [rad]
    peep_m : float
        Of the eye in the peep. [m]
    wind_mps : float
        Of judging a crosswind. [m/s]
    slope_rad : float
        Of judging a slope. [rad]
    temperature_k : float
        Of the air against the tape's. [K]
    speed_mps : float
        From arrow to arrow. [m/s]
    """

    distance_m: float = 1.0
    cant_rad: float = 0.01
    peep_m: float = 0.25e-3
    wind_mps: float = 1.0
    slope_rad: float = 0.05
    temperature_k: float = 8.0
    speed_mps: float = 0.4


@dataclass(frozen=True, slots=True)
class Share:
    """What one error does at the target, one standard deviation each way.

    Parameters
    ----------
    name : str
        ``"distance"``, ``"cant"``, ``"peep"``, ``"wind"``, ``"slope"``, ``"temperature"``,
        ``"arrow speed"``, ``"dispersion"``, ``"wobble"``, ``"tape"`` or ``"together"``.
    right_m, up_m : float
        Sideways, and up and down. [m]
    saved : float
        Share of the mean square miss that would be gone without it. [-]
    """

    name: str
    right_m: float
    up_m: float
    saved: float


@dataclass(frozen=True, slots=True)
class Habits:
    """What a calibration tells of archer and tape, each as one standard deviation.

    Parameters
    ----------
    dispersion_right_rad, dispersion_up_rad : float
        Spread per arrow. [rad]
    wobble_rad : float
        From group to group. [rad]
    tape_m : float
        Of the mark at the distance, as a reading. [m]
    """

    dispersion_right_rad: float
    dispersion_up_rad: float
    wobble_rad: float
    tape_m: float


def miss_budget(
    bow: SightedBow, air: Air, distance_m: float, errors: Errors, habits: Habits
) -> tuple[Share, ...]:
    """Every error alone, the largest first, and all together at the end.

    Parameters
    ----------
    bow : SightedBow
        The middling bow, fields plain numbers.
    air : Air
        Of the rig.
    distance_m : float
        The distance. [m]
    errors : Errors
        What usually goes wrong.
    habits : Habits
        Archer and tape.

    Returns
    -------
    tuple of Share
        One for each error, then ``"together"``.

    Source
    ------
    docs/physics.md eq. (9.8).
    """
    at = np.array([distance_m])
    reading = mark(bow, at)
    slope = impact_gradient(bow, at, reading)
    drift_m, _ = impact(bow, at, reading, Aim(crosswind_mps=np.array([errors.wind_mps])))
    calm_m, _ = impact(bow, at, reading)
    canted = cant_miss(departure_height(bow, at), errors.cant_rad)
    peep_m = float(peep_miss(distance_m, bow.scale.sight_radius_m, errors.peep_m))
    wobble_m = distance_m * habits.wobble_rad
    spread_right_m = distance_m * habits.dispersion_right_rad
    spread_up_m = distance_m * habits.dispersion_up_rad
    per_speed = float(slope.by_log_speed[0]) / float(np.asarray(bow.speed_mps).item())
    alone = [
        ("distance", 0.0, float(slope.by_distance[0]) * errors.distance_m),
        ("cant", float(canted[0][0]), float(canted[1][0])),
        ("peep", peep_m, peep_m),
        ("wind", float((drift_m - calm_m)[0]), 0.0),
        ("slope", 0.0, _slope_miss(bow, distance_m, errors.slope_rad)),
        ("temperature", 0.0, float(slope.by_log_drag[0]) * _thinning(air, errors)),
        ("arrow speed", 0.0, per_speed * errors.speed_mps),
        ("dispersion", spread_right_m, spread_up_m),
        ("wobble", wobble_m, wobble_m),
        ("tape", 0.0, float(slope.by_reading[0]) * habits.tape_m),
    ]
    total = sum(right**2 + up**2 for _, right, up in alone)
    shares = [
        Share(name, abs(float(right)), abs(float(up)), float((right**2 + up**2) / total))
        for name, right, up in alone
    ]
    shares.sort(key=lambda share: -share.saved)
    together_right = float(np.sqrt(sum(share.right_m**2 for share in shares)))
    together_up = float(np.sqrt(sum(share.up_m**2 for share in shares)))
    return (*shares, Share("together", together_right, together_up, 1.0))


def _slope_miss(bow: SightedBow, distance_m: float, slope_rad: float) -> float:
    """Miss from taking a gentle slope for level ground, the larger of up and down hill."""
    at = np.array([distance_m])
    reading = mark(bow, at)
    misses = [
        float(impact(bow, at, reading, Aim(slope_rad=np.array([way * slope_rad])))[1][0])
        for way in (1.0, -1.0)
    ]
    return max(misses, key=abs)


def _thinning(air: Air, errors: Errors) -> float:
    """Relative change of density for the error of temperature."""
    warmer_k = air.temperature_k + errors.temperature_k
    warmer = air_density(warmer_k, air.pressure_pa, air.relative_humidity)
    return float(np.log(warmer / air.density_kg_m3))
