"""Hills: other places where the truth may be, when groups contradict each other.

This group is wrong or that one, or all scatter more than usual. Each is a hill of its own, and
whoever stands on one may never see the next. So each is looked for by a search of its own.

Holds:  what a group would be had the fit not seen it; the hills.
Never:  draws and verdicts (confidence).
Source: docs/physics.md §7.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tapewright.calibration.evidence import AxisEvidence, Evidence
from tapewright.calibration.fit import Place, settled
from tapewright.calibration.misfit import group_sds, predicted_angles, robust_centres
from tapewright.calibration.residual import whitened_jacobian, whitened_residual
from tapewright.ground.errors import CalibrationFailed

Floats = NDArray[np.float64]

MOST_MUTED = 4  # groups left out one at a time, the most surprising first
CONTRADICTS = 3.0  # deviations from what the others say; a sound group in 370 lies as far off


def left_out(evidence: Evidence, vector: Floats, steps_m: Floats | None = None) -> Floats:
    """Residual of each group's height as if the fit had not seen it.

    Parameters
    ----------
    evidence : Evidence
        Arrows and sheet.
    vector : (u,) array
        Where the fit ended.
    steps_m : (k,) array, optional
        Stickings there; asked for where there are any. [m]

    Returns
    -------
    (g,) array
        In deviations. [-]

    Source
    ------
    docs/physics.md eq. (8.9).
    """
    centres = robust_centres(evidence, vector)
    sds = np.full(evidence.groups, np.inf), group_sds(evidence, vector)[1]
    residual = whitened_residual(evidence, vector, centres, sds, steps_m)
    slope = whitened_jacobian(evidence, vector, sds, steps_m)
    hat = np.einsum("ij,jk,ik->i", slope, np.linalg.pinv(slope.T @ slope), slope)
    freed = residual / np.sqrt(np.maximum(1.0 - hat, 1e-6))
    return np.asarray(freed[-evidence.groups :])


def _muted(axis: AxisEvidence, group: int) -> AxisEvidence:
    there, weight = axis.there.copy(), axis.weight.copy()
    there[group] = weight[group] = 0.0
    return replace(axis, there=there, weight=weight)


def _without(evidence: Evidence, group: int) -> Evidence:
    """The same evidence with nothing seen of one group."""
    return replace(evidence, up=_muted(evidence.up, group), right=_muted(evidence.right, group))


def is_contradictory(place: Place) -> bool:
    """Whether a group lies so far from what the others say that there may be several hills.

    Parameters
    ----------
    place : Place
        Where the search ended that believed everything.

    Returns
    -------
    bool
        True where every hill is to be looked at.

    Source
    ------
    docs/physics.md eq. (7.9).
    """
    return bool(_surprise(place).max() > CONTRADICTS)


def _surprise(place: Place) -> Floats:
    return np.abs(left_out(place.evidence, place.vector, place.steps_m))


def _all_scattered(place: Place) -> Floats:
    """A start at which the wobble is what the fit leaves unexplained."""
    evidence, vector = place.evidence, place.vector
    said = predicted_angles(evidence, vector, place.steps_m)[1]
    missed = robust_centres(evidence, vector)[1] - said
    start = vector.copy()
    start[evidence.prior.unknowns.place("log_wobble")] = np.log(np.sqrt(np.square(missed).mean()))
    return start


def hills_of(place: Place) -> tuple[Place, ...]:
    """Where searches end that leave out each of the oddest groups, or let all scatter.

    Parameters
    ----------
    place : Place
        Where the search ended that believed everything.

    Returns
    -------
    tuple of Place
        Where else the truth may be.

    Source
    ------
    docs/physics.md eq. (7.9).
    """
    evidence, best = place.evidence, place.vector
    worst = [int(one) for one in np.argsort(-_surprise(place))[:MOST_MUTED]]
    found = []
    for some, start in (
        *((_without(evidence, group), best) for group in worst),
        (evidence, _all_scattered(place)),
    ):
        try:
            found.append(settled(some, start))
        except (CalibrationFailed, np.linalg.LinAlgError):  # no bow there: no hill
            continue
    return tuple(found)
