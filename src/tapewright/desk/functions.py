"""Functions: the questions of the front door; each checks what it is given before it answers.

The file is as long as what is said to whoever asks for help.

Holds:  calibrate, bands, trusted_distance, mark, impact, as notebooks call them.
Never:  how they are answered (services, confidence, sight).
"""

from __future__ import annotations  # so that help shows names, not what they stand for

from collections.abc import Mapping
from dataclasses import fields
from os import PathLike

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.calibration.observation import Observation
from tapewright.calibration.rig import Rig
from tapewright.confidence import bands as confident
from tapewright.confidence.bands import Bands  # noqa: TC001 — get_type_hints asks for it
from tapewright.confidence.posterior import Posterior
from tapewright.desk.answer import Answer
from tapewright.flight.drag import DragShape
from tapewright.ground.checks import (
    Amount,
    checked_choice,
    checked_count,
    checked_number,
    checked_record,
    checked_several,
    is_day,
    shown,
)
from tapewright.ground.errors import BadInput
from tapewright.services import calibrate as calibrated
from tapewright.services.stops import PARTS
from tapewright.sight import prediction
from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import LEVEL, Aim
from tapewright.sight.scale import Scale
from tapewright.words.rules import TICKS

Floats = NDArray[np.float64]

DISTANCE = Amount(2.0, 500.0, "metres", "[18.0, 54.864]")
READING = Amount(-1.0, 1.0, "metres", "0.0461")
TOLERANCE = Amount(1e-4, 2.0, "metres", "0.0762")
CHANCE = Amount(0.01, 0.999, "", "0.9 for 90 %")
_OF_BOW = {
    "speed_mps": Amount(5.0, 200.0, "metres a second", "84.7"),
    "drag_per_m": Amount(0.0, 0.1, "one over metres", "0.0018"),
    "peep_height_m": Amount(-0.5, 0.5, "metres", "0.117"),
    "launch_ahead_m": Amount(-1.0, 3.0, "metres", "1.2"),
    "windage_rad": Amount(-0.5, 0.5, "radians", "0.002"),
    "side_m": Amount(-0.5, 0.5, "metres", "0.003"),
}
_OF_SCALE = {
    "zero_reading_m": READING,
    "reading_per_tangent_m": Amount(-50.0, 50.0, "metres", "1.34"),
    "sight_radius_m": Amount(0.05, 3.0, "metres", "0.838"),
}
_OF_AIM = {
    "slope_rad": Amount(-1.3, 1.3, "radians", "0.2"),
    "density_ratio": Amount(0.3, 2.0, "", "1.0"),
    "pin_below_m": Amount(0.0, 0.5, "metres", "0.009"),
    "crosswind_mps": Amount(-60.0, 60.0, "metres a second", "2.5"),
    "headwind_mps": Amount(-60.0, 60.0, "metres a second", "2.5"),
}
GRID_M = np.arange(10.0, 115.0)  # where trust is looked for if nobody says
MOST_SEED = 2**32 - 1


def _numbers(place: str, value: object, amount: Amount) -> Floats:
    """Numbers between their ends, of any shape."""
    if isinstance(value, str | bytes | Mapping) or value is None:
        raise BadInput(place, f"{shown(value)} is no array of numbers", amount.mend)
    try:
        raw = np.asarray(value)
        is_number = raw.dtype.kind in "iuf" or (raw.dtype.kind == "O" and _is_plain(raw))
        numbers = raw.astype(np.float64) if is_number else None
    except (TypeError, ValueError):
        numbers = None
    if numbers is None:
        raise BadInput(place, f"{shown(value)} is no array of plain numbers", amount.mend)
    wrong = ~((numbers >= amount.low) & (numbers <= amount.high))
    if wrong.any():
        at = tuple(int(one) for one in np.argwhere(wrong)[0])
        where = f"{place}[{', '.join(map(str, at))}]" if at else place
        checked_number(where, float(numbers[at]), amount)
    return numbers


def _is_plain(raw: NDArray[np.object_]) -> bool:
    return all(isinstance(one, int | float) and not isinstance(one, bool) for one in raw.flat)


