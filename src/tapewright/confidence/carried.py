"""Carried: the draws as curves, small enough to go along to the range.

Each draw is a curve of marks over distance and a curve of what a reading does at the target. A few
principal components tell all of them, so that whoever has no flight at hand can still weigh new
groups: multiply, add, look up.

Holds:  the CarriedDraws and CarriedDistance records; draws to curves.
Never:  new evidence, rounding to whole numbers (services/carry.py), sentences.
Source: docs/physics.md eq. (8.30) to (8.33).
"""

from dataclasses import dataclass

import numpy as np
from numpy.polynomial import chebyshev
from numpy.typing import NDArray

from tapewright.calibration.evidence import Evidence
from tapewright.calibration.misfit import group_sds, predicted_angles, robust_centres
from tapewright.calibration.observation import distance_doubts
from tapewright.calibration.unknowns import SIDE_NAMES, SPREAD_NAMES
from tapewright.confidence.bands import drawn_marks, within_reach
from tapewright.confidence.posterior import CURVE_TO_M, Posterior
from tapewright.ground.errors import LaunchUnreachable
from tapewright.sight.prediction import Aim, impact, impact_gradient
from tapewright.sight.prediction import mark as mark_of

Floats = NDArray[np.float64]

CARRIED_FROM_M = 3.0
ORDER = 24  # of Chebyshev, for curves over distance
MARK_PARTS, GAIN_PARTS = 6, 3  # principal components of marks; each further pin has one more
OFF_M = 0.02  # how far off its mark a sight may be dialled for the gain to be bent rightly


@dataclass(frozen=True)
class CarriedDistance:
    """A distance at which groups were shot, and its error as the draws have it.

    Parameters
    ----------
    distance_m : float
        As said. [m]
    mean_m : float
        Truth minus what was said, in the mean of the draws. [m]
    by_score_m : (k,) array
        By how much that grows with each of a draw's scores. [m]
    sd_m : float
        What the scores leave open of it, one standard deviation. [m]
    """

    distance_m: float
    mean_m: float
    by_score_m: Floats
    sd_m: float


@dataclass(frozen=True)
class CarriedDraws:
    """All draws as curves over distance: sums of Chebyshev polynomials, of p pins and d draws.

    Parameters
    ----------
    near_m, far_m : float
        Ends of the curves. [m]
    mark_m2 : (p, n) array
        Coefficients of distance × mark, the mean. [m²]
    mark_parts_m2 : (k, p, n) array
        The same of what each score adds. [m²]
    gain : (p, n) array
        Coefficients of the rise of the impact per change of reading, at the mark. [-]
    gain_parts : (j, p, n) array
        The same of what each score adds. [-]
    bend : (p, n) array
        Coefficients of distance × what the square of the straight rise adds. [-]
    mark_score : (d, k) array
        Scores of the draws' marks, each with variance one. [-]
    gain_score : (d, j) array
        Scores of their gains. [-]
    spread : (d, 3) array
        Logarithms of dispersion up and right and of wobble, of [rad]. [-]
    windage : (2,) array, (2, 2) array
        Mean and covariance of windage [rad] and sideways offset [m].
    distances : tuple of CarriedDistance
        Errors of distances that were shot at.
    """

    near_m: float
    far_m: float
    mark_m2: Floats
    mark_parts_m2: Floats
    gain: Floats
    gain_parts: Floats
    bend: Floats
    mark_score: Floats
    gain_score: Floats
    spread: Floats
    windage: tuple[Floats, Floats]
    distances: tuple[CarriedDistance, ...]


def _components(curves: Floats, parts: int) -> tuple[Floats, Floats, Floats]:
    """Mean, principal components and scores of variance one, of (d, p, n) curves."""
    rows = curves.reshape(len(curves), -1)
    mean = rows.mean(axis=0)
    left, sizes, right = np.linalg.svd(rows - mean, full_matrices=False)
    root = np.sqrt(len(curves))
    shape = curves.shape[1:]
    told = (right[:parts] * sizes[:parts, None] / root).reshape(-1, *shape)
    return mean.reshape(shape), told, left[:, :parts] * root


def _coefficients(values: Floats, place: Floats) -> Floats:
    """Chebyshev coefficients of (..., n) values at n places."""
    return np.asarray(values @ np.linalg.inv(chebyshev.chebvander(place, len(place) - 1)).T)


def carried_draws(posterior: Posterior) -> CarriedDraws:
    """The draws as curves, from 3 m as far as all of them reach.

    Parameters
    ----------
    posterior : Posterior
        Draws.

    Returns
    -------
    CarriedDraws
        Curves for marks on the level in the rig's own air.

    Raises
    ------
    LaunchUnreachable
        If not even 4 m are reached.

    Source
    ------
    docs/physics.md eq. (8.30) to (8.33).
    """
    unknowns, vectors = posterior.calibration.evidence.prior.unknowns, posterior.vectors
    pins = range(1, unknowns.pins + 2)
    far_m = _reached(posterior, pins)
    cosines = np.cos(np.pi * (np.arange(ORDER) + 0.5) / ORDER)
    nodes_m = CARRIED_FROM_M + 0.5 * (far_m - CARRIED_FROM_M) * (cosines + 1.0)
    marks_m = np.stack([drawn_marks(posterior, nodes_m, pin) for pin in pins], axis=1)
    mark, mark_parts, mark_score = _components(marks_m, MARK_PARTS + unknowns.pins)
    gain, gain_parts, gain_score = _components(_gains(posterior, nodes_m, marks_m), GAIN_PARTS)
    column = unknowns.column
    beside = np.concatenate([column(vectors, name) for name in SIDE_NAMES], axis=1)
    return CarriedDraws(
        near_m=CARRIED_FROM_M,
        far_m=far_m,
        mark_m2=_coefficients(mark * nodes_m, cosines),
        mark_parts_m2=_coefficients(mark_parts * nodes_m, cosines),
        gain=_coefficients(gain, cosines),
        gain_parts=_coefficients(gain_parts, cosines),
        bend=_coefficients(_bends(posterior, nodes_m) * nodes_m, cosines),
        mark_score=mark_score,
        gain_score=gain_score,
        spread=np.concatenate([column(vectors, name) for name in SPREAD_NAMES], axis=1),
        windage=(beside.mean(axis=0), np.cov(beside.T)),
        distances=_distances(posterior, mark_score),
    )


