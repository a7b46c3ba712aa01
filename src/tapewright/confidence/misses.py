"""Misses: where the groups of a proving session landed against the tape, and how far chance goes.

Holds:  the Misses record: misses of all groups as angles with their covariance, and the draws
        behind it; the doubt about a group still to be shot.
Never:  what made them miss (signatures.py, diagnosis.py), sentences.
Source: docs/physics.md §8.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapewright.calibration.evidence import INFORMATION, AxisEvidence, Evidence, evidence_from
from tapewright.calibration.fit import Calibration
from tapewright.calibration.misfit import predicted_angles, robust_centres, with_set_up_doubt
from tapewright.calibration.observation import Observation, distance_doubts
from tapewright.calibration.unknowns import SPREAD_NAMES
from tapewright.calibration.windage import told_turns
from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.posterior import Posterior
from tapewright.confidence.sampling import even_normals
from tapewright.ground.errors import LaunchUnreachable
from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import Aim, impact_gradient

Floats = NDArray[np.float64]

TELLING_ARROWS = 4  # of the group that is to tell two causes apart


@dataclass(frozen=True)
class Misses:
    """Misses of all groups as angles, up first, then right: vectors of length 2 g.

    Parameters
    ----------
    posterior : Posterior
        Of the calibration that was proved.
    evidence : Evidence
        The session's groups.
    bow : SightedBow
        The middle one.
    aim : Aim
        How each group was aimed.
    ends_m : (float, float)
        Marks of the two distances between which the strip is measured. [m]
    spread_rad : dict of str to float
        Dispersion and wobble, by name. [rad]
    miss_rad : (2 g,) array
        Centres minus what the calibration promises. [rad]
    drawn_rad : (d, 2 g) array
        What each draw promises minus that. [rad]
    covariance : (2 g, 2 g) array
        Of the misses when nothing is wrong. [rad²]
    measured : (2 g,) array of bool
        Which of them were seen.
    """

    posterior: Posterior
    evidence: Evidence
    bow: SightedBow
    aim: Aim
    ends_m: tuple[float, float]
    spread_rad: dict[str, float]
    miss_rad: Floats
    drawn_rad: Floats
    covariance: Floats
    measured: NDArray[np.bool_]


def misses_of(
    posterior: Posterior, shot: tuple[Observation, ...], ends_m: tuple[float, float]
) -> Misses:
    """Misses of a session against a calibration.

    Parameters
    ----------
    posterior : Posterior
        Draws of the calibration.
    shot : tuple of Observation
        The session's groups; none of them may be part of the calibration.
    ends_m : (float, float)
        Near and far distance between which the strip is measured. [m]

    Returns
    -------
    Misses
        With their covariance.

    Raises
    ------
    LaunchUnreachable
        If the calibration's bow cannot throw an arrow so far.

    Source
    ------
    docs/physics.md eq. (8.15).
    """
    calibration = posterior.calibration
    fresh = evidence_from(calibration.rig, shot, distances=calibration.evidence.prior.distances)
    names = fresh.prior.unknowns.names
    had = calibration.evidence.prior.unknowns.names
    draws = _in_order(posterior.vectors, had, names, fresh.prior.sd)
    middle = np.median(draws, axis=0)
    fresh = with_set_up_doubt(fresh, middle)
    right, high = predicted_angles(fresh, draws)
    right = right + _turned(calibration, shot)
    if np.isnan(high).any():
        raise LaunchUnreachable(float(fresh.distance_m.max()))
    seen_right, seen_up = robust_centres(fresh, middle)
    drawn = np.concatenate([high, right], axis=1)
    promised = np.median(drawn, axis=0)
    spreads = {name: float(np.exp(middle[names.index(name)])) for name in SPREAD_NAMES}
    own = [
        _own_variance(fresh.up, spreads["log_dispersion_up"]),
        _own_variance(fresh.right, spreads["log_dispersion_right"]),
    ]
    own[0] += np.square(fresh.set_up_sd_rad)
    covariance = np.cov(drawn.T) + np.diag(np.concatenate(own) + spreads["log_wobble"] ** 2)
    below = fresh.prior.unknowns.pin_below(middle, fresh.pin)
    aim = Aim(fresh.aim.slope_rad, fresh.aim.density_ratio, below)
    bow = fresh.prior.unknowns.bow(middle)
    up = np.s_[: fresh.groups, : fresh.groups]
    covariance[up] += _peg_errors(fresh, bow, aim, posterior)
    covariance[up] += _sticking_errors(fresh)
    near, far = np.median(drawn_marks(posterior, ends_m), axis=0)
    return Misses(
        posterior,
        fresh,
        bow,
        aim,
        (float(near), float(far)),
        spreads,
        np.concatenate([seen_up, seen_right]) - promised,
        drawn - promised,
        covariance,
        np.concatenate([fresh.up.seen, fresh.right.seen]),
    )


def _in_order(
    vectors: Floats, had: tuple[str, ...], wanted: tuple[str, ...], sds: Floats
) -> Floats:
    """Draws in the order of a new session's unknowns; its pegs' own errors are not drawn.

    A source of distances that the calibration did not have may be off by all that is believed.
    """
    even = even_normals(len(vectors))
    columns = [
        vectors[:, had.index(name)]
        if name in had and not name.startswith("distance_error")
        else even * sd * name.startswith("distances_by")
        for name, sd in zip(wanted, sds, strict=True)
    ]
    return np.stack(columns, axis=1)


def _turned(calibration: Calibration, shot: tuple[Observation, ...]) -> Floats:
    """By which angle the windage was turned, as told, since it was last told, (g,)."""
    known = calibration.evidence.observations[-1:] + shot
    click_m = calibration.rig.sight.windage_click_m
    radius_m = calibration.evidence.prior.unknowns.sight_radius_m
    since = []
    for one in shot:
        told = (told_turns(old, one, click_m, radius_m) for old in known)
        since.append(next((turned for turned in told if turned is not None), 0.0))
    return np.array(since, dtype=np.float64)


def _own_variance(axis: AxisEvidence, dispersion_rad: float) -> Floats:
    """Variance of each group's centre about where the group truly is; any for one not seen."""
    told = axis.information(np.array([dispersion_rad]))
    return np.asarray(1.0 / np.where(axis.seen, told, 1.0))


