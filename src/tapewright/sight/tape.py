"""Tape: a strip of distances that is stuck on the sight, as the scale that it is.

Whoever dials a number of the tape sets the pointer to a reading on the scale on which the tape was
aligned, but for how well it was stuck on.

Holds:  the Ticks and Tape records: numbers of the tape to readings and back.
Never:  its file (tape_record.py), how often a scale was laid (stickings.py), calibration, ink,
        sentences about it.
Source: docs/physics.md eq. (5.19), (5.20).
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from tapewright.ground.errors import BadInput
from tapewright.ground.units import YARD_M
from tapewright.sight.stickings import ANYWHERE_SD_M, STICKING_SD_M, Scales, Sticking

WHITE_M = 1.6e-3  # every strip is blank so far past its outer ticks
SAME_PLACE = 1e-9

Unit = Literal["yd", "m"]
UNIT_M: dict[Unit, float] = {"yd": YARD_M, "m": 1.0}


@dataclass(frozen=True, slots=True)
class Ticks:
    """The ticks of one pin.

    Parameters
    ----------
    distances_m : tuple of float
        Growing, two at least. [m]
    readings_m : tuple of float
        Where each stands, on the scale on which the tape was aligned; past the turning distance
        they run one way. [m]
    """

    distances_m: tuple[float, ...]
    readings_m: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.distances_m) != len(self.readings_m) or len(self.distances_m) < 2:
            wrong = "a pin needs two ticks or more, each with its reading"
            raise BadInput("Ticks of the tape", wrong, "Name every tick with where it stands")
        if not np.isfinite((*self.distances_m, *self.readings_m)).all() or self.distances_m[0] <= 0:
            wrong = "a distance or a reading is not a number that can be"
            raise BadInput("Ticks of the tape", wrong, "Distances are above 0")
        if any(far <= near for near, far in pairwise(self.distances_m)):
            wrong = "the distances do not grow from tick to tick"
            raise BadInput("Ticks of the tape", wrong, "Name the nearest tick first, each once")
        if self.readings_m[-1] == self.readings_m[-2]:
            wrong = "its two farthest ticks stand at one place"
            raise BadInput("Ticks of the tape", wrong, "Check where they stand")

    @property
    def nearest_far(self) -> int:
        """Which tick is the nearest from which on readings run one way to the far end. [-]"""
        steps = np.diff(self.readings_m)
        back = np.nonzero(steps * steps[-1] <= 0.0)[0]
        return int(back[-1]) + 1 if len(back) else 0


@dataclass(frozen=True, slots=True)
class Tape:
    """A strip of a tape, stuck on.

    Parameters
    ----------
    name : str
        Of the scale that it is; another time stuck on is another name.
    unit : str
        ``"yd"`` or ``"m"``: in which its numbers are.
    pins : tuple of Ticks
        The first pin first.
    sd_m : float
        How well it was stuck on, one standard deviation. [m]
    aligned_on : tuple of Sticking
        The scale on which it was aligned; empty: the rig's first one.
    white_m : float
        How far the strip goes on past its outer ticks. [m]
    aligned_by : tuple of str
        Names of the groups by which it was aligned: what they shot stands under the tick, as well
        as it was stuck on.
    """

    name: str
    unit: Unit
    pins: tuple[Ticks, ...]
    sd_m: float = STICKING_SD_M
    aligned_on: Scales = ()
    white_m: float = WHITE_M
    aligned_by: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.pins or not self.name:
            raise BadInput("Tape", "it has no name or no pin", "Name it, and its ticks")
        if not (0.0 <= self.sd_m <= ANYWHERE_SD_M and 0.0 <= self.white_m <= ANYWHERE_SD_M):
            wrong = "how well it was stuck on, or its blank ends, cannot be"
            raise BadInput("Tape", wrong, "Say them in mm, 0 to 50")

    @property
    def unit_m(self) -> float:
        """The unit of its numbers. [m]"""
        return UNIT_M[self.unit]

    @property
    def scales(self) -> Scales:
        """From the rig's first scale to this one."""
        return (*self.aligned_on, Sticking(self.name, self.sd_m))

    def scales_of(self, group: str) -> Scales:
        """The scale on which a group was shot.

        Parameters
        ----------
        group : str
            Its name.

        Returns
        -------
        tuple of Sticking
            That of the tape; for a group by which it was aligned the one before the sticking.
        """
        return self.aligned_on if group in self.aligned_by else self.scales

    def ends(self, pin: int = 1) -> tuple[float, float]:
        """The outer ticks of a pin.

        Parameters
        ----------
        pin : int, default 1
            1 the first.

        Returns
        -------
        float, float
            In the tape's unit.

        Raises
        ------
        BadInput
            If the tape has no such pin.
        """
        ticks = self._ticks(pin)
        return ticks.distances_m[0] / self.unit_m, ticks.distances_m[-1] / self.unit_m

    def reading_of(self, dialled_m: float, pin: int = 1) -> float:
        """What the scale under the tape would show where a number of the tape is dialled.

        Parameters
        ----------
        dialled_m : float
            The number, as a distance. [m]
        pin : int, default 1
            Pin in whose column it stands, 1 the first.

        Returns
        -------
        float
            Reading on the scale on which the tape was aligned. [m]

        Raises
        ------
        BadInput
            If the tape does not go so far, or has no such pin.

        Source
        ------
        docs/physics.md eq. (5.19).
        """
        ticks = self._ticks(pin)
        distance, reading = np.array(ticks.distances_m), np.array(ticks.readings_m)
        if distance[0] <= dialled_m <= distance[-1]:
            return float(np.interp(dialled_m, distance, reading))
        end, inner = (0, 1) if dialled_m < distance[0] else (-1, -2)
        slope = (reading[end] - reading[inner]) / (distance[end] - distance[inner])
        past_m = float(slope * (dialled_m - distance[end]))
        if not abs(past_m) <= self.white_m + SAME_PLACE:  # or nan
            raise self._not_on_it(f"{dialled_m / self.unit_m:g} {self.unit}", pin)
        return float(reading[end]) + past_m

    def dialled_of(self, reading_m: float, pin: int = 1) -> float:
        """Which number of the tape stands at a reading, past the turning distance.

        Parameters
        ----------
        reading_m : float
            On the scale on which the tape was aligned. [m]
        pin : int, default 1
            Pin whose column is read, 1 the first.

        Returns
        -------
        float
            The number, as a distance. [m]

        Raises
        ------
        BadInput
            If the tape does not go so far, or has no such pin.

        Source
        ------
        docs/physics.md eq. (5.20).
        """
        ticks = self._ticks(pin)
        first = ticks.nearest_far
        distance, reading = np.array(ticks.distances_m[first:]), np.array(ticks.readings_m[first:])
        way = 1.0 if reading[-1] > reading[-2] else -1.0
        place = way * reading_m
        if way * reading[0] <= place <= way * reading[-1]:
            return float(np.interp(place, way * reading, distance))
        end, inner = (0, 1) if place < way * reading[0] else (-1, -2)
        past_m = abs(reading_m - reading[end])
        # Before the turning distance nothing stands: there the strip goes on with close ticks.
        if (end == 0 and first) or not past_m <= self.white_m + SAME_PLACE:
            raise self._not_on_it(f"the place of {1e3 * reading_m:.2f} mm", pin)
        slope = (distance[end] - distance[inner]) / (reading[end] - reading[inner])
        return float(distance[end] + slope * (reading_m - reading[end]))

    def close_of(self, reading_m: float, at_m: float, pin: int = 1) -> float:
        """Which close tick stands at a reading, for a target among the close ticks.

        Parameters
        ----------
        reading_m : float
            On the scale on which the tape was aligned. [m]
        at_m : float
            Where the target stands. [m]
        pin : int, default 1
            Pin whose column is read, 1 the first.

        Returns
        -------
        float
            The number, as a distance; nan for a target past the turning distance, or where no close
            tick stands. [m]

        Raises
        ------
        BadInput
            If the tape has no such pin.
        """
        ticks = self._ticks(pin)
        last = ticks.nearest_far + 1
        if last < 2 or at_m > ticks.distances_m[last - 1]:
            return float("nan")
        distance, reading = np.array(ticks.distances_m[:last]), np.array(ticks.readings_m[:last])
        way = 1.0 if reading[0] < reading[-1] else -1.0
        before_m = float(way * (reading[0] - reading_m))  # on the blank end before the first
        if before_m > self.white_m or way * reading_m > way * reading[-1]:
            return float("nan")
        if before_m > 0.0:
            slope = (distance[1] - distance[0]) / (reading[1] - reading[0])
            return float(distance[0] - way * slope * before_m)
        return float(np.interp(way * reading_m, way * reading, distance))

    def _ticks(self, pin: int) -> Ticks:
        if not 1 <= pin <= len(self.pins):
            wrong = f"the tape on the sight has no pin {pin}"
            raise BadInput("pin", wrong, f"Its pins are 1 to {len(self.pins)}")
        return self.pins[pin - 1]

    def _not_on_it(self, what: str, pin: int) -> BadInput:
        near, far = self.ends(pin)
        of_pin = f" of pin {pin}" if len(self.pins) > 1 else ""
        wrong = f"the tape on the sight does not have {what}"
        mend = f"Its ticks{of_pin} go from {near:g} to {far:g} {self.unit}"
        return BadInput("dialled", wrong, mend)
