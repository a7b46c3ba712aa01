"""Trust strip: how far a strip is to be trusted once it has been stuck on, and not yet shot.

Holds:  the errand from an answer to one whose trusted distances count how a strip is stuck on.
Never:  formulas, ink, sentences.
"""

from dataclasses import replace

from tapewright.confidence.bands import banded_anew, spread_of_marks, within_trust
from tapewright.confidence.ladder import earned_trust, farthest_hit
from tapewright.confidence.sampling import even_normals
from tapewright.services.calibrate import Answer
from tapewright.sight.stickings import STICKING_SD_M


def answer_on_strip(answer: Answer) -> Answer:
    """The answer with trusted distances of a strip that is stuck on anew; eq. (8.43)."""
    if not any(answer.once_zeroed_m):
        return answer
    hit_m = farthest_hit(answer.observations, answer.groups)
    laid_m = STICKING_SD_M * even_normals(len(answer.posterior.vectors))
    grid_m = answer.trust.grid_m
    reach_m = within_trust(answer.posterior, grid_m)
    carried: list[float] = []
    for pin, once_zeroed_m in enumerate(answer.once_zeroed_m, 1):
        spread = spread_of_marks(answer.posterior, reach_m, answer.bands.probability, pin)
        stuck = banded_anew(replace(spread, marks_m=spread.marks_m + laid_m[:, None]))
        carries_m = answer.trust.carries_m(stuck, answer.rig.archer.tolerance_m, pin)
        carried.append(min(carries_m, once_zeroed_m))
    trusted_m = tuple(
        min(earned_trust(one, hit_m, answer.ladder, grid_m), was_m)
        for one, was_m in zip(carried, answer.trusted_m, strict=True)
    )
    return replace(answer, trusted_m=trusted_m, once_zeroed_m=tuple(carried))
