"""Outlook: what is not known of marks and of shots still to be made, as a Gaussian.

What is not known is pictured as a Gaussian over candidate shots and wanted marks, taken from the
draws. A group still to be shot narrows it by an amount that does not depend on where its arrows
will land, so a session can be planned before its first arrow.

Holds:  the Outlook record; the outlook of a posterior; what a group would leave of it.
Never:  where an arrow lands (landing.py), which group to shoot (advice.py), sentences, changes to
        a calibration.
Source: docs/physics.md §8.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.calibration.evidence import INFORMATION
from tapewright.calibration.observation import distance_doubts
from tapewright.calibration.unknowns import SPREAD_NAMES
from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.landing import SET_BY_EYE_M
from tapewright.confidence.posterior import Posterior
from tapewright.sight.prediction import Aim, impact_gradient

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Outlook:
    """What is not known, as a Gaussian: c candidate shots, n wanted marks.

    Parameters
    ----------
    shot_m : (c,) array
        Distances at which a group may be shot. [m]
    wanted_m : (n,) array
        Distances at which marks are wanted, growing. [m]
    covariance : (2 c + n, 2 c + n) array
        Of the angle by which a group shot with the likeliest mark is off [rad], of the impact by
        which each wanted mark is off [m], and of the height that each shot's distance error
        makes, as an angle [rad].
    sideways_rad2 : (c, c) array
        Covariance of the angles by which shots are off to the right. [rad²]
    dispersion_rad : (float, float)
        Right and up. [rad]
    wobble_rad : float
        Of a group. [rad]
    reading_rad : (c,) array
        What errors of setting the pointer do. [rad]
    """

    shot_m: Floats
    wanted_m: Floats
    covariance: Floats
    sideways_rad2: Floats
    dispersion_rad: tuple[float, float]
    wobble_rad: float
    reading_rad: Floats

    @property
    def wanted_sd_m(self) -> Floats:
        """Doubt about each wanted mark as impact, one standard deviation, (n,). [m]"""
        c, n = len(self.shot_m), len(self.wanted_m)
        return np.asarray(np.sqrt(np.maximum(np.diag(self.covariance)[c : c + n], 0.0)))

    def seen(self, shot: int) -> Floats:
        """Covariance of a shot's height, wobble left out, with everything, (2 c + n,)."""
        return np.asarray(self.covariance[shot] + self.covariance[shot - len(self.shot_m)])

    def height_rad2(self, shot: int) -> float:
        """Variance of the angle by which a shot's bow, mark and distance are off. [rad²]"""
        seen = self.seen(shot)
        return float(seen[shot] + seen[shot - len(self.shot_m)])


def outlook(posterior: Posterior, shot_m: ArrayLike, wanted_m: ArrayLike) -> Outlook:
    """What is not known, seen from the draws.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    shot_m : (c,) array
        Distances at which a group may be shot. [m]
    wanted_m : (n,) array
        Distances at which marks are wanted, growing. [m]

    Returns
    -------
    Outlook
        Its Gaussian picture.

    Source
    ------
    docs/physics.md eq. (8.12).
    """
    shots, wanted = np.asarray(shot_m, np.float64), np.asarray(wanted_m, np.float64)
    distance = np.concatenate([shots, wanted])
    calibration = posterior.calibration
    unknowns, vectors = calibration.evidence.prior.unknowns, posterior.vectors
    marks = drawn_marks(posterior, distance)
    likeliest = np.median(marks, axis=0)
    slope = impact_gradient(unknowns.bow(np.median(vectors, axis=0)), distance, likeliest, Aim())
    c = len(shots)
    units = np.concatenate([1.0 / shots, np.ones_like(wanted)])  # angle for shots, impact for marks
    per_reading = slope.by_reading * units
    covariance = np.zeros((2 * c + len(wanted),) * 2)
    known = covariance[: len(distance), : len(distance)]
    known += np.cov(((likeliest - marks) * per_reading).T)
    if posterior.is_set_by_eye:
        off = SET_BY_EYE_M / np.sqrt(3.0) / unknowns.sight_radius_m * distance * units
        known += np.outer(off, off)  # evenly within, and one for all distances
    doubt_m = distance_doubts(shots, calibration.rig.archer.distance_sd_m)
    places = np.arange(len(distance), len(covariance))
    covariance[places, places] = np.square(slope.by_distance[:c] * doubt_m / shots)
    off_right = unknowns.column(vectors, "windage") + unknowns.column(vectors, "side") / shots
    spread = {
        name: float(np.exp(np.median(unknowns.column(vectors, name)))) for name in SPREAD_NAMES
    }
    return Outlook(
        shots,
        wanted,
        covariance,
        np.cov(off_right.T).reshape(c, c),
        (spread["log_dispersion_right"], spread["log_dispersion_up"]),
        spread["log_wobble"],
        np.abs(per_reading[:c]) * calibration.evidence.reading_sd_m,
    )


def after_group(before: Outlook, shot: int, arrows: float) -> Outlook:
    """The outlook once a group has been shot, wherever its arrows land.

    Parameters
    ----------
    before : Outlook
        What is not known now.
    shot : int
        Which of the candidate shots. [-]
    arrows : float
        How many arrows. [-]

    Returns
    -------
    Outlook
        Narrower.

    Source
    ------
    docs/physics.md eq. (8.13).
    """
    right_rad, up_rad = before.dispersion_rad
    told = INFORMATION * arrows
    seen, across = before.seen(shot), before.sideways_rad2[shot]
    own_up = before.wobble_rad**2 + before.reading_rad[shot] ** 2 + up_rad**2 / told
    own_right = before.wobble_rad**2 + right_rad**2 / told
    return replace(
        before,
        covariance=before.covariance - np.outer(seen, seen) / (before.height_rad2(shot) + own_up),
        sideways_rad2=before.sideways_rad2 - np.outer(across, across) / (across[shot] + own_right),
    )
