"""Aim test: where the true centre of a group may lie, and whether that is off the aim.

Two tests. The pooled one takes both axes to scatter alike and can use the dispersion of other
groups: it is the sharper, and what a correction asks. Hotelling's takes the group as it is, each
axis with its own scatter and both leaning together: below five arrows it can hardly say no.

Holds:  CentreRegion and HotellingRegion records and how they are found.
Never:  how far the sight moves (correction.py).
Source: docs/physics.md §6.
"""

from dataclasses import dataclass
from math import atan2, inf, isinf, isnan, log, nan, sqrt

import numpy as np
from scipy.special import fdtrc, fdtri

from tapewright.target.group import Group, group_centre, single_arrows


@dataclass(frozen=True, slots=True)
class CentreRegion:
    """The centre of a group and where the true one may lie; nan for an axis not measured.

    Parameters
    ----------
    probability : float
        Chance with which the region holds the true centre. [-]
    right_m, up_m : float
        Centre, right and up of the aim positive. [m]
    reach_right_m, reach_up_m : float
        Half axes of the region of both together; alike when every arrow was measured on both
        axes. [m]
    chance : float
        That a group aimed at the aim would have its centre at least so far off. [-]
    chance_right, chance_up : float
        The same for one axis by itself. [-]
    """

    probability: float
    right_m: float
    up_m: float
    reach_right_m: float
    reach_up_m: float
    chance: float
    chance_right: float
    chance_up: float


@dataclass(frozen=True, slots=True)
class HotellingRegion:
    """Where the true centre may lie, from the group's own scatter alone.

    Parameters
    ----------
    t_squared : float
        Hotelling's T² against the aim. [-]
    chance : float
        That a group aimed at the aim would show as large a T². [-]
    major_m, minor_m : float
        Half axes of the ellipse. [m]
    tilt_rad : float
        Direction of the long axis, from the right toward up, −π/2 to π/2. [rad]
    """

    t_squared: float
    chance: float
    major_m: float
    minor_m: float
    tilt_rad: float


def chance_beyond(f_ratio: float, axes: int, freedoms: float) -> float:
    """Chance that an F ratio is at least so large.

    Parameters
    ----------
    f_ratio : float
        Mean square over variance. [-]
    axes : int
        Degrees of freedom above the line. [-]
    freedoms : float
        Degrees of freedom of the variance; inf: it is known. [-]

    Returns
    -------
    float
        The chance. [-]
    """
    if isinf(freedoms):
        freedoms = 1e9  # as good as known, and within what the F law computes
    return float(fdtrc(axes, freedoms, f_ratio))


def ratio_within(probability: float, axes: int, freedoms: float) -> float:
    """F ratio that is not exceeded with a probability: the inverse of ``chance_beyond``.

    For two axes it is freedoms/2 × ((1 − probability)^(−2/freedoms) − 1) exactly.

    Parameters
    ----------
    probability : float
        Between 0 and 1. [-]
    axes, freedoms
        As for ``chance_beyond``.

    Returns
    -------
    float
        The ratio. [-]

    Source
    ------
    docs/physics.md eq. (6.7).
    """
    if axes == 2:
        if isinf(freedoms):
            return -log(1.0 - probability)
        return float(0.5 * freedoms * ((1.0 - probability) ** (-2.0 / freedoms) - 1.0))
    return float(fdtri(axes, min(freedoms, 1e9), probability))


def centre_region(
    group: Group,
    variance_m2: float,
    freedoms: float = inf,
    wobble_m: float = 0.0,
    probability: float = 0.9,
) -> CentreRegion:
    """The centre of a group with the circle that holds the true one; the pooled test.

    Parameters
    ----------
    group : Group
        The arrows, one or more.
    variance_m2 : float
        S² of an arrow per axis at this distance, from this group or from several; above zero. [m²]
    freedoms : float, default inf
        Degrees of freedom of the variance; inf: it is known. [-]
    wobble_m : float, default 0
        Shift of whole groups from one to the next, one standard deviation. [m]
    probability : float, default 0.9
        Chance with which the region holds the true centre. [-]

    Returns
    -------
    CentreRegion
        Centre, region and chances.

    Source
    ------
    docs/physics.md eq. (6.6), (6.7).
    """
    right_m, up_m = group_centre(group)
    variances, ratios = [], []
    for axis, middle_m in (("right", right_m), ("up", up_m)):
        arrows = float(group.along(axis)[1].sum())
        variance = variance_m2 / arrows + wobble_m**2 if arrows else nan
        variances.append(variance)
        ratios.append(middle_m**2 / variance)  # eq. (6.6)
    seen = [ratio for ratio in ratios if not isnan(ratio)]
    axes = len(seen)
    if not axes:
        return CentreRegion(probability, nan, nan, nan, nan, nan, nan, nan)
    reach = axes * ratio_within(probability, axes, freedoms)
    return CentreRegion(
        probability,
        right_m,
        up_m,
        reach_right_m=sqrt(reach * variances[0]),
        reach_up_m=sqrt(reach * variances[1]),
        chance=chance_beyond(sum(seen) / axes, axes, freedoms),
        chance_right=chance_beyond(ratios[0], 1, freedoms),
        chance_up=chance_beyond(ratios[1], 1, freedoms),
    )


def hotelling_region(group: Group, probability: float = 0.9) -> HotellingRegion | None:
    """The ellipse that holds the true centre, and Hotelling's test against the aim.

    Parameters
    ----------
    group : Group
        The arrows.
    probability : float, default 0.9
        Chance with which the ellipse holds the true centre. [-]

    Returns
    -------
    HotellingRegion or None
        None with fewer than three arrows measured on both axes, or all in one line.

    Source
    ------
    docs/physics.md eq. (6.8).
    """
    xy = single_arrows(group)
    arrows = len(xy)
    if arrows < 3:
        return None
    centre, covariance = xy.mean(axis=0), np.cov(xy.T)
    squares, directions = np.linalg.eigh(covariance)
    if squares[0] <= 1e-12 * squares[1]:
        return None
    t_squared = float(arrows * centre @ np.linalg.solve(covariance, centre))  # eq. (6.8)
    per_ratio = 2.0 * (arrows - 1) / (arrows - 2)
    reach = per_ratio * ratio_within(probability, 2, arrows - 2) / arrows
    right, up = directions[:, 1] * (1.0 if directions[0, 1] >= 0.0 else -1.0)
    return HotellingRegion(
        t_squared,
        chance_beyond(t_squared / per_ratio, 2, arrows - 2),
        major_m=sqrt(reach * squares[1]),
        minor_m=sqrt(reach * squares[0]),
        tilt_rad=atan2(up, right),
    )
