"""Level: say what tilts do, and from a plumb-line or slope test which tilt there is.

Holds:  the records of tilts and tests for the floors above; both errands.
Never:  formulas, sentences, files.
"""

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
    "Levelling",
    "SideGroup",
    "Tilt",
    "TiltMisses",
    "Tilts",
    "misses_from_tilts",
    "tilts_from_test",
]


def misses_from_tilts(answer: Answer, distance_m: ArrayLike, tilts: Tilts) -> TiltMisses:
    """What given tilts do with a calibrated rig.

    Parameters
    ----------
    answer : Answer
        A calibration.
    distance_m : (n,) array
        Distances. [m]
    tilts : Tilts
        How much of each.

    Returns
    -------
    TiltMisses
        Right positive.
    """
    return tilt_misses(answer.posterior, distance_m, tilts)


def tilts_from_test(answer: Answer, groups: tuple[SideGroup, ...]) -> Levelling:
    """Which tilts a plumb-line or slope test tells.

    Parameters
    ----------
    answer : Answer
        A calibration.
    groups : tuple of SideGroup
        The test; at least one group.

    Returns
    -------
    Levelling
        Angles with bands of the answer's probability.
    """
    return find_tilts(answer.posterior, groups, answer.bands.probability)
