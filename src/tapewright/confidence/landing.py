"""Landing: where an arrow still to be shot may land, from the draws themselves.

Every draw is a bow that may be the true one, and the likeliest mark is dialled on each of them:
their misses are the cloud, whatever shape it has. Before the first arrow the sight is set by eye,
and that doubt is part of the cloud too.

Holds:  the Butt and Landings records; chance of landing on a butt; butts that stop an arrow; what
        a group still to be shot would leave of the cloud.
Never:  how far one may step (ladder.py), which group to shoot (advice.py), sentences.
Source: docs/physics.md §8.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr

from tapewright.calibration.evidence import INFORMATION
from tapewright.calibration.observation import distance_doubts
from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.posterior import Posterior
from tapewright.confidence.sampling import even_normals
from tapewright.sight.prediction import impact, impact_gradient

Floats = NDArray[np.float64]

SET_BY_EYE_M = 0.040  # how far off a pin may be that was set by eye; common practice, no source
_BISECTIONS = 40


@dataclass(frozen=True, slots=True)
class Butt:
    """What the arrow is meant to stop in, aimed at in its middle.

    Parameters
    ----------
    width_m, height_m : float
        Of what stops an arrow. [m]
    """

    width_m: float
    height_m: float


@dataclass(frozen=True)
class Landings:
    """Where arrows may land that are shot with the likeliest marks: d draws, c shots.

    Parameters
    ----------
    shot_m : (c,) array
        Distances at which an arrow may be shot. [m]
    right_rad, up_rad : (d, c) array
        By which angle the arrows of each draw's bow lie off the aim in the mean. [rad]
    right_sd_rad, up_sd_rad : (d, c) array
        Scatter of one arrow about that: dispersion, wobble, dialling and measuring. [rad]
    shift_sd_rad : (d, 2, c) array
        The part of the scatter, right and up, that a whole group shares. [rad]
    """

    shot_m: Floats
    right_rad: Floats
    up_rad: Floats
    right_sd_rad: Floats
    up_sd_rad: Floats
    shift_sd_rad: Floats

    def chance(self, shot: int, butt: Butt) -> float:
        """Chance that an arrow lands on a butt, wild flyers apart.

        Parameters
        ----------
        shot : int
            Which of the shots. [-]
        butt : Butt
            Aimed at in its middle.

        Returns
        -------
        float
            Mean over the draws. [-]

        Source
        ------
        docs/physics.md eq. (8.14).
        """
        if (shot, butt) not in self._chances:
            distance = self.shot_m[shot]
            right = _inside(self.right_rad, self.right_sd_rad, shot, 0.5 * butt.width_m / distance)
            up = _inside(self.up_rad, self.up_sd_rad, shot, 0.5 * butt.height_m / distance)
            self._chances[shot, butt] = float((right * up).mean())
        return self._chances[shot, butt]

    @cached_property
    def _chances(self) -> dict[tuple[int, Butt], float]:
        """What was worked out already: a plan asks the same again and again."""
        return {}

    def below(self, shot: int, share: float) -> float:
        """Height below which a share of the arrows lands, up of the aim positive.

        Parameters
        ----------
        shot : int
            Which of the shots. [-]
        share : float
            0 to 1. [-]

        Returns
        -------
        float
            To a thousandth of a millimetre. [m]
        """
        off, sd = self.up_rad[:, shot], self.up_sd_rad[:, shot]
        reach = float(np.abs(off).max() + 9.0 * sd.max())
        low, high = -reach, reach
        for _ in range(_BISECTIONS):
            middle = 0.5 * (low + high)
            if ndtr((middle - off) / sd).mean() < share:
                low = middle
            else:
                high = middle
        return float(self.shot_m[shot] * 0.5 * (low + high))

    def butt_height_m(self, shot: int, share: float) -> float:
        """Height of the butt that stops a share of the arrows, aimed at in its middle. [m]"""
        return self._side_m(self.up_rad, self.up_sd_rad, shot, share)

    def butt_width_m(self, shot: int, share: float) -> float:
        """Width of the butt that stops a share of the arrows, aimed at in its middle. [m]"""
        return self._side_m(self.right_rad, self.right_sd_rad, shot, share)

    def _side_m(self, off: Floats, sd: Floats, shot: int, share: float) -> float:
        low, high = 0.0, float(np.abs(off[:, shot]).max() + 9.0 * sd[:, shot].max())
        for _ in range(_BISECTIONS):
            middle = 0.5 * (low + high)
            if _inside(off, sd, shot, middle).mean() < share:
                low = middle
            else:
                high = middle
        return float(2.0 * self.shot_m[shot] * high)

    def after(self, shot: int, arrows: int) -> "Landings":
        """The cloud once a group was shot that landed where it was likeliest to land.

        Each draw's miss moves by what its own group would have told, so the cloud keeps its
        shape where the group tells nothing.

        Parameters
        ----------
        shot : int
            Which of the shots. [-]
        arrows : int
            How many. [-]

        Returns
        -------
        Landings
            Narrower.

        Source
        ------
        docs/physics.md eq. (8.13), for draws.
        """
        own = np.square(self.shift_sd_rad[:, :, shot])
        told = INFORMATION * arrows
        right_own = own[:, 0] + self._arrow_rad2(self.right_sd_rad, own[:, 0], shot) / told
        up_own = own[:, 1] + self._arrow_rad2(self.up_sd_rad, own[:, 1], shot) / told
        return replace(
            self,
            right_rad=_conditioned(self.right_rad, shot, right_own),
            up_rad=_conditioned(self.up_rad, shot, up_own),
        )

    @staticmethod
    def _arrow_rad2(sd: Floats, shift2: Floats, shot: int) -> Floats:
        """Variance that single arrows do not share, (d,)."""
        return np.square(sd[:, shot]) - shift2


def _inside(off: Floats, sd: Floats, shot: int, half_rad: float) -> Floats:
    """Share of the arrows of each draw within half a butt, (d,)."""
    away, scatter = off[:, shot], sd[:, shot]
    return np.asarray(ndtr((half_rad - away) / scatter) - ndtr((-half_rad - away) / scatter))


def _conditioned(off: Floats, shot: int, own_rad2: Floats) -> Floats:
    """Misses of the draws, each moved by what a group at one shot would have told it."""
    away = off - off.mean(axis=0)
    seen = away[:, shot]
    luck = even_normals(len(off))
    gain = np.einsum("dc,d->c", away, seen) / (np.square(seen).sum() + own_rad2.sum())
    return np.asarray(off - np.outer(seen + luck * np.sqrt(own_rad2), gain))


def landings(posterior: Posterior, shot_m: ArrayLike, short_m: float | Floats = 0.0) -> Landings:
    """Where arrows may land, seen from the draws.

    Parameters
    ----------
    posterior : Posterior
        Draws; with no arrow behind them the sight is taken as set by eye.
    shot_m : (c,) array
        Distances. [m]
    short_m : float or (c,) array, default 0
        By how much the sight is left off the likeliest mark, as the numbers run. [m]

    Returns
    -------
    Landings
        One cloud for each.

    Raises
    ------
    LaunchUnreachable
        If an arrow cannot reach a distance.

    Source
    ------
    docs/physics.md eq. (8.14).
    """
    distance = np.asarray(shot_m, np.float64)
    calibration = posterior.calibration
    unknowns, vectors = calibration.evidence.prior.unknowns, posterior.vectors
    bow = unknowns.bow(vectors)
    dialled = np.median(drawn_marks(posterior, distance), axis=0) + short_m
    right_m, up_m = impact(bow, distance, dialled)
    right, up = np.asarray(right_m / distance), np.asarray(up_m / distance)
    if posterior.is_set_by_eye:
        up = up + _set_by_eye(len(vectors)) / unknowns.sight_radius_m
    slope = impact_gradient(unknowns.bow(np.median(vectors, axis=0)), distance, dialled)
    doubt_m = distance_doubts(distance, calibration.rig.archer.distance_sd_m)
    peg = slope.by_distance * doubt_m / distance
    dialling = slope.by_reading * calibration.evidence.reading_sd_m / distance
    dispersion_up, dispersion_right, wobble = (
        np.exp(unknowns.column(vectors, name))
        for name in ("log_dispersion_up", "log_dispersion_right", "log_wobble")
    )
    shift_right = np.broadcast_to(wobble, up.shape)
    shift_up = np.sqrt(wobble**2 + peg**2 + dialling**2)
    return Landings(
        distance,
        right,
        up,
        np.hypot(shift_right, dispersion_right),
        np.hypot(shift_up, dispersion_up),
        np.stack([shift_right, shift_up], axis=1),
    )


def _set_by_eye(draws: int) -> Floats:
    """By how much each draw's pin is off when it was set by eye, (d, 1). [m]"""
    even = (2.0 * np.arange(draws) + 1.0) / draws - 1.0
    return np.asarray(SET_BY_EYE_M * even[np.arange(draws) * 1543 % draws, None])
