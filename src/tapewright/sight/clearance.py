"""Clearance: housing, vane and arrow; how far down a sight may go.

At full draw the housing stands over the arrow's way. A lower sight reaches farther, until a vane
would hit the housing, or a blade of the point, which passes under it too.

Holds:  the Housing record; free height over the arrow for a reading, and the reading at which
        nothing is left of it; the most air that any mark can leave; how far a shaft stands
        before its rest at full draw.
Never:  doubt, the archer's own measured limits (confidence/limits.py).
Source: docs/physics.md eq. (5.10), (5.11), (5.17), (5.18).
"""

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.flight.bow_energy import DRAW_LENGTH_ADDS_M
from tapewright.ground.constants import STANDARD_GRAVITY_MPS2
from tapewright.ground.units import INCH_M
from tapewright.sight.bow import SightedBow

Floats = NDArray[np.float64]

USUAL_VANE_HEIGHT_M = 0.0127  # common practice, no source: few vanes are higher
USUAL_ARROW_MARGIN_M = 6e-3  # common practice, no source: arrows bend and rise a little
# How far the end of a shaft must stand before the rest at full draw, by the point on it; the
# blades of a broadhead must stay clear of rest and hand. Common practice, no source.
SHAFT_AHEAD_M = {"field": 0.5 * INCH_M, "broadhead": 1.0 * INCH_M}
USUAL_SHAFT_AHEAD_M = 1.0 * INCH_M  # common practice, no source


@dataclass(frozen=True, slots=True)
class Housing:
    """What has to pass under what.

    Parameters
    ----------
    below_pin_m : float
        First pin to the lower edge of the housing. [m]
    arrow_height_m : float
        Arrow axis to the top of a vane or blade, whichever stands higher. [m]
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


def most_air(
    peep_height_m: float,
    sight_radius_m: float,
    speed_mps: float,
    launch_ahead_m: float,
    housing: Housing,
) -> float:
    """Air that is left over the arrow at the mark where the sight stands highest.

    If nothing is left even there, housing and arrow meet at every distance.

    Parameters
    ----------
    peep_height_m : float
        Eye to arrow axis at full draw. [m]
    sight_radius_m : float
        Peep to pin. [m]
    speed_mps : float
        Launch speed. [m/s]
    launch_ahead_m : float
        Where the point is when the string lets go, in front of the eye. [m]
    housing : Housing
        What has to pass under what.

    Returns
    -------
    float
        Beyond the margin; negative: they meet at every distance. [m]

    Valid for
    ---------
    Small angles without drag: never less, and within 0.3 mm, of the whole flight.

    Source
    ------
    docs/physics.md eq. (5.17).
    """
    bend = 0.5 * STANDARD_GRAVITY_MPS2 / speed_mps**2
    apex_m = peep_height_m + bend * launch_ahead_m**2
    least_angle_rad = 2.0 * (sqrt(bend * apex_m) - bend * launch_ahead_m)
    taken = housing.below_pin_m + housing.arrow_height_m + housing.margin_m
    return peep_height_m - sight_radius_m * least_angle_rad - taken


def shaft_ahead(length_m: float, draw_length_m: float, rest_ahead_m: float) -> float:
    """How far the end of the shaft stands before the rest at full draw.

    Parameters
    ----------
    length_m : float
        Nock groove to end of shaft. [m]
    draw_length_m : float
        By the trade standard: nocking point to grip pivot plus 1¾ in. [m]
    rest_ahead_m : float
        How far the rest stands before the grip pivot, behind it negative. [m]

    Returns
    -------
    float
        Negative: it has slipped off. [m]

    Source
    ------
    docs/physics.md eq. (5.18).
    """
    return length_m - (draw_length_m - DRAW_LENGTH_ADDS_M) - rest_ahead_m
