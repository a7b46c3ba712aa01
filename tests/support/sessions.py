"""Sessions: one rig, a truth near its sheet, and groups without luck, for tests of laws.

Arrows lie on a fixed, balanced pattern about where the truth puts the group, so that what a test
sees is the law and not the luck of a draw.

Holds:  a rig sheet to vary; a truth with named departures from it; balanced groups.
Never:  chance, numbers used as evidence by themselves.
"""

from dataclasses import replace

import numpy as np
from archers import Truth
from exact_units import FOOT_M, GRAIN_KG, INCH_M, YARD_M
from scipy.stats import norm

from tapewright.calibration.evidence import evidence_from
from tapewright.calibration.misfit import predicted_angles
from tapewright.calibration.observation import Observation
from tapewright.calibration.prior import prior_from_rig
from tapewright.calibration.rig import Archer, Arrow, Belief, Bow, Rig, Sight
from tapewright.sight.prediction import mark
from tapewright.target.group import Group, Impact

DISPERSION_RAD = 0.6e-3
FAR_YD = (20, 30, 40, 50, 60, 70)


def rig(sight=None, archer=None, **parts):
    """A usual sheet; ``sight`` and ``archer`` hold what is to be other."""
    usual = Sight(
        peep_height_m=Belief(4.6 * INCH_M, 0.15 * INCH_M),
        sight_radius_m=Belief(33 * INCH_M, 0.5 * INCH_M),
        reading_per_travel=Belief(1.6, 0.05),
    )
    return replace(
        Rig(
            "Heron",
            arrow=Arrow(Belief(420 * GRAIN_KG, 2 * GRAIN_KG), 6.0e-3, 28.5 * INCH_M),
            bow=Bow(launch_speed_mps=Belief(278 * FOOT_M, 3 * FOOT_M)),
            sight=replace(usual, **(sight or {})),
            archer=replace(Archer(), **(archer or {})),
        ),
        **parts,
    )


def truth_near(sheet, off=(), zero_reading=0.004, **values):
    """What the sheet says, but for unknowns off by so many deviations, or set outright."""
    prior = prior_from_rig(sheet, np.zeros(0))
    place, vector = prior.unknowns.place, prior.mean.copy()
    for name, deviations in dict(off).items():
        vector[place(name)] += deviations * prior.sd[place(name)]
    for name, value in values.items():
        vector[place(name)] = value
    gain_m = prior.unknowns.direction * np.exp(vector[place("log_gain")])
    vector[place("zero_tangent")] = zero_reading / gain_m
    return Truth(vector, prior.unknowns, DISPERSION_RAD, 0.0)


def pattern(arrows):
    """So many offsets per axis, in dispersions: as even as a Gaussian allows, centre on zero."""
    up = norm.ppf((np.arange(arrows) + 0.5) / arrows)
    right = np.roll(up, arrows // 2)[:: 1 if arrows < 4 else -1]
    return np.stack([right, up], axis=1)


def group(
    sheet, truth, distance_m, arrows=4, reading_m=None, name="1", spread_rad=DISPERSION_RAD, **how
):
    """A balanced group where the truth puts it; without a reading, dialled to the truth's mark."""
    if reading_m is None:
        reading_m = float(np.squeeze(mark(truth.unknowns.bow(truth.vector), distance_m)))
    blank = Observation(Group(name, ()), distance_m, reading_m, **how)
    evidence = evidence_from(sheet, (blank,))
    centre = distance_m * np.array(predicted_angles(evidence, truth.vector))[:, 0]
    places = centre + distance_m * spread_rad * pattern(arrows)
    return replace(blank, group=Group(name, tuple(Impact(float(x), float(y)) for x, y in places)))


def groups(sheet, truth, distances_yd=FAR_YD, arrows=4, **how):
    """One balanced group for each distance, dialled to the truth's marks."""
    return tuple(
        group(sheet, truth, yards * YARD_M, arrows, name=str(place), **how)
        for place, yards in enumerate(distances_yd, 1)
    )


def moved(shots, by_m):
    """Every impact moved by (right, up) of its group."""
    return tuple(
        replace(
            one,
            group=replace(
                one.group,
                impacts=tuple(
                    Impact(hit.right_m + right, hit.up_m + up, hit.arrows)
                    for hit in one.group.impacts
                ),
            ),
        )
        for one, (right, up) in zip(shots, by_m, strict=True)
    )


def bare(one, arrows, **change):
    """The same group as a bare mark that stands for so many arrows."""
    named = Group(one.group.name, (Impact(0.0, 0.0, arrows),))
    return replace(one, group=named, **change)
