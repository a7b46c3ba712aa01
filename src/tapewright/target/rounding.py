"""Rounding: in what steps somebody wrote down where arrows hit.

A ruler is read to so much, and what lies between is lost. The step is seen in the values
themselves: all of them are whole multiples of it.

Holds:  the steps that people use; the coarsest that all values of a group obey.
Never:  what rounding does to a test (flyer.py).
Source: docs/physics.md eq. (6.16).
"""

import numpy as np
from numpy.typing import NDArray

from tapewright.ground.units import INCH_M
from tapewright.target.group import Group

Floats = NDArray[np.float64]

# Common practice, no source: whole inches, their halves, quarters, eighths, tenths, sixteenths,
# twentieths and hundredths; 10, 5, 2, 1 and half a millimetre. The coarsest first. [m]
STEPS_M = (
    INCH_M, INCH_M / 2, 0.01, INCH_M / 4, 0.005, INCH_M / 8, INCH_M / 10, 0.002,
    INCH_M / 16, INCH_M / 20, 0.001, 0.0005, INCH_M / 100,
)  # fmt: skip
NEARLY_M = 1e-7  # what a conversion from another unit leaves


def written_step(group: Group) -> float:
    """The step to which somebody wrote down where arrows of a group hit.

    Parameters
    ----------
    group : Group
        Its arrows; centres that stand for several are worked out, not read, and left out.

    Returns
    -------
    float
        The coarsest of the usual steps of which every value is a whole multiple; 0 if there is
        none, or nothing but zeros. [m]

    Example
    -------
    >>> from tapewright.target.group import Impact
    >>> shot = Group("A", (Impact(0.0127, 0.0254), Impact(-0.0381, 0.0)))
    >>> round(written_step(shot), 4)
    0.0127
    """
    along = [group.along(axis) for axis in ("up", "right")]
    values = np.concatenate([values_m[arrows == 1] for values_m, arrows in along])
    if not values.any():
        return 0.0
    return coarsest_step(values)


def coarsest_step(values_m: Floats, within_m: float = NEARLY_M) -> float:
    """The coarsest of the usual steps of which all values are whole multiples; 0 for none. [m]

    Parameters
    ----------
    values_m : (n,) array
        What was written. [m]
    within_m : float
        How far a value may lie from a multiple. [m]
    """
    for step_m in STEPS_M:
        if (np.abs(values_m - step_m * np.round(values_m / step_m)) <= within_m).all():
            return step_m
    return 0.0
