"""Stand in: one bow, or a few, in place of all draws.

Holds:  the bow with the middle marks; a part of the draws.
Never:  formulas, bands.
"""

import numpy as np

from tapewright.confidence.bands import drawn_marks, within_reach
from tapewright.confidence.posterior import Posterior
from tapewright.field.middle_bow import middle_bow
from tapewright.sight.bow import SightedBow, scalar_bow

__all__ = ["SightedBow", "few_bows", "one_bow"]

MATCHED_M = np.linspace(4.0, 112.0, 28)
FEW = 400


def one_bow(posterior: Posterior) -> SightedBow:
    """The bow whose level marks are the tape's: the medians of the draws' marks."""
    unknowns = posterior.calibration.evidence.prior.unknowns
    medians = scalar_bow(unknowns.bow(np.median(posterior.vectors, axis=0)))
    distance = within_reach(posterior, MATCHED_M)
    return middle_bow(medians, distance, np.median(drawn_marks(posterior, distance), axis=0))


def few_bows(posterior: Posterior, count: int = FEW) -> SightedBow:
    """A part of the draws, for quantities whose bands need no more."""
    every = max(1, len(posterior.vectors) // count)
    unknowns = posterior.calibration.evidence.prior.unknowns
    return unknowns.bow(posterior.vectors[::every][:count])
