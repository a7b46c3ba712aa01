"""Fit: the most likely bow, by least squares on the misfit.

Holds:  the least-squares engine; the Calibration and Place records; the search and the fit.
Never:  weights (misfit.py), draws and bands (confidence).
Source: docs/physics.md §7; docs/sources.md [MORE78].
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from tapewright.calibration.evidence import Evidence, evidence_from
from tapewright.calibration.misfit import (
    group_sds,
    log_posterior,
    robust_centres,
    steered_by,
    with_set_up_doubt,
)
from tapewright.calibration.observation import Observation
from tapewright.calibration.prior import Prior
from tapewright.calibration.residual import whitened_jacobian, whitened_residual
from tapewright.calibration.rig import Rig
from tapewright.calibration.unknowns import SIDE_NAMES, SPREAD_NAMES
from tapewright.ground.errors import CalibrationFailed
from tapewright.sight.stickings import Scales

Floats = NDArray[np.float64]

ROUNDS = 3  # of bow, then spreads: the third moves nothing that a band would show
SPREAD_STEP = 0.05  # in the logarithm, for the curvature of the spreads
CLOSE_ENOUGH = 1e-6  # for a fit whose draws come after: a hundredth of a doubt
MOST_EVALUATIONS = 500


@dataclass(frozen=True, slots=True)
class Minimum:
    """Where a sum of squares is least.

    Parameters
    ----------
    vector : (u,) array
        The unknowns there.
    covariance : (u, u) array
        Inverse of JᵀJ.
    sum_of_squares : float
        Of the residual.
    """

    vector: Floats
    covariance: Floats
    sum_of_squares: float


@dataclass(frozen=True, repr=False)
class Calibration:
    """A rig fitted to its arrows.

    Parameters
    ----------
    rig : Rig
        The sheet.
    evidence : Evidence
        Arrows and sheet, as weighed.
    best : (u,) array
        The most likely unknowns.
    covariance : (u, u) array
        Their Gaussian doubt at the best; the true shape is for draws to tell.
    steps_m : (k,) array or None
        The most likely stickings, where groups were shot on several scales. [m]
    """

    rig: Rig
    evidence: Evidence
    best: Floats
    covariance: Floats
    steps_m: Floats | None = None

    def __repr__(self) -> str:
        told = f"{self.evidence.groups} groups, {len(self.best)} unknowns"
        return f"<Calibration of {self.rig.name}: {told}>"


def find_minimum(
    residual: Callable[[Floats], Floats],
    jacobian: Callable[[Floats], Floats],
    start: Floats,
    closeness: float = 1e-12,
) -> Minimum:
    """Least sum of squares, by Levenberg and Marquardt's method.

    Parameters
    ----------
    residual : function of (u,) giving (m,)
        What is squared and summed; m at least u.
    jacobian : function of (u,) giving (m, u)
        Its derivative.
    start : (u,) array
        Where to begin.
    closeness : float, default 1e-12
        Relative change at which the steps end. [-]

    Returns
    -------
    Minimum
        The least-squares point.

    Raises
    ------
    CalibrationFailed
        If the steps do not settle.

    Source
    ------
    [MORE78], as kept in SciPy.
    """
    with np.errstate(over="ignore"):  # a step too far is a bad one, and taken back
        found = least_squares(
            residual,
            start,
            jac=jacobian,
            method="lm",
            x_scale="jac",
            ftol=closeness,
            xtol=closeness,
            gtol=closeness,
            max_nfev=MOST_EVALUATIONS,
        )
    slope = jacobian(found.x)
    if found.status <= 0 or not (np.isfinite(found.cost) and np.isfinite(slope).all()):
        raise CalibrationFailed(
            "The search for the most likely bow did not settle",
            "Check the rig sheet and the distances and readings of the groups",
        )
    size = np.maximum(np.linalg.norm(slope, axis=0), 1e-300)  # unknowns of very unlike units
    inverse = np.linalg.pinv(slope / size)
    covariance = inverse @ inverse.T / np.outer(size, size)
    return Minimum(np.asarray(found.x), covariance, 2.0 * float(found.cost))


def _fit_bow(evidence: Evidence, vector: Floats) -> tuple[Minimum, Floats | None]:
    """Everything but the spreads, which stay as they are (their beliefs pull only at them).

    Stickings between scales are fitted beside it: their doubt stands in the covariance.
    """
    free = np.array([name not in SPREAD_NAMES for name in evidence.prior.unknowns.names])
    centres = robust_centres(evidence, vector)
    sds = np.full(evidence.groups, np.inf), group_sds(evidence, vector)[1]  # windage comes after
    count = int(free.sum())
    steps = None if evidence.steps is None else np.zeros(len(evidence.steps.sd_m))

    def laid(part: Floats) -> Floats | None:
        return None if steps is None else part[count:]

    def whole(part: Floats) -> Floats:
        filled = vector.copy()
        filled[free] = part[:count]
        return filled

    def residual(part: Floats) -> Floats:
        return whitened_residual(evidence, whole(part), centres, sds, laid(part))

    def jacobian(part: Floats) -> Floats:
        slope = whitened_jacobian(evidence, whole(part), sds, laid(part))
        return slope[:, np.append(free, np.ones(slope.shape[1] - len(free), np.bool_))]

    start = vector[free] if steps is None else np.append(vector[free], steps)
    found = find_minimum(residual, jacobian, start, CLOSE_ENOUGH)
    covariance = np.diag(np.square(evidence.prior.sd))
    covariance[np.ix_(free, free)] = found.covariance[:count, :count]
    best = Minimum(whole(found.vector), covariance, found.sum_of_squares)
    return best, laid(found.vector)


def _fit_spreads(evidence: Evidence, vector: Floats) -> tuple[Floats, Floats]:
    """Newton's steps for the three spreads with the bow held; their covariance."""
    places = [evidence.prior.unknowns.place(name) for name in SPREAD_NAMES]
    steps = SPREAD_STEP * np.array(np.meshgrid(*[[-1.0, 0.0, 1.0]] * 3, indexing="ij"))
    steps = steps.reshape(3, -1).T
    curvature = np.diag(1.0 / np.square(evidence.prior.sd[places]))
    for _ in range(6):
        trial = np.repeat(vector[None], len(steps), axis=0)
        trial[:, places] += steps
        height = log_posterior(evidence, trial)
        slope, curvature = _quadratic(steps, height, curvature)
        move = np.clip(np.linalg.solve(curvature, slope), -0.5, 0.5)
        vector = vector.copy()
        vector[places] += move
        if np.abs(move).max() < 0.02:
            break
    return vector, np.asarray(np.linalg.inv(curvature), dtype=np.float64)


