"""Misfit: how badly a vector of unknowns agrees with arrows and sheet.

The only place where weights live, with residual.py: fit, draws, checks and advice all ask here.

The log posterior takes every arrow by itself: heavy-tailed (Student-t, four degrees of freedom)
about its group's centre, the group's centre Gaussian about the prediction, and integrates the
centre out; the other form of the statement, for least squares, is residual.py.

Holds:  log posterior; predictions on every scale; doubts of groups; what is known of the windage.
Never:  a second forward model, the search for the best vector (fit.py).
Source: docs/physics.md §7; docs/sources.md [STUDENT].
"""

from dataclasses import replace
from math import lgamma, log, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from tapewright.calibration.evidence import (
    CENTRE_VARIANCE,
    CORE,
    FREEDOMS,
    AxisEvidence,
    Evidence,
)
from tapewright.calibration.prior import sideways_belief
from tapewright.calibration.sticking import integrated, likeliest_steps
from tapewright.calibration.unknowns import SIDE_NAMES
from tapewright.calibration.windage import Centres, Steered, steered
from tapewright.sight.prediction import Aim, impact, impact_gradient

Floats = NDArray[np.float64]

_LOG_T = lgamma((FREEDOMS + 1.0) / 2.0) - lgamma(FREEDOMS / 2.0) - 0.5 * log(FREEDOMS * pi)
_NODES, _NODE_WEIGHTS = np.polynomial.hermite.hermgauss(11)
_LOG_NODE_WEIGHTS = np.log(_NODE_WEIGHTS) + _NODES**2
_WIDER = 1.15  # nodes reach past the Gaussian guess, for the tails
_ARROWS_PER_LOG = 16  # so many factors fit in a float before the logarithm is taken
CHUNK = 2_000  # draws × groups evaluated at a time, to stay in the cache: half the time
FLAT_SD_RAD = (
    8e-3  # of the belief under which arrows to the right become a Gaussian, taken out again
)
STRAIGHT_M = 1e-3  # sticking up to which a group rises straight with it
STRAIGHTENED = 2  # times that a longer one is sought anew, where the last one lies
LEAST_DRAWS = 60  # at a time: with rows shorter than this, each group of many costs twice as much


def with_set_up_doubt(evidence: Evidence, vector: Floats) -> Evidence:
    """The same evidence with distance and reading errors carried to the target.

    Parameters
    ----------
    evidence : Evidence
        Arrows and sheet.
    vector : (u,) array
        The bow at which the errors are carried over.

    Returns
    -------
    Evidence
        With ``set_up_sd_rad`` and ``up_per_reading`` renewed.

    Source
    ------
    docs/physics.md eq. (7.4).
    """
    if not evidence.groups:
        return evidence
    distance, aim = distance_and_aim(evidence, vector)
    bow = evidence.prior.unknowns.bow(vector)
    slope = impact_gradient(bow, distance, evidence.reading_m, aim)
    doubt = np.hypot(
        slope.by_distance * evidence.distance_sd_m, slope.by_reading * evidence.reading_sd_m
    )
    rises = slope.by_reading / evidence.distance_m
    return replace(evidence, set_up_sd_rad=doubt / evidence.distance_m, up_per_reading=rises)


def distance_and_aim(evidence: Evidence, vectors: Floats) -> tuple[Floats, Aim]:
    """Distances as the vectors have them, and the aim with their pins.

    Parameters
    ----------
    evidence : Evidence
        Arrows and sheet.
    vectors : (..., u) array
        Vectors of unknowns.

    Returns
    -------
    (..., g) array, Aim
        [m]
    """
    unknowns = evidence.prior.unknowns
    errors = unknowns.distance_errors(vectors, evidence.shared)
    below = unknowns.pin_below(vectors, evidence.pin)
    said = evidence.distance_m
    if unknowns.sources:
        said = said * (1.0 + unknowns.source_errors(vectors, evidence.source))
    return said + errors, replace(evidence.aim, pin_below_m=below)


