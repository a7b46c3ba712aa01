"""Arrow offsets: how far each arrow of a set hits from its fellows, and which one stands out.

An arrow that is numbered is shot again and again. What it shares with its group (sight, archer,
wind) is the group's own centre and falls out; what is left is its own.

Holds:  the Layout of numbered arrows; what their groups tell of each; offsets pooled by a
        hierarchical model; the odds that an arrow is off beyond what its fellows scatter.
Never:  distances, sights, what to do about an arrow.
Source: docs/physics.md eq. (6.18) to (6.22).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtri, softmax

Floats = NDArray[np.float64]
Counts = Sequence[int] | NDArray[np.int64]

TAILS = 4.0  # degrees of freedom of the arrows' scatter, eq. (6.1)
ROUNDS = 12  # of reweighting, which settles in fewer
OFF = 2.0  # how far an arrow that is off hits from its fellows, in dispersions, one axis
ALIKE = 0.2  # by how much sound arrows of a set differ; common practice, no source
TAUS = ALIKE * ndtri(0.5 + (np.arange(24) + 0.5) / 48.0)  # quantiles of half a Gaussian
NO_TELL = 1e-9  # of an eigenvalue: nothing compares these arrows with the others


@dataclass(frozen=True)
class Layout:
    """What groups tell of the arrows in them, in dispersions.

    Parameters
    ----------
    information : (m, m) array
        Inverse covariance of the offsets; every arrow's row sums to nothing. [-]
    offset : (m, x) array
        Each arrow from the mean of all, on x axes. [-]
    scale : float
        What the offsets are counted in: the arrows' dispersion. [the unit of the impacts]
    freedoms : float
        How well the dispersion is known, in degrees of freedom; inf: exactly. [-]
    """

    information: Floats
    offset: Floats
    scale: float
    freedoms: float


@dataclass(frozen=True)
class Pooled:
    """Offsets of arrows that are alike but for chance, in dispersions.

    Parameters
    ----------
    offset, sd : (m, x) array, (m,) array
        Mean and standard deviation of each arrow's offset from the mean of the set. [-]
    spread : (t,) array
        By how much arrows of the set may differ, one standard deviation. [-]
    weight : (t,) array
        Chance of each; they sum to one. [-]
    """

    offset: Floats
    sd: Floats
    spread: Floats
    weight: Floats


def lay_out(
    impact_rad: ArrayLike, group: Counts, arrow: Counts, known: Layout | None = None
) -> Layout | None:
    """Part what groups share from what is each arrow's own.

    Arrows scatter with heavy tails, so that a bad shot is held down without being thrown away.

    Parameters
    ----------
    impact_rad : (n, 2) array
        Where shots hit, right and up. [rad]
    group, arrow : (n,) array of int
        Which group and which arrow each belongs to, from 0. [-]
    known : Layout, optional
        Of these shots and more: its scatter serves where these alone tell of none.

    Returns
    -------
    Layout or None
        None where shots are too few to tell of any scatter.

    Source
    ------
    docs/physics.md eq. (6.18), (6.19).
    """
    xy = np.asarray(impact_rad, dtype=np.float64)
    groups, arrows = (np.asarray(one, dtype=np.int64) for one in (group, arrow))
    of_group = np.equal.outer(groups, np.arange(groups.max(initial=-1) + 1)).astype(np.float64)
    of_arrow = np.equal.outer(arrows, np.arange(arrows.max(initial=-1) + 1)).astype(np.float64)
    information = _between(of_group, of_arrow, np.ones(len(xy)))
    freedoms = len(xy) - of_group.shape[1] - int(np.linalg.matrix_rank(information))
    design = np.concatenate([of_group, of_arrow], axis=1)
    if freedoms < 1:
        if known is None:
            return None
        offset = np.linalg.lstsq(design, xy, rcond=None)[0][of_group.shape[1] :]
        offset = (offset - offset.mean(axis=0)) / known.scale
        return Layout(information, offset, known.scale, known.freedoms)
    weight, scale2 = np.ones(len(xy)), 0.0
    for _ in range(ROUNDS):
        root = np.sqrt(weight)[:, None]
        found = np.linalg.lstsq(root * design, root * xy, rcond=None)[0]
        off2 = np.square(xy - design @ found).sum(axis=1)
        # eq. (6.19); as many freedoms are used up by a fit of heavy tails
        scale2 = max(float((weight * off2).sum()) / (2.0 * freedoms), 1e-24)
        weight = (TAILS + 2.0) / (TAILS + off2 / scale2)
    scale = float(np.sqrt(scale2 * (TAILS + 4.0) / (TAILS + 2.0)))
    offset = found[of_group.shape[1] :]
    return Layout(information, (offset - offset.mean(axis=0)) / scale, scale, float(freedoms))


def _between(of_group: Floats, of_arrow: Floats, weight: Floats) -> Floats:
    """What groups tell of arrows once their own centres are taken away, eq. (6.18)."""
    shared = of_group.T @ (weight[:, None] * of_arrow)
    count = np.maximum((weight[:, None] * of_group).sum(axis=0), 1e-300)
    own = np.diag((weight[:, None] * of_arrow).sum(axis=0))
    return np.asarray(own - shared.T @ (shared / count[:, None]))


@dataclass(frozen=True)
class _Modes:
    """A layout along the directions in which arrows are compared, each by itself."""

    side: Floats  # (m, k): arrows along directions
    value: Floats  # (k, x): offsets along them
    variance: Floats  # (t, k): of these, for each spread of the set
    fit: Floats  # (t,): sum of squares


def _modes(layout: Layout, spread: Floats) -> _Modes:
    told, sides = np.linalg.eigh(layout.information)
    kept = told > NO_TELL * max(float(told.max(initial=0.0)), 1e-300)
    value = sides[:, kept].T @ layout.offset
    variance = 1.0 / told[kept] + np.square(spread)[:, None]
    fit = (np.square(value).sum(axis=1) / variance).sum(axis=1)
    return _Modes(sides[:, kept], value, variance, fit)


def _log_likelihood(modes: _Modes, freedoms: float) -> Floats:
    """Of each spread of the set, eq. (6.20)."""
    axes = modes.value.shape[1]
    width = -0.5 * axes * np.log(modes.variance).sum(axis=1)
    if np.isinf(freedoms):
        return np.asarray(width - 0.5 * modes.fit)
    count = axes * modes.value.shape[0]
    return np.asarray(width - 0.5 * (freedoms + count) * np.log1p(modes.fit / freedoms))


def pool_offsets(
    layout: Layout, spread: ArrayLike = TAUS, believed: ArrayLike | None = None
) -> Pooled:
    """Offsets drawn together by as much as the arrows of the set are alike.

    Parameters
    ----------
    layout : Layout
        What groups tell.
    spread : (t,) array, optional
        By how much arrows may differ, one standard deviation; absent: quantiles of half a Gaussian
        of 0.2 dispersions. [-]
    believed : (t,) array, optional
        Chance of each beforehand, up to a factor; absent: all alike. [-]

    Returns
    -------
    Pooled
        The hierarchical model's answer.

    Source
    ------
    docs/physics.md eq. (6.20), (6.21); for exchangeable means [GELMAN] §5.4.
    """
    taus = np.asarray(spread, dtype=np.float64)
    modes = _modes(layout, taus)
    log_weight = _log_likelihood(modes, layout.freedoms)
    log_weight = log_weight + (0.0 if believed is None else np.log(np.asarray(believed)))
    weight = softmax(log_weight)
    share = np.square(taus)[:, None] / modes.variance  # (t, k), eq. (6.21)
    means = np.einsum("mk,tk,kx->tmx", modes.side, share, modes.value)
    left = share * (modes.variance - np.square(taus)[:, None])
    inside = np.einsum("mk,tk->tm", np.square(modes.side), left)
    # Between arrows that nothing compares only the likeness of the set is known.
    apart = 1.0 - np.square(modes.side).sum(axis=1) - 1.0 / len(layout.offset)
    inside += np.square(taus)[:, None] * np.maximum(apart, 0.0)
    offset = np.einsum("t,tmx->mx", weight, means)
    between = np.square(means - offset).mean(axis=2)
    return Pooled(offset, np.sqrt(weight @ (inside + between)), taus, weight)


def odds_of_off(layout: Layout, spread: ArrayLike = TAUS) -> Floats:
    """For each arrow, how much likelier the shots are if it alone is off.

    Over sets in which none is off the mean of this is one, so the largest passes m times x in one
    set of x at most, and by simulation far more rarely, however many arrows m there are.

    Parameters
    ----------
    layout : Layout
        What groups tell.
    spread : (t,) array, optional
        As above. [-]

    Returns
    -------
    (m,) array
        Ratio of likelihoods; 1 where nothing compares an arrow with its fellows. [-]

    Source
    ------
    docs/physics.md eq. (6.22).
    """
    taus = np.asarray(spread, dtype=np.float64)
    modes, axes = _modes(layout, taus), layout.offset.shape[1]
    weight = softmax(_log_likelihood(modes, layout.freedoms))
    told = np.einsum("mk,tk->tm", np.square(modes.side), 1.0 / modes.variance)
    toward = np.einsum("mk,tk,kx->tmx", modes.side, 1.0 / modes.variance, modes.value)
    wider = 1.0 + OFF**2 * told
    gain = OFF**2 * np.square(toward).sum(axis=2) / wider
    count = axes * modes.value.shape[0]
    fit = modes.fit[:, None]
    power = -0.5 * (layout.freedoms + count)
    ratio = power * np.log((layout.freedoms + fit - gain) / (layout.freedoms + fit))
    return np.asarray(weight @ np.exp(ratio - 0.5 * axes * np.log(wider)))


def own_offset(layout: Layout, arrow: int) -> tuple[Floats, float]:
    """Where an arrow hits from the mean of its fellows, by itself and not pooled.

    Its fellows are those that groups compare it with, at first or second hand.

    Parameters
    ----------
    layout : Layout
        What groups tell.
    arrow : int
        Which, from 0. [-]

    Returns
    -------
    (x,) array, float
        Its offset from the mean of the others, and the standard deviation of that; of an arrow
        without fellows nothing, give or take as far as one that is off may be. [-]

    Source
    ------
    docs/physics.md eq. (6.18).
    """
    inverse = np.linalg.pinv(layout.information, rcond=NO_TELL, hermitian=True)
    untold = np.eye(len(inverse))[arrow] - inverse[arrow] @ layout.information
    fellows = np.abs(untold) > 0.5 / len(inverse)  # one over their number, and nothing of others
    fellows[arrow] = False
    if not fellows.any():
        return np.zeros(layout.offset.shape[1]), OFF
    contrast = np.where(fellows, -1.0 / fellows.sum(), 0.0)
    contrast[arrow] = 1.0
    return np.asarray(contrast @ layout.offset), float(contrast @ inverse @ contrast) ** 0.5


def offset_to_tell(layout: Layout, arrow: int, odds: float) -> float:
    """How far an arrow must be off for its odds to pass a limit in four sets of five.

    Parameters
    ----------
    layout : Layout
        What groups tell; only how often arrows were shot counts.
    arrow : int
        Which, from 0. [-]
    odds : float
        Limit of its likelihood ratio. [-]

    Returns
    -------
    float
        Offset along one axis, of arrows otherwise alike; inf where no offset is told. [-]

    Source
    ------
    docs/physics.md eq. (6.22), its ratio solved for the offset, the dispersion taken as known.
    """
    variance = own_offset(layout, arrow)[1] ** 2 + ALIKE**2
    if not layout.information[arrow, arrow] > NO_TELL:
        return float("inf")
    wider = 1.0 + OFF**2 / variance
    needed2 = 2.0 * (log(odds) + log(wider)) * wider / (OFF**2 / variance)
    return float(np.sqrt(variance) * (np.sqrt(needed2) + ndtri(0.8)))
