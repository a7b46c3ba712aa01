"""Faults: proving sessions of bows on which one thing is wrong, for tests of the diagnosis.

Each fault is made in the forward model: a moved zero, a moved peep, another drag, a wrong peg, a
turned line of flight, another arrow. The size is chosen by what it does to the farthest group (for
one distance: to the group at the wrong peg), in doubts of that group's centre; another arrow has
its mass, and the speed and drag that follow from it.

Holds:  the thirteen conditions; a calibrated archer; a session with a fault of a size, and how far
        it is from what else may be wrong.
Never:  numbers used as evidence by themselves.
"""

from dataclasses import dataclass, replace

import numpy as np
from archers import READING_SD_M, random_sheet, random_truth, shoot
from exact_units import GRAIN_KG, YARD_M

from tapewright.calibration.fit import fit_bow
from tapewright.calibration.observation import Observation, distance_doubt
from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.diagnosis import prove
from tapewright.confidence.misses import misses_of
from tapewright.confidence.posterior import draw_posterior
from tapewright.sight.level import swung_level_cant
from tapewright.sight.prediction import Aim, impact, mark
from tapewright.target.group import Group, Impact

# One standard deviation of what goes wrong; common practice, no source.
USUAL = {
    "zero": 1.5e-3,  # [rad]
    "height": 40.0e-3,  # [m]
    "span": 2.0e-3,  # [m]
    "drag or air": 0.25,  # [-]
    "speed": 0.03,  # [-]
    "one distance": 2.0,  # [m]
    "windage": 1.5e-3,  # [rad]
    "sideways": 40.0e-3,  # [m]
    "wind or cant": 0.035,  # two degrees of cant [rad]
    "third axis": 0.035,  # [rad]
}
# How much heavier another arrow is: a share of the mass, and grains.
OTHER_ARROWS = {"arrow +12 %": (0.12, 0.0), "arrow +20 gr": (0.0, 20.0), "arrow +8 gr": (0.0, 8.0)}
CONDITIONS = ("nothing", *(one for one in USUAL if one != "speed"), *OTHER_ARROWS)
FAMILIES = {"span": "far marks", "drag or air": "far marks"} | dict.fromkeys(OTHER_ARROWS, "speed")
VIRTUAL_MASS_KG = 45.0 * GRAIN_KG  # of a compound; [KLO43], docs/physics.md eq. (4.2)
TRIED_M = np.arange(10.0, 81.0, 5.0) * YARD_M  # where one more group could be shot
CALIBRATED_YD = (20, 30, 45, 60, 75, 80)
PROVED_YD = np.array([20.0, 40.0, 60.0, 80.0])
ARROWS = 6
SLOPES_RAD = np.radians([0.0, 20.0, -20.0, 20.0])  # a third axis shows on slopes only
SIDEWAYS = ("windage", "sideways", "wind or cant", "third axis")
LEAST, MOST = 2.0, 8.0  # doubts
FLYERS = 0.04
FLAT_MPS, FLAT_DRAG_PER_M = 2e4, 1e-9  # falls 0.1 mm over 80 yd: as good as a straight line


@dataclass(frozen=True)
class Prover:
    """An archer with a finished calibration, and the truth behind it."""

    truth: object
    posterior: object
    bow: object  # the true one
    readings_m: np.ndarray  # what the tape says at the pegs
    slopes_rad: np.ndarray
    mass_kg: float  # of the arrow that the tape was made with
    shots: tuple  # what it was made from


def prover(rng, seed, cause):
    """Six groups of five, a calibration, and a tape."""
    rig = random_sheet(rng)
    truth = random_truth(rig, rng)
    marks = np.round(truth.marks(np.array(CALIBRATED_YD) * YARD_M), 4)
    shots = tuple(
        shoot(truth, yards * YARD_M, float(reading), 5, rng, str(yards))
        for yards, reading in zip(CALIBRATED_YD, marks, strict=True)
    )
    posterior = draw_posterior(fit_bow(rig, shots), np.random.default_rng(seed))
    slopes = SLOPES_RAD if cause == "third axis" else np.zeros(len(PROVED_YD))
    readings = [
        float(np.median(drawn_marks(posterior, [yards * YARD_M], aim=Aim(slope_rad=slope))))
        for yards, slope in zip(PROVED_YD, slopes, strict=True)
    ]
    bow = truth.unknowns.bow(truth.vector)
    mass_kg = rig.arrow.mass_kg.value
    return Prover(truth, posterior, bow, np.array(readings), slopes, mass_kg, shots)


