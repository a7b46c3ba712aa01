"""Posterior: draws of everything that could be true, given arrows and sheet.

The posterior is curved, so a Gaussian about the best fit misstates it. Draws come from adaptive
importance sampling; when their weights are not good enough, a sequential Monte Carlo takes over,
and the answer says so.

Holds:  the Posterior record, and the draws.
Never:  weights of arrows (calibration/misfit.py), the samplers (sampling.py), bands (bands.py).
Source: docs/physics.md §8; docs/sources.md [AMIS], [SMC].
"""

from dataclasses import dataclass
from math import nan

import numpy as np
from numpy.typing import NDArray

from tapewright.calibration.fit import Calibration
from tapewright.calibration.misfit import log_posterior
from tapewright.confidence.sampling import (
    DRAWS,
    draw_by_importance,
    draw_sequentially,
    lower_root,
    resampled,
)
from tapewright.ground.units import YARD_M
from tapewright.sight.prediction import sight_angle

Floats = NDArray[np.float64]

COUNTED_FROM_M = 20.0 * YARD_M  # with no arrow shot, this distance reads 0


@dataclass(frozen=True)
class Posterior:
    """Equally likely versions of the truth.

    Parameters
    ----------
    calibration : Calibration
        What was fitted.
    vectors : (d, u) array
        Draws of the unknowns, all of equal weight.
    effective_draws : float
        Independent draws that the weighted set was worth. [-]
    tail_shape : float
        Pareto shape of the largest weights; nan when no weights were used. [-]
    method : str
        ``"prior"``, ``"importance sampling"`` or ``"sequential Monte Carlo"``.
    """

    calibration: Calibration
    vectors: Floats
    effective_draws: float
    tail_shape: float
    method: str


def _zeroed(calibration: Calibration, vectors: Floats) -> Floats:
    """Beliefs without an arrow: every bow's reading is counted from its own near mark."""
    unknowns = calibration.evidence.prior.unknowns
    vectors = vectors.copy()
    vectors[:, unknowns.place("zero_reading")] = 0.0
    bow = unknowns.bow(vectors)
    wanted = np.tan(sight_angle(bow, np.array([COUNTED_FROM_M])))
    shift = (wanted - bow.scale.tangent(0.0)) / bow.scale.by_zero(0.0)
    vectors[:, unknowns.place("zero_reading")] = shift[:, 0]
    return vectors


def draw_posterior(calibration: Calibration, rng: np.random.Generator) -> Posterior:
    """Draws of all that could be true.

    Parameters
    ----------
    calibration : Calibration
        A finished fit.
    rng : numpy random Generator
        Chance, handed in: the same seed gives the same draws.

    Returns
    -------
    Posterior
        Equally likely vectors, and how good the sampling was.

    Source
    ------
    docs/physics.md §8; [AMIS], [SMC].
    """
    evidence, best = calibration.evidence, calibration.best
    root = lower_root(calibration.covariance)
    if not evidence.groups:
        vectors = best + rng.standard_normal((DRAWS, len(best))) @ root.T
        return Posterior(calibration, _zeroed(calibration, vectors), float(DRAWS), nan, "prior")

    def target(points: Floats) -> Floats:
        return log_posterior(evidence, best + points @ root.T)

    found = draw_by_importance(target, len(best), rng)
    if found.is_good:
        chosen = found.points[resampled(found.weights, DRAWS, rng)]
        return Posterior(
            calibration,
            best + chosen @ root.T,
            found.effective,
            found.shape,
            "importance sampling",
        )
    points, effective = draw_sequentially(target, len(best), rng)
    return Posterior(
        calibration, best + points @ root.T, effective, found.shape, "sequential Monte Carlo"
    )
