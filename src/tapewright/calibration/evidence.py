"""Evidence: rig sheet and groups, put into arrays for the misfit.

Holds:  the Evidence record and its axes; which groups share a measured distance; the robust
        centre of a group.
Never:  predictions, densities (misfit.py).
Source: docs/physics.md §7; docs/sources.md [STUDENT].
"""

from collections import Counter
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tapewright.calibration.kinds import stated_or_usual, usual_of
from tapewright.calibration.observation import Observation, distance_doubts
from tapewright.calibration.prior import Prior, prior_from_rig, with_distance_errors
from tapewright.calibration.rig import Rig
from tapewright.calibration.sticking import Steps, steps_between
from tapewright.calibration.windage import Turns, turns_of
from tapewright.sight.prediction import Aim
from tapewright.sight.stickings import Scales

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

FREEDOMS = 4.0  # of the arrows' Student-t: one arrow in twenty-five beyond three dispersions
CORE = 1.1416  # dispersion over scale: 68.27 % of a Student-t with 4 lies within 1.1416 scales
CENTRE_VARIANCE = 2.0 / CORE**2  # of a centre of n arrows, times n, over the dispersion's square
INFORMATION = (FREEDOMS + 1.0) / (FREEDOMS + 3.0) * CORE**2  # of one arrow, times dispersion²


@dataclass(frozen=True)
class AxisEvidence:
    """Where arrows landed along one axis, as angles from the aim.

    Parameters
    ----------
    arrow : (g, a) array
        Single arrows; zero where there is none. [rad]
    there : (g, a) array
        1 where there is an arrow, else 0. [-]
    centre : (g, c) array
        Centres that stand for several arrows; zero where there is none. [rad]
    weight : (g, c) array
        Arrows that each stands for; 0 where there is none. [-]
    """

    arrow: Floats
    there: Floats
    centre: Floats
    weight: Floats

    @cached_property
    def seen(self) -> NDArray[np.bool_]:
        """Which groups were measured along this axis, (g,)."""
        return np.asarray((self.there.sum(axis=1) + self.weight.sum(axis=1)) > 0)

    def part(self, some: slice) -> "AxisEvidence":
        """The same of some of the groups."""
        return AxisEvidence(
            self.arrow[some], self.there[some], self.centre[some], self.weight[some]
        )

    def information(self, dispersion: Floats) -> Floats:
        """What the arrows of each group tell about its centre.

        Parameters
        ----------
        dispersion : (..., 1) array
            Dispersion along the axis. [rad]

        Returns
        -------
        (..., g) array
            One over the variance. [1/rad²]
        """
        single = INFORMATION * self.there.sum(axis=1)
        several = self.weight.sum(axis=1) / CENTRE_VARIANCE
        return np.asarray((single + several) / np.square(dispersion), dtype=np.float64)

    def robust_centre(self, dispersion: float) -> Floats:
        """Centre of each group, wild arrows held down.

        Parameters
        ----------
        dispersion : float
            Dispersion along the axis. [rad]

        Returns
        -------
        (g,) array
            Most likely centre of the Student-t; zero for groups not measured. [rad]
        """
        scale2 = (dispersion / CORE) ** 2
        total = self.there.sum(axis=1)
        with np.errstate(invalid="ignore"):
            start = [
                np.median(row[there > 0]) if count else 0.0
                for row, there, count in zip(self.arrow, self.there, total, strict=True)
            ]
        centre = np.array(start)
        several = self.weight / (CENTRE_VARIANCE * dispersion**2)
        for _ in range(8):
            far2 = np.square(self.arrow - centre[:, None]) / scale2
            pull = self.there * (FREEDOMS + 1.0) / (FREEDOMS + far2) / scale2
            top = (pull * self.arrow).sum(axis=1) + (several * self.centre).sum(axis=1)
            centre = top / np.maximum(pull.sum(axis=1) + several.sum(axis=1), 1e-300)
        return centre


@dataclass(frozen=True, repr=False)
class Evidence:
    """All that was seen, in arrays; and the doubts that the fit does not estimate.

    Parameters
    ----------
    prior : Prior
        Beliefs of the sheet.
    observations : tuple of Observation
        As recorded, one for each group.
    distance_m, reading_m : (g,) array
        As said. [m]
    aim : Aim
        Slope, air, wind of each group; the pin is in ``pin``.
    pin : (g,) array of int
        Pin used, 1 the first. [-]
    shared : (g,) array of int
        Which shared distance, −1 for a distance of its own. [-]
    source : (g,) array of int
        Which further source of distances; past the last for that for which marks are told. [-]
    turns : Turns
        What is told of the windage.
    up, right : AxisEvidence
        Where the arrows landed.
    distance_sd_m : (g,) array
        Doubt about a distance of its own; 0 for a shared one. [m]
    reading_sd_m : float
        Doubt about how the pointer was set. [m]
    set_up_sd_rad : (g,) array
        What distance and reading errors do to the height of a group. [rad]
    steps : Steps or None
        Stickings between the groups' scales and the one of which marks are told; None: all groups
        were shot on that one.
    up_per_reading : (g,) array
        By how much a group rises per reading, where ``steps`` are; as angles. [rad/m]
    """

    prior: Prior
    observations: tuple[Observation, ...]
    distance_m: Floats
    reading_m: Floats
    aim: Aim
    pin: Indices
    shared: Indices
    source: Indices
    turns: Turns
    up: AxisEvidence
    right: AxisEvidence
    distance_sd_m: Floats
    reading_sd_m: float
    set_up_sd_rad: Floats
    steps: Steps | None = None
    up_per_reading: Floats | None = None

    def __repr__(self) -> str:
        return f"<Evidence: {self.groups} groups>"

    @property
    def groups(self) -> int:
        """Number of groups, g. [-]"""
        return len(self.observations)


