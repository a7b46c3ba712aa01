"""Rounding: in what steps somebody wrote down where arrows hit.

A ruler is read to so much, and what lies between is lost. The step is seen in the values
themselves: all of them are whole multiples of it.

Holds:  the steps that people use; the coarsest that all values of one person obey.
Never:  what rounding does to a test (flyer.py).
Source: docs/physics.md eq. (6.16).
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tapewright.ground.units import INCH_M
from tapewright.target.group import Group

Floats = NDArray[np.float64]

# Common practice, no source: whole inches, their halves, quarters, eighths and tenths; whole and
# half centimetres, whole and half millimetres. [m]
STEPS_M = (
    INCH_M, INCH_M / 2, 0.01, INCH_M / 4, 0.005, INCH_M / 8, INCH_M / 10,
    INCH_M / 16, INCH_M / 20, 0.001, 0.0005,
)  # fmt: skip
NEARLY = 1e-4  # of a step: what a conversion from another unit leaves


def written_step(groups: Sequence[Group]) -> float:
    """The step to which somebody wrote down where arrows hit.

    Parameters
    ----------
    groups : sequence of Group
        What one person wrote in one session; more values tell the step more surely.

    Returns
    -------
    float
        The coarsest of the usual steps of which every value is a whole multiple; 0 if there is
        none, or nothing but zeros. [m]

    Example
    -------
    >>> from tapewright.target.group import Impact
    >>> shot = Group("A", (Impact(0.0127, 0.0254), Impact(-0.0381, 0.0)))
    >>> round(written_step([shot]), 4)
    0.0127
    """
    along = [group.along(axis)[0] for group in groups for axis in ("up", "right")]
    values = np.concatenate([*along, np.zeros(0)])
    if not values.any():
        return 0.0
    return next((step for step in STEPS_M if _are_multiples(values, step)), 0.0)


def _are_multiples(values_m: Floats, step_m: float) -> bool:
    steps = values_m / step_m
    return bool((np.abs(steps - steps.round()) < NEARLY).all())
