"""Measure groups: what each group shows by itself, and all of them together.

Holds:  the GroupMeasure and Measured records; whose dispersion judges a group.
Never:  formulas (target), moves of the sight (correct.py), sentences.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import nan, sqrt

import numpy as np

from tapewright.calibration.kinds import usual_of
from tapewright.calibration.observation import Observation
from tapewright.calibration.rig import Bow, Rig
from tapewright.target.aim_test import (
    CentreRegion,
    HotellingRegion,
    centre_region,
    hotelling_region,
)
from tapewright.target.flyer import (
    FEWEST,
    FlyerTest,
    axis_flyer,
    largest_possible,
    offset_to_find,
    radial_flyer,
)
from tapewright.target.group import Group, single_arrows
from tapewright.target.rounding import written_step
from tapewright.target.spread import (
    Banded,
    Spread,
    combined_spread,
    extreme_spread,
    mean_radius,
)

__all__ = [
    "FEWEST",
    "Banded",
    "CentreRegion",
    "FlyerTest",
    "GroupMeasure",
    "HotellingRegion",
    "KnownScatter",
    "Measured",
    "Spread",
    "known_scatter",
    "largest_possible",
    "measure_group",
    "measure_groups",
]

LEAST_DISPERSION_RAD = 0.05e-3  # a mm at 20 m: nobody shoots closer, nor measures an arrow finer
FEWEST_FREEDOMS = 2  # of the arrows' own dispersion; below, the sheet's or the usual one judges


@dataclass(frozen=True, slots=True)
class KnownScatter:
    """The scatter by which a group's centre is judged."""

    variance_rad2: float  # of an arrow per axis
    freedoms: float  # how well it is known, in degrees of freedom
    wobble_rad: float  # shift of whole groups from one to the next, one standard deviation
    source: str  # ``"arrows"``, ``"sheet"`` or ``"usual"``

    @property
    def dispersion_rad(self) -> float:
        """Root of the variance. [rad]"""
        return sqrt(self.variance_rad2)


@dataclass(frozen=True, slots=True)
class GroupMeasure:
    """One group by itself."""

    observation: Observation  # the group
    centre: CentreRegion  # its centre, judged by the known scatter
    hotelling: HotellingRegion | None  # the same from the group's own scatter alone
    spread: Spread  # its own scatter, in angles
    mean_radius_m: float  # as measured; nan with fewer than two arrows
    extreme_spread_m: float
    flyer: FlyerTest | None  # the arrow farthest off; None with fewer than five
    # Where that arrow hit, right and up; nan if not measured or there is none
    flyer_at_m: tuple[float, float]
    # How far off a flyer must be to be found with 50 and 90 % chance, in dispersions
    findable: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class Measured:
    """Groups one by one, and together."""

    probability: float  # chance with which bands and regions hold the truth
    groups: tuple[GroupMeasure, ...]  # in the order shot
    together: Spread  # scatter of all arrows, each about the centre of its own group
    known: KnownScatter  # what judged the centres


def known_scatter(observations: Sequence[Observation], rig: Rig | None = None) -> KnownScatter:
    """The scatter by which groups are judged: their own, else the sheet's, else a usual one."""
    usual = usual_of(Bow() if rig is None else rig.bow)
    wobble_rad = usual.wobble_rad[0]
    groups = [one.group for one in observations]
    spread = combined_spread(groups, [one.distance_m for one in observations])
    if spread.freedoms >= FEWEST_FREEDOMS:
        variance = max(spread.variance_rad2, LEAST_DISPERSION_RAD**2)
        return KnownScatter(variance, spread.freedoms, wobble_rad, "arrows")
    said = None if rig is None else rig.archer.dispersion_rad
    value, log_sd, source = (*usual.dispersion_rad, "usual")
    if said is not None:
        value, source = said.value, "sheet"
        log_sd = 0.3 if said.sd is None else said.sd / said.value
    # A standard deviation from f freedoms is doubtful by about 1/√(2f) of itself.
    return KnownScatter(value**2, max(0.5 / log_sd**2, 1.0), wobble_rad, source)


def _flyer(
    group: Group,
) -> tuple[FlyerTest | None, tuple[float, float], tuple[float, float] | None]:
    """The arrow farthest off, where it hit, and what the test can find; on what was measured."""
    xy, axes, step_m = single_arrows(group), 2, written_step(group)
    flyer = radial_flyer(group, step_m=step_m)
    if not len(xy):
        axes = 1
        lines = {axis: group.along(axis) for axis in ("up", "right")}
        only = max(lines, key=lambda axis: len(lines[axis][0]))
        values = lines[only][0][lines[only][1] == 1]
        flyer = axis_flyer(values, step_m=step_m)
        unseen = np.full(len(values), nan)
        xy = np.stack([unseen, values] if only == "up" else [values, unseen], axis=1)
    if flyer is None:
        return None, (nan, nan), None
    right_m, up_m = (float(one) for one in xy[flyer.arrow])
    findable = (offset_to_find(len(xy), 0.5, axes=axes), offset_to_find(len(xy), 0.9, axes=axes))
    return flyer, (right_m, up_m), findable


def measure_group(one: Observation, known: KnownScatter, probability: float = 0.9) -> GroupMeasure:
    """One group by itself, judged by a known scatter."""
    distance_m = one.distance_m
    flyer, flyer_at_m, findable = _flyer(one.group)
    return GroupMeasure(
        observation=one,
        centre=centre_region(
            one.group,
            known.variance_rad2 * distance_m**2,
            known.freedoms,
            known.wobble_rad * distance_m,
            probability,
        ),
        hotelling=hotelling_region(one.group, probability),
        spread=combined_spread([one.group], [distance_m], probability),
        mean_radius_m=mean_radius(one.group),
        extreme_spread_m=extreme_spread(one.group),
        flyer=flyer,
        flyer_at_m=flyer_at_m,
        findable=findable,
    )


def measure_groups(
    observations: Sequence[Observation], rig: Rig | None = None, probability: float = 0.9
) -> Measured:
    """Everything that groups show without a fit."""
    known = known_scatter(observations, rig)
    groups = [one.group for one in observations]
    distances_m = [one.distance_m for one in observations]
    return Measured(
        probability,
        tuple(measure_group(one, known, probability) for one in observations),
        combined_spread(groups, distances_m, probability),
        known,
    )