def _row(place: str, value: object, *, growing: bool = False) -> Floats:
    """Distances, a row of them."""
    found = _numbers(place, value, DISTANCE)
    if found.ndim > 1:
        wrong = f"it has {found.ndim} axes"
        raise BadInput(place, wrong, f"Give one row of distances, such as {DISTANCE.example}")
    row = np.atleast_1d(found)
    if growing and not (np.diff(row) > 0.0).all():
        at = int(np.argmax(np.diff(row) <= 0.0)) + 1
        wrong = f"{row[at]:g} does not lie beyond {row[at - 1]:g}"
        raise BadInput(f"{place}[{at}]", wrong, "Give them growing, each once: np.unique(...)")
    return row


def _rig(rig: object) -> Rig:
    mend = "Give Rig(...), or rig, notes = load_rig_sheet(path)"
    if isinstance(rig, str | PathLike):
        raise BadInput("rig", f"{shown(str(rig))} is the path of a file", mend)
    if isinstance(rig, tuple):
        raise BadInput("rig", "it is a tuple, as load_rig_sheet gives", mend)
    found = checked_record("rig", rig, Rig, mend)
    for name, words in (("sound", PARTS), ("damaged", PARTS), ("rules", TICKS)):
        for place, one in enumerate(getattr(found, name)):
            checked_choice(f"rig.{name}[{place}]", one, words)
    return found


def _observations(observations: object, rig: Rig) -> tuple[Observation, ...]:
    mend = "Give a tuple of Observation, such as shots, notes = load_shots(path); () for none"
    if hasattr(observations, "columns") or isinstance(observations, Mapping):
        mend = "Give shots, notes = observations_from_frame(frame)"
    if isinstance(observations, tuple) and [type(one) for one in observations] == [tuple, tuple]:
        wrong = "it is groups and notes together"
        raise BadInput(
            "observations", wrong, "Give the groups alone: shots, notes = load_shots(path)"
        )
    found = checked_several("observations", observations, Observation, mend)
    pins = 1 + len(rig.sight.pins_below_first_m)
    for number, one in enumerate(found):
        place = f"observations[{number}]"
        if not one.group.impacts:
            wrong, mend = "its group has no arrow", "Give Group(name, impacts) with one or more"
            raise BadInput(place, wrong, mend)
        if one.pin > pins:
            wrong = f"pin {one.pin} is aimed with, and the rig has {pins}"
            raise BadInput(place, wrong, "Add it to Sight.pins_below_first_m")
        if one.date and not is_day(one.date):
            wrong, mend = (
                f"{shown(one.date)} is no day",
                'Write it as "2026-05-14", or leave it out',
            )
            raise BadInput(f"{place}.date", wrong, mend)
        for row, hit in enumerate(one.group.impacts):
            for name in ("called_bad", "missed"):
                if not isinstance(said := getattr(hit, name), bool):
                    wrong = f"{shown(said)} is neither True nor False"
                    spot = f"{place}.group.impacts[{row}].{name}"
                    raise BadInput(spot, wrong, "Give one of the two")
    return found


def _posterior(posterior: object) -> Posterior:
    return checked_record("posterior", posterior, Posterior, "Give answer.posterior")


def _pin(posterior: Posterior, pin: object) -> int:
    return checked_count("pin", pin, 1, 1 + posterior.calibration.evidence.prior.unknowns.pins)


