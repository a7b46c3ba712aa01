"""Stick archers: people who do not exist, with recurves and longbows as others measured them.

Nothing of them comes from the program's own beliefs: energy, virtual mass, drag and dispersion are
drawn from published figures, and an archer whose arrow comes out slower or faster than anybody
measured is drawn again.

Holds:  bare and full sheets, truths, sessions in metres.
Never:  numbers used as evidence by themselves.
Source: [TUI92] and [OLS] shares 0.5754 to 0.5953 of weight times stroke, brace heights, hysteresis
        under 1 %; [OLS] virtual mass 5.77 g + 0.0583 m; [HICK47] virtual masses 188 to 278 gr and
        139 to 155 ft/s of six longbows (130 ft/s with the heaviest string); [ORT20] 56.4 m/s;
        [MIY21] drag coefficients 1.3 to 2.6; [AGB23] dispersion by handicap and distance. Draw
        weights, arrow masses, anchors and sights: common practice, no source.
"""

from dataclasses import dataclass, replace
from functools import cache
from math import sqrt

import archeryutils
import numpy as np
from archers import Truth, shoot
from exact_units import GRAIN_KG, INCH_M, POUND_FORCE_N

from tapewright.calibration.prior import prior_from_rig
from tapewright.calibration.rig import Arrow, Belief, Bow, Rig, Sight

SHARES = (0.5811, 0.5813, 0.5822, 0.5953, 0.5754)
LONGBOWS_MOVE_GR = (188, 245, 245, 278, 197, 245)


@dataclass(frozen=True)
class Law:
    """From where to where the numbers of one kind of bow lie, evenly."""

    pounds: tuple[float, float]
    grains_per_pound: tuple[float, float]
    brace_in: tuple[float, float]
    speed_mps: tuple[float, float]
    shaft_mm: tuple[float, float]
    radius_m: tuple[float, float]
    chin_share: float  # who anchors under the chin; others beside the face
    handicap: tuple[float, float]
    farthest_m: int


LAWS = {
    "recurve": Law((28, 50), (6.5, 9.5), (8.25, 9.25), (45, 68), (4.5, 7.0), (0.80, 1.00), 0.8,
                   (10, 50), 70),
    "longbow": Law((35, 60), (8.5, 11.5), (6.0, 7.5), (39.6, 52), (7.5, 9.0), (0.70, 0.75), 0.5,
                   (35, 65), 50),
}  # fmt: skip


@cache
def scheme():
    return archeryutils.handicaps.handicap_scheme("AGB")


def dispersion_rad(handicap, distance_m):
    """Of an arrow, per axis."""
    return float(scheme().sigma_t(handicap, distance_m)) / sqrt(2)


def energy_and_moving(kind, rng, force_n, stroke_m, mass_kg):
    """What the bow stores, less what is lost within it [J]; virtual mass [kg]."""
    if kind == "recurve":
        share = rng.choice(SHARES) + rng.normal(0.0, 0.003)
        moving_kg = (5.7697e-3 + 0.0583 * mass_kg) * np.exp(rng.normal(0.0, 0.15))
    else:
        share = rng.uniform(0.49, 0.55)  # a straight draw curve has 0.50
        moving_kg = (rng.choice(LONGBOWS_MOVE_GR) + rng.normal(0.0, 12.0)) * GRAIN_KG
    return rng.uniform(0.99, 1.0) * share * force_n * stroke_m, moving_kg


