"""Drift: whether marks, shot again and again over a season, slowly leave what was calibrated.

Groups are looked at in the order shot. Each is foretold by the calibration and by the groups
before it, so that the doubt about the level is not taken for truth, and what differs is divided by
its error. Every time at which a change may have begun, a sudden one or a slow one, of the zero, of
the far marks or of left and right, is weighed against no change; the sum of these likelihood
ratios (Shiryaev and Roberts) passes a limit, in a bow that does not change, once in so many groups
in the mean, or more rarely, over all of it together. With the greatest in place of the sum it is
Page's cumulative sum.

Holds:  the Changes weighed and the Watch; the running sum; what has likeliest changed, since when,
        how fast.
Never:  which groups are watched (services/watch_drift.py), what to look at.
Source: docs/physics.md eq. (8.51) to (8.55); docs/sources.md [PAGE54], [POLLAK87].
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.linalg import cholesky, solve_triangular

from tapewright.confidence.signatures import DOUBT_FREEDOMS

Floats = NDArray[np.float64]

BETWEEN_ALARMS = 40.0  # groups, in the mean and over all changes together, of a bow that is sound
MONTH_DAYS = 30.0
# One standard deviation of a change that is looked for, at once and in a month; common practice,
# no source. Far marks: as part of the launch speed.
SUDDEN = {"zero": 1.0e-3, "far": 0.02, "right": 1.0e-3}
SLOW = {"zero": 0.5e-3, "far": 0.01, "right": 0.5e-3}
LAWS = {"zero": "zero", "far": "speed", "right": "windage"}  # signature of each


@dataclass(frozen=True, slots=True)
class Change:
    """One kind of change that is looked for.

    Parameters
    ----------
    name : str
        ``"zero"``, ``"far"`` or ``"right"``.
    is_slow : bool
        Whether it grows with the days, or came at once.
    usual : float
        One standard deviation of its size, or of what it grows in a month, in its own unit.
    """

    name: str
    is_slow: bool
    usual: float

    @property
    def believed(self) -> float:
        """How often it happens beside others: strings creep oftener than sights slip. [-]"""
        return 2.0 if self.is_slow else 1.0


EVERY = tuple(
    Change(name, is_slow, sizes[name])
    for is_slow, sizes in ((False, SUDDEN), (True, SLOW))
    for name in LAWS
)
APART = 1.3  # farthest over nearest distance from which on zero and far marks are told apart


def changes_seen(up_m: ArrayLike, right_m: ArrayLike) -> tuple[Change, ...]:
    """Changes that groups at these distances tell apart: at one distance all is the zero.

    Parameters
    ----------
    up_m, right_m : (n,) array
        Distances of groups that were measured up, and right; one of the two may be empty. [m]

    Returns
    -------
    tuple of Change
        Sudden ones first.
    """
    up, right = (np.asarray(one, dtype=np.float64) for one in (up_m, right_m))
    seen = {"zero"} if len(up) else set[str]()
    if len(up) and up.max() >= APART * up.min():
        seen.add("far")
    if len(right):
        seen.add("right")
    return tuple(one for one in EVERY if one.name in seen)


@dataclass(frozen=True)
class Running:
    """Likelihood ratios of changes against none, after each group: g groups, c changes.

    Parameters
    ----------
    innovation : (r,) array
        What differed from what was foretold, divided by its error, group by group, up first. [-]
    log_ratio : (g, g, c) array
        After a group, of a change that begins with a group; -inf for one that began later. [-]
    size : (g, g, c) array
        Of that change, or of what it grows in a month, in its own unit.
    share : (c,) array
        Of each change in the sum; they are one together. [-]
    """

    innovation: Floats
    log_ratio: Floats
    size: Floats
    share: Floats

    @property
    def statistic(self) -> Floats:
        """The sum after each group, over beginnings, and by their shares over changes. [-]"""
        return np.asarray(np.exp(self.log_ratio).sum(axis=1) @ self.share)

    @property
    def cumulative(self) -> Floats:
        """The greatest in place of the sum: Page's cumulative sum of each change, (g, c). [-]"""
        return np.asarray(self.log_ratio.max(axis=1))