def _peg_errors(fresh: Evidence, bow: SightedBow, aim: Aim, posterior: Posterior) -> Floats:
    """Groups at one peg share its error, (g, g)."""
    doubt_m = distance_doubts(fresh.distance_m, posterior.calibration.rig.archer.distance_sd_m)
    slope = impact_gradient(bow, fresh.distance_m, fresh.reading_m, aim)
    moved = slope.by_distance * doubt_m / fresh.distance_m
    together = (fresh.shared[:, None] == fresh.shared) & (fresh.shared >= 0)
    return np.asarray(np.outer(moved, moved) * together)


def _sticking_errors(fresh: Evidence) -> Floats:
    """Groups of one scale, other than that of which marks are told, share its error, (g, g)."""
    if fresh.steps is None or fresh.up_per_reading is None:
        return np.zeros((fresh.groups, fresh.groups))
    moved = fresh.up_per_reading[:, None] * fresh.steps.of_groups * fresh.steps.sd_m
    return np.asarray(moved @ moved.T)


def promised_at(misses: Misses, tried_m: Floats) -> tuple[Floats, Floats]:
    """What each draw promises of one more group at distances, and that group's own doubt.

    Parameters
    ----------
    misses : Misses
        Of a session.
    tried_m : (n,) array
        Distances, on the level. [m]

    Returns
    -------
    (d, 2 n) array, (2 n,) array
        Angles up, then right, of the marks dialled; variance of the centre of a group of four
        about where it truly is. [rad], [rad²]

    Source
    ------
    docs/physics.md eq. (8.41).
    """
    posterior, spreads = misses.posterior, misses.spread_rad
    marks = drawn_marks(posterior, tried_m)
    middle = np.median(marks, axis=0)
    slope = impact_gradient(misses.bow, tried_m, middle)
    had = posterior.calibration.evidence.prior.unknowns
    across = (
        had.column(posterior.vectors, "windage") + had.column(posterior.vectors, "side") / tried_m
    )
    known = np.concatenate([(middle - marks) * slope.by_reading / tried_m, across], axis=1)
    own = [spreads["log_dispersion_up"], spreads["log_dispersion_right"]]
    scatter = np.square(own) / (INFORMATION * TELLING_ARROWS) + spreads["log_wobble"] ** 2
    return known - np.median(known, axis=0), np.repeat(scatter, len(tried_m))
