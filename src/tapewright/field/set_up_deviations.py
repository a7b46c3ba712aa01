"""Set up deviations: what makes a bow itself, measured twice: what moved, which marks that risks.

The file is as long as there are things that are measured.

Holds:  what is measured of a bow and how well it can be set again; two measurings compared; what
        a deviation does to speed, eye, scale and angle, and so to impacts and marks.
Never:  a fit, the near group (confidence/ladder.py has its rule), sentences.
Source: docs/physics.md eq. (9.30) to (9.33); how well things are set again is common practice, no
        source.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import copysign, inf, log
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.calibration.kinds import kind_of, usual_of
from tapewright.calibration.rig import Belief, Bow, Kind
from tapewright.calibration.unknowns import Unknowns
from tapewright.field import change_doubts as doubts
from tapewright.flight.bow_energy import power_stroke
from tapewright.sight.prediction import impact, mark

Floats = NDArray[np.float64]
Measured = Mapping[str, Belief]  # by the item's name; in metres, turns or counts

FALSE_CALL = 0.03  # that anything is called moved of a bow put together as it was
ALL: tuple[Kind, ...] = ("compound", "recurve", "longbow")
BOLTED: tuple[Kind, ...] = ("compound", "recurve")
PEEPED: tuple[Kind, ...] = ("compound",)

# Common practice, no source. Draw weight lost by a turn out of both bolts, as a part of it.
A_TURN: dict[Kind, tuple[float, float]] = {"compound": (0.04, 0.015), "recurve": (0.025, 0.01)}
TILLER_RAD_PER_M = doubts.WORKED_ON_RAD / 3.2e-3  # as much as timing and tiller do, by 1/8 in
LEVER_RAD_PER_M = doubts.REST_RAD_PER_M  # one end of a shaft moved, the other not
LEAST_LEFT = 0.1  # of the string's push or the sight's radius; with less left nobody can tell


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that is measured of a bow.

    Parameters
    ----------
    sd : float
        How well it is usually set and measured again, one standard deviation; 0: counted.
        [m], of bolts [turns]
    kinds : tuple of str
        Bows that have it.
    """

    sd: float
    kinds: tuple[Kind, ...] = ALL


ITEMS: dict[str, Item] = {
    "limbs.upper_bolt": Item(0.06, BOLTED),  # half of an eighth of a turn
    "limbs.lower_bolt": Item(0.06, BOLTED),
    "limbs.brace_height": Item(1.0e-3),
    "limbs.tiller": Item(1.0e-3),
    "string.nock_height": Item(0.5e-3),
    "string.loop_height": Item(0.5e-3, PEEPED),
    "string.peep_height": Item(1.0e-3, PEEPED),
    "rest.side": Item(0.3e-3, BOLTED),
    "rest.height": Item(0.5e-3, BOLTED),
    "sight.ahead": Item(0.5e-3),
    "sight.windage": Item(0.1e-3),
    "sight.hole": Item(0.0),
    "sight.notch": Item(0.0),
}


@dataclass(frozen=True, slots=True)
class Deviation:
    """One thing measured twice.

    Parameters
    ----------
    name : str
        Which.
    before, now : float
        As recorded, and as measured again. [m], [turns] or [-]
    sd : float
        Of their difference; 0: counted.
    is_usual : bool
        Whether that is what is usual, since nobody said how well.
    least : float
        From which difference on it is called moved.
    """

    name: str
    before: float
    now: float
    sd: float
    is_usual: bool
    least: float

    @property
    def by(self) -> float:
        """How much more it is now. [m], [turns] or [-]"""
        return self.now - self.before

    @property
    def errors(self) -> float:
        """The same in standard deviations of a difference; infinite of what is counted. [-]"""
        if not self.sd:
            return copysign(inf, self.by) if self.by else 0.0
        return self.by / self.sd

    @property
    def is_moved(self) -> bool:
        """Whether it is farther off than chance explains over the whole list."""
        return abs(self.by) > self.least


@dataclass(frozen=True, slots=True)
class Push:
    """What a deviation does, along one line of unknowns.

    Parameters
    ----------
    along : mapping of str to float
        Unknowns that move together, and by how much for each one of the size.
    by : float
        The size that is expected.
    sd : float
        One standard deviation of it.
    """

    along: Mapping[str, float]
    by: float
    sd: float


