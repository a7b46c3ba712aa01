"""Unknowns: what is estimated, and how a vector of it becomes a bow.

Holds:  the Unknowns record: names, their order in the vector; vector to SightedBow.
Never:  beliefs about the values (prior.py), weights (misfit.py).
Source: docs/physics.md §7; docs/glossary.md.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tapewright.calibration.rig import Sight
from tapewright.flight.drag import DragShape
from tapewright.sight.bow import SightedBow
from tapewright.sight.scale import Scale

Floats = NDArray[np.float64]

BOW_NAMES = (
    "log_speed",  # of the launch speed [m/s]
    "log_drag",  # of the drag per metre in the rig's air [1/m]
    "peep_height",  # [m]
    "zero_tangent",  # zero reading over K: a shift of the angle, whatever the scale [-]
    "log_gain",  # of |K| [m]
    "launch_ahead",  # [m]
)
SIDE_NAMES = ("windage", "side")  # [rad], [m]
SPREAD_NAMES = ("log_dispersion_up", "log_dispersion_right", "log_wobble")  # of [rad]


def source_name(source: str) -> str:
    """The unknown that is the shared error of a source of distances."""
    return f"distances_by_{source.replace(' ', '_') or 'no_word'}"


@dataclass(frozen=True)
class Unknowns:
    """The numbers that a calibration estimates, in order.

    Parameters
    ----------
    pins : int
        Further pins below the first. [-]
    shared_distances : int
        Distances at which more than one group was shot: each has one error of its own. [-]
    sight_radius_m : float
        Eye to pin along the arrow, as the sheet says. [m]
    direction : int
        1 when readings grow toward farther targets, −1 when they fall. [-]
    arm_length_m : float or None
        Of a pivoting arm. [m]
    arm_level_reading_m : float
        Reading at which that arm is level. [m]
    sources : tuple of str, default none
        Sources of distances besides the one for which marks are told: each has one error that
        all its distances share, as a part of them, against that one.
    shape : DragShape or None
        How the drag changes with speed; then ``log_drag`` is of that at 60 m/s.
    """

    pins: int
    shared_distances: int
    sight_radius_m: float
    direction: int
    arm_length_m: float | None
    arm_level_reading_m: float
    sources: tuple[str, ...] = ()
    shape: DragShape | None = None

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Name of each unknown, in the order of the vector."""
        pins = tuple(f"pin_{pin + 2}_below" for pin in range(self.pins))
        shared = tuple(f"distance_error_{one + 1}" for one in range(self.shared_distances))
        sources = tuple(source_name(one) for one in self.sources)
        return BOW_NAMES + pins + shared + sources + SIDE_NAMES + SPREAD_NAMES

    @cached_property
    def _place(self) -> dict[str, int]:
        return {name: place for place, name in enumerate(self.names)}

    def place(self, name: str) -> int:
        """Where an unknown stands in the vector. [-]"""
        return self._place[name]

    def column(self, vectors: Floats, name: str) -> Floats:
        """Values of one unknown, with an axis to broadcast against groups or distances.

        Parameters
        ----------
        vectors : (..., u) array
            Vectors of unknowns.
        name : str
            The unknown.

        Returns
        -------
        (..., 1) array
            In the unit of the unknown.
        """
        place = self.place(name)
        return vectors[..., place : place + 1]

    def pin_below(self, vectors: Floats, pins: NDArray[np.intp]) -> Floats:
        """How far the pin of each group sits below the first.

        Parameters
        ----------
        vectors : (..., u) array
            Vectors of unknowns.
        pins : (g,) array of int
            Pin used by each group, 1 the first.

        Returns
        -------
        (..., g) array
            Down positive. [m]
        """
        first = np.zeros((*vectors.shape[:-1], 1))
        start = len(BOW_NAMES)
        below = np.concatenate([first, vectors[..., start : start + self.pins]], axis=-1)
        return below[..., pins - 1]

    def distance_errors(self, vectors: Floats, shared: NDArray[np.intp]) -> Floats:
        """Error of the distance of each group that shares it with another group.

        Parameters
        ----------
        vectors : (..., u) array
            Vectors of unknowns.
        shared : (g,) array of int
            Which shared distance, from 0; −1 for a distance of its own.

        Returns
        -------
        (..., g) array
            Truth minus what was said; zero for a distance of its own. [m]
        """
        start = len(BOW_NAMES) + self.pins
        errors = vectors[..., start : start + self.shared_distances]
        none = np.zeros((*vectors.shape[:-1], 1))
        return np.concatenate([errors, none], axis=-1)[..., shared]

    def source_errors(self, vectors: Floats, source: NDArray[np.intp]) -> Floats:
        """Error that the distance of each group shares with all of its source.

        Parameters
        ----------
        vectors : (..., u) array
            Vectors of unknowns.
        source : (g,) array of int
            Which further source, from 0; one past the last for that for which marks are told.

        Returns
        -------
        (..., g) array
            Truth over what was said, less 1, against that one. [-]
        """
        start = len(BOW_NAMES) + self.pins + self.shared_distances
        errors = vectors[..., start : start + len(self.sources)]
        none = np.zeros((*vectors.shape[:-1], 1))
        return np.concatenate([errors, none], axis=-1)[..., source]

    def bow(self, vectors: Floats) -> SightedBow:
        """The bow that a vector describes.

        Parameters
        ----------
        vectors : (..., u) array
            Vectors of unknowns.

        Returns
        -------
        SightedBow
            Fields of shape (..., 1), to broadcast against distances.
        """
        gain_m = self.direction * np.exp(self.column(vectors, "log_gain"))
        scale = Scale(
            zero_reading_m=gain_m * self.column(vectors, "zero_tangent"),
            reading_per_tangent_m=gain_m,
            sight_radius_m=self.sight_radius_m,
            arm_length_m=self.arm_length_m,
            arm_level_reading_m=self.arm_level_reading_m,
        )
        return SightedBow(
            speed_mps=np.exp(self.column(vectors, "log_speed")),
            drag_per_m=np.exp(self.column(vectors, "log_drag")),
            peep_height_m=self.column(vectors, "peep_height"),
            launch_ahead_m=self.column(vectors, "launch_ahead"),
            scale=scale,
            windage_rad=self.column(vectors, "windage"),
            side_m=self.column(vectors, "side"),
            shape=self.shape,
        )


def unknowns_of(sight: Sight, sight_radius_m: float, shared_distances: int) -> Unknowns:
    """The unknowns of a rig.

    Parameters
    ----------
    sight : Sight
        The sheet's sight.
    sight_radius_m : float
        Eye to pin, from the sheet or its default. [m]
    shared_distances : int
        Distances at which more than one group was shot. [-]

    Returns
    -------
    Unknowns
        Names and order.
    """
    return Unknowns(
        pins=len(sight.pins_below_first_m),
        shared_distances=shared_distances,
        sight_radius_m=sight_radius_m,
        direction=1 if sight.farther == "increases" else -1,
        arm_length_m=sight.arm_length_m,
        arm_level_reading_m=sight.arm_level_reading_m,
    )
