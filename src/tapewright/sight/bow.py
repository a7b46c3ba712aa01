"""Bow: where eye, string and sight stand at full draw.

Holds:  the SightedBow record; where along the bore the arrow leaves the string.
Never:  measurements, doubt, particular distances.
Source: docs/physics.md §5, fig. 1.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tapewright.flight.drag import DragShape
from tapewright.sight.scale import Scale, short

Floats = NDArray[np.float64]

NOCK_BEHIND_EYE_M = 0.08  # with a peep; common practice, no source; ± 0.03 m


@dataclass(frozen=True, slots=True, repr=False)
class SightedBow:
    """A bow with its sight: all that decides where an arrow goes.

    Fields may be arrays, one entry for each draw, and broadcast against distances.

    Parameters
    ----------
    speed_mps : float or (...) array
        Launch speed. [m/s]
    drag_per_m : float or (...) array
        Drag per metre in air of the reference density. [1/m]
    peep_height_m : float or (...) array
        Eye to arrow axis, perpendicular. [m]
    launch_ahead_m : float or (...) array
        Where the point is when the string lets go, along the arrow in front of the eye. [m]
    scale : Scale
        The ruler on the sight.
    windage_rad : float or (...) array, default 0
        Angle by which arrows fly to the right of the aim. [rad]
    side_m : float or (...) array, default 0
        How far to the right of the line of sight the arrow starts. [m]
    shape : DragShape or None
        How the drag changes with speed; then ``drag_per_m`` is that at 60 m/s. None: it does not.

    Example
    -------
    >>> bow = SightedBow(84.7, 0.0018, 0.117, 1.2, Scale(0.004, 1.34, 0.838))
    >>> bow.side_m
    0.0
    """

    speed_mps: float | Floats
    drag_per_m: float | Floats
    peep_height_m: float | Floats
    launch_ahead_m: float | Floats
    scale: Scale
    windage_rad: float | Floats = 0.0
    side_m: float | Floats = 0.0
    shape: DragShape | None = None

    def __repr__(self) -> str:
        return short(self)


def launch_ahead(
    arrow_length_m: float, power_stroke_m: float, nock_behind_eye_m: float = NOCK_BEHIND_EYE_M
) -> float:
    """Where the point is when the string lets go, in front of the eye.

    Up to there string and rest carry the arrow; only from there does it fall.

    Parameters
    ----------
    arrow_length_m : float
        Nock groove to end of shaft. [m]
    power_stroke_m : float
        Length of the string's push. [m]
    nock_behind_eye_m : float, default 80 mm
        How far the nock sits behind the eye at full draw. [m]

    Returns
    -------
    float
        Distance along the arrow from the foot of the perpendicular through the eye. [m]

    Source
    ------
    docs/physics.md eq. (5.1).
    """
    return arrow_length_m - nock_behind_eye_m + power_stroke_m


def scalar_bow(bow: SightedBow) -> SightedBow:
    """One bow whose fields are plain numbers.

    Parameters
    ----------
    bow : SightedBow
        With fields of one element.

    Returns
    -------
    SightedBow
        The same.
    """
    scale = replace(
        bow.scale,
        zero_reading_m=_one(bow.scale.zero_reading_m),
        reading_per_tangent_m=_one(bow.scale.reading_per_tangent_m),
    )
    return replace(
        bow,
        speed_mps=_one(bow.speed_mps),
        drag_per_m=_one(bow.drag_per_m),
        peep_height_m=_one(bow.peep_height_m),
        launch_ahead_m=_one(bow.launch_ahead_m),
        scale=scale,
        windage_rad=_one(bow.windage_rad),
        side_m=_one(bow.side_m),
    )


def _one(value: float | Floats) -> float:
    return float(np.asarray(value).item())
