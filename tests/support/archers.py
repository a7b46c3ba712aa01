"""Archers: people who do not exist, for tests that need many of them.

Holds:  random rig sheets, truths that differ from them as much as they admit, and sessions.
Never:  numbers used as evidence by themselves.
"""

from dataclasses import dataclass

import numpy as np
from exact_units import FOOT_M, GRAIN_KG, INCH_M, YARD_M

from tapewright.calibration.observation import Observation, distance_doubt
from tapewright.calibration.prior import prior_from_rig
from tapewright.calibration.rig import Arrow, Belief, Bow, Rig, Sight
from tapewright.calibration.unknowns import Unknowns
from tapewright.sight.prediction import impact, mark
from tapewright.target.group import Group, Impact

READING_SD_M = 0.1e-3


@dataclass(frozen=True)
class Truth:
    """What the archer does not know."""

    vector: np.ndarray
    unknowns: Unknowns
    dispersion_rad: float
    wobble_rad: float

    def marks(self, distance_m):
        return mark(self.unknowns.bow(self.vector), np.asarray(distance_m, float))


def random_sheet(rng):
    """Usual bows of the trade: 230 to 310 ft/s, 320 to 520 grains."""
    return Rig(
        "invented",
        arrow=Arrow(
            Belief(rng.uniform(320, 520) * GRAIN_KG, 2 * GRAIN_KG), rng.uniform(5.2e-3, 7.2e-3)
        ),
        bow=Bow(launch_speed_mps=Belief(rng.uniform(230, 310) * FOOT_M, 3 * FOOT_M)),
        sight=Sight(
            peep_height_m=Belief(rng.uniform(4.0, 5.2) * INCH_M, 0.15 * INCH_M),
            sight_radius_m=Belief(rng.uniform(29, 37) * INCH_M, 0.5 * INCH_M),
            reading_per_travel=Belief(rng.uniform(1.0, 2.2), 0.05),
            farther="increases" if rng.random() < 0.5 else "decreases",
        ),
    )


def random_truth(rig, rng, dispersion_rad=None, wobble_rad=None):
    """A truth that the sheet describes no better than its own ± admits."""
    prior = prior_from_rig(rig, np.zeros(0))
    vector = prior.mean + prior.sd * rng.standard_normal(len(prior.mean))
    gain_m = prior.unknowns.direction * np.exp(vector[prior.unknowns.place("log_gain")])
    vector[prior.unknowns.place("zero_tangent")] = rng.uniform(-0.02, 0.02) / gain_m
    vector[prior.unknowns.place("windage")] = rng.normal(0.0, 1e-3)
    return Truth(
        vector,
        prior.unknowns,
        rng.uniform(0.4e-3, 1.2e-3) if dispersion_rad is None else dispersion_rad,
        rng.uniform(0.05e-3, 0.25e-3) if wobble_rad is None else wobble_rad,
    )


def shoot(truth, distance_m, reading_m, arrows, rng, name="1", flyers=0.04):
    """One group, by an archer who measures and dials as well as archers do."""
    bow = truth.unknowns.bow(truth.vector)
    true_m = distance_m + distance_doubt(distance_m) * rng.standard_normal()
    true_reading_m = reading_m + READING_SD_M * rng.standard_normal()
    centre = np.array(impact(bow, np.array([true_m]), np.array([true_reading_m])))[:, 0]
    centre = centre + distance_m * truth.wobble_rad * rng.standard_normal(2)
    wild = np.where(rng.random(arrows) < flyers, 4.0, 1.0)[:, None]
    spread = distance_m * truth.dispersion_rad * wild * rng.standard_normal((arrows, 2))
    impacts = tuple(Impact(float(x), float(y)) for x, y in centre + spread)
    return Observation(Group(name, impacts), float(distance_m), float(reading_m))


def session(truth, rng, groups=None, flyers=0.04):
    """Two to five groups of three to six arrows, 10 to 80 yd, dialled roughly right."""
    count = rng.integers(2, 6) if groups is None else groups
    distances = np.sort(rng.choice(np.arange(10, 81, 5), count, replace=False)) * YARD_M
    readings = truth.marks(distances) + rng.normal(0.0, 1.5e-3, count)
    return tuple(
        shoot(truth, distance, round(reading, 4), int(rng.integers(3, 7)), rng, str(place), flyers)
        for place, (distance, reading) in enumerate(zip(distances, readings, strict=True), 1)
    )
