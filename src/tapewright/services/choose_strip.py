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
    """The likeliest strip between its two neighbours."""

    answer: Answer  # the calibration they are made from
    ends_m: tuple[float, float]  # near and far distance between which spans are told
    distance_m: Floats  # distances
    # Span one step less, the likeliest, one step more
    strips: tuple[StripMarks, StripMarks, StripMarks]
    impact_m: Floats  # how much higher arrows land with each of them than with the likeliest


@dataclass(frozen=True)
class ChosenSet:
    """A set of ready-made strips, best first."""

    answer: Answer  # the calibration that they are ranked against
    farthest_m: float  # how far the tape is wanted
    ranked: tuple[Ranked, ...]  # by the chance to be the best

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
    """The likeliest strip, its neighbours, and what each changes."""
    refuse_stopped(answer.rig)
    distance = np.asarray(distance_m, dtype=np.float64)
    strips = strip_marks(answer.posterior, distance, *ends_m, step_m)
    impacts = neighbour_impacts(answer.posterior, distance, strips)
    return Neighbours(answer, ends_m, distance, strips, impacts)


def farthest_tick(strips: tuple[ReadyStrip, ...]) -> float:
    """The farthest distance that any strip of a set has a tick for."""
    return max(float(strip.distance_m.max()) for strip in strips)


def rank_set(answer: Answer, strips: tuple[ReadyStrip, ...], farthest_m: float) -> ChosenSet:
    """A set of ready-made strips ranked against a calibration."""
    refuse_stopped(answer.rig)
    if not len(within_reach(answer.posterior, np.array([farthest_m]))):
        raise LaunchUnreachable(farthest_m)
    return ChosenSet(answer, farthest_m, rank_strips(answer.posterior, strips, farthest_m))
