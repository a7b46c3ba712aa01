"""Usual wish: what is wanted of a tape and of a session when nobody says.

Holds:  how far a tape goes; the distance to be trusted next; where groups may be shot.
Never:  formulas, sentences.
"""

import numpy as np

from tapewright.confidence.bands import within_reach
from tapewright.confidence.ladder import CLOSE_M, NEAREST_M
from tapewright.services.calibrate import Answer
from tapewright.services.limits import reachable

EACH_TO = 30  # farther out nobody looks for a place that is no whole five, yd or m
TAPE_ENDS = (60, 120)  # of a tape that nobody asked to be longer or shorter, yd or m


def tape_end(answer: Answer, unit_m: float) -> int:
    """Last tick of a tape that nobody asked to be longer or shorter."""
    carried = round(max(answer.once_zeroed_m) / unit_m, 6)
    least, most = TAPE_ENDS
    return round(min(max(-(-carried // 10) * 10 + 10, least), most))


def usual_places(wanted_m: float, unit_m: float) -> tuple[float, ...]:
    """Where groups may be shot when nobody says: each yard or metre near by, then each five."""
    each = {*range(1, EACH_TO + 1), *range(EACH_TO, round(wanted_m / unit_m) + 1, 5)}
    nearer = (step * unit_m for step in sorted(each))
    between = [one for one in nearer if NEAREST_M < one < wanted_m - CLOSE_M]
    return (NEAREST_M, *between, wanted_m)


def usual_wish(answer: Answer, unit_m: float) -> float:
    """What is wanted when nobody says: the farthest ten of the tape, or what the sheet tells."""
    tens_m = np.asarray(np.arange(10, tape_end(answer, unit_m) + 1, 10) * unit_m, np.float64)
    farthest_m = answer.rig.archer.farthest_m
    if farthest_m is not None:
        nearer_m = tens_m[tens_m < farthest_m - CLOSE_M]
        tens_m = np.append(nearer_m, max(farthest_m, 10 * unit_m))
    tens_m = within_reach(answer.posterior, tens_m)
    tens_m = tens_m[reachable(answer, tens_m)] if len(tens_m) else tens_m
    return float(tens_m[-1]) if len(tens_m) else 10 * unit_m
