"""Choose strip: say which strip to take, of our own or of a set that somebody already printed.

Holds:  the Neighbours and ChosenSet records; the errands that make them.
Never:  formulas, sentences.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.confidence.bands import within_reach
from tapewright.confidence.ready_strips import Ranked, ReadyStrip, rank_strips
from tapewright.confidence.strips import StripMarks, neighbour_impacts, strip_marks
from tapewright.ground.errors import LaunchUnreachable
from tapewright.services.calibrate import Answer
from tapewright.services.stops import refuse_stopped

__all__ = [
    "ChosenSet",
    "Neighbours",
    "Ranked",
    "ReadyStrip",
    "StripMarks",
    "farthest_tick",
    "find_neighbours",
    "rank_set",
]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Neighbours:
    """The likeliest strip between its two neighbours.

    Parameters
    ----------
    answer : Answer
        The calibration they are made from.
    ends_m : (float, float)
        Near and far distance between which spans are told. [m]
    distance_m : (n,) array
        Distances. [m]
    strips : three StripMarks
        Span one step less, the likeliest, one step more.
    impact_m : (3, n) array
        How much higher arrows land with each of them than with the likeliest. [m]
    """

    answer: Answer
    ends_m: tuple[float, float]
    distance_m: Floats
    strips: tuple[StripMarks, StripMarks, StripMarks]
    impact_m: Floats


@dataclass(frozen=True)
class ChosenSet:
    """A set of ready-made strips, best first.

    Parameters
    ----------
    answer : Answer
        The calibration that they are ranked against.
    farthest_m : float
        How far the tape is wanted. [m]
    ranked : tuple of Ranked
        By the chance to be the best.
    """

    answer: Answer
    farthest_m: float
    ranked: tuple[Ranked, ...]

    @property
    def best_is_good(self) -> bool:
        """Whether the best strip errs by no more than the archer's tolerance."""
        return self.ranked[0].worst_m <= self.answer.rig.archer.tolerance_m


def find_neighbours(
    answer: Answer,
    distance_m: ArrayLike,
    ends_m: tuple[float, float],
    step_m: float | None = None,
) -> Neighbours:
    """The likeliest strip, its neighbours, and what each changes.

    Parameters
    ----------
    answer : Answer
        A calibration.
    distance_m : (n,) array
        Distances. [m]
    ends_m : (float, float)
        Near and far distance between which spans are told. [m]
    step_m : float, optional
        How much the span of a neighbour differs; absent: by what is not known of it. [m]

    Returns
    -------
    Neighbours
        Three strips of the first pin.

    Raises
    ------
    Withheld
        If the set-up must not be shot.
    """
    refuse_stopped(answer.rig)
    distance = np.asarray(distance_m, dtype=np.float64)
    strips = strip_marks(answer.posterior, distance, *ends_m, step_m)
    impacts = neighbour_impacts(answer.posterior, distance, strips)
    return Neighbours(answer, ends_m, distance, strips, impacts)


def farthest_tick(strips: tuple[ReadyStrip, ...]) -> float:
    """The farthest distance that any strip of a set has a tick for.

    Parameters
    ----------
    strips : tuple of ReadyStrip
        The set.

    Returns
    -------
    float
        Distance. [m]
    """
    return max(float(strip.distance_m.max()) for strip in strips)


def rank_set(answer: Answer, strips: tuple[ReadyStrip, ...], farthest_m: float) -> ChosenSet:
    """A set of ready-made strips ranked against a calibration.

    Parameters
    ----------
    answer : Answer
        A calibration; two zeroed marks are enough.
    strips : tuple of ReadyStrip
        The set, each with two ticks or more up to the farthest distance.
    farthest_m : float
        How far the tape is wanted. [m]

    Returns
    -------
    ChosenSet
        Best first.

    Raises
    ------
    LaunchUnreachable
        If an arrow cannot reach a tick that counts.
    Withheld
        If the set-up must not be shot.
    """
    refuse_stopped(answer.rig)
    if not len(within_reach(answer.posterior, np.array([farthest_m]))):
        raise LaunchUnreachable(farthest_m)
    return ChosenSet(answer, farthest_m, rank_strips(answer.posterior, strips, farthest_m))
