"""Level: say what tilts do, and from a plumb-line or slope test which tilt there is.

Holds:  the records of tilts and tests for the floors above; the errand.
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
    """What given tilts do with a rig, or what a test tells of them.

    Parameters
    ----------
    answer : Answer
        The calibration.
    tilts : Tilts
        What was asked for.
    misses : TiltMisses
        What it does.
    test : Levelling or None
        What a plumb-line or slope test told; None: nobody shot one.
    """

    answer: Answer
    tilts: Tilts
    misses: TiltMisses
    test: Levelling | None


def find_tilt_misses(
    answer: Answer, distance_m: ArrayLike, tilts: Tilts, groups: tuple[SideGroup, ...] = ()
) -> FoundTilts:
    """Say what tilts do to the misses, or find them from a test.

    Parameters
    ----------
    answer : Answer
        A calibration.
    distance_m : (n,) array
        Distances. [m]
    tilts : Tilts
        How much of each.
    groups : tuple of SideGroup
        The test; empty for none.

    Returns
    -------
    FoundTilts
        Misses right positive; angles with bands of the answer's probability.
    """
    posterior = answer.posterior
    test = find_tilts(posterior, groups, answer.bands.probability) if groups else None
    return FoundTilts(answer, tilts, tilt_misses(posterior, distance_m, tilts), test)
