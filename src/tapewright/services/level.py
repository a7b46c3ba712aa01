"""Level: say what tilts do, and from a plumb-line or slope test which tilt there is.

Holds:  the records of tilts and tests for the floors above; the question.
Never:  formulas, sentences, files.
"""

from dataclasses import dataclass

from numpy.typing import ArrayLike

from tapewright.confidence.levelling import (
    Levelling,
    SideGroup,
    Tilt,
    TiltMisses,
    Tilts,
    find_tilts,
    tilt_misses,
)
from tapewright.services.calibrate import Answer

__all__ = [
    "FoundTilts",
    "Levelling",
    "SideGroup",
    "Tilt",
    "TiltMisses",
    "Tilts",
    "find_tilt_misses",
]


@dataclass(frozen=True)
class FoundTilts:
    """What given tilts do with a rig, or what a test tells of them."""

    answer: Answer  # the calibration
    tilts: Tilts  # what was asked for
    misses: TiltMisses  # what it does
    test: Levelling | None  # what a plumb-line or slope test told; None: nobody shot one


def find_tilt_misses(
    answer: Answer, distance_m: ArrayLike, tilts: Tilts, groups: tuple[SideGroup, ...] = ()
) -> FoundTilts:
    """Say what tilts do to the misses, or find them from a test."""
    posterior = answer.posterior
    test = find_tilts(posterior, groups, answer.bands.probability) if groups else None
    return FoundTilts(answer, tilts, tilt_misses(posterior, distance_m, tilts), test)