def _reached(posterior: Posterior, pins: range) -> float:
    """How far every draw has a mark with every pin, a metre at a time."""
    every = within_reach(posterior, np.arange(CARRIED_FROM_M, CURVE_TO_M + 1e-9))
    known = [np.isfinite(drawn_marks(posterior, every, pin)).all(axis=0) for pin in pins]
    reached = every[np.logical_and.accumulate(np.all(known, axis=0))]
    if len(reached) < 2:
        raise LaunchUnreachable(CARRIED_FROM_M + 1.0)
    return float(reached[-1])


def _gains(posterior: Posterior, nodes_m: Floats, marks_m: Floats) -> Floats:
    """Rise of the impact per reading of every draw at its marks, (d, p, n)."""
    unknowns, vectors = posterior.calibration.evidence.prior.unknowns, posterior.vectors
    bow = unknowns.bow(vectors)
    gains = np.empty_like(marks_m)
    for pin in range(marks_m.shape[1]):
        aim = Aim(pin_below_m=unknowns.pin_below(vectors, np.array([pin + 1])))
        gains[:, pin] = impact_gradient(bow, nodes_m, marks_m[:, pin], aim).by_reading
    return gains


def _bends(posterior: Posterior, nodes_m: Floats) -> Floats:
    """What the square of the straight rise w adds where a sight is dialled off, (p, n). [1/m]

    An arrow lands at w + β w²: told so, β is alike for all draws, whatever their scales.
    """
    unknowns = posterior.calibration.evidence.prior.unknowns
    middle = np.median(posterior.vectors, axis=0)
    bow, off_m = unknowns.bow(middle), OFF_M * np.array([-1.0, -0.5, 0.5, 1.0])
    found = []
    for pin in range(1, unknowns.pins + 2):
        aim = Aim(pin_below_m=unknowns.pin_below(middle, np.array([pin])))
        marks_m = mark_of(bow, nodes_m, aim)
        straight_m = np.outer(impact_gradient(bow, nodes_m, marks_m, aim).by_reading, off_m)
        _, up_m = impact(bow, nodes_m[:, None], marks_m[:, None] + off_m, aim)
        bent_m = up_m - straight_m
        found.append((bent_m * straight_m**2).sum(axis=1) / (straight_m**4).sum(axis=1))
    return np.array(found)


def _distances(posterior: Posterior, score: Floats) -> tuple[CarriedDistance, ...]:
    """Errors of the distances that were shot at, as far as the scores tell them.

    One that was shot at once is no unknown of the draws: what its group leaves of it is worked out
    for each of them, eq. (8.33).
    """
    evidence, vectors = posterior.calibration.evidence, posterior.vectors
    if not evidence.groups:
        return ()
    shared = evidence.prior.unknowns.distance_errors(vectors, evidence.shared)
    alone = _left_of_distances(evidence, posterior)
    found = []
    said = [round(one, 6) for one in evidence.distance_m.tolist()]
    for distance_m in sorted(set(said)):
        group = said.index(distance_m)
        mean = shared[:, group] if evidence.shared[group] >= 0 else alone[0][:, group]
        own2 = 0.0 if evidence.shared[group] >= 0 else float(alone[1][group])
        by_score = score.T @ (mean - mean.mean()) / len(score)
        left = mean - mean.mean() - score @ by_score
        sd_m = float(np.sqrt(left.var() + own2))
        found.append(CarriedDistance(distance_m, float(mean.mean()), by_score, sd_m))
    return tuple(found)


def _left_of_distances(evidence: Evidence, posterior: Posterior) -> tuple[Floats, Floats]:
    """Mean for every draw, and variance, of each group's own error of distance. [m], [m²]"""
    calibration, best = posterior.calibration, posterior.calibration.best
    distance, pin = evidence.distance_m, evidence.pin
    bow = evidence.prior.unknowns.bow(best)
    below = evidence.prior.unknowns.pin_below(best, pin)
    aim = Aim(evidence.aim.slope_rad, evidence.aim.density_ratio, below)
    by_distance = impact_gradient(bow, distance, evidence.reading_m, aim).by_distance / distance
    believed2 = np.square(distance_doubts(distance, calibration.rig.archer.distance_sd_m))
    own2 = np.square(group_sds(evidence, best)[1]) - by_distance**2 * evidence.distance_sd_m**2
    _, up = predicted_angles(evidence, posterior.vectors, calibration.steps_m)
    away = np.nan_to_num(robust_centres(evidence, best)[1] - up)
    told = believed2 * by_distance / (believed2 * by_distance**2 + own2)
    return away * told, believed2 * (1.0 - told * by_distance)
