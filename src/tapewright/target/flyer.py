"""Flyer: which arrow does not belong, and how little a small group can prove.

Holds:  Grubbs' test along one axis and its sister for both axes together; how far off an arrow
        must lie to be found.
Never:  leaving an arrow out: that is the archer's word, given before looking.
Source: docs/physics.md §6; docs/sources.md [GRUBBS], [E178], [ISO5725].
"""

from dataclasses import dataclass
from functools import lru_cache
from math import isnan, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.special import ncfdtr, stdtr, stdtrit

from tapewright.target.group import Group, single_arrows

Floats = NDArray[np.float64]

FEWEST = 5  # arrows: of three or four, rounded as they are, none can be told to be the wrong one
OUTLIER = 0.01  # chance below which a straggler is an outlier, as in ISO 5725-2


@dataclass(frozen=True, slots=True)
class FlyerTest:
    """The arrow that lies farthest from its group, and whether it belongs.

    Parameters
    ----------
    arrow : int
        Its place among the single arrows measured, from 0. [-]
    statistic : float
        How far off it lies, over the spread S of the group with it. [-]
    critical : float
        Statistic that a sound group exceeds with the chance ``risk``. [-]
    chance : float
        That the farthest arrow of a sound group lies at least so far off; never too small. [-]
    is_flyer : bool
        Whether the chance is below the risk.
    """

    arrow: int
    statistic: float
    critical: float
    chance: float
    is_flyer: bool

    @property
    def is_outlier(self) -> bool:
        """Whether it is more than a straggler, which is kept unless a slip explains it."""
        return self.is_flyer and self.chance < OUTLIER


def largest_possible(arrows: int) -> float:
    """The largest value that Grubbs' statistic can ever take.

    Parameters
    ----------
    arrows : int
        In the group. [-]

    Returns
    -------
    float
        In standard deviations. [-]

    Example
    -------
    Of three arrows none can lie farther off than this, however wild it is:

    >>> round(largest_possible(3), 4)
    1.1547
    """
    return (arrows - 1) / sqrt(arrows)


def grubbs_critical(arrows: int, risk: float = 0.05, *, two_sided: bool = True) -> float:
    """Value of Grubbs' statistic that a sound group seldom exceeds, along one axis.

    Parameters
    ----------
    arrows : int
        In the group, at least 3. [-]
    risk : float, default 0.05
        Chance that a sound group exceeds it. [-]
    two_sided : bool, default True
        Whether the flyer may lie on either side.

    Returns
    -------
    float
        Distance from the mean over the standard deviation. [-]

    Source
    ------
    docs/physics.md eq. (6.9); ASTM E178.
    """
    tail = risk / ((2.0 if two_sided else 1.0) * arrows)
    t2 = float(stdtrit(arrows - 2, tail)) ** 2
    return largest_possible(arrows) * sqrt(t2 / (arrows - 2 + t2))  # eq. (6.9)


def radial_critical(arrows: int, risk: float = 0.05) -> float:
    """Value of the radial statistic that a sound group seldom exceeds, both axes together.

    Parameters
    ----------
    arrows : int
        In the group, at least 3. [-]
    risk : float, default 0.05
        Chance that a sound group exceeds it. [-]

    Returns
    -------
    float
        Distance from the centre over the spread S. [-]

    Source
    ------
    docs/physics.md eq. (6.10).
    """
    share = 1.0 - (risk / arrows) ** (1.0 / (arrows - 2))
    return sqrt(2.0 * share / arrows) * (arrows - 1)