def calibrate(
    rig: Rig,
    observations: tuple[Observation, ...],
    distance_m: ArrayLike,
    trust_grid_m: ArrayLike | None = None,
    seed: int = 1,
    probability: float = 0.9,
) -> Answer:
    """From a rig and its groups to marks with bands.

    Parameters
    ----------
    rig : Rig
        Bow, arrow, sight, archer, air.
    observations : tuple of Observation
        The groups; ``()`` for none.
    distance_m : (n,) array
        Where marks are wanted. [m]
    trust_grid_m : (k,) array, optional
        Distances that may be the trusted one, growing; absent: each metre from 10 to 114. [m]
    seed : int, default 1
        Of the draws: the same seed gives the same answer. [-]
    probability : float, default 0.9
        Chance with which a band holds the truth. [-]

    Returns
    -------
    Answer
        Everything that may be said.

    Raises
    ------
    BadInput
        If an argument cannot be meant; names it and the mend.
    CalibrationFailed
        If rig and arrows cannot be brought together.
    LaunchUnreachable
        If an arrow cannot reach a distance asked for.

    Example
    -------
    >>> from tapewright.api import Arrow, Belief, Group, Impact
    >>> rig = Rig("Heron", Arrow(mass_kg=Belief(0.0272), shaft_diameter_m=0.006))
    >>> near = Observation(Group("near", (Impact(0.01, 0.02), Impact(0.0, -0.01))), 18.288, 0.0102)
    >>> answer = calibrate(rig, (near,), [18.288, 27.432], seed=1)
    >>> round(float(answer.bands.reading_m[0]), 3)
    0.01
    """
    checked = _rig(rig)
    grid = GRID_M if trust_grid_m is None else trust_grid_m
    found = calibrated.calibrate(
        checked,
        _observations(observations, checked),
        _row("distance_m", distance_m),
        _row("trust_grid_m", grid, growing=True),
        checked_count("seed", seed, 0, MOST_SEED),
        checked_number("probability", probability, CHANCE),
    )
    return Answer(**{one.name: getattr(found, one.name) for one in fields(found)})


def bands(
    posterior: Posterior, distance_m: ArrayLike, probability: float = 0.9, pin: int = 1
) -> Bands:
    """Marks with their bands.

    Parameters
    ----------
    posterior : Posterior
        Draws, as ``answer.posterior``.
    distance_m : (n,) array
        Distances. [m]
    probability : float, default 0.9
        Chance with which a band holds the truth. [-]
    pin : int, default 1
        Which pin is aimed with. [-]

    Returns
    -------
    Bands
        One mark for each distance.

    Raises
    ------
    BadInput
        If an argument cannot be meant; names it and the mend.
    LaunchUnreachable
        If an arrow cannot reach a distance.

    Example
    -------
    >>> from tapewright.api import Arrow, Belief
    >>> rig = Rig("Heron", Arrow(mass_kg=Belief(0.0272), shaft_diameter_m=0.006))
    >>> bands(calibrate(rig, (), [20.0]).posterior, [18.0, 50.0], probability=0.5)
    <Bands: 2 marks from 18 to 50 m, 50 %>
    """
    draws = _posterior(posterior)
    return confident.bands(
        draws,
        _row("distance_m", distance_m),
        checked_number("probability", probability, CHANCE),
        _pin(draws, pin),
    )


def trusted_distance(
    posterior: Posterior,
    tolerance_m: float,
    distance_m: ArrayLike,
    probability: float = 0.9,
    pin: int = 1,
) -> float:
    """The farthest distance to which bands alone carry; ``answer.trusted_m`` asks for hits, too.

    Parameters
    ----------
    posterior : Posterior
        Draws, as ``answer.posterior``.
    tolerance_m : float
        Radius of the miss that is still good. [m]
    distance_m : (n,) array
        Distances to try, growing; none nearer than 10 yd counts. [m]
    probability : float, default 0.9
        Trust wanted. [-]
    pin : int, default 1
        Which pin is aimed with. [-]

    Returns
    -------
    float
        One of the distances, or 0 when not even the first is trusted. [m]

    Raises
    ------
    BadInput
        If an argument cannot be meant; names it and the mend.

    Example
    -------
    >>> from tapewright.api import Arrow, Belief
    >>> rig = Rig("Heron", Arrow(mass_kg=Belief(0.0272), shaft_diameter_m=0.006))
    >>> draws = calibrate(rig, (), [20.0]).posterior
    >>> trusted_distance(draws, 0.0762, [10.0, 20.0, 60.0])
    20.0
    """
    draws = _posterior(posterior)
    return confident.trusted_distance(
        draws,
        checked_number("tolerance_m", tolerance_m, TOLERANCE),
        _row("distance_m", distance_m, growing=True),
        checked_number("probability", probability, CHANCE),
        _pin(draws, pin),
    )