def readings_told(evidence: Evidence, steps_m: Floats | None) -> Floats:
    """What each group's pointer would have shown on the scale of which marks are told.

    Parameters
    ----------
    evidence : Evidence
        Arrows and sheet.
    steps_m : (..., k) array or None
        Stickings; None: none erred. [m]

    Returns
    -------
    (..., g) array
        [m]

    Source
    ------
    docs/physics.md eq. (7.16).
    """
    if evidence.steps is None or steps_m is None:
        return evidence.reading_m
    moved = np.einsum("...k,gk->...g", steps_m, evidence.steps.of_groups)
    return np.asarray(evidence.reading_m + moved)


def predicted_angles(
    evidence: Evidence, vectors: Floats, steps_m: Floats | None = None
) -> tuple[Floats, Floats]:
    """Where each group should land, as angles from the aim.

    Parameters
    ----------
    evidence : Evidence
        Arrows and sheet.
    vectors : (..., u) array
        Vectors of unknowns.
    steps_m : (..., k) array, optional
        Stickings; absent: none erred. [m]

    Returns
    -------
    (..., g) array, (..., g) array
        To the right and up. [rad]
    """
    distance, aim = distance_and_aim(evidence, vectors)
    bow = evidence.prior.unknowns.bow(vectors)
    right, up = impact(bow, distance, readings_told(evidence, steps_m), aim)
    return right / evidence.distance_m, up / evidence.distance_m


def _log_density_at(axis: AxisEvidence, dispersion: Floats, middle: Floats, away: Floats) -> Floats:
    """Log density of the arrows of each group if its centre were away from the middle, (k, g, d).

    Draws stand last: long rows, worked through in place, take half the time.
    """
    scale = dispersion / CORE
    steepness = 1.0 / (sqrt(FREEDOMS) * scale)
    total, product = np.zeros_like(away), np.ones_like(away)
    steps, step = away * steepness, np.empty_like(away)
    for arrow in range(axis.arrow.shape[1]):
        value, there = axis.arrow[:, arrow, None], axis.there[:, arrow, None]
        np.subtract((value - middle) * steepness, steps, out=step)
        np.square(step, out=step)
        if not there.all():
            step *= there
        step += 1.0
        product *= step
        if arrow % _ARROWS_PER_LOG == _ARROWS_PER_LOG - 1:
            total -= np.log(product)
            product.fill(1.0)
    total -= np.log(product, out=product)
    total *= 0.5 * (FREEDOMS + 1.0)
    total += axis.there.sum(axis=1)[:, None] * (_LOG_T - np.log(scale))
    for several in range(axis.centre.shape[1]):
        value, arrows = axis.centre[:, several, None], axis.weight[:, several, None]
        precision = arrows / (CENTRE_VARIANCE * np.square(dispersion))
        norm = np.log(np.where(arrows > 0, precision, 1.0) / (2.0 * pi))
        away2 = precision * np.square(value - middle - away)
        total += 0.5 * np.where(arrows > 0, norm - away2, 0.0)
    return total


def _log_likelihood(
    axis: AxisEvidence,
    predicted: Floats,
    dispersion: Floats,
    shift_sd: Floats,
    moments: list[Floats] | None = None,
) -> Floats:
    """Log likelihood of each group, its own shift integrated out, (d, g); eq. (7.3).

    The nodes sit about the most likely centre, found by two steps of reweighting from the
    Gaussian guess. Into ``moments``, if given, go mean and variance of where the centre lies.
    """
    information = axis.information(dispersion).T
    predicted, dispersion = np.ascontiguousarray(predicted.T), dispersion.T
    prior_precision = 1.0 / np.square(np.ascontiguousarray(shift_sd.T))
    precision = prior_precision + information
    centre = (prior_precision * predicted + information * _middle(axis)[:, None]) / precision
    wide2 = FREEDOMS * np.square(dispersion / CORE)
    arrows, counted = axis.arrow.T[..., None], (FREEDOMS + 1.0) * axis.there.T[..., None]
    several = axis.weight.T[..., None] / (CENTRE_VARIANCE * np.square(dispersion))
    for _ in range(2):
        pull = counted / (wide2 + np.square(arrows - centre))
        precision = prior_precision + pull.sum(axis=0) + several.sum(axis=0)
        pull *= arrows
        top = pull.sum(axis=0) + (several * axis.centre.T[..., None]).sum(axis=0)
        centre = (prior_precision * predicted + top) / precision
    reach = _WIDER * sqrt(2.0) / np.sqrt(precision)
    away = reach * _NODES[:, None, None]
    log_terms = _log_density_at(axis, dispersion, centre, away)
    away += centre - predicted
    np.square(away, out=away)
    away *= 0.5 * prior_precision
    log_terms -= away
    log_terms += _LOG_NODE_WEIGHTS[:, None, None]
    top_term = log_terms.max(axis=0)
    log_terms -= top_term
    summed = np.exp(log_terms, out=log_terms).sum(axis=0)
    factor = reach * np.sqrt(prior_precision / (2.0 * pi))
    seen = axis.seen[:, None]
    if moments is not None:
        first, second = (np.tensordot(_NODES**power, log_terms, 1) / summed for power in (1, 2))
        moments += [(centre + reach * first).T, (reach**2 * (second - first**2)).T]
    return np.where(seen, np.log(summed * factor) + top_term, 0.0).T


