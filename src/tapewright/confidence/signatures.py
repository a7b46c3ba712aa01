"""Signatures: what each cause does to the groups of a proving session, over distance.

Two laws are one cause, speed: a slower bow, and another arrow, which is slower since it is
heavier, loses less of its speed, and leaves the bow at another angle.

Holds:  the laws, their usual sizes, the angles that one unit of each makes; the evidence for one.
Never:  which cause it was (diagnosis.py), sentences.
Source: docs/physics.md §8.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtrit

from tapewright.calibration.kinds import usual_of
from tapewright.calibration.rig import Rig
from tapewright.confidence.misses import Misses
from tapewright.sight.prediction import Aim, impact_gradient, mark

Floats = NDArray[np.float64]

DOUBT_FREEDOMS = 12.0  # how well some thirty arrows in six groups tell scatter and wobble
SLOPE_SHOWS_RAD = 0.1  # a third axis shows on slopes only
USUAL = {
    "zero": 1.5e-3,  # a pin or strip that slipped by a millimetre or two [rad]
    "height": 40.0e-3,  # aimed beside the spot measured from; peep, nock or anchor moved [m]
    "span": 2.0e-3,  # a strip or two [m]
    "drag or air": 0.25,  # other vanes, a broadhead, a cold morning [-]
    "speed": 0.03,  # a limb bolt turned, another string, draw length [-]
    "another arrow": 0.03,  # of which the speed changed by so much: some 25 grains [-]
    "one distance": 2.0,  # a wrong peg [m]
    "windage": 1.5e-3,  # [rad]
    "sideways": 40.0e-3,  # [m]
    "wind or cant": 0.035,  # two degrees of cant, or the breeze that does as much [rad]
    "third axis": 0.035,  # [rad]
}  # one standard deviation of what goes wrong; common practice, no source
LAWS = {"another arrow": "speed"}  # laws that are a cause of another name
OTHER_FLIGHT_RAD = 0.5e-3  # by which another arrow leaves higher or to the side; as eq. (9.9)


@dataclass(frozen=True, slots=True)
class Signature:
    """Angles by which one unit of a cause moves the groups.

    Parameters
    ----------
    law : str
        One of the names in ``USUAL``; empty: nothing is wrong.
    shape : (2 g,) array
        Up first, then right. [rad per unit]
    group : int or None
        First group at the wrong distance, for one distance.
    """

    law: str
    shape: Floats
    group: int | None = None

    @property
    def cause(self) -> str:
        """Name of the cause that it is a sign of."""
        return LAWS.get(self.law, self.law) or "nothing"

    @property
    def usual(self) -> float:
        """One standard deviation of its size, in its unit."""
        return USUAL[self.law] if self.law else 0.0

    @property
    def free_rad(self) -> float:
        """One standard deviation of an angle that moves all groups alike with it. [rad]"""
        return OTHER_FLIGHT_RAD if self.law == "another arrow" else 0.0


@dataclass(frozen=True, slots=True)
class Weighed:
    """How well a signature explains a session, its size integrated out.

    Parameters
    ----------
    log_evidence : float
        Up to a constant. [-]
    size, half : float
        Of the cause, and half its 90 % band, in its unit.
    """

    log_evidence: float
    size: float
    half: float


def moving_mass(rig: Rig) -> float:
    """Virtual mass of a bow, in round figures; eq. (4.2). [kg]"""
    return usual_of(rig.bow).virtual_mass_kg[0]


def shapes_at(misses: Misses, distance_m: Floats, reading_m: Floats, aim: Aim) -> dict[str, Floats]:
    """What one unit of each law does at distances, as angles up and right.

    Parameters
    ----------
    misses : Misses
        Of the session: its bow, its strip.
    distance_m, reading_m : (n,) array
        Where, and what is dialled. [m]
    aim : Aim
        How it is aimed.

    Returns
    -------
    dict of str to (2 n,) array
        Up first, then right. [rad per unit]

    Source
    ------
    docs/physics.md eq. (8.16), (8.40).
    """
    distance, reading = distance_m, reading_m
    bow, rig = misses.bow, misses.posterior.calibration.rig
    slope = impact_gradient(bow, distance, reading, aim)
    tangent = bow.scale.tangent(reading, aim.pin_below_m)
    fall = (distance * tangent - bow.peep_height_m) / distance
    near, far = misses.ends_m
    first_pin = (
        reading + bow.scale.reading_per_tangent_m * aim.pin_below_m / bow.scale.sight_radius_m
    )
    short = slope.by_reading * (near - first_pin) / abs(far - near)
    of_mass = 2.0 * (1.0 + moving_mass(rig) / rig.arrow.mass_kg.value)  # log drag per log speed
    heavier = slope.by_log_speed + of_mass * slope.by_log_drag
    none = np.zeros_like(distance)
    return {
        "zero": np.concatenate([np.ones_like(distance), none]),
        "height": np.concatenate([1.0 / distance, none]),
        "span": np.concatenate([short / distance, none]),
        "drag or air": np.concatenate([slope.by_log_drag / distance, none]),
        "speed": np.concatenate([slope.by_log_speed / distance, none]),
        "another arrow": np.concatenate([heavier / distance, none]),
        "one distance": np.concatenate([slope.by_distance / distance, none]),
        "windage": np.concatenate([none, np.ones_like(distance)]),
        "sideways": np.concatenate([none, 1.0 / distance]),
        "wind or cant": np.concatenate([none, fall]),
        "third axis": np.concatenate([none, np.tan(aim.slope_rad + none) * fall]),
    }


def nothing(misses: Misses) -> Signature:
    """The signature of a session in which nothing is wrong."""
    return Signature("", np.zeros_like(misses.miss_rad))


def signatures(misses: Misses) -> list[Signature]:
    """Everything that may be wrong with a session, every peg by itself.

    Parameters
    ----------
    misses : Misses
        Of the session.

    Returns
    -------
    list of Signature
        Those that would show in what was measured.
    """
    evidence = misses.evidence
    shapes = shapes_at(misses, evidence.distance_m, evidence.reading_m, misses.aim)
    peg = shapes.pop("one distance")
    if not np.any(np.abs(evidence.aim.slope_rad) > SLOPE_SHOWS_RAD):
        del shapes["third axis"]
    found = [Signature(law, shape) for law, shape in shapes.items()]
    keys = np.round(evidence.distance_m, 6)
    for key in dict.fromkeys(keys.tolist()):
        there = keys == key
        one = Signature("one distance", peg * np.tile(there, 2), int(np.flatnonzero(there)[0]))
        found.append(one)
    return [one for one in found if np.any(one.shape[misses.measured])]


def free_covariance(signature: Signature, one_axis: int, other_axis: int) -> Floats:
    """Covariance of the angle that moves all groups alike, up and right each by its own.

    Parameters
    ----------
    signature : Signature
        Of the cause.
    one_axis, other_axis : int
        Groups among the rows and among the columns.

    Returns
    -------
    (2 one_axis, 2 other_axis) array
        [rad²]

    Source
    ------
    docs/physics.md eq. (8.40).
    """
    alike = np.ones((one_axis, other_axis))
    return np.asarray(signature.free_rad**2 * np.kron(np.eye(2), alike))


def weigh(misses: Misses, signature: Signature) -> Weighed:
    """Evidence for one signature.

    Parameters
    ----------
    misses : Misses
        Of the session.
    signature : Signature
        Of the cause.

    Returns
    -------
    Weighed
        With the size's band.

    Source
    ------
    docs/physics.md eq. (8.15), (8.40).
    """
    seen, groups = misses.measured, misses.evidence.groups
    chance = misses.covariance + free_covariance(signature, groups, groups)
    inverse = np.linalg.inv(chance[np.ix_(seen, seen)])
    _, log_volume = np.linalg.slogdet(inverse)
    miss, shape = misses.miss_rad[seen], signature.shape[seen]
    most = DOUBT_FREEDOMS + len(miss)
    far2 = float(miss @ inverse @ miss)
    if not signature.law:
        likely = 0.5 * log_volume - 0.5 * most * np.log1p(far2 / DOUBT_FREEDOMS)
        return Weighed(float(likely), 0.0, 0.0)
    usual2 = signature.usual**2
    kept = usual2 / (1.0 + usual2 * float(shape @ inverse @ shape))
    size = float(kept * (shape @ inverse @ miss))
    left2 = far2 - size**2 / kept
    likely = 0.5 * log_volume - 0.5 * most * np.log1p(left2 / DOUBT_FREEDOMS)
    wide = np.sqrt(kept * (DOUBT_FREEDOMS + left2) / most)
    half = float(stdtrit(most, 0.95) * wide)
    return Weighed(float(likely + 0.5 * np.log(kept / usual2)), size, half)


def shapes_on_tape(misses: Misses, tried_m: Floats) -> dict[str, Floats]:
    """What one unit of each law does to one more group, the tape's marks dialled on the level.

    Parameters
    ----------
    misses : Misses
        Of the session.
    tried_m : (n,) array
        Distances; a wrong one among the session's pegs is not among them. [m]

    Returns
    -------
    dict of str to (2 n,) array
        Up first, then right. [rad per unit]
    """
    aim = Aim(slope_rad=np.zeros_like(tried_m))
    found = shapes_at(misses, tried_m, mark(misses.bow, tried_m), aim)
    none = np.zeros(2 * len(tried_m))
    return found | {"one distance": none, "": none}
