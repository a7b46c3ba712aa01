"""Scale: the printed ruler on the sight.

Holds:  the Scale record: readings to the tangent of the sight angle and back, for a pin that
        slides straight and for one on a pivoting arm; which way the numbers run.
Never:  distances, flight.
Source: docs/physics.md §5.
"""

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
MOST_STEPS = 30
ENOUGH_M = 1e-9


def short(record: Any) -> str:  # noqa: ANN401 — any record
    """A record in few letters: draws are told by how many there are.

    Parameters
    ----------
    record : dataclass
        Some of whose fields may hold draws.

    Returns
    -------
    str
        As a record shows itself.
    """
    said = ((one.name, getattr(record, one.name)) for one in fields(record))
    told = (
        f"{name}={f'{np.size(value)} draws' if isinstance(value, np.ndarray) else repr(value)}"
        for name, value in said
    )
    return f"{type(record).__name__}({', '.join(told)})"


@dataclass(frozen=True, slots=True, repr=False)
class Scale:
    """How readings answer to the angle between line of sight and arrow.

    Fields may be arrays, one entry for each draw, and broadcast against readings.

    Parameters
    ----------
    zero_reading_m : float or (...) array
        Reading at which line of sight and arrow are parallel. With an arm: the reading at which
        a straight slide would be there, one that touches the arc where the arm is level. [m]
    reading_per_tangent_m : float or (...) array
        K: change of reading per unit of the tangent; positive when the numbers grow toward
        farther targets, negative when they fall. [m]
    sight_radius_m : float or (...) array
        Eye to pin along the arrow. [m]
    arm_length_m : float or None, default None
        Length of a pivoting arm; None: the pin slides straight. [m]
    arm_level_reading_m : float, default 0
        Reading at which the arm is parallel to the arrow. [m]

    Example
    -------
    >>> scale = Scale(zero_reading_m=0.004, reading_per_tangent_m=1.34, sight_radius_m=0.838)
    >>> round(float(scale.reading(0.02)), 4)
    0.0308
    """

    zero_reading_m: float | Floats
    reading_per_tangent_m: float | Floats
    sight_radius_m: float | Floats
    arm_length_m: float | None = None
    arm_level_reading_m: float = 0.0

    def __repr__(self) -> str:
        return short(self)

    def tangent(self, reading_m: ArrayLike, pin_below_m: ArrayLike = 0.0) -> Floats:
        """Tangent of the angle between line of sight and arrow.

        Parameters
        ----------
        reading_m : (...) array
            What the pointer shows. [m]
        pin_below_m : (...) array, default 0
            How far the pin in use sits below the first. [m]

        Returns
        -------
        (...) array
            Tangent; positive when the arrow climbs over the line of sight. [-]

        Source
        ------
        docs/physics.md eq. (5.2), (5.3), (5.6).
        """
        below = np.asarray(pin_below_m, dtype=np.float64)
        if self.arm_length_m is None:
            reading = np.asarray(reading_m, dtype=np.float64)
            first = (reading - self.zero_reading_m) / self.reading_per_tangent_m
            return np.asarray(first + below / self.sight_radius_m, dtype=np.float64)
        drop = self.drop(reading_m) + below
        radius = self.sight_radius_m - self.arm_length_m * (1.0 - np.cos(self._turn(reading_m)))
        return np.asarray(drop / radius, dtype=np.float64)

    def _turn(self, reading_m: ArrayLike) -> Floats:
        """Angle by which the arm has turned down from level; only for a pivoting arm. [rad]"""
        assert self.arm_length_m is not None, "a straight slide does not turn"
        travel = self.reading_per_tangent_m / self.sight_radius_m
        from_level = np.asarray(reading_m, dtype=np.float64) - self.arm_level_reading_m
        return np.asarray(from_level / (travel * self.arm_length_m), dtype=np.float64)

    def drop(self, reading_m: ArrayLike) -> Floats:
        """How far the first pin stands below the line through the eye parallel to the arrow.

        Parameters
        ----------
        reading_m : (...) array
            What the pointer shows. [m]

        Returns
        -------
        (...) array
            Square to the arrow, down positive. [m]

        Source
        ------
        docs/physics.md eq. (5.2), (5.3).
        """
        if self.arm_length_m is None:
            return np.asarray(self.sight_radius_m * self.tangent(reading_m))
        travel = self.reading_per_tangent_m / self.sight_radius_m
        level = (self.arm_level_reading_m - self.zero_reading_m) / travel
        return np.asarray(level + self.arm_length_m * np.sin(self._turn(reading_m)))

    def reading_at_drop(self, drop_m: ArrayLike) -> Floats:
        """Reading at which the first pin stands so far down: the inverse of ``drop``.

        Parameters
        ----------
        drop_m : (...) array
            Below the line through the eye parallel to the arrow, down positive. [m]

        Returns
        -------
        (...) array
            Reading; that of the arm straight up or down where it does not reach. [m]

        Source
        ------
        docs/physics.md eq. (5.2), (5.3).
        """
        travel = self.reading_per_tangent_m / self.sight_radius_m
        drop = np.asarray(drop_m, dtype=np.float64)
        if self.arm_length_m is None:
            return np.asarray(self.zero_reading_m + travel * drop, dtype=np.float64)
        level = (self.arm_level_reading_m - self.zero_reading_m) / travel
        turn = np.arcsin(np.clip((drop - level) / self.arm_length_m, -1.0, 1.0))
        return np.asarray(self.arm_level_reading_m + travel * self.arm_length_m * turn)

    def by_reading(self, reading_m: ArrayLike, pin_below_m: ArrayLike = 0.0) -> Floats:
        """Change of the tangent per change of reading.

        Parameters
        ----------
        reading_m, pin_below_m : (...) array
            As for ``tangent``. [m]

        Returns
        -------
        (...) array
            Derivative. [1/m]

        Source
        ------
        docs/physics.md eq. (5.2), (5.3).
        """
        reading = np.asarray(reading_m, dtype=np.float64)
        if self.arm_length_m is None:
            one = np.asarray(1.0 / np.asarray(self.reading_per_tangent_m), dtype=np.float64)
            return np.broadcast_to(one, np.broadcast_shapes(one.shape, reading.shape))
        travel = self.reading_per_tangent_m / self.sight_radius_m
        turn = self._turn(reading)
        radius = self.sight_radius_m - self.arm_length_m * (1.0 - np.cos(turn))
        slope = np.cos(turn) + self.tangent(reading, pin_below_m) * np.sin(turn)
        return np.asarray(slope / (travel * radius), dtype=np.float64)

    def by_zero(self, reading_m: ArrayLike) -> Floats:
        """Change of the tangent per change of the zero reading.

        Parameters
        ----------
        reading_m : (...) array
            What the pointer shows. [m]

        Returns
        -------
        (...) array
            Derivative. [1/m]
        """
        if self.arm_length_m is None:
            return -self.by_reading(reading_m)
        travel = self.reading_per_tangent_m / self.sight_radius_m
        radius = self.sight_radius_m - self.arm_length_m * (1.0 - np.cos(self._turn(reading_m)))
        return np.asarray(-1.0 / (travel * radius), dtype=np.float64)

    def by_log_gain(self, reading_m: ArrayLike, pin_below_m: ArrayLike = 0.0) -> Floats:
        """Change of the tangent per relative change of K.

        Parameters
        ----------
        reading_m, pin_below_m : (...) array
            As for ``tangent``. [m]

        Returns
        -------
        (...) array
            Derivative. [-]
        """
        # Readings and zero enter as differences over K: scaling K is scaling both about the
        # level reading of the arm (about anything, for a straight slide).
        reading = np.asarray(reading_m, dtype=np.float64)
        about = self.arm_level_reading_m
        by_both = (reading - about) * self.by_reading(reading, pin_below_m)
        return np.asarray(
            -by_both - (np.asarray(self.zero_reading_m) - about) * self.by_zero(reading),
            dtype=np.float64,
        )

    def reading(self, tangent: ArrayLike, pin_below_m: ArrayLike = 0.0) -> Floats:
        """Reading that gives the angle: the inverse of ``tangent``.

        Parameters
        ----------
        tangent : (...) array
            Tangent of the angle between line of sight and arrow. [-]
        pin_below_m : (...) array, default 0
            How far the pin in use sits below the first. [m]

        Returns
        -------
        (...) array
            Reading; nan where the arm does not reach. [m]

        Source
        ------
        docs/physics.md eq. (5.2), (5.3), (5.6).
        """
        wanted = np.asarray(tangent, dtype=np.float64)
        first = wanted - np.asarray(pin_below_m, dtype=np.float64) / self.sight_radius_m
        straight = np.asarray(self.zero_reading_m + self.reading_per_tangent_m * first)
        if self.arm_length_m is None:
            return straight
        reading = straight
        for _ in range(MOST_STEPS):
            miss = self.tangent(reading, pin_below_m) - wanted
            step = miss / self.by_reading(reading, pin_below_m)
            reading = reading - step
            if np.all(np.abs(step) < ENOUGH_M):
                return np.asarray(reading, dtype=np.float64)
        return np.where(np.abs(step) < ENOUGH_M, reading, np.nan)