def _right_centres(axis: AxisEvidence, dispersion: Floats) -> Centres:
    """What the arrows alone tell about each centre to the right, as a Gaussian, eq. (7.11)."""
    middle = np.broadcast_to(_middle(axis), (len(dispersion), len(axis.seen)))
    found: list[Floats] = []
    told = _log_likelihood(axis, middle, dispersion, np.full_like(middle, FLAT_SD_RAD), found)
    mean, variance = found
    flat = FLAT_SD_RAD**2
    own = flat * variance / np.maximum(flat - variance, 1e-3 * flat)
    centre = middle + (mean - middle) * own / variance
    away2 = np.square(centre - middle) / (own + flat)
    return Centres(told + 0.5 * (np.log(2.0 * pi * (own + flat)) + away2), centre, own)


def _middle(axis: AxisEvidence) -> Floats:
    count = axis.there.sum(axis=1) + axis.weight.sum(axis=1)
    total = (axis.arrow * axis.there).sum(axis=1) + (axis.centre * axis.weight).sum(axis=1)
    return np.asarray(total / np.maximum(count, 1.0), dtype=np.float64)


Block = tuple[slice, AxisEvidence, AxisEvidence]


def _blocks(evidence: Evidence, at_once: int) -> list[Block]:
    """So many groups at a time: which, and what was seen of them up and to the right."""
    whole = range(0, evidence.groups, at_once)
    some = [slice(start, start + at_once) for start in whole]
    return [(one, evidence.up.part(one), evidence.right.part(one)) for one in some]


def _told_up(evidence: Evidence, vectors: Floats, blocks: list[Block]) -> Floats:
    """Log of prior times likelihood of the heights."""
    prior = evidence.prior
    column = prior.unknowns.column
    if not evidence.groups:
        return np.asarray(-0.5 * np.square(prior.whitened(vectors)).sum(axis=-1))
    spread = np.exp(column(vectors, "log_dispersion_up"))
    shift = np.hypot(np.exp(column(vectors, "log_wobble")), evidence.set_up_sd_rad)
    if evidence.steps is not None:
        return _told_over_steps(evidence, vectors, blocks, spread, shift)
    total = -0.5 * np.square(prior.whitened(vectors)).sum(axis=-1)
    _, up = predicted_angles(evidence, vectors)
    for some, seen, _ in blocks:
        total += _log_likelihood(seen, up[:, some], spread, shift[:, some]).sum(axis=-1)
    return np.where(np.isnan(total), -np.inf, total)


