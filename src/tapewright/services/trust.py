"""Trust: how far marks are trusted, whatever else speaks against some of them.

Holds:  the Trust record: limits of the sight, doubtful groups and arrows of two bows, counted
        together for every face that tells a trusted distance.
Never:  formulas, sentences.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapewright.confidence.bands import Spread, trusted_of
from tapewright.confidence.leaving_out import trusted_without
from tapewright.confidence.limits import ReadingLimits
from tapewright.confidence.slips import Doubt
from tapewright.confidence.two_bows import TwoBows, with_two_bows


@dataclass(frozen=True, eq=False)
class Trust:
    """What bounds trust beside the bands."""

    limits: ReadingLimits  # readings at which housing and arrow meet, or the travel ends
    doubt: Doubt  # what is to be thought of groups that do not fit
    mixed: TwoBows | None  # whether arrows of two bows were mixed; None where none can be
    seed: int  # of the draws
    grid_m: NDArray[np.float64]  # distances that may be the trusted one, growing

    def carries_m(self, spread: Spread, tolerance_m: float, pin: int = 1) -> float:
        """Farthest of the spread's distances that all of it lets trust; 0 for none. [m]

        That with every group or without one that may be wrong, whichever is less, where the sight
        need not stand past a limit; none while a slip holds of several groups.
        """
        if any(len(slip.mistake.places) > 1 for slip in self.doubt.slips):
            return 0.0
        if self.mixed is not None:
            chance = np.random.default_rng([self.seed, 2, pin])
            spread = with_two_bows(spread, self.mixed, pin, chance)
        allowed = self.limits.allows(spread.reading_m)
        allowed_m = spread if allowed.all() else spread.at(allowed)
        without_m = trusted_without(allowed_m, self.doubt.without, tolerance_m, pin)
        return min(trusted_of(allowed_m, tolerance_m), without_m)