def heavier(archer, more_kg):
    """The bow with an arrow so much heavier: slower, and drag takes less of its speed."""
    was_kg, bow = archer.mass_kg, archer.bow
    slower = np.sqrt((was_kg + VIRTUAL_MASS_KG) / (was_kg + more_kg + VIRTUAL_MASS_KG))
    drag_per_m = bow.drag_per_m * was_kg / (was_kg + more_kg)
    return replace(bow, speed_mps=bow.speed_mps * slower, drag_per_m=drag_per_m)


def moved_bow(archer, cause, size):
    """The bow with so much wrong on it; as it was when the cause is none of the bow's."""
    bow = archer.bow
    if cause == "zero":
        moved = bow.scale.zero_reading_m - bow.scale.reading_per_tangent_m * size
        return replace(bow, scale=replace(bow.scale, zero_reading_m=moved))
    if cause in OTHER_ARROWS:
        return heavier(archer, size)
    changed = {
        "height": {"peep_height_m": bow.peep_height_m - size},
        "drag or air": {"drag_per_m": bow.drag_per_m * np.exp(size)},
        "speed": {"speed_mps": bow.speed_mps * np.exp(size)},
        "windage": {"windage_rad": bow.windage_rad + size},
        "sideways": {"side_m": bow.side_m + size},
    }
    return replace(bow, **changed.get(cause, {}))


def _landing(archer, cause, size, choice, distance_m, readings_m):
    """Where groups centre, right and up, when so much of a cause is wrong."""
    bow, aim = moved_bow(archer, cause, size), Aim(slope_rad=archer.slopes_rad)
    distance_m, readings_m = distance_m.copy(), readings_m.copy()
    if cause == "span":
        near, far = mark(archer.bow, np.array([20.0, 60.0]) * YARD_M)
        readings_m -= (readings_m - near) / abs(far - near) * size
    elif cause == "one distance":
        distance_m[choice] += size
    elif cause == "wind or cant" and choice % 2:
        aim = replace(aim, crosswind_mps=np.full(len(distance_m), 3.0 * size / USUAL[cause]))
    right, up = impact(bow, distance_m, readings_m, aim)
    if cause in ("third axis", "wind or cant") and not aim.is_windy:
        # the line of flight is turned about the line of sight by an angle; docs/physics.md §5
        straight = replace(bow, speed_mps=FLAT_MPS, drag_per_m=FLAT_DRAG_PER_M)
        fall = impact(straight, distance_m, readings_m, aim)[1] - up
        level = np.full_like(fall, size)
        turn = level if cause == "wind or cant" else swung_level_cant(size, archer.slopes_rad)
        right, up = right + fall * np.sin(turn), up - fall * (1.0 - np.cos(turn))
    return np.asarray(right), np.asarray(up)


def effect(archer, cause, size, choice):
    """By how much a fault of a size moves each group, (2, g): right, up. [m]"""
    distance_m = PROVED_YD * YARD_M
    there = np.stack(_landing(archer, cause, size, choice, distance_m, archer.readings_m))
    return there - np.stack(_landing(archer, "nothing", 0.0, 0, distance_m, archer.readings_m))


def _groups(archer, impacts_m):
    return tuple(
        Observation(
            Group(f"{yards:.0f}", tuple(Impact(float(x), float(y)) for x, y in rows)),
            float(yards * YARD_M),
            float(reading),
            slope_rad=float(slope),
        )
        for yards, reading, slope, rows in zip(
            PROVED_YD, archer.readings_m, archer.slopes_rad, impacts_m, strict=True
        )
    )


