"""Choose strip: say which strip to take, of our own or of a set that somebody already printed.

Holds:  the Neighbours and ChosenSet records; the errands that make them; between which distances
        strips are told apart.
Never:  formulas, sentences.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.confidence.bands import within_reach
from tapewright.confidence.ready_strips import Ranked, ReadyStrip, rank_strips
from tapewright.confidence.strips import StripMarks, neighbour_impacts, strip_marks
from tapewright.ground.errors import LaunchUnreachable
from tapewright.services.calibrate import Answer
from tapewright.services.limits import reachable
from tapewright.services.stops import refuse_stopped
from tapewright.services.usual_wish import tape_end

__all__ = [
    "ChosenSet",
    "Neighbours",
    "Ranked",
    "ReadyStrip",
    "StripMarks",
    "farthest_tick",
    "find_neighbours",
    "rank_set",
    "ticks_between",
    "usual_ends",
]

Floats = NDArray[np.float64]

TEN = 10
NEAREST = 20.0  # yards or metres: nobody aligns a tape much nearer
PAST_TURNING = 1.25  # times the turning distance: there marks move well with the distance
FAR_SHARE = 3.0  # of the near distance, where bands carry no farther
CLOSE = 1e-6


@dataclass(frozen=True)
class Neighbours:
    """The likeliest strip between its two neighbours."""

    answer: Answer  # the calibration they are made from
    ends_m: tuple[float, float]  # near and far distance between which strips are told apart
    distance_m: Floats  # distances
    # One step shorter, the likeliest, one step longer
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


def ticks_between(ticks: Sequence[float], between: tuple[float, float]) -> tuple[float, float]:
    """Two ticks, tens where there are any: the first and the last between two distances.

    The far one may be thrice as far as the near one, past the second distance, too.
    """
    least, most = between
    tens = [tick for tick in ticks if tick % TEN == 0.0] or ticks
    near = next((one for few in (tens, ticks) for one in few if one >= least), max(ticks))
    most = max(most, FAR_SHARE * near)
    past = ([tick for tick in few if near < tick <= most] for few in (tens, ticks))
    return near, next((max(few) for few in past if few), near + NEAREST)


def usual_ends(answer: Answer, unit_m: float, ticks: Sequence[float] = ()) -> tuple[float, float]:
    """Near and far distance between which the strips of a rig are told apart, unless said. [unit]

    From well past the turning distance, where the tape is aligned, to the last ten that the bands
    carry, or thrice as far as it is aligned; no farther than bow and sight go.
    """
    asked = np.array(sorted(ticks) or range(TEN, tape_end(answer, unit_m) + 1, TEN), np.float64)
    reached = asked[: len(within_reach(answer.posterior, asked * unit_m))]
    allowed = reached[reachable(answer, reached * unit_m)] if len(reached) else reached
    least = max(NEAREST, PAST_TURNING * answer.turning_m / unit_m)
    carried = answer.once_zeroed_m[0] / unit_m + CLOSE
    return ticks_between((allowed if len(allowed) else asked).tolist(), (least, carried))


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
