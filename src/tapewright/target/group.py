"""Group: where the arrows of one group landed.

Holds:  Impact and Group records; which arrows count; centre and dispersion of a group.
Never:  distances, readings, flight; which arrow is a flyer (flyer.py), several groups together
        (spread.py).
Source: docs/physics.md §6.
"""

from dataclasses import dataclass
from math import exp, lgamma, nan, sqrt

import numpy as np
from numpy.typing import NDArray

from tapewright.ground.checks import (
    Amount,
    check_amounts,
    checked_count,
    checked_several,
    checked_text,
)

Floats = NDArray[np.float64]

MOST_ARROWS = 10_000  # of one impact
# mistakes.py tries 2.54 times what is typed
_AMOUNTS = dict.fromkeys(("right_m", "up_m"), Amount(-8.0, 8.0, "metres", "0.0381"))


@dataclass(frozen=True, slots=True)
class Impact:
    """Where an arrow hit relative to the aim.

    Parameters
    ----------
    right_m : float or None
        To the right of the aim positive; None: not measured. [m]
    up_m : float or None
        Above the aim positive; None: not measured. [m]
    arrows : int, default 1
        How many arrows this stands for; above 1 it is the centre of that many. [-]
    called_bad : bool, default False
        The archer called it a bad shot before looking where it hit: it counts nowhere.
    missed : bool, default False
        It went past what should have stopped it: nobody knows where, but that it did counts.
    arrow : str, default empty
        What stands on the shaft, such as its number; empty: not noted.

    Example
    -------
    >>> Impact(right_m=0.02, up_m=-0.05)
    Impact(right_m=0.02, up_m=-0.05, arrows=1, called_bad=False, missed=False, arrow='')
    """

    right_m: float | None
    up_m: float | None
    arrows: int = 1
    called_bad: bool = False
    missed: bool = False
    arrow: str = ""

    def __post_init__(self) -> None:
        check_amounts(self, _AMOUNTS)
        arrows = checked_count("Impact.arrows", self.arrows, 1, MOST_ARROWS)
        object.__setattr__(self, "arrows", arrows)
        checked_text("Impact.arrow", self.arrow, "7")


@dataclass(frozen=True, slots=True)
class Group:
    """Arrows shot at one distance with one reading.

    Parameters
    ----------
    name : str
        What the archer calls it.
    impacts : tuple of Impact
        One for each arrow, or one for a centre that stands for several.

    Example
    -------
    >>> Group("far", (Impact(0.02, -0.05), Impact(-0.01, 0.0))).arrows
    2
    """

    name: str
    impacts: tuple[Impact, ...]

    def __post_init__(self) -> None:
        checked_text("Group.name", self.name)
        mend = "Give Impact(right_m, up_m) for each arrow"
        impacts = checked_several("Group.impacts", self.impacts, Impact, mend)
        object.__setattr__(self, "impacts", impacts)

    @property
    def counted(self) -> tuple[Impact, ...]:
        """Impacts that were seen and that nobody called bad."""
        return tuple(one for one in self.impacts if not (one.called_bad or one.missed))

    @property
    def arrows(self) -> int:
        """Arrows seen to hit, called bad shots left out. [-]"""
        return sum(impact.arrows for impact in self.counted)

    @property
    def called_bad(self) -> int:
        """Arrows called bad. [-]"""
        return sum(impact.arrows for impact in self.impacts if impact.called_bad)

    @property
    def missed(self) -> int:
        """Arrows that went past what should have stopped them. [-]"""
        return sum(impact.arrows for impact in self.impacts if impact.missed)

    @property
    def is_past(self) -> bool:
        """Whether at least half of its arrows went past what should have stopped them."""
        return self.missed >= max(self.arrows, 1)

    def along(self, axis: str) -> tuple[Floats, Floats]:
        """Measured impacts along one axis, and how many arrows each stands for.

        Called bad shots, and arrows that nobody saw hit, are left out.

        Parameters
        ----------
        axis : str
            ``"up"`` or ``"right"``.

        Returns
        -------
        (a,) array, (a,) array
            Impacts along the axis [m] and arrows [-]; only where measured.
        """
        values = [(getattr(one, f"{axis}_m"), one.arrows) for one in self.counted]
        seen = [(value, arrows) for value, arrows in values if value is not None]
        table = np.array(seen, dtype=np.float64).reshape(-1, 2)
        return table[:, 0], table[:, 1]


def single_arrows(group: Group) -> Floats:
    """Where the arrows hit that were measured one by one and on both axes.

    Parameters
    ----------
    group : Group
        The arrows; impacts that stand for several, and called bad shots, are left out.

    Returns
    -------
    (a, 2) array
        Right and up of the aim, in the order shot. [m]
    """
    single = [
        (one.right_m, one.up_m)
        for one in group.counted
        if one.arrows == 1 and one.right_m is not None and one.up_m is not None
    ]
    return np.array(single, dtype=np.float64).reshape(-1, 2)


def group_centre(group: Group) -> tuple[float, float]:
    """Centre of a group, each impact weighted by the arrows it stands for.

    Parameters
    ----------
    group : Group
        The arrows.

    Returns
    -------
    float, float
        Right and up of the aim; nan for an axis that nobody measured. [m]
    """

    def mean(axis: str) -> float:
        values, arrows = group.along(axis)
        return float(np.average(values, weights=arrows)) if len(values) else nan

    return mean("right"), mean("up")


def unbiased_factor(freedoms: float) -> float:
    """What the root of an unbiased variance must be divided by to be unbiased itself.

    Parameters
    ----------
    freedoms : float
        Degrees of freedom of the variance, at least 1. [-]

    Returns
    -------
    float
        The factor c₄, just below 1. [-]

    Example
    -------
    Five values about their own mean, as in every table for control charts:

    >>> round(unbiased_factor(4), 4)
    0.94

    Source
    ------
    docs/physics.md eq. (6.2); [NIST-EHB] §6.3.2.
    """
    half = freedoms / 2.0
    return sqrt(1.0 / half) * exp(lgamma(half + 0.5) - lgamma(half))


def group_dispersion(group: Group) -> float:
    """Spread of the arrows per axis, both axes taken together, unbiased.

    Parameters
    ----------
    group : Group
        The arrows, measured on both axes; impacts that stand for several arrows tell nothing
        about the spread and are left out.

    Returns
    -------
    float
        Standard deviation per axis; nan with fewer than two single arrows. [m]

    Source
    ------
    docs/physics.md eq. (6.1) and (6.2).
    """
    xy = single_arrows(group)
    if len(xy) < 2:
        return nan
    freedoms = 2 * (len(xy) - 1)
    variance = float(((xy - xy.mean(axis=0)) ** 2).sum()) / freedoms  # eq. (6.1)
    return sqrt(variance) / unbiased_factor(freedoms)
