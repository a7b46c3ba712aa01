"""Observation: what the archer saw, and how sure.

Holds:  a group with the distance, reading, pin, slope, windage and air it was shot in; where
        distances come from, and how well they are known.
Never:  weights (misfit.py), where the group should have landed (sight/prediction.py).
"""

from dataclasses import dataclass
from math import hypot
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.flight.air import Air
from tapewright.ground.checks import (
    Amount,
    check_amounts,
    checked_choice,
    checked_count,
    checked_record,
    checked_several,
    checked_text,
)
from tapewright.ground.units import YARD_M
from tapewright.sight.stickings import Scales, Sticking, scales_text
from tapewright.target.group import Group

# One standard deviation of the error that all distances of a source share, as a part of them;
# common practice, no source.
SOURCES = {"": 0.005, "tape": 0.001, "range finder": 0.012, "pegs": 0.012, "paces": 0.03}
Head = Literal["", "field", "broadhead"]
HEADS: tuple[Head, ...] = ("", "field", "broadhead")
MOST_PIN = 20
_AMOUNTS = {
    "distance_m": Amount(0.5, 500.0, "metres", "54.864"),
    "reading_m": Amount(-1.0, 1.0, "metres", "0.0461"),
    "slope_rad": Amount(-1.3, 1.3, "radians", "0.2"),
    "crosswind_mps": Amount(-60.0, 60.0, "metres a second", "2.5"),
    "windage_m": Amount(-0.5, 0.5, "metres", "0.0015"),
    "windage_clicks": Amount(-1e5, 1e5, "clicks", "20.0"),
}
UNSAID_ELSEWHERE = 0.012  # of distances that nobody explained, against those of another source


@dataclass(frozen=True, slots=True)
class Observation:
    """One group with what was dialled and where it was shot.

    A bare mark ("it hits here") is a group of one impact on the aim, for several arrows.

    Parameters
    ----------
    group : Group
        Where the arrows landed.
    distance_m : float
        Eye to target along the line of sight. [m]
    reading_m : float
        What the pointer showed; on a tape what the scale under it would have shown, had it been
        stuck on without error. [m]
    pin : int, default 1
        Which pin was aimed with, 1 the first.
    slope_rad : float, default 0
        Slope of the line of sight, uphill positive. [rad]
    crosswind_mps : float, default 0
        Wind across, blowing to the archer's right positive. [m/s]
    air : Air or None, default None
        None: the rig's own air.
    session : str, default empty
        Groups of one session were shot with one windage, but for turns that are told; empty: it
        may have been moved before this group.
    windage_m : float or None, default None
        What the sight's windage scale showed, growing as the pin goes right. [m]
    windage_clicks : float or None, default None
        The same in clicks from any start, positive when the pin went right. [-]
    distances : str, default empty
        Where the distance comes from, one of ``SOURCES``; empty: not said.
    proved : bool, default False
        Whether it was shot to prove a tape and taken in later: another bow may have shot it.
    scales : tuple of Sticking
        The scale that the pointer showed, from the rig's first one on; empty: the first itself.
    date : str, default empty
        Day on which it was shot, as 2026-05-14; empty: not said. It moves no mark.
    head : str, default empty
        ``"field"`` or ``"broadhead"``; empty: that of the rig's own arrow.

    Example
    -------
    >>> from tapewright.target.group import Impact
    >>> shot = Group("far", (Impact(0.02, -0.05), Impact(-0.01, 0.0)))
    >>> Observation(shot, distance_m=54.864, reading_m=0.0461).pin
    1
    """

    group: Group
    distance_m: float
    reading_m: float
    pin: int = 1
    slope_rad: float = 0.0
    crosswind_mps: float = 0.0
    air: Air | None = None
    session: str = ""
    windage_m: float | None = None
    windage_clicks: float | None = None
    distances: str = ""
    proved: bool = False
    scales: Scales = ()
    date: str = ""
    head: Head = ""

    def __post_init__(self) -> None:
        checked_record("Observation.group", self.group, Group, 'Give Group("far", impacts)')
        check_amounts(self, _AMOUNTS)
        pin = checked_count("Observation.pin", self.pin, 1, MOST_PIN)
        object.__setattr__(self, "pin", pin)
        if self.air is not None:
            mend = "Give Air(288.15, 101325.0), or leave it out"
            checked_record("Observation.air", self.air, Air, mend)
        checked_text("Observation.session", self.session)
        checked_text("Observation.date", self.date, "2026-05-14")
        checked_choice("Observation.distances", self.distances, SOURCES)
        checked_choice("Observation.head", self.head, HEADS)
        mend = "Give the scales of a tape: tape.scales"
        object.__setattr__(
            self, "scales", checked_several("Observation.scales", self.scales, Sticking, mend)
        )

    @property
    def scale(self) -> str:
        """The scale in words; empty: the rig's first."""
        return scales_text(self.scales)


def source_doubt(one: str, other: str) -> float:
    """How far distances of two sources may be off against each other.

    Parameters
    ----------
    one, other : str
        Sources.

    Returns
    -------
    float
        One standard deviation, as a part of the distance; 0 for one and the same. [-]
    """
    doubt = SOURCES | {"": UNSAID_ELSEWHERE}
    return 0.0 if one == other else hypot(doubt[one], doubt[other])


def distance_doubt(distance_m: float) -> float:
    """How well a distance is known when nobody said.

    Parameters
    ----------
    distance_m : float
        The distance. [m]

    Returns
    -------
    float
        One standard deviation: 0.5 % or a quarter of a yard, the larger. [m]

    Source
    ------
    Common practice, no source: a tape measure or a rangefinder that shows half yards.
    """
    return max(0.005 * distance_m, 0.25 * YARD_M)


def distance_doubts(distance_m: ArrayLike, said_m: float | None) -> NDArray[np.float64]:
    """How well distances are known: as the sheet says, or as when nobody said.

    Parameters
    ----------
    distance_m : (n,) array
        The distances. [m]
    said_m : float or None
        What the sheet says of each of them; None: nothing. [m]

    Returns
    -------
    (n,) array
        One standard deviation. [m]
    """
    each = np.asarray(distance_m, dtype=np.float64)
    known = [distance_doubt(one) if said_m is None else said_m for one in each.tolist()]
    return np.array(known, dtype=np.float64)
