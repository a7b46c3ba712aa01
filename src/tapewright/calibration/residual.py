"""Residual: how badly a vector of unknowns agrees with the robust centres, for least squares.

The other form of the statement of misfit.py: each group is taken by its robust centre, and each
sticking between scales stands beside the unknowns.

Holds:  the whitened residual and its Jacobian.
Never:  weights of single arrows (misfit.py), the search for the best vector (fit.py).
Source: docs/physics.md §7.
"""

import numpy as np
from numpy.typing import NDArray

from tapewright.calibration.evidence import Evidence
from tapewright.calibration.misfit import (
    believed_after,
    distance_and_aim,
    predicted_angles,
    readings_told,
)
from tapewright.calibration.unknowns import source_name
from tapewright.sight.prediction import impact_gradient

Floats = NDArray[np.float64]


def whitened_residual(
    evidence: Evidence,
    vector: Floats,
    centres: tuple[Floats, Floats],
    sds: tuple[Floats, Floats],
    steps_m: Floats | None = None,
) -> Floats:
    """Prior and groups, each divided by its doubt.

    Parameters
    ----------
    evidence : Evidence
        Arrows and sheet.
    vector : (u,) array
        Vector of unknowns.
    centres, sds : pair of (g,) arrays
        Robust centres and their doubts, to the right and up. [rad]
    steps_m : (k,) array, optional
        Stickings; asked for where there are any. [m]

    Returns
    -------
    (k + u + 2 g,) array
        Residual. [-]

    Source
    ------
    docs/physics.md eq. (7.5).
    """
    beliefs = evidence.prior.whitened(vector)
    if not evidence.groups:
        return beliefs
    steps = evidence.steps
    laid = np.zeros(0)
    if steps is not None and steps_m is not None:
        laid = steps_m / steps.sd_m
        beliefs = believed_after(evidence, vector[None], steps_m[None])[0][0]
    predicted = predicted_angles(evidence, vector, steps_m)
    parts = [(seen - said) / sd for seen, said, sd in zip(centres, predicted, sds, strict=True)]
    return np.concatenate([laid, beliefs, *parts])


def whitened_jacobian(
    evidence: Evidence,
    vector: Floats,
    sds: tuple[Floats, Floats],
    steps_m: Floats | None = None,
) -> Floats:
    """Derivative of ``whitened_residual`` by the unknowns, by hand.

    Parameters
    ----------
    evidence : Evidence
        Arrows and sheet.
    vector : (u,) array
        Vector of unknowns.
    sds : pair of (g,) arrays
        Doubts of the centres, to the right and up. [rad]
    steps_m : (k,) array, optional
        Stickings; asked for where there are any. [m]

    Returns
    -------
    (k + u + 2 g, u + k) array
        Jacobian. Wind is left out: it moves drift by a part in a hundred of itself.

    Source
    ------
    docs/physics.md eq. (7.6).
    """
    prior = evidence.prior
    beliefs = prior.whitening
    if not evidence.groups:
        return beliefs
    unknowns = prior.unknowns
    distance, aim = distance_and_aim(evidence, vector)
    bow = unknowns.bow(vector)
    scale = bow.scale
    slope = impact_gradient(bow, distance, readings_told(evidence, steps_m), aim)
    up = np.zeros((evidence.groups, len(prior.mean)))
    right = np.zeros_like(up)
    up[:, unknowns.place("log_speed")] = slope.by_log_speed
    up[:, unknowns.place("log_drag")] = slope.by_log_drag
    by_both = slope.by_log_gain + slope.by_zero_reading * scale.zero_reading_m
    up[:, unknowns.place("log_gain")] = by_both
    up[:, unknowns.place("peep_height")] = slope.by_peep_height
    up[:, unknowns.place("zero_tangent")] = slope.by_zero_reading * scale.reading_per_tangent_m
    up[:, unknowns.place("launch_ahead")] = slope.by_launch_ahead
    by_pin = -slope.by_zero_reading * scale.reading_per_tangent_m / scale.sight_radius_m
    for group in range(evidence.groups):
        if evidence.pin[group] > 1:
            up[group, unknowns.place(f"pin_{evidence.pin[group]}_below")] = by_pin[group]
        if evidence.shared[group] >= 0:
            name = f"distance_error_{evidence.shared[group] + 1}"
            up[group, unknowns.place(name)] = slope.by_distance[group]
        if evidence.source[group] < len(unknowns.sources):
            name = source_name(unknowns.sources[evidence.source[group]])
            up[group, unknowns.place(name)] = (slope.by_distance * evidence.distance_m)[group]
    right[:, unknowns.place("windage")] = distance
    right[:, unknowns.place("side")] = 1.0
    metres = evidence.distance_m[:, None]
    told = np.vstack([beliefs, -right / metres / sds[0][:, None], -up / metres / sds[1][:, None]])
    steps = evidence.steps
    if steps is None or steps_m is None:
        return told
    laid = np.zeros((len(told), len(steps.sd_m)))
    per_step = steps.of_prior / float(np.squeeze(scale.reading_per_tangent_m))
    laid[: len(beliefs)] = np.outer(beliefs[:, unknowns.place("zero_tangent")], per_step)
    raised = slope.by_reading[:, None] * steps.of_groups / metres
    laid[-evidence.groups :] = -raised / sds[1][:, None]
    own = np.hstack([np.zeros((len(steps.sd_m), told.shape[1])), np.diag(1.0 / steps.sd_m)])
    return np.vstack([own, np.hstack([told, laid])])