def _told_over_steps(
    evidence: Evidence, vectors: Floats, blocks: list[Block], spread: Floats, shift: Floats
) -> Floats:
    """The same with stickings between the groups' scales integrated out; eq. (7.17), (7.18)."""
    steps, prior, seen = evidence.steps, evidence.prior, evidence.up.seen
    assert steps is not None
    assert evidence.up_per_reading is not None, "with_set_up_doubt comes first"
    moved = evidence.up_per_reading[:, None] * steps.of_groups
    usual = float(np.exp(prior.mean[prior.unknowns.place("log_dispersion_up")]))
    told = evidence.up.information(spread)
    weight = np.where(seen, 1.0 / (np.square(shift) + 1.0 / np.where(seen, told, 1.0)), 0.0)
    away = evidence.up.robust_centre(usual) - predicted_angles(evidence, vectors)[1]
    away, weight = np.nan_to_num(away), np.nan_to_num(weight)
    _, *believed = believed_after(evidence, vectors)
    at_m = likeliest_steps(steps, moved, away, weight, (believed[0], believed[1]))
    _, up = predicted_angles(evidence, vectors, at_m)
    for _ in range(STRAIGHTENED * bool(steps.sd_m.max() > STRAIGHT_M)):
        bent_rad = up - predicted_angles(evidence, vectors)[1] - at_m @ moved.T
        away_there = away - np.nan_to_num(bent_rad)
        at_m = likeliest_steps(steps, moved, away_there, weight, (believed[0], believed[1]))
        _, up = predicted_angles(evidence, vectors, at_m)
    whitened, *believed = believed_after(evidence, vectors, at_m)
    total = -0.5 * np.square(whitened).sum(axis=-1)
    slopes, bends = [], []
    for some, part, _ in blocks:
        found: list[Floats] = []
        total += _log_likelihood(part, up[:, some], spread, shift[:, some], found).sum(axis=-1)
        shift2 = np.square(shift[:, some])
        slopes.append((found[0] - up[:, some]) / shift2)
        bends.append(np.clip(1.0 - found[1] / shift2, 0.0, 1.0) / shift2)
    by_prediction = [
        np.where(seen, np.nan_to_num(np.concatenate(one, axis=1)), 0.0) for one in (slopes, bends)
    ]
    total += integrated(
        steps, at_m, moved, (by_prediction[0], by_prediction[1]), (believed[0], believed[1])
    )
    return np.where(np.isnan(total), -np.inf, total)


def believed_after(
    evidence: Evidence, vectors: Floats, steps_m: Floats | None = None
) -> tuple[Floats, Floats, Floats]:
    """Beliefs after steps: those carried over hold of a zero that may lie on another scale.

    Parameters
    ----------
    evidence : Evidence
        Arrows and sheet.
    vectors : (d, u) array
        Vectors of unknowns.
    steps_m : (d, k) array, optional
        Stickings; absent: none erred. [m]

    Returns
    -------
    (d, u) array, (d, k) array, (d, k, k) array
        Whitened; slope, and less the second derivative, of their log density by the steps.
        [-], [1/m], [1/m²]

    Source
    ------
    docs/physics.md eq. (7.16).
    """
    prior, steps = evidence.prior, evidence.steps
    assert steps is not None
    zero = prior.unknowns.place("zero_tangent")
    gain_m = prior.unknowns.direction * np.exp(prior.unknowns.column(vectors, "log_gain"))
    per_step = steps.of_prior / gain_m
    there = vectors.copy()
    if steps_m is not None:
        there[:, zero] += (steps_m * per_step).sum(axis=1)
    whitened, column = prior.whitened(there), prior.whitening[:, zero]
    slope = -(whitened @ column)[:, None] * per_step
    bent = float(column @ column) * per_step[:, :, None] * per_step[:, None, :]
    return whitened, slope, bent


def _told_right(evidence: Evidence, vectors: Floats, blocks: list[Block]) -> Centres:
    """What the arrows tell of each centre to the right."""
    spread = np.exp(evidence.prior.unknowns.column(vectors, "log_dispersion_right"))
    parts = [_right_centres(seen, spread) for _, _, seen in blocks]
    names = ("log_share", "middle_rad", "variance_rad2")
    return Centres(*(np.concatenate([getattr(one, name) for one in parts], 1) for name in names))