@dataclass(frozen=True)
class Risk:
    """What deviations do at some distances when the old marks are dialled.

    Parameters
    ----------
    distance_m : (n,) array
        Distances. [m]
    up_m, up_sd_m : (n,) array
        How much higher it hits, and one standard deviation of that. [m]
    side_m : (n,) array
        How far to either side, one standard deviation. [m]
    mark_m : (n,) array
        What is to be added to the reading. [m]
    """

    distance_m: Floats
    up_m: Floats
    up_sd_m: Floats
    side_m: Floats
    mark_m: Floats


@dataclass(frozen=True)
class SetUpBow:
    """The bow whose marks are at risk.

    Parameters
    ----------
    bow : Bow
        The sheet's.
    unknowns : Unknowns
        Of its calibration.
    vector : (u,) array
        Their likeliest values.
    measured : mapping of str to Belief
        As recorded.
    """

    bow: Bow
    unknowns: Unknowns
    vector: Floats
    measured: Measured = field(default_factory=dict)


def items_of(bow: Bow) -> tuple[str, ...]:
    """What is measured of a bow of this kind, in order.

    Parameters
    ----------
    bow : Bow
        The sheet's.

    Returns
    -------
    tuple of str
        Keys of ``ITEMS``.
    """
    return tuple(name for name, item in ITEMS.items() if kind_of(bow) in item.kinds)


def least_errors(tested: int) -> float:
    """How many standard deviations off one of several things must be to be called moved.

    Parameters
    ----------
    tested : int
        How many are looked at, 1 or more. [-]

    Returns
    -------
    float
        So that of a bow put together as it was nothing is called moved 97 times in a hundred. [-]

    Source
    ------
    docs/physics.md eq. (9.31), after Šidák.
    """
    return NormalDist().inv_cdf(0.5 + 0.5 * (1.0 - FALSE_CALL) ** (1.0 / tested))


def compared(bow: Bow, before: Measured, now: Measured) -> tuple[Deviation, ...]:
    """Everything that was measured twice of a bow.

    Parameters
    ----------
    bow : Bow
        The sheet's.
    before, now : mapping of str to Belief
        As recorded, and as measured again; a doubt that is not said now is the recorded one.

    Returns
    -------
    tuple of Deviation
        In the order of ``ITEMS``.

    Source
    ------
    docs/physics.md eq. (9.30), (9.31).
    """
    both = [name for name in items_of(bow) if name in before and name in now]
    tested = sum(bool(ITEMS[name].sd) for name in both)
    found = []
    for name in both:
        was, is_now, usual = before[name], now[name], ITEMS[name].sd
        sds = (was.sd or usual, is_now.sd or was.sd or usual) if usual else (0.0, 0.0)
        sd = float(np.hypot(*sds))
        least = sd * least_errors(tested) if usual else 0.0
        found.append(Deviation(name, was.value, is_now.value, sd, was.sd is None, least))
    return tuple(found)


