"""Correction: how far to move the sight for what was seen, or to leave it.

Moves are counted as shifts of the impact, right and up positive: what turns them into pin travel,
readings and directions is the sight's affair.

Holds:  shrinkage of a group's centre; the harmonic rule arrow by arrow; whole clicks and turns;
        the AxisMove record with its reason.
Never:  readings, distances, which way a pin goes; sentences.
Source: docs/physics.md §6; docs/sources.md [GRUBBS54], [TRI98].
"""

from dataclasses import dataclass
from math import copysign, floor, isnan
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.target.aim_test import CentreRegion

Floats = NDArray[np.float64]
Reason = Literal["off the aim", "within chance", "under half a click", "not measured"]

DOUBT_IN_DISPERSIONS = 10.0  # how far off a zero may be when nobody said
OFF_CHANCE = 0.05  # a centre that chance puts so far off more often than this is left alone


@dataclass(frozen=True, slots=True)
class AxisMove:
    """How far the impact is to be shifted along one axis.

    Parameters
    ----------
    miss_m : float
        Where the centre lies, right or up positive; nan if not measured. [m]
    share : float
        Part of the miss that is believed. [-]
    shift_m : float
        Wanted shift of the impact, in whole clicks where a click is known; 0 to leave it. [m]
    clicks : int or None
        The same in whole clicks, counted as the impact goes; None where no click is known. [-]
    reason : str
        ``"off the aim"`` (move), or why it is left: ``"within chance"``, ``"under half a
        click"``, ``"not measured"``.
    """

    miss_m: float
    share: float
    shift_m: float
    clicks: int | None
    reason: Reason

    @property
    def is_move(self) -> bool:
        """Whether anything is to be moved."""
        return self.reason == "off the aim"


def believed_share(arrows: float, variance: float, doubt2: float) -> float:
    """Part of a group's miss by which to move.

    Parameters
    ----------
    arrows : float
        In the group. [-]
    variance : float
        Of one arrow, per axis. [any square]
    doubt2 : float
        Square of how far off the zero may be, one standard deviation. [the same]

    Returns
    -------
    float
        Between 0 and 1. [-]

    Example
    -------
    One arrow on a sight that may be two dispersions off:

    >>> believed_share(1, 1.0, 4.0)
    0.8

    Source
    ------
    docs/physics.md eq. (6.12).
    """
    return arrows / (arrows + variance / doubt2)


def effective_arrows(arrows: float, variance: float, wobble2: float) -> float:
    """Arrows without wobble that tell the centre as well as these with it.

    Parameters
    ----------
    arrows : float
        In the group. [-]
    variance : float
        Of one arrow, per axis. [any square]
    wobble2 : float
        Square of the shift of whole groups. [the same]

    Returns
    -------
    float
        At most ``arrows``. [-]
    """
    return arrows / (1.0 + arrows * wobble2 / variance)


def harmonic_weight(arrow: int, variance: float, doubt2: float) -> float:
    """Part of the miss of the k-th arrow by which to move, after a move for each one before.

    Parameters
    ----------
    arrow : int
        Which arrow, 1 the first. [-]
    variance, doubt2 : float
        As for ``believed_share``. [any square]

    Returns
    -------
    float
        1, 1/2, 1/3 and so on when the doubt is large. [-]

    Source
    ------
    docs/physics.md eq. (6.13).
    """
    return 1.0 / (arrow + variance / doubt2)


def wanted_shift(misses_m: ArrayLike, settings_m: ArrayLike, variance_over_doubt2: float) -> Floats:
    """Where the sight should stand after some arrows, each shot with a setting of its own.

    The mean of what was seen, each miss put back by what the sight had been moved until then.
    When every move was made in full this is the harmonic rule; when some were skipped or rounded
    to clicks, what was left over is made good.

    Parameters
    ----------
    misses_m : (k, ...) array
        Where each arrow hit along an axis. [m]
    settings_m : (k, ...) array
        Shift of the impact that the sight had been given before each arrow. [m]
    variance_over_doubt2 : float
        Variance of an arrow over the square of how far off the zero may be. [-]

    Returns
    -------
    (...) array
        Shift from the start. [m]

    Source
    ------
    docs/physics.md eq. (6.13).
    """
    start = np.asarray(misses_m, dtype=np.float64) - np.asarray(settings_m, dtype=np.float64)
    return np.asarray(-start.sum(axis=0) / (len(start) + variance_over_doubt2))


def whole_clicks(shift_m: float, click_m: float) -> int:
    """Clicks nearest to a shift; exactly half a click is none.

    Parameters
    ----------
    shift_m : float
        Wanted shift. [m]
    click_m : float
        Shift of one click, above zero. [m]

    Returns
    -------
    int
        Signed as the shift. [-]
    """
    clicks = abs(shift_m) / click_m
    nearest = floor(clicks + 0.5) if clicks > 0.5 + 1e-9 else 0
    return int(copysign(nearest, shift_m))


def turns_and_clicks(clicks: int, clicks_per_turn: int) -> tuple[int, int]:
    """Whole turns of a knob, and the clicks left over.

    Parameters
    ----------
    clicks : int
        However many. [-]
    clicks_per_turn : int
        Of the knob. [-]

    Returns
    -------
    int, int
        Turns and clicks, both without sign. [-]
    """
    return divmod(abs(clicks), clicks_per_turn)


def axis_move(miss_m: float, share: float, chance: float, click_m: float | None = None) -> AxisMove:
    """What to do along one axis.

    Parameters
    ----------
    miss_m : float
        Where the centre lies, right or up positive; nan if not measured. [m]
    share : float
        Part of the miss that is believed. [-]
    chance : float
        That a zeroed bow would show as much. [-]
    click_m : float, optional
        Shift of the impact by one click. [m]

    Returns
    -------
    AxisMove
        The shift, or why to leave it.

    Source
    ------
    docs/physics.md eq. (6.12), (6.14).
    """
    if isnan(miss_m):
        return AxisMove(miss_m, share, 0.0, None, "not measured")
    none = None if click_m is None else 0
    if chance > OFF_CHANCE:
        return AxisMove(miss_m, share, 0.0, none, "within chance")
    shift_m = -share * miss_m
    if click_m is None:
        return AxisMove(miss_m, share, shift_m, None, "off the aim")
    clicks = whole_clicks(shift_m, click_m)
    if clicks == 0:
        return AxisMove(miss_m, share, 0.0, 0, "under half a click")
    return AxisMove(miss_m, share, clicks * click_m, clicks, "off the aim")


def group_moves(
    region: CentreRegion,
    share: float,
    click_right_m: float | None = None,
    click_up_m: float | None = None,
) -> tuple[AxisMove, AxisMove]:
    """What to do after a group, to the right and up.

    An axis moves only if the group as a whole is off the aim and that axis by itself is, too.

    Parameters
    ----------
    region : CentreRegion
        Of the group.
    share : float
        Part of the miss that is believed. [-]
    click_right_m, click_up_m : float, optional
        Shift of the impact by one click. [m]

    Returns
    -------
    AxisMove, AxisMove
        To the right, and up.

    Source
    ------
    docs/physics.md eq. (6.14).
    """
    right = max(region.chance, region.chance_right)
    up = max(region.chance, region.chance_up)
    return (
        axis_move(region.right_m, share, right, click_right_m),
        axis_move(region.up_m, share, up, click_up_m),
    )