def _quadratic(steps: Floats, height: Floats, floor: Floats) -> tuple[Floats, Floats]:
    """Slope and downward curvature of a log density through its values on a small grid."""
    pairs = [(0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2)]
    columns = [np.ones(len(steps)), *steps.T, *(steps[:, i] * steps[:, j] for i, j in pairs)]
    scale = SPREAD_STEP ** np.array([0, 1, 1, 1, 2, 2, 2, 2, 2, 2])
    design = np.stack(columns, axis=1) / scale
    terms = np.linalg.lstsq(design, height - height.max(), rcond=None)[0] / scale
    curvature = np.zeros((3, 3))
    for (i, j), term in zip(pairs, terms[4:], strict=True):
        curvature[i, j] -= term
        curvature[j, i] -= term
    values, axes = np.linalg.eigh(curvature)
    least = 0.25 * np.linalg.eigvalsh(floor).min()
    return terms[1:4], (axes * np.maximum(values, least)) @ axes.T


@dataclass(frozen=True, slots=True)
class Place:
    """Where a search ended.

    Parameters
    ----------
    evidence : Evidence
        With distance and reading errors carried to the target there.
    vector : (u,) array
        The unknowns.
    covariance : (u, u) array
        Their Gaussian doubt.
    steps_m : (k,) array or None
        The most likely stickings, where groups were shot on several scales. [m]
    """

    evidence: Evidence
    vector: Floats
    covariance: Floats
    steps_m: Floats | None = None


def settled(evidence: Evidence, vector: Floats, rounds: int = ROUNDS) -> Place:
    """The most likely unknowns near a start.

    Parameters
    ----------
    evidence : Evidence
        Arrows and sheet; at least one group.
    vector : (u,) array
        Where the search begins.
    rounds : int, default 3
        Of bow, then spreads; at least one. [-]

    Returns
    -------
    Place
        Where it ended.

    Raises
    ------
    CalibrationFailed
        If the steps do not settle.

    Source
    ------
    docs/physics.md eq. (7.6).
    """
    spreads = [evidence.prior.unknowns.place(name) for name in SPREAD_NAMES]
    covariance = np.zeros(0)
    steps_m: Floats | None = None
    for _ in range(rounds):
        found, steps_m = _fit_bow(evidence, vector)
        evidence = with_set_up_doubt(evidence, found.vector)
        vector, doubt = _fit_spreads(evidence, found.vector)
        covariance = found.covariance
        covariance[np.ix_(spreads, spreads)] = doubt
    known = steered_by(evidence, vector[None])
    for name, value in zip(SIDE_NAMES, (known.windage_rad, known.side_m), strict=True):
        vector[evidence.prior.unknowns.place(name)] = value[0]
    return Place(evidence, vector, covariance, steps_m)


def fit_bow(
    rig: Rig,
    observations: tuple[Observation, ...],
    carried: Prior | None = None,
    on: Scales | None = None,
) -> Calibration:
    """The most likely bow, archer and sight for a sheet and its groups.

    Parameters
    ----------
    rig : Rig
        The sheet.
    observations : tuple of Observation
        The groups; none is allowed and returns the sheet's own beliefs. Those of which no arrow
        was seen to hit tell nothing of the bow and are left out.
    carried : Prior, optional
        Beliefs carried over from another rig; absent: those of the sheet.
    on : tuple of Sticking, optional
        The scale of which marks are told; absent: that on the sight.

    Returns
    -------
    Calibration
        Best unknowns and their Gaussian doubt.

    Raises
    ------
    CalibrationFailed
        If sheet and arrows cannot be brought together.

    Source
    ------
    docs/physics.md §7.
    """
    seen = tuple(one for one in observations if one.group.counted)
    evidence = evidence_from(rig, seen, carried, on=on)
    vector = evidence.prior.mean.copy()
    unwhitened = np.linalg.inv(evidence.prior.whitening)
    covariance = unwhitened @ unwhitened.T
    if not evidence.groups:
        return Calibration(rig, evidence, vector, covariance)
    end = settled(evidence, vector)
    return Calibration(rig, end.evidence, end.vector, end.covariance, end.steps_m)