def sized(archer, cause, rng):
    """Size of a fault with an effect of 2 to 8 doubts where it is reckoned, and a choice."""
    choice = int(rng.integers(1, len(PROVED_YD)))  # a peg from 40 yd on; wind or cant
    if cause == "nothing":
        return 0.0, choice
    if cause in OTHER_ARROWS:
        share, grains = OTHER_ARROWS[cause]
        return share * archer.mass_kg + grains * GRAIN_KG, choice
    quiet = prove(archer.posterior, _groups(archer, np.zeros((len(PROVED_YD), ARROWS, 2))))
    at = choice if cause == "one distance" else -1
    axis = 0 if cause in SIDEWAYS else 1
    proof = quiet.proofs[at]
    doubt_m = proof.doubt_right_m if axis == 0 else proof.doubt_up_m
    wanted_m = rng.uniform(LEAST, MOST) * doubt_m
    size = 0.1 * USUAL[cause] * float(rng.choice([-1.0, 1.0]))
    for _ in range(6):  # nearly proportional
        size *= wanted_m / abs(float(effect(archer, cause, size, choice)[axis, at]))
    return size, choice


def apart(archer, cause, size, choice, groups):
    """How far a fault is from nothing and from its best-fitting rival, in errors of the centres.

    Every rival may have any size; both are made in the forward model, the errors are those of the
    groups' centres against the tape, with what groups share.
    """
    misses = misses_of(archer.posterior, groups, (20.0 * YARD_M, 60.0 * YARD_M))
    inverse = np.linalg.inv(misses.covariance)

    def angles(name, amount, where):
        right, up = effect(archer, name, amount, where)
        return np.concatenate([up, right]) / np.tile(PROVED_YD * YARD_M, 2)

    true = angles(cause, size, choice)
    whole = nearest = float(true @ inverse @ true)
    pegs = range(len(PROVED_YD))
    for name, usual in USUAL.items():
        is_same = FAMILIES.get(name, name) == FAMILIES.get(cause, cause)
        if name == "third axis" and not archer.slopes_rad.any():
            continue
        for where in pegs if name == "one distance" else (0,):
            if is_same and (name != "one distance" or where == choice):
                continue
            rival = angles(name, 0.1 * usual, where)
            fits = float(rival @ inverse @ true) ** 2 / float(rival @ inverse @ rival)
            nearest = min(nearest, whole - fits)
    return np.sqrt(whole), np.sqrt(max(nearest, 0.0))


@dataclass(frozen=True)
class Told:
    """What was said of a session, and what was wrong with it."""

    cause: str
    verdict: object
    size: float
    from_nothing: float  # errors of the centres
    from_rival: float
    archer: object
    groups: tuple
    choice: int


def fault_session(seed, cause, other_flight_rad=0.0):
    """One session of 24 arrows at four distances with one thing wrong, and what was said of it.

    Every arrow flies off at another angle, up and to the side, by so much (one deviation).
    """
    rng = np.random.default_rng([9, seed, CONDITIONS.index(cause)])
    archer = prover(rng, seed, cause)
    size, choice = sized(archer, cause, rng)
    said_m, truth = PROVED_YD * YARD_M, archer.truth
    doubt_m = np.array([distance_doubt(one) for one in said_m])
    true_m = said_m + doubt_m * rng.standard_normal(len(said_m))
    dialled = archer.readings_m + READING_SD_M * rng.standard_normal(len(said_m))
    centres = np.stack(_landing(archer, cause, size, choice, true_m, dialled), axis=-1)
    centres += said_m[:, None] * truth.wobble_rad * rng.standard_normal(centres.shape)
    wild = np.where(rng.random((len(said_m), ARROWS, 1)) < FLYERS, 4.0, 1.0)
    scatter = truth.dispersion_rad * wild * rng.standard_normal((len(said_m), ARROWS, 2))
    turned = other_flight_rad * np.random.default_rng([77, seed]).standard_normal(2)
    centres += said_m[:, None] * turned
    impacts = centres[:, None, :] + said_m[:, None, None] * scatter
    groups = _groups(archer, impacts)
    verdict = prove(archer.posterior, groups, TRIED_M)
    distances = apart(archer, cause, size, choice, groups)
    return Told(cause, verdict, size, *distances, archer, groups, choice)
