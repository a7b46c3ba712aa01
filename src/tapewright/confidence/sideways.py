"""Sideways: each group against the others to the right, as if the fit had not seen it.

Windage that may have been moved is no fault: a group stands apart only if it fits neither with the
windage of the groups before, nor with that of the groups after, nor with one that was newly set.

Holds:  the Beside record; the groups' residuals to the right.
Never:  how a chain of windages is weighed (calibration/windage.py), heights (checks.py).
Source: docs/physics.md eq. (7.12), (8.9).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from math import exp, log, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tapewright.calibration.fit import Calibration
from tapewright.calibration.misfit import group_sds, predicted_angles, robust_centres
from tapewright.calibration.windage import MOVED_SD_RAD, Turns

Floats = NDArray[np.float64]

FLAT_RAD2 = 1.0  # nothing known
LEAST_CHANCE = 1e-12


@dataclass(frozen=True)
class Beside:
    """Groups to the right of where they are looked for.

    Parameters
    ----------
    miss_rad : (g,) array
        Robust centre less what all groups, itself too, make of the windage it was shot with. [rad]
    surprise : (g,) array
        Standard deviations from where the other groups look for it, or a newly set windage does;
        0 where it was not measured. [-]
    """

    miss_rad: Floats
    surprise: Floats


class _Known(NamedTuple):
    """A windage and its variance."""

    mean: float
    rad2: float

    def with_seen(self, other: "_Known") -> "_Known":
        told = self.rad2 + other.rad2
        gain = self.rad2 / told
        return _Known(self.mean + gain * (other.mean - self.mean), self.rad2 * other.rad2 / told)

    def log_density(self, other: "_Known") -> float:
        told = self.rad2 + other.rad2
        return -0.5 * (log(told) + (other.mean - self.mean) ** 2 / told)


MOVED = _Known(0.0, MOVED_SD_RAD**2)
Link = tuple[float, float, float]  # turned, its variance, chance that it was moved besides


def _walked(
    seen: Sequence[_Known | None], links: Sequence[Link], start: _Known
) -> Iterator[tuple[_Known, float]]:
    """Where each group is looked for by those before it, had nobody moved the windage."""
    known = start
    for one, (turned, rad2, moved) in zip(seen, links, strict=True):
        known = _Known(known.mean + turned, known.rad2 + rad2)
        yield known, moved
        stays = log(max(1.0 - moved, LEAST_CHANCE))
        goes = log(max(moved, LEAST_CHANCE))
        after, fresh = known, MOVED
        if one is not None:
            stays, goes = stays + known.log_density(one), goes + MOVED.log_density(one)
            after, fresh = known.with_seen(one), MOVED.with_seen(one)
        share = 1.0 / (1.0 + exp(min(stays - goes, 700.0))) if moved else 0.0
        off = fresh.mean - after.mean
        spread = share * (fresh.rad2 - after.rad2) + share * (1.0 - share) * off**2
        known = _Known(after.mean + share * off, after.rad2 + spread)


def _links(turns: Turns) -> list[Link]:
    rows = (turns.turned_rad, np.square(turns.turned_sd_rad), turns.moved)
    return [(float(by), float(rad2), float(moved)) for by, rad2, moved in zip(*rows, strict=True)]


def _against(one: _Known, sources: Sequence[tuple[_Known, float]]) -> tuple[float, float]:
    """Residual of a group whatever is likeliest, and the least surprise of all that may be."""
    best, residual, least = -np.inf, 0.0, np.inf
    ways = [(True,) if moved == 0.0 else (True, False) for _, moved in sources]
    for kept in product(*ways):
        there = None
        weight = 0.0
        for (known, moved), stays in zip(sources, kept, strict=True):
            weight += log(max(1.0 - moved if stays else moved, LEAST_CHANCE))
            if stays:
                there = known if there is None else there.with_seen(known)
        there = there or MOVED
        total = there.rad2 + one.rad2
        away = one.mean - there.mean
        least = min(least, abs(away) / sqrt(total))
        weight += there.log_density(one)
        if weight > best:
            best, residual = weight, away * one.rad2 / total
    return residual, least


def beside(calibration: Calibration) -> Beside:
    """Every group against the others, to the right.

    Parameters
    ----------
    calibration : Calibration
        A finished fit.

    Returns
    -------
    Beside
        In the order of the groups.
    """
    evidence, best = calibration.evidence, calibration.best
    unknowns, turns = evidence.prior.unknowns, evidence.turns
    windage = unknowns.place("windage")
    straight = best.copy()
    straight[windage] = 0.0
    centres = robust_centres(evidence, best)[0] - predicted_angles(evidence, straight)[0]
    sds = group_sds(evidence, best)[0]
    seen = [
        _Known(float(centres[group]), float(sds[group]) ** 2)
        if evidence.right.seen[group]
        else None
        for group in turns.order
    ]
    start = _Known(float(evidence.prior.mean[windage]), float(evidence.prior.sd[windage]) ** 2)
    links = _links(turns)
    ahead = list(_walked(seen, links, start))
    turned_back = [(-by, rad2, moved) for by, rad2, moved in links[:0:-1]]
    behind = list(_walked(seen[::-1], [(0.0, 0.0, 0.0), *turned_back], _Known(0.0, FLAT_RAD2)))
    miss, surprise = np.zeros((2, evidence.groups))
    for place, (group, one) in enumerate(zip(turns.order, seen, strict=True)):
        if one is not None:
            miss[group], surprise[group] = _against(one, (ahead[place], behind[-1 - place]))
    return Beside(miss, surprise)
