"""Middle bow: the one bow whose level marks are those of the tape.

A tape's marks are medians over many equally likely bows. The bow made of the medians of all
unknowns is not quite on that line, since the unknowns hang together in curves; a few steps of
least squares bring it there.

Holds:  that bow.
Never:  draws, bands; marks of particular distances.
Source: docs/physics.md eq. (9.12).
"""

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import ImpactGradient, impact_gradient

Floats = NDArray[np.float64]

STEPS = 4
STIFFNESS = 1e-4  # against moving any number far: only what the marks ask for
# How far each number may reasonably move: log speed, log drag, peep height [m], zero tangent,
# log gain. The steps are counted in these.
MOVES = np.array([0.01, 0.10, 2e-3, 1e-3, 0.01])


def middle_bow(bow: SightedBow, distance_m: ArrayLike, reading_m: ArrayLike) -> SightedBow:
    """A bow like the one given, with the level marks given.

    Parameters
    ----------
    bow : SightedBow
        One bow, no draws, whose marks are nearly these.
    distance_m : (n,) array
        Distances, at least six. [m]
    reading_m : (n,) array
        The marks of the first pin; those that are nan, past an arm's end, do not count. [m]

    Returns
    -------
    SightedBow
        Speed, drag, peep height, zero and gain a little changed.

    Source
    ------
    docs/physics.md eq. (9.12).
    """
    reading = np.asarray(reading_m, dtype=np.float64)
    here = np.isfinite(reading)
    distance, reading = np.asarray(distance_m, dtype=np.float64)[here], reading[here]
    for _ in range(STEPS):
        found = impact_gradient(bow, distance, reading)
        slopes = _slopes(bow, distance, found) * MOVES  # angles: each mark counts alike
        wanted = -found.up_m / distance
        normal = slopes.T @ slopes / len(distance)
        normal += STIFFNESS * np.diag(np.diag(normal))
        moves = np.linalg.solve(normal, slopes.T @ wanted / len(distance)) * MOVES
        bow = _moved(bow, moves)
    return bow


def _slopes(bow: SightedBow, distance: Floats, found: ImpactGradient) -> Floats:
    """Change of each impact, as an angle, per number; (n, 5)."""
    columns = (
        found.by_log_speed,
        found.by_log_drag,
        found.by_peep_height,
        found.by_zero_reading * bow.scale.reading_per_tangent_m,
        found.by_log_gain,
    )
    return (
        np.stack([np.broadcast_to(one, distance.shape) for one in columns], axis=-1)
        / (distance[:, None])
    )


def _moved(bow: SightedBow, moves: Floats) -> SightedBow:
    speed, drag, peep_m, zero, gain = moves.tolist()
    scale = bow.scale
    return replace(
        bow,
        speed_mps=float(bow.speed_mps * np.exp(speed)),
        drag_per_m=float(bow.drag_per_m * np.exp(drag)),
        peep_height_m=bow.peep_height_m + peep_m,
        scale=replace(
            scale,
            zero_reading_m=float(scale.zero_reading_m + zero * scale.reading_per_tangent_m),
            reading_per_tangent_m=float(scale.reading_per_tangent_m * np.exp(gain)),
        ),
    )
