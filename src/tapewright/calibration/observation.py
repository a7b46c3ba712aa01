"""Observation: what the archer saw, and how sure.

Holds:  a group with the distance, reading, pin, slope and air it was shot in.
Never:  weights (misfit.py), where the group should have landed (sight/prediction.py).
"""

from dataclasses import dataclass

from tapewright.flight.air import Air
from tapewright.ground.units import YARD_M
from tapewright.target.group import Group


@dataclass(frozen=True, slots=True)
class Observation:
    """One group with what was dialled and where it was shot.

    A bare mark ("it hits here") is a group with one impact on the aim that stands for several
    arrows.

    Parameters
    ----------
    group : Group
        Where the arrows landed.
    distance_m : float
        Eye to target along the line of sight. [m]
    reading_m : float
        What the pointer showed. [m]
    pin : int, default 1
        Which pin was aimed with, 1 the first.
    slope_rad : float, default 0
        Slope of the line of sight, uphill positive. [rad]
    crosswind_mps : float, default 0
        Wind across, blowing to the archer's right positive. [m/s]
    air : Air or None, default None
        None: the rig's own air.
    proved : bool, default False
        Whether it was shot to prove a tape and taken in later: another bow may have shot it.
    """

    group: Group
    distance_m: float
    reading_m: float
    pin: int = 1
    slope_rad: float = 0.0
    crosswind_mps: float = 0.0
    air: Air | None = None
    proved: bool = False


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
