"""Strips: the likeliest tape and its two neighbours, a little shorter and longer.

Holds:  the StripMarks record; marks of strips through one near mark whose lengths differ; what
        taking a neighbour changes at the target.
Never:  ink (drawing), ready-made strips of others.
Source: docs/physics.md §8.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.posterior import Posterior
from tapewright.sight.prediction import impact_gradient

Floats = NDArray[np.float64]

WIDEST_STEP = 0.1  # of the length; before the first arrow bands are wider than any strip helps with
FINEST_STEP_M = 0.2e-3  # nobody sticks a strip on better than this


@dataclass(frozen=True)
class StripMarks:
    """One strip.

    Parameters
    ----------
    length_m : float
        Tape length between the near and the far distance. [m]
    reading_m : (p, n) array
        Mark of every pin at every distance. [m]
    """

    length_m: float
    reading_m: Floats


def strip_marks(
    posterior: Posterior,
    distance_m: ArrayLike,
    near_m: float,
    far_m: float,
    step_m: float | None = None,
) -> tuple[StripMarks, StripMarks, StripMarks]:
    """The likeliest strip between its two neighbours.

    A neighbour shares the first pin's near mark. Its other marks are what they most likely are
    if its length is the true one, so the three strips differ as true strips differ.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    distance_m : (n,) array
        Distances. [m]
    near_m, far_m : float
        Between which the length is taken. [m]
    step_m : float, optional
        How much the length of a neighbour differs; absent: half the width of the length's 90 %
        band, rounded to 0.1 mm, at least 0.2 mm, at most a tenth of the length. [m]

    Returns
    -------
    three StripMarks
        One step shorter, the likeliest, one step longer.

    Source
    ------
    docs/physics.md eq. (8.10).
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    ends = drawn_marks(posterior, np.array([near_m, far_m]))
    direction = posterior.calibration.evidence.prior.unknowns.direction
    length = direction * (ends[:, 1] - ends[:, 0])
    if step_m is None:
        low, high = np.quantile(length, [0.05, 0.95])
        widest_m = WIDEST_STEP * float(np.median(length))
        step_m = max(FINEST_STEP_M, round(min(0.5 * float(high - low), widest_m), 4))
    pins = range(1, posterior.calibration.evidence.prior.unknowns.pins + 2)
    marks = np.stack([drawn_marks(posterior, distance, pin) for pin in pins])
    middle = np.median(marks, axis=1)
    apart = length - length.mean()
    from_near = marks - ends[:, :1]
    growth = (from_near - from_near.mean(axis=1, keepdims=True)) * apart[:, None]
    per_length = growth.sum(axis=1) / np.square(apart).sum()
    likeliest = float(np.median(length))
    less, same, more = (
        StripMarks(likeliest + steps * step_m, middle + steps * step_m * per_length)
        for steps in (-1.0, 0.0, 1.0)
    )
    return less, same, more


def neighbour_impacts(
    posterior: Posterior, distance_m: ArrayLike, strips: tuple[StripMarks, ...]
) -> Floats:
    """How much higher arrows land when a strip is taken in place of the likeliest.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    distance_m : (n,) array
        Distances. [m]
    strips : tuple of StripMarks
        Made for these distances, the likeliest in the middle.

    Returns
    -------
    (s, n) array
        Impact with the first pin, up positive, for the likeliest bow. [m]

    Source
    ------
    docs/physics.md eq. (5.7).
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    bow = posterior.calibration.evidence.prior.unknowns.bow(np.median(posterior.vectors, axis=0))
    likeliest = strips[len(strips) // 2].reading_m[0]
    per_reading = impact_gradient(bow, distance, likeliest).by_reading
    return np.stack([(strip.reading_m[0] - likeliest) * per_reading for strip in strips])