def _bow_and_aim(bow: object, aim: object) -> tuple[SightedBow, Aim, list[tuple[int, ...]]]:
    """Bow and aim whose every number can be, and the shapes of these."""
    mend = "Give answer.posterior.bows(), or SightedBow(...)"
    known = checked_record("bow", bow, SightedBow, mend)
    way = checked_record("aim", aim, Aim, "Give Aim(slope_rad=0.2), or leave it out")
    checked_record("bow.scale", known.scale, Scale, "Give Scale(0.004, 1.34, 0.838)")
    if known.shape is not None:
        mend = "Leave it out, or take answer.posterior.bows() of a rig with Arrow(drag_law=...)"
        checked_record("bow.shape", known.shape, DragShape, mend)
    if not np.all(known.scale.reading_per_tangent_m):
        wrong, mend = "0 would give every distance one mark", "Give K in metres, such as 1.34"
        raise BadInput("bow.scale.reading_per_tangent_m", wrong, mend)
    parts = ("bow", known, _OF_BOW), ("bow.scale", known.scale, _OF_SCALE), ("aim", way, _OF_AIM)
    shapes = [
        _numbers(f"{place}.{name}", getattr(record, name), amount).shape
        for place, record, amounts in parts
        for name, amount in amounts.items()
    ]
    return known, way, list(dict.fromkeys(shapes))


def _refuse_apart(*shapes: tuple[int, ...]) -> None:
    """Refuse arrays that do not go together."""
    try:
        np.broadcast_shapes(*shapes)
    except ValueError:
        told = " and ".join(map(str, shapes))
        mend = "Give one row of distances; draws stand along the first axis, as bows() has them"
        raise BadInput("distance_m", f"shapes {told} do not go together", mend) from None


def mark(bow: SightedBow, distance_m: ArrayLike, aim: Aim = LEVEL) -> Floats:
    """Reading that hits at a distance.

    Parameters
    ----------
    bow : SightedBow
        One bow, or draws of it, as ``posterior.bows()``.
    distance_m : (...) array
        Eye to target along the line of sight. [m]
    aim : Aim, optional
        Slope, air and pin; wind is ignored.

    Returns
    -------
    (...) array
        The mark. [m]

    Raises
    ------
    BadInput
        If an argument cannot be meant; names it and the mend.
    LaunchUnreachable
        If no angle reaches the distance.

    Example
    -------
    >>> from tapewright.api import Scale
    >>> bow = SightedBow(84.7, 0.0018, 0.117, 1.2, Scale(0.004, 1.34, 0.838))
    >>> [round(float(one), 4) for one in mark(bow, [20.0, 60.0])]
    [0.0284, 0.0634]
    """
    known, way, shapes = _bow_and_aim(bow, aim)
    at_m = _numbers("distance_m", distance_m, DISTANCE)
    _refuse_apart(*shapes, at_m.shape)
    return prediction.mark(known, at_m, way)


def impact(
    bow: SightedBow, distance_m: ArrayLike, reading_m: ArrayLike, aim: Aim = LEVEL
) -> tuple[Floats, Floats]:
    """Where the arrow hits when a reading is dialled.

    Parameters
    ----------
    bow : SightedBow
        One bow, or draws of it, as ``posterior.bows()``.
    distance_m : (...) array
        Eye to target along the line of sight. [m]
    reading_m : (...) array
        What the pointer shows. [m]
    aim : Aim, optional
        Slope, air, pin, wind; absent: level, reference air, first pin, calm.

    Returns
    -------
    (...) array, (...) array
        Impact to the right and above the line of sight, square to it; nan where the arrow does
        not reach. [m]

    Raises
    ------
    BadInput
        If an argument cannot be meant; names it and the mend.

    Example
    -------
    >>> from tapewright.api import Scale
    >>> bow = SightedBow(84.7, 0.0018, 0.117, 1.2, Scale(0.004, 1.34, 0.838))
    >>> right_m, up_m = impact(bow, 60.0, mark(bow, 60.0))
    >>> abs(float(up_m)) < 1e-6
    True
    """
    known, way, shapes = _bow_and_aim(bow, aim)
    at_m = _numbers("distance_m", distance_m, DISTANCE)
    dialled_m = _numbers("reading_m", reading_m, READING)
    _refuse_apart(*shapes, at_m.shape, dialled_m.shape)
    return prediction.impact(known, at_m, dialled_m, way)