def _axis_evidence(observations: tuple[Observation, ...], axis: str) -> AxisEvidence:
    singles: list[Floats] = []
    centres: list[Floats] = []
    weights: list[Floats] = []
    for one in observations:
        values, arrows = one.group.along(axis)
        angles = values / one.distance_m
        singles.append(angles[arrows == 1])
        centres.append(angles[arrows > 1])
        weights.append(arrows[arrows > 1])

    def padded(rows: list[Floats]) -> Floats:
        table = np.zeros((len(rows), max((len(row) for row in rows), default=0)))
        for place, row in enumerate(rows):
            table[place, : len(row)] = row
        return table

    there = padded([np.ones(len(row)) for row in singles])
    return AxisEvidence(padded(singles), there, padded(centres), padded(weights))


def _shared_distances(
    observations: tuple[Observation, ...], rig: Rig
) -> tuple[Indices, Floats, Floats]:
    """Which groups share a measured distance, and the doubts of shared and single ones."""
    keys = [round(one.distance_m, 6) for one in observations]
    counts = Counter(keys)
    repeated = [key for key in dict.fromkeys(keys) if counts[key] > 1]
    shared = np.array([repeated.index(key) if key in repeated else -1 for key in keys], np.intp)

    said_m = rig.archer.distance_sd_m
    alone = np.where(shared < 0, distance_doubts(keys, said_m), 0.0)
    return shared, alone, distance_doubts(repeated, said_m)


def _told_source(rig: Rig, observations: tuple[Observation, ...]) -> str:
    """Source of the distances for which marks are told: the sheet's, or that of most groups."""
    counted = Counter(one.distances for one in observations)
    return rig.archer.distances or max(counted, key=lambda one: counted[one], default="")


def _turns(rig: Rig, observations: tuple[Observation, ...], prior: Prior) -> Turns:
    radius = stated_or_usual(rig.sight.sight_radius_m, usual_of(rig.bow).sight_radius_m)
    return turns_of(
        observations,
        rig.sight.windage_click_m,
        prior.unknowns.sight_radius_m,
        ((radius.sd or 0.0) / radius.value, rig.archer.reading_sd_m),
        is_carried=prior.is_carried,
    )


def evidence_from(
    rig: Rig,
    observations: tuple[Observation, ...],
    carried: Prior | None = None,
    distances: str | None = None,
    on: Scales | None = None,
) -> Evidence:
    """Rig sheet and groups, made ready for the fit.

    Parameters
    ----------
    rig : Rig
        The sheet.
    observations : tuple of Observation
        The groups; may be empty.
    carried : Prior, optional
        Beliefs carried over from another rig; absent: those of the sheet.
    distances : str, optional
        Source of the distances for which marks are told; absent: the sheet's, or that of most
        groups.
    on : tuple of Sticking, optional
        The scale of which marks are told; absent: that on the sight.

    Returns
    -------
    Evidence
        Distance and reading errors are not carried to the target yet: ``with_set_up_doubt``.
    """
    shared, alone_sd, shared_sd = _shared_distances(observations, rig)
    if distances is None:
        distances = _told_source(rig, observations) if carried is None else carried.distances
    sources = dict.fromkeys(one.distances for one in observations)
    further = tuple(one for one in sources if one != distances)
    beliefs = prior_from_rig(rig, np.zeros(0)) if carried is None else carried
    prior = with_distance_errors(beliefs, shared_sd, distances, further)

    def column(values: list[float]) -> Floats:
        return np.array(values, dtype=np.float64)

    density = rig.air.density_kg_m3
    airs = [one.air.density_kg_m3 if one.air else density for one in observations]
    return Evidence(
        prior=prior,
        observations=observations,
        distance_m=column([one.distance_m for one in observations]),
        reading_m=column([one.reading_m for one in observations]),
        aim=Aim(
            slope_rad=column([one.slope_rad for one in observations]),
            density_ratio=column([air / density for air in airs]),
            crosswind_mps=column([one.crosswind_mps for one in observations]),
        ),
        pin=np.array([one.pin for one in observations], dtype=np.intp),
        shared=shared,
        source=np.array(
            [(*further, distances).index(one.distances) for one in observations], np.intp
        ),
        turns=_turns(rig, observations, prior),
        up=_axis_evidence(observations, "up"),
        right=_axis_evidence(observations, "right"),
        distance_sd_m=alone_sd,
        reading_sd_m=rig.archer.reading_sd_m,
        set_up_sd_rad=np.zeros(len(observations)),
        steps=steps_between(
            [one.scales for one in observations],
            rig.sight.scales if on is None else on,
            None if carried is None else carried.scales,
        ),
    )