def axis_flyer(values_m: Floats, risk: float = 0.05, step_m: float = 0.0) -> FlyerTest | None:
    """Grubbs' two-sided test along one axis.

    Parameters
    ----------
    values_m : (a,) array
        Where the arrows hit along the axis. [m]
    risk : float, default 0.05
        Chance of calling an arrow of a sound group a flyer. [-]
    step_m : float, default 0
        Step to which the values were rounded (``rounding.written_step``). [m]

    Returns
    -------
    FlyerTest or None
        None with fewer than five arrows, or all in one place.

    Source
    ------
    docs/physics.md eq. (6.9) and (6.16).
    """
    arrows = len(values_m)
    if arrows < FEWEST:
        return None
    if np.ptp(values_m) <= 0.0:
        return None
    width_m = sqrt(float(values_m.var(ddof=1)) + step_m**2 / 12.0)  # eq. (6.16)
    away = np.abs(values_m - values_m.mean()) / width_m
    place = int(away.argmax())
    statistic = float(away[place])
    left = max(largest_possible(arrows) ** 2 - statistic**2, 1e-300)
    t = statistic * sqrt((arrows - 2) / left)  # eq. (6.9), solved for t
    chance = min(1.0, 2.0 * arrows * float(stdtr(arrows - 2, -t)))
    return FlyerTest(place, statistic, grubbs_critical(arrows, risk), chance, chance < risk)


def radial_flyer(group: Group, risk: float = 0.05, step_m: float = 0.0) -> FlyerTest | None:
    """The test for both axes together: axes alike, direction unknown.

    Parameters
    ----------
    group : Group
        The arrows, measured on both axes.
    risk : float, default 0.05
        Chance of calling an arrow of a sound group a flyer. [-]
    step_m : float, default 0
        Step to which the values were rounded (``rounding.written_step``). [m]

    Returns
    -------
    FlyerTest or None
        None with fewer than five such arrows, or all in one place.

    Source
    ------
    docs/physics.md eq. (6.10) and (6.16).
    """
    xy = single_arrows(group)
    arrows = len(xy)
    if arrows < FEWEST:
        return None
    far2 = np.square(xy - xy.mean(axis=0)).sum(axis=1)
    total = float(far2.sum())
    if total <= 0.0:
        return None
    total += (arrows - 1) * step_m**2 / 6.0  # eq. (6.16), on both axes
    place = int(far2.argmax())
    share = min(arrows / (arrows - 1) * float(far2[place]) / total, 1.0)
    chance = min(1.0, arrows * (1.0 - share) ** (arrows - 2))  # eq. (6.10)
    statistic = sqrt(2.0 * (arrows - 1) * float(far2[place]) / total)
    return FlyerTest(place, statistic, radial_critical(arrows, risk), chance, chance < risk)


def chance_to_find(offset: float, arrows: int, risk: float = 0.05, axes: int = 2) -> float:
    """Chance that the test finds a flyer.

    Parameters
    ----------
    offset : float
        How far off the flyer was aimed, in dispersions per axis. [-]
    arrows : int
        In the group with the flyer, at least 3. [-]
    risk : float, default 0.05
        Chance of calling an arrow of a sound group a flyer. [-]
    axes : int, default 2
        2: radial test; 1: Grubbs' two-sided test along the axis of the offset. [-]

    Returns
    -------
    float
        The chance that the flyer's own statistic exceeds the critical value. [-]

    Source
    ------
    docs/physics.md eq. (6.11).
    """
    freedoms = arrows - 2
    if axes == 1:
        ratio = float(stdtrit(freedoms, risk / (2.0 * arrows))) ** 2
    else:
        left = (risk / arrows) ** (1.0 / freedoms)  # one minus the critical share
        ratio = freedoms * (1.0 - left) / left
    shift = offset**2 * (arrows - 1) / arrows
    missed = float(ncfdtr(axes, axes * freedoms, shift, ratio))  # eq. (6.11)
    return 1.0 if isnan(missed) else 1.0 - missed  # SciPy gives up where all is certain


@lru_cache(maxsize=256)  # a search that pages ask for again and again
def offset_to_find(arrows: int, chance: float, risk: float = 0.05, axes: int = 2) -> float:
    """How far off a flyer must be for the test to find it.

    Parameters
    ----------
    arrows : int
        In the group with the flyer, at least 3. [-]
    chance : float
        With which it is to be found, more than the risk. [-]
    risk, axes
        As for ``chance_to_find``.

    Returns
    -------
    float
        Offset in dispersions per axis. [-]
    """
    far = 4.0
    while chance_to_find(far, arrows, risk, axes) < chance:
        far *= 2.0
    return float(
        brentq(lambda one: chance_to_find(one, arrows, risk, axes) - chance, 0.0, far, xtol=1e-6)
    )