def pushes(one: Deviation, of: SetUpBow) -> tuple[Push, ...]:
    """What a deviation does to a bow; nothing where nobody can tell.

    Parameters
    ----------
    one : Deviation
        What is other than recorded.
    of : SetUpBow
        The bow.

    Returns
    -------
    tuple of Push
        Each with a doubt of its own.

    Source
    ------
    docs/physics.md eq. (9.32).
    """
    by, radius_m = one.by, of.unknowns.sight_radius_m
    if one.name in ("limbs.upper_bolt", "limbs.lower_bolt"):
        share, share_sd = doubts.speed_by_weight(of.bow)
        weight, weight_sd = A_TURN[kind_of(of.bow)]
        logs, logs_sd = 0.5 * weight * by, 0.5 * weight_sd * by
        speed_sd = float(np.hypot(share * logs_sd, share_sd * logs))
        return _speed(-share * logs, speed_sd), _angle(doubts.WORKED_ON_RAD * by)
    if one.name == "limbs.brace_height":
        draw_m = of.bow.draw_length_m or usual_of(of.bow).draw_length_m.value
        stroke = [power_stroke(draw_m, brace_m) for brace_m in (one.before, one.now)]
        if stroke[0] <= 0.0 or stroke[1] < LEAST_LEFT * stroke[0]:
            return ()
        shorter = log(stroke[1] / stroke[0])
        share, share_sd = doubts.speed_by_stroke(of.bow, weighed=False)
        return (_speed(share * shorter, share_sd * abs(shorter)),)
    if one.name == "limbs.tiller":
        return (_angle(TILLER_RAD_PER_M * by),)
    if one.name in ("string.nock_height", "rest.height"):
        return (_angle(LEVER_RAD_PER_M * by),)
    if one.name == "string.peep_height":
        lift_m = by * _value(of, "peep_height") / one.before
        return (Push({"peep_height": 1.0, "zero_tangent": -1.0 / radius_m}, lift_m, 0.0),)
    if one.name == "rest.side":
        return (Push({"windage": 1.0}, 0.0, abs(LEVER_RAD_PER_M * by)),)
    if one.name == "sight.windage":
        return (Push({"windage": 1.0}, 0.0, abs(by) / radius_m),)
    if one.name == "sight.ahead" and radius_m + by >= LEAST_LEFT * radius_m:
        stretched, lean = log((radius_m + by) / radius_m), doubts.BAR_LEAN_RAD * by / radius_m
        along = {"log_gain": 1.0, "zero_tangent": -_value(of, "zero_tangent")}
        side = Push({"windage": 1.0}, 0.0, abs(lean))
        return Push(along, stretched, 0.0), _angle(lean), side
    return ()


def _value(of: SetUpBow, name: str) -> float:
    return float(of.vector[of.unknowns.place(name)])


def _speed(by: float, sd: float) -> Push:
    return Push({"log_speed": 1.0}, by, sd)


def _angle(sd_rad: float) -> Push:
    """Where the arrow leaves the bow may move by so much, nobody knows which way."""
    return Push({"zero_tangent": 1.0}, 0.0, abs(sd_rad))


def risk_of(all_pushes: Sequence[Push], of: SetUpBow, distance_m: ArrayLike) -> Risk:
    """What pushes do together at some distances.

    Parameters
    ----------
    all_pushes : sequence of Push
        Of one deviation, or of several.
    of : SetUpBow
        The bow.
    distance_m : (n,) array
        Distances. [m]

    Returns
    -------
    Risk
        Against the marks dialled.

    Raises
    ------
    LaunchUnreachable
        If the arrow does not reach one of them.

    Source
    ------
    docs/physics.md eq. (9.33).
    """
    distance = np.asarray(distance_m, dtype=np.float64)

    def pushed(*some: tuple[Push, float]) -> Floats:
        vector = of.vector.copy()
        for push, size in some:
            for name, part in push.along.items():
                vector[of.unknowns.place(name)] += part * size
        return vector

    was = of.unknowns.bow(of.vector)
    now = of.unknowns.bow(pushed(*((push, push.by) for push in all_pushes)))
    dialled_m = mark(was, distance)
    straight, level = impact(was, distance, dialled_m)
    up2_m2, side2_m2 = np.zeros_like(distance), np.zeros_like(distance)
    for push in all_pushes:
        right, up = impact(of.unknowns.bow(pushed((push, push.sd))), distance, dialled_m)
        up2_m2 += np.square(up - level)
        side2_m2 += np.square(right - straight)
    up_m = impact(now, distance, dialled_m)[1]
    return Risk(distance, up_m, np.sqrt(up2_m2), np.sqrt(side2_m2), mark(now, distance) - dialled_m)


def named_from(bow: Bow, measured: Measured) -> tuple[Deviation, ...]:
    """Each recorded thing as far off as it must be to be called moved.

    Parameters
    ----------
    bow : Bow
        The sheet's.
    measured : mapping of str to Belief
        As recorded.

    Returns
    -------
    tuple of Deviation
        In the order of ``ITEMS``; counted things by one.
    """
    same = compared(bow, measured, measured)
    return tuple(replace(one, now=one.before + (one.least or 1.0)) for one in same)