def run_watch(
    miss_rad: ArrayLike,
    covariance_rad2: ArrayLike,
    growths: ArrayLike,
    group: Sequence[int] | NDArray[np.int64],
    usual: ArrayLike,
    freedoms: float = DOUBT_FREEDOMS,
    believed: ArrayLike | None = None,
) -> Running:
    """Weigh changes against none, after each group.

    Parameters
    ----------
    miss_rad : (r,) array
        What was measured less what was foretold by the calibration, in the order shot. [rad]
    covariance_rad2 : (r, r) array
        Of these where nothing changes, the doubt of the calibration among it. [rad²]
    growths : (r, g, c) array
        What one unit of each change does to each, if it begins with each group. [rad per unit]
    group : (r,) array of int
        Which group each row belongs to, 0 to g - 1, growing. [-]
    usual : (c,) array
        One standard deviation of the size of each change; inf: a size of one unit, as it is.
    freedoms : float, optional
        How well the scatter is known, in degrees of freedom; inf: exactly. [-]
    believed : (c,) array, optional
        How often each change happens, up to a factor; absent: all alike. [-]

    Returns
    -------
    Running
        After each group.

    Source
    ------
    docs/physics.md eq. (8.51) to (8.53).
    """
    shape = np.asarray(growths, dtype=np.float64)
    rows, groups, changes = shape.shape
    root = cholesky(np.asarray(covariance_rad2, dtype=np.float64), lower=True)
    own = solve_triangular(root, np.asarray(miss_rad, dtype=np.float64), lower=True)
    moved = solve_triangular(root, shape.reshape(rows, -1), lower=True).reshape(shape.shape)
    last = np.searchsorted(np.asarray(group), np.arange(groups), side="right") - 1
    toward = np.cumsum(moved * own[:, None, None], axis=0)[last]
    told = np.cumsum(np.square(moved), axis=0)[last]
    far2, seen = np.cumsum(np.square(own))[last], 1.0 + last
    width2 = np.square(np.asarray(usual, dtype=np.float64))
    is_given = np.isinf(width2)
    wider = 1.0 + np.where(is_given, 0.0, width2) * told
    size = np.where(is_given, 1.0, np.where(is_given, 0.0, width2) * toward / wider)
    gain = np.where(is_given, 2.0 * toward - told, size * toward)  # off the sum of squares
    if np.isinf(freedoms):
        log_ratio = 0.5 * gain
    else:
        left = freedoms + far2[:, None, None]
        most = 0.5 * (freedoms + seen)[:, None, None]
        log_ratio = -most * np.log1p(-gain / left)
    log_ratio = log_ratio - 0.5 * np.log(wider)
    began = np.tri(groups, dtype=bool)[:, :, None]
    share = np.ones(changes) if believed is None else np.asarray(believed, dtype=np.float64)
    return Running(own, np.where(began, log_ratio, -np.inf), size, share / share.sum())


def growths_of(
    shapes: Mapping[str, Floats],
    day: ArrayLike,
    group: Sequence[int] | NDArray[np.int64],
    changes: Sequence[Change] = EVERY,
) -> Floats:
    """What each change does to each row, if it begins with each group.

    A sudden change is there from its group on; a slow one grows from the day of the group before
    it, the first from its own.

    Parameters
    ----------
    shapes : mapping of str to (r,) array
        What one unit of the zero, of the far marks, of left and right does. [rad per unit]
    day : (g,) array
        Of each group, growing. [day]
    group : (r,) array of int
        Which group each row belongs to. [-]
    changes : sequence of Change, optional
        Those looked for, sudden ones first.

    Returns
    -------
    (r, g, c) array
        In their order. [rad per unit]

    Source
    ------
    docs/physics.md eq. (8.54).
    """
    days, rows = np.asarray(day, dtype=np.float64), np.asarray(group, dtype=np.int64)
    sudden = np.tri(len(days))
    before = np.concatenate([days[:1], days[:-1]])
    slow = sudden * (days[:, None] - before) / MONTH_DAYS
    grown = [slow[rows] if one.is_slow else sudden[rows] for one in changes]
    return np.stack(
        [
            shapes[one.name][:, None] * by_row
            for one, by_row in zip(changes, grown, strict=True)
        ],
        axis=2,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Found:
    """What has likeliest changed.

    Parameters
    ----------
    name : str
        ``"zero"``, ``"far"`` or ``"right"``.
    chance : float
        That it was this one, of those looked for. [-]
    slow_chance : float
        That it came slowly, if it was this one. [-]
    first : int
        Group with which it likeliest began. [-]
    size, half : float
        By how much until now, and half of its 90 % band, in its own unit.
    a_month : float
        What it grows in a month, if it is slow.
    """

    name: str
    chance: float
    slow_chance: float
    first: int
    size: float
    half: float
    a_month: float


def likeliest(running: Running, day: ArrayLike, changes: Sequence[Change] = EVERY) -> Found:
    """What has likeliest changed, after the last group.

    Parameters
    ----------
    running : Running
        Of the changes.
    day : (g,) array
        Of each group, growing. [day]
    changes : sequence of Change, optional
        Those looked for, as ``growths_of`` had them.

    Returns
    -------
    Found
        Sizes are means over when it may have begun and whether slowly.

    Source
    ------
    docs/physics.md eq. (8.55).
    """
    days, log_ratio = np.asarray(day, dtype=np.float64), running.log_ratio[-1]
    weight = np.exp(log_ratio - log_ratio.max()) * running.share
    names = [one.name for one in changes]
    shares = {name: weight[:, [one == name for one in names]].sum() for name in names}
    name = max(shares, key=lambda one: float(shares[one]))
    sudden, slow = (
        names.index(name),
        len(names) - 1 - names[::-1].index(name),
    )
    before = np.concatenate([days[:1], days[:-1]])
    months = (days[-1] - before) / MONTH_DAYS
    total = np.concatenate([running.size[-1, :, sudden], running.size[-1, :, slow] * months])
    each = np.concatenate([weight[:, sudden], weight[:, slow]]) / shares[name]
    size = float(each @ total)
    spread = float(each @ np.square(total - size))
    of_slow = weight[:, slow].sum()
    rates = running.size[-1, :, slow]
    return Found(
        name,
        float(shares[name] / weight.sum()),
        float(of_slow / shares[name]),
        int(np.argmax(weight[:, sudden] + weight[:, slow])),
        size,
        1.645 * spread**0.5,
        float(weight[:, slow] @ rates / max(float(of_slow), 1e-300)),
    )
