"""Clearance: housing, vane and arrow; how far down a sight may go.

At full draw the housing stands over the arrow's way. A lower sight reaches farther, until a vane
would hit the housing.

Holds:  the Housing record; free height over the arrow for a reading, and the reading at which
        nothing is left of it.
Never:  doubt, the archer's own measured limits (confidence/limits.py).
Source: docs/physics.md eq. (5.10), (5.11).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.sight.bow import SightedBow

Floats = NDArray[np.float64]

USUAL_VANE_HEIGHT_M = 0.0127  # common practice, no source: few vanes are higher
USUAL_ARROW_MARGIN_M = 6e-3  # common practice, no source: arrows bend and rise a little


@dataclass(frozen=True, slots=True)
class Housing:
    """What has to pass under what.

    Parameters
    ----------
    below_pin_m : float
        First pin to the lower edge of the housing. [m]
    arrow_height_m : float
        Arrow axis to the top of a vane. [m]
    margin_m : float, default 6 mm
        Air wanted between vane and housing, since arrows bend and rise. [m]
    """

    below_pin_m: float
    arrow_height_m: float
    margin_m: float = USUAL_ARROW_MARGIN_M


def pin_height(bow: SightedBow, reading_m: ArrayLike) -> Floats:
    """How high the first pin stands over the arrow axis at full draw.

    Parameters
    ----------
    bow : SightedBow
        One bow, or draws of it.
    reading_m : (...) array
        What the pointer shows. [m]

    Returns
    -------
    (...) array
        Square to the arrow, up positive. [m]

    Source
    ------
    docs/physics.md eq. (5.10).
    """
    return np.asarray(bow.peep_height_m - bow.scale.drop(reading_m), dtype=np.float64)


def free_height(bow: SightedBow, reading_m: ArrayLike, housing: Housing) -> Floats:
    """Air between housing and vane, beyond the margin.

    All pins of a housing move together, so this is the same for each of them.

    Parameters
    ----------
    bow : SightedBow
        One bow, or draws of it.
    reading_m : (...) array
        What the pointer shows. [m]
    housing : Housing
        What has to pass under what.

    Returns
    -------
    (...) array
        Positive: clear. [m]

    Source
    ------
    docs/physics.md eq. (5.11).
    """
    taken = housing.below_pin_m + housing.arrow_height_m + housing.margin_m
    return pin_height(bow, reading_m) - taken


def clearance_reading(bow: SightedBow, housing: Housing) -> Floats:
    """Reading past which the housing comes too near to the arrow.

    Parameters
    ----------
    bow : SightedBow
        One bow, or draws of it.
    housing : Housing
        What has to pass under what.

    Returns
    -------
    (...) array
        Reading at which ``free_height`` is zero. [m]

    Source
    ------
    docs/physics.md eq. (5.11).
    """
    taken = housing.below_pin_m + housing.arrow_height_m + housing.margin_m
    return bow.scale.reading_at_drop(bow.peep_height_m - taken)
