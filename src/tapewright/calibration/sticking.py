"""Sticking: how far the scales on which groups were shot may be off against each other.

A tape that is stuck on is a scale of its own: its zero is that of the scale on which it was
aligned, but for the sticking. Groups of one scale share that error, and scales that were aligned
on one another share a part of it. None of it is sampled: given the bow it is integrated out.

Holds:  the Steps record: stickings between the scale of which marks are told and the others; the
        Gaussian integral over them.
Never:  where arrows landed (evidence.py), densities of arrows (misfit.py).
Source: docs/physics.md eq. (7.16) to (7.18).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapewright.sight.stickings import Scales

Floats = NDArray[np.float64]

LEAST_SD_M = 1e-6  # of a scale that is said to lie without any error


@dataclass(frozen=True)
class Steps:
    """Stickings that matter: k of them, for g groups.

    Parameters
    ----------
    sd_m : (k,) array
        How well each was done, one standard deviation. [m]
    of_groups : (g, k) array
        By how much of each step a group's reading is larger on the scale of which marks are told
        than on its own: 1, 0 or −1. [-]
    of_prior : (k,) array
        The same of the zero in beliefs carried over, on their scale over on the told one. [-]
    """

    sd_m: Floats
    of_groups: Floats
    of_prior: Floats


def steps_between(
    groups: Sequence[Scales], told: Scales, believed: Scales | None = None
) -> Steps | None:
    """Stickings between the scale of which marks are told and those of the groups.

    Parameters
    ----------
    groups : sequence of Scales
        Of each group.
    told : Scales
        The one of which marks are told.
    believed : Scales, optional
        That of beliefs carried over; absent: none were.

    Returns
    -------
    Steps or None
        None where all are on one scale.

    Source
    ------
    docs/physics.md eq. (7.16).
    """
    carried = told if believed is None else believed
    sd_m: dict[str, float] = {}
    for one in (step for scales in (told, carried, *groups) for step in scales):
        sd_m[one.name] = max(sd_m.get(one.name, LEAST_SD_M), one.sd_m)
    names = list(sd_m)
    if not names:
        return None

    def holds(scales: Scales) -> Floats:
        there = {one.name for one in scales}
        return np.array([float(name in there) for name in names])

    of_groups = np.array([holds(told) - holds(one) for one in groups]).reshape(-1, len(names))
    of_prior = holds(carried) - holds(told)
    used = np.any(of_groups != 0.0, axis=0) | (of_prior != 0.0)
    if not used.any():
        return None
    sds = np.array(list(sd_m.values()))
    return Steps(sds[used], of_groups[:, used], of_prior[used])


def likeliest_steps(
    steps: Steps, moved: Floats, away: Floats, weight: Floats, believed: tuple[Floats, Floats]
) -> Floats:
    """The stickings that bring d bows nearest to all centres.

    Parameters
    ----------
    steps : Steps
        Stickings.
    moved : (g, k) array
        By how much a prediction rises with each step. [rad/m]
    away, weight : (d, g) array
        Centre less prediction without any step [rad], and one over its variance [1/rad²].
    believed : (d, k) array, (d, k, k) array
        Slope, and less the second derivative, of what beliefs carried over say. [1/m], [1/m²]

    Returns
    -------
    (d, k) array
        [m]

    Source
    ------
    docs/physics.md eq. (7.17).
    """
    slope = np.einsum("gk,dg->dk", moved, weight * away) + believed[0]
    bent = np.einsum("gk,dg,gl->dkl", moved, weight, moved) + believed[1]
    bent += np.diag(1.0 / np.square(steps.sd_m))
    return np.asarray(np.linalg.solve(bent, slope[..., None])[..., 0], dtype=np.float64)


def integrated(
    steps: Steps, at_m: Floats, moved: Floats, told: tuple[Floats, Floats],
    believed: tuple[Floats, Floats],
) -> Floats:  # fmt: skip
    """What is added to a log density taken near the likeliest stickings, to integrate over all.

    Parameters
    ----------
    steps : Steps
        Stickings.
    at_m : (d, k) array
        Where the density was taken. [m]
    moved : (g, k) array
        By how much a prediction rises with each step. [rad/m]
    told : (d, g) array, (d, g) array
        Slope, and less the second derivative, of each group's log likelihood by its prediction.
        [1/rad], [1/rad²]
    believed : (d, k) array, (d, k, k) array
        The same of beliefs carried over, by the steps. [1/m], [1/m²]

    Returns
    -------
    (d,) array
        By Laplace's method. [-]

    Source
    ------
    docs/physics.md eq. (7.18).
    """
    precision = 1.0 / np.square(steps.sd_m)
    slope = np.einsum("gk,dg->dk", moved, told[0]) + believed[0] - at_m * precision
    bent = np.einsum("gk,dg,gl->dkl", moved, told[1], moved) + believed[1] + np.diag(precision)
    gained = 0.5 * np.einsum("dk,dk->d", slope, np.linalg.solve(bent, slope[..., None])[..., 0])
    narrowed = 0.5 * (np.log(precision).sum() - np.linalg.slogdet(bent)[1])
    away = 0.5 * (np.square(at_m) * precision).sum(axis=1)
    return np.asarray(gained + narrowed - away, dtype=np.float64)
