"""Record groups: note what was shot, and under which conditions.

Holds:  the records of shooting for the floors above, and how they are put together.
Never:  files (faces/shots_file.py), weights (calibration).
"""

from collections.abc import Sequence
from dataclasses import replace

from tapewright.calibration.observation import Observation
from tapewright.flight.air import STANDARD_AIR, Air
from tapewright.target.group import Group, Impact, group_centre

__all__ = [
    "MARK_ARROWS",
    "Group",
    "Impact",
    "Observation",
    "bare_mark",
    "group_centre",
    "observe_group",
]

MARK_ARROWS = 3  # what "it hits here" is worth when nobody said; common practice, no source


def bare_mark(arrows: int = MARK_ARROWS) -> Impact:
    """Impact that says "it hits here".

    Parameters
    ----------
    arrows : int, default 3
        How many arrows said so. [-]

    Returns
    -------
    Impact
        Centred on the aim, both ways.
    """
    return Impact(0.0, 0.0, arrows)


def observe_group(
    name: str,
    impacts: Sequence[Impact],
    *,
    distance_m: float,
    reading_m: float,
    pin: int = 1,
    slope_rad: float = 0.0,
    crosswind_mps: float = 0.0,
    temperature_k: float | None = None,
    air: Air = STANDARD_AIR,
) -> Observation:
    """Put a group together with what was dialled and where it was shot.

    Parameters
    ----------
    name : str
        What the archer calls the group.
    impacts : sequence of Impact
        Where the arrows hit.
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
    temperature_k : float, optional
        Temperature of that day; absent: the rig's own air. [K]
    air : Air
        The rig's air, whose pressure and humidity are kept when a temperature is given.

    Returns
    -------
    Observation
        Ready for calibration.

    Raises
    ------
    OutsideValidRange
        If nobody shoots at that temperature.
    """
    that_day = None if temperature_k is None else replace(air, temperature_k=temperature_k)
    return Observation(
        Group(name, tuple(impacts)), distance_m, reading_m, pin, slope_rad, crosswind_mps, that_day
    )
