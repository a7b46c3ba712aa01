"""Spread: how widely arrows scatter about the centres of their groups.

Lengths are divided by what the caller says: by the distance they become angles, and groups shot
at several distances tell of one dispersion together.

Holds:  the Banded and Spread records; dispersion with its band from one group or many; circles
        that hold a share of the arrows; mean radius and extreme spread of a group.
Never:  where the centre lies (aim_test.py), which arrow is a flyer (flyer.py).
Source: docs/physics.md §6; docs/sources.md [NIST-EHB].
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log, nan, pi, sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import chdtri

from tapewright.target.group import Group, single_arrows, unbiased_factor

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Banded:
    """A number with its band; nan when nothing is known of it.

    Parameters
    ----------
    value, low, high : float
        Best value and ends of the band, in the unit that the field names.
    """

    value: float
    low: float
    high: float

    def times(self, factor: float) -> "Banded":
        """The same, multiplied by a positive number.

        Parameters
        ----------
        factor : float
            Above zero. [-]

        Returns
        -------
        Banded
            Value and both ends multiplied.
        """
        return Banded(factor * self.value, factor * self.low, factor * self.high)


UNTOLD = Banded(nan, nan, nan)


@dataclass(frozen=True, slots=True)
class Spread:
    """How widely arrows scatter, per axis.

    Parameters
    ----------
    arrows, groups : int
        How many single arrows, in how many groups of two and more. [-]
    freedoms : int
        Degrees of freedom of the pooled dispersion. [-]
    variance_rad2 : float
        S², both axes together, unbiased; nan when untold. [rad²]
    dispersion_rad : Banded
        Both axes together, unbiased. [rad]
    up_rad, right_rad : Banded
        Each axis by itself, unbiased. [rad]
    """

    arrows: int
    groups: int
    freedoms: int
    variance_rad2: float
    dispersion_rad: Banded
    up_rad: Banded
    right_rad: Banded

    @property
    def mean_radius_rad(self) -> Banded:
        """Mean distance of an arrow from the true centre, eq. (6.5). [rad]"""
        return self.dispersion_rad.times(sqrt(pi / 2.0))

    def radius_rad(self, share: float) -> Banded:
        """Radius of the circle about the true centre that holds a share of the arrows.

        Parameters
        ----------
        share : float
            Between 0 and 1. [-]

        Returns
        -------
        Banded
            With the band of the dispersion. [rad]
        """
        return self.dispersion_rad.times(radius_factor(share))


def radius_factor(share: float) -> float:
    """Radius that holds a share of the arrows, over the dispersion.

    Parameters
    ----------
    share : float
        Between 0 and 1. [-]

    Returns
    -------
    float
        Radius in dispersions. [-]

    Example
    -------
    The circle that holds half of the arrows:

    >>> round(radius_factor(0.5), 6)
    1.17741

    Source
    ------
    docs/physics.md eq. (6.5).
    """
    return sqrt(-2.0 * log(1.0 - share))


def interval_factors(freedoms: float, probability: float = 0.9) -> tuple[float, float]:
    """Ends of the band of a standard deviation, over the root of its unbiased variance.

    Parameters
    ----------
    freedoms : float
        Degrees of freedom of the variance, at least 1. [-]
    probability : float, default 0.9
        Chance with which the band holds the truth. [-]

    Returns
    -------
    float, float
        Low and high end. [-]

    Source
    ------
    docs/physics.md eq. (6.4).
    """
    tail = 0.5 * (1.0 - probability)
    return (
        sqrt(freedoms / float(chdtri(freedoms, tail))),
        sqrt(freedoms / float(chdtri(freedoms, 1.0 - tail))),
    )


def banded_dispersion(variance: float, freedoms: int, probability: float = 0.9) -> Banded:
    """Standard deviation with its band from an unbiased variance.

    Parameters
    ----------
    variance : float
        Unbiased variance. [square of any unit]
    freedoms : int
        Its degrees of freedom; 0: nothing is known. [-]
    probability : float, default 0.9
        Chance with which the band holds the truth. [-]

    Returns
    -------
    Banded
        Unbiased value, and the band. [that unit]

    Source
    ------
    docs/physics.md eq. (6.2), (6.4).
    """
    if freedoms < 1:
        return UNTOLD
    root = sqrt(variance)
    low, high = interval_factors(freedoms, probability)
    return Banded(root / unbiased_factor(freedoms), root * low, root * high)


def _about_centres(groups: Sequence[Group], distances_m: Floats, axis: str) -> tuple[float, int]:
    """Sum of squares of single arrows about their own centres along an axis, and its freedoms."""
    total, freedoms = 0.0, 0
    for group, distance_m in zip(groups, distances_m, strict=True):
        values, arrows = group.along(axis)
        angles = values[arrows == 1] / distance_m
        if len(angles) > 1:
            total += float(np.square(angles - angles.mean()).sum())
            freedoms += len(angles) - 1
    return total, freedoms


def combined_spread(
    groups: Sequence[Group], distances_m: ArrayLike, probability: float = 0.9
) -> Spread:
    """Spread of the arrows of one group or of several, each about its own centre.

    Parameters
    ----------
    groups : sequence of Group
        The groups, g of them; impacts that stand for several arrows tell nothing here.
    distances_m : (g,) array
        Eye to target; 1 for all gives the spread of one target in metres instead. [m]
    probability : float, default 0.9
        Chance with which the bands hold the truth. [-]

    Returns
    -------
    Spread
        In angles.

    Source
    ------
    docs/physics.md eq. (6.3).
    """
    distances = np.asarray(distances_m, dtype=np.float64)
    up, up_freedoms = _about_centres(groups, distances, "up")
    right, right_freedoms = _about_centres(groups, distances, "right")
    freedoms = up_freedoms + right_freedoms
    counts = [
        max(int((group.along(axis)[1] == 1).sum()) for axis in ("up", "right")) for group in groups
    ]
    variance = (up + right) / freedoms if freedoms else nan  # eq. (6.3)

    def one_axis(total: float, freedoms: int) -> Banded:
        return banded_dispersion(total / max(freedoms, 1), freedoms, probability)

    return Spread(
        arrows=sum(count for count in counts if count > 1),
        groups=sum(count > 1 for count in counts),
        freedoms=freedoms,
        variance_rad2=variance,
        dispersion_rad=banded_dispersion(variance, freedoms, probability),
        up_rad=one_axis(up, up_freedoms),
        right_rad=one_axis(right, right_freedoms),
    )


def mean_radius(group: Group) -> float:
    """Mean distance of the arrows from their own centre.

    Parameters
    ----------
    group : Group
        The arrows, measured on both axes.

    Returns
    -------
    float
        As measured, smaller than that about the true centre by √((n − 1)/n); nan with fewer
        than two arrows. [m]
    """
    xy = single_arrows(group)
    if len(xy) < 2:
        return nan
    return float(np.hypot(*(xy - xy.mean(axis=0)).T).mean())


def extreme_spread(group: Group) -> float:
    """Distance between the two arrows of a group that lie farthest apart.

    Parameters
    ----------
    group : Group
        The arrows, measured on both axes.

    Returns
    -------
    float
        Centre to centre; nan with fewer than two arrows. [m]
    """
    xy = single_arrows(group)
    return float(farthest_apart(xy)) if len(xy) > 1 else nan


def farthest_apart(xy: Floats) -> Floats:
    """Largest distance between two points.

    Parameters
    ----------
    xy : (..., a, 2) array
        Points of one group, or of many. [m]

    Returns
    -------
    (...) array
        Largest distance. [m]
    """
    apart = xy[..., :, None, :] - xy[..., None, :, :]
    return np.asarray(np.sqrt(np.square(apart).sum(axis=-1).max(axis=(-1, -2))))