def steered_by(evidence: Evidence, vectors: Floats) -> Steered:
    """Likelihood of all that was measured to the right, and the windage after the last group.

    Parameters
    ----------
    evidence : Evidence
        Arrows and sheet.
    vectors : (d, u) array
        Vectors of unknowns; their windage and sideways offset are not looked at.

    Returns
    -------
    Steered
        Of each vector.

    Source
    ------
    docs/physics.md eq. (7.11), (7.12).
    """
    rows = _rows_at_once(evidence)
    blocks = _blocks(evidence, max(1, CHUNK // LEAST_DRAWS))
    parts = [
        _told_right(evidence, vectors[start : start + rows], blocks)
        for start in range(0, len(vectors), rows)
    ]
    names = ("log_share", "middle_rad", "variance_rad2")
    share, middle, variance = (
        np.concatenate([getattr(one, name) for one in parts]) for name in names
    )
    wobble = np.exp(evidence.prior.unknowns.column(vectors, "log_wobble"))
    centres = Centres(share, middle - _drift(evidence, vectors), variance + np.square(wobble))
    start = sideways_belief(evidence.prior, vectors)
    return steered(evidence.turns, centres, evidence.right.seen, evidence.distance_m, start)


def _drift(evidence: Evidence, vectors: Floats) -> Floats | float:
    """What the crosswinds that were told do to each group, as angles to the right."""
    if not np.any(evidence.aim.crosswind_mps):
        return 0.0
    straight = vectors.copy()
    straight[:, [evidence.prior.unknowns.place(name) for name in SIDE_NAMES]] = 0.0
    return predicted_angles(evidence, straight)[0]


def _rows_at_once(evidence: Evidence) -> int:
    return max(LEAST_DRAWS, CHUNK // max(1, evidence.groups))


def log_posterior(evidence: Evidence, vectors: Floats) -> Floats:
    """Log of prior times likelihood, up to a constant.

    Parameters
    ----------
    evidence : Evidence
        Arrows and sheet.
    vectors : (d, u) array
        Vectors of unknowns.

    Returns
    -------
    (d,) array
        −∞ where a vector describes no bow that reaches its targets. Windage and sideways offset
        are integrated out: those of a vector weigh by what is believed of them, no more. [-]

    Source
    ------
    docs/physics.md eq. (7.1) to (7.3), (7.11), (7.12).
    """
    rows = _rows_at_once(evidence)
    blocks = _blocks(evidence, max(1, CHUNK // LEAST_DRAWS))
    with np.errstate(over="ignore", invalid="ignore"):  # an absurd draw has no weight, no voice
        parts = [
            _told_up(evidence, vectors[start : start + rows], blocks)
            for start in range(0, len(vectors), rows)
        ]
        total = np.concatenate(parts)
        if evidence.right.seen.any():
            total += steered_by(evidence, vectors).log_likelihood
    return np.where(np.isnan(total), -np.inf, total)


def group_sds(evidence: Evidence, vector: Floats) -> tuple[Floats, Floats]:
    """How far each group's robust centre may stray from the prediction.

    Parameters
    ----------
    evidence : Evidence
        Arrows and sheet.
    vector : (u,) array
        Vector of unknowns.

    Returns
    -------
    (g,) array, (g,) array
        One standard deviation to the right and up; infinite where not measured. [rad]

    Source
    ------
    docs/physics.md eq. (7.5).
    """
    column = evidence.prior.unknowns.column
    wobble = float(np.exp(column(vector, "log_wobble"))[0])

    def sds(axis: AxisEvidence, name: str, shift2: Floats | float) -> Floats:
        told = axis.information(np.exp(column(vector, name)))
        safe = np.where(told > 0.0, told, 1.0)
        return np.where(told > 0.0, np.sqrt(wobble**2 + shift2 + 1.0 / safe), np.inf)

    up = sds(evidence.up, "log_dispersion_up", np.square(evidence.set_up_sd_rad))
    return sds(evidence.right, "log_dispersion_right", 0.0), up


def robust_centres(evidence: Evidence, vector: Floats) -> tuple[Floats, Floats]:
    """Robust centre of each group.

    Parameters
    ----------
    evidence : Evidence
        Arrows and sheet.
    vector : (u,) array
        Vector of unknowns; its dispersions say what is wild.

    Returns
    -------
    (g,) array, (g,) array
        To the right and up of the aim. [rad]
    """
    column = evidence.prior.unknowns.column
    right = evidence.right.robust_centre(float(np.exp(column(vector, "log_dispersion_right"))[0]))
    up = evidence.up.robust_centre(float(np.exp(column(vector, "log_dispersion_up"))[0]))
    return right, up