def stick_archer(kind, rng, *, is_bare):
    """A sheet as an honest archer fills it in, the truth behind it, the archer's handicap."""
    law = LAWS[kind]
    while True:
        pounds = rng.uniform(*law.pounds)
        draw_m = np.clip(rng.normal(28.0, 1.0), 25.5, 30.5) * INCH_M
        brace_m = rng.uniform(*law.brace_in) * INCH_M
        mass_kg = rng.uniform(*law.grains_per_pound) * pounds * GRAIN_KG
        stroke_m = draw_m - 1.75 * INCH_M - brace_m
        energy_j, moving_kg = energy_and_moving(
            kind, rng, pounds * POUND_FORCE_N, stroke_m, mass_kg
        )
        speed_mps = sqrt(2.0 * energy_j / (mass_kg + moving_kg))
        if law.speed_mps[0] <= speed_mps <= law.speed_mps[1]:
            break
    is_chin = rng.random() < law.chin_share
    eye_m = rng.uniform(0.10, 0.14) if is_chin else rng.uniform(0.06, 0.09)
    radius_m, per_travel = rng.uniform(*law.radius_m), rng.uniform(0.9, 1.5)
    shaft_m, length_m = rng.uniform(*law.shaft_mm) * 1e-3, draw_m + rng.uniform(-0.5, 0.5) * INCH_M
    wrong = rng.standard_normal(6)  # of what the archer measured, in stated errors
    bow = Bow(
        kind=kind,
        draw_weight_n=round(pounds * (1.0 + 0.03 * wrong[0])) * POUND_FORCE_N,
        draw_length_m=round(4.0 * (draw_m / INCH_M + 0.2 * wrong[1])) / 4.0 * INCH_M,
        rest_ahead_m=0.01,
    )
    mass = Belief(mass_kg + 2.0 * wrong[2] * GRAIN_KG, 2.0 * GRAIN_KG)
    rig = Rig("invented", Arrow(mass, shaft_m, length_m), bow,
              Sight(farther="increases" if rng.random() < 0.5 else "decreases"))  # fmt: skip
    if not is_bare:
        rig = replace(
            rig,
            bow=replace(bow, brace_height_m=brace_m,
                        launch_speed_mps=Belief(speed_mps * (1.0 + 0.01 * rng.standard_normal()))),
            sight=replace(
                rig.sight,
                peep_height_m=Belief(eye_m + 5e-3 * wrong[3], 5e-3),
                sight_radius_m=Belief(radius_m + 13e-3 * wrong[4], 13e-3),
                reading_per_travel=Belief(per_travel * (1.0 + 0.03 * wrong[5]), 0.03 * per_travel),
            ),
        )  # fmt: skip
    return rig, _truth(kind, rig, rng, speed_mps, mass_kg, eye_m, radius_m * per_travel, stroke_m)


def _truth(kind, rig, rng, speed_mps, mass_kg, eye_m, gain_m, stroke_m):
    unknowns = prior_from_rig(rig, np.zeros(0)).unknowns
    handicap = rng.uniform(*LAWS[kind].handicap)
    drag = rng.uniform(1.3, 2.6) * rig.air.density_kg_m3 * np.pi * rig.arrow.shaft_diameter_m**2
    values = {
        "log_speed": np.log(speed_mps),
        "log_drag": np.log(drag / (8.0 * mass_kg)),  # κ = ρ C A/2m
        "peep_height": eye_m,
        "zero_tangent": rng.uniform(-0.02, 0.02) / gain_m,
        "log_gain": np.log(gain_m),
        "launch_ahead": rig.arrow.length_m + stroke_m - rng.uniform(-0.01, 0.06),
        "windage": rng.normal(0.0, 3e-3),
        "side": rng.normal(0.0, 3e-3),
    }
    vector = np.array([values.get(name, 0.0) for name in unknowns.names])
    wobble_rad = rng.uniform(0.08, 0.3) * dispersion_rad(handicap, 30.0)
    return handicap, Truth(vector, unknowns, dispersion_rad(handicap, 30.0), wobble_rad)


def stick_session(kind, handicap, truth, rng):
    """Two to five groups of three to six arrows, in metres, dialled roughly right."""
    count = rng.integers(2, 6)
    far_m = LAWS[kind].farthest_m
    distances = np.sort(rng.choice(np.arange(10, far_m + 1, 5), count, replace=False)).astype(float)
    readings = truth.marks(distances) + rng.normal(0.0, 1.5e-3, count)
    return tuple(
        shoot(replace(truth, dispersion_rad=dispersion_rad(handicap, distance_m)), distance_m,
              round(reading_m, 4), int(rng.integers(3, 7)), rng, str(place))
        for place, (distance_m, reading_m) in enumerate(zip(distances, readings, strict=True), 1)
    )  # fmt: skip
