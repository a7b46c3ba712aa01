"""Ready strips: strips somebody already printed, ranked against a calibration.

Holds:  the ReadyStrip and Ranked records; where to align each strip, what error it leaves, the
        chance that it is the best of its set.
Never:  files, sentences, strips of our own (strips.py).
Source: docs/physics.md §8.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.posterior import Posterior
from tapewright.sight.prediction import impact_gradient

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class ReadyStrip:
    """A strip as its maker describes it.

    Parameters
    ----------
    name : str
        What it is called.
    distance_m : (n,) array
        Distances with a tick. [m]
    position_m : (n,) array
        Where each tick stands along the strip, from any zero, growing either way. [m]
    """

    name: str
    distance_m: Floats
    position_m: Floats


@dataclass(frozen=True)
class Ranked:
    """A strip stuck on where it does best.

    Parameters
    ----------
    strip : ReadyStrip
        The strip.
    align_m : float
        Reading at which its nearest tick must stand. [m]
    reversed_way : bool
        Whether the strip must be turned end for end: its positions run against the readings.
    distance_m : (k,) array
        Its ticks that count. [m]
    error_m : (k,) array
        Impact that each of them leaves, up of the aim, for the likeliest calibration. [m]
    worst_m : float
        The largest of them, without its sign. [m]
    chance : float
        That it is the best of the set. [-]
    """

    strip: ReadyStrip
    align_m: float
    reversed_way: bool
    distance_m: Floats
    error_m: Floats
    worst_m: float
    chance: float


def _counted(strip: ReadyStrip, farthest_m: float) -> NDArray[np.bool_]:
    return np.asarray(strip.distance_m <= farthest_m + 1e-6)


def _left_over(
    posterior: Posterior, strip: ReadyStrip, farthest_m: float
) -> tuple[float, bool, Floats, Floats]:
    """Alignment, turn, error of the likeliest bow, and mean square error of every draw."""
    used = _counted(strip, farthest_m)
    distance, position = strip.distance_m[used], strip.position_m[used]
    marks = drawn_marks(posterior, distance)
    likeliest = np.median(marks, axis=0)
    unknowns = posterior.calibration.evidence.prior.unknowns
    middle = unknowns.bow(np.median(posterior.vectors, axis=0))
    weight = impact_gradient(middle, distance, likeliest).by_reading
    ways = []
    for way in (1.0, -1.0):
        apart = way * position
        shift = float(np.average(likeliest - apart, weights=weight**2))
        off = apart + shift - likeliest
        ways.append((float(np.square(off * weight).sum()), way, shift))
    _, way, _ = min(ways)
    gaps = way * position - marks
    shifts = -np.average(gaps, weights=weight**2, axis=1)
    squares = np.square((gaps + shifts[:, None]) * weight).mean(axis=1)
    shift = float(np.median(shifts))
    error = (way * position + shift - likeliest) * weight
    nearest = int(np.argmin(distance))
    return float(way * position[nearest] + shift), way < 0, error, squares


def rank_strips(
    posterior: Posterior, strips: tuple[ReadyStrip, ...], farthest_m: float
) -> tuple[Ranked, ...]:
    """Ready-made strips, best first.

    Each is aligned where its ticks miss least at the target, over all its distances up to the
    farthest.

    Parameters
    ----------
    posterior : Posterior
        Draws; two zeroed marks are enough to make them.
    strips : tuple of ReadyStrip
        The set.
    farthest_m : float
        How far the tape is wanted; ticks past it do not count, and every strip must have two
        before it. [m]

    Returns
    -------
    tuple of Ranked
        By the chance to be the best of the set, then by the error left.

    Source
    ------
    docs/physics.md eq. (8.17).
    """
    tried = [_left_over(posterior, strip, farthest_m) for strip in strips]
    squares = np.stack([one[3] for one in tried], axis=1)
    best = np.bincount(np.argmin(squares, axis=1), minlength=len(strips)) / len(squares)
    ranked = [
        Ranked(
            strip,
            align,
            turned,
            strip.distance_m[_counted(strip, farthest_m)],
            error,
            float(np.abs(error).max()),
            float(chance),
        )
        for strip, (align, turned, error, _), chance in zip(strips, tried, best, strict=True)
    ]
    return tuple(sorted(ranked, key=lambda one: (-one.chance, one.worst_m)))
