"""Limits: how far down the sight may go, and which distances each pin reaches.

The housing of the sheet's numbers meets the arrow at a reading that is no surer than the peep
height; a clearance measured on the bow overrules it. Whatever binds, all pins stop together.

Holds:  limits of the reading with their bands; nearest and farthest distance of each pin; chance
        that a distance can be reached, and the travel left there.
Never:  the geometry itself (sight/clearance.py), new evidence, sentences.
Source: docs/physics.md eq. (5.10), (5.11), (8.20).
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.calibration.rig import Arrow, Rig
from tapewright.confidence.bands import drawn_marks, drawn_tangents, within_reach
from tapewright.confidence.posterior import CURVE_FROM_M, CURVE_TO_M, Posterior
from tapewright.sight.bow import SightedBow
from tapewright.sight.clearance import (
    USUAL_ARROW_MARGIN_M,
    USUAL_VANE_HEIGHT_M,
    Housing,
    clearance_reading,
)

Floats = NDArray[np.float64]
Kind = Literal["housing", "measured clearance", "far end", "near end"]

GRID_STEP_M = 0.5  # the tangent bends so little that lines between lose under 2 cm of distance
ENOUGH_M = 1e-9  # of reading: a mark on the limit is within it


@dataclass(frozen=True, slots=True)
class ReadingLimit:
    """A reading past which the sight does not or must not go.

    Parameters
    ----------
    kind : str
        ``"housing"`` as computed, ``"measured clearance"``, ``"far end"`` or ``"near end"``.
    reading_m : float
        The limit: the median of what is possible. [m]
    low_m, high_m : float
        Ends of its band, low the smaller number; equal when it was measured. [m]
    role : str
        ``"binds"``, ``"beyond"`` another that binds, or ``"overruled"`` by a measured one.
    """

    kind: Kind
    reading_m: float
    low_m: float
    high_m: float
    role: Literal["binds", "beyond", "overruled"]


@dataclass(frozen=True)
class ReadingLimits:
    """All limits of a sight.

    Parameters
    ----------
    direction : int
        1 when readings grow toward farther targets, −1 when they fall. [-]
    found : tuple of ReadingLimit
        What is known; may be empty.
    """

    direction: int
    found: tuple[ReadingLimit, ...]

    @property
    def far(self) -> ReadingLimit | None:
        """The one that binds toward farther targets."""
        return next((one for one in self._binding if one.kind != "near end"), None)

    @property
    def near(self) -> ReadingLimit | None:
        """The one that binds at the other end."""
        return next((one for one in self._binding if one.kind == "near end"), None)

    @property
    def _binding(self) -> tuple[ReadingLimit, ...]:
        return tuple(one for one in self.found if one.role == "binds")

    def allows(self, reading_m: ArrayLike) -> NDArray[np.bool_]:
        """Whether the sight may stand at a reading.

        Parameters
        ----------
        reading_m : (...) array
            Readings. [m]

        Returns
        -------
        (...) array of bool
            True within all limits, at their medians.
        """
        run = self.direction * np.asarray(reading_m, dtype=np.float64)
        good = np.ones(run.shape, dtype=np.bool_)
        if self.far is not None:
            good &= run <= self.direction * self.far.reading_m + ENOUGH_M
        if self.near is not None:
            good &= run >= self.direction * self.near.reading_m - ENOUGH_M
        return good


@dataclass(frozen=True, slots=True)
class Reach:
    """Distances that one pin reaches.

    Parameters
    ----------
    pin : int
        1 the first. [-]
    nearest_m, farthest_m : (float, float, float)
        Median, low and high end of the band; 0 and 0 when it reaches none. [m]
    looked_to_m : float
        How far was looked: a farthest distance that says this much means it, or more. [m]
    """

    pin: int
    nearest_m: tuple[float, float, float]
    farthest_m: tuple[float, float, float]
    looked_to_m: float


def housing_of(rig: Rig) -> Housing | None:
    """What has to pass under what, by the rig sheet.

    Parameters
    ----------
    rig : Rig
        The sheet; a vane that it does not tell is taken to be half an inch high. Blades count
        where they stand higher than the vanes: they pass under the housing too.

    Returns
    -------
    Housing or None
        None when the sheet does not tell where the housing ends.
    """
    sight, arrow = rig.sight, rig.arrow
    if sight.housing_below_pin_m is None:
        return None
    vane_m = USUAL_VANE_HEIGHT_M if arrow.vane_height_m is None else arrow.vane_height_m
    margin_m = USUAL_ARROW_MARGIN_M if sight.arrow_margin_m is None else sight.arrow_margin_m
    return Housing(sight.housing_below_pin_m, arrow_height(arrow, vane_m), margin_m)


def arrow_height(arrow: Arrow, vane_m: float) -> float:
    """Arrow axis to the top of a vane or blade, whichever stands higher.

    Parameters
    ----------
    arrow : Arrow
        The sheet's.
    vane_m : float
        Height of a vane above the shaft. [m]

    Returns
    -------
    float
        An arrow turns as it flies, so a blade counts with the radius of its circle. [m]
    """
    blade_m = 0.5 * (arrow.blade_diameter_m or 0.0) if arrow.point == "broadhead" else 0.0
    return max(0.5 * arrow.shaft_diameter_m + vane_m, blade_m)


def _bow(posterior: Posterior) -> SightedBow:
    return posterior.calibration.evidence.prior.unknowns.bow(posterior.vectors)


def blades_over_vanes(arrow: Arrow) -> float:
    """How much higher than its vanes the blades of an arrow stand.

    Parameters
    ----------
    arrow : Arrow
        The sheet's.

    Returns
    -------
    float
        0 where they do not. [m]
    """
    vane_m = USUAL_VANE_HEIGHT_M if arrow.vane_height_m is None else arrow.vane_height_m
    return arrow_height(arrow, vane_m) - (0.5 * arrow.shaft_diameter_m + vane_m)


def _measured(posterior: Posterior, reading_m: float) -> Floats:
    """A clearance measured over the vanes, less what blades stand higher than they."""
    scale, at_m = _bow(posterior).scale, np.array([[reading_m]])
    higher_m = blades_over_vanes(posterior.calibration.rig.arrow)
    return scale.reading_at_drop(scale.drop(at_m) - higher_m) if higher_m > 0.0 else at_m


def _drawn(posterior: Posterior) -> dict[Kind, Floats]:
    """Every limit known, as readings of shape (d, 1) or (1, 1).

    Readings taken on the sight count only once an arrow has tied the scale to the flight.
    """
    rig = posterior.calibration.rig
    direction = posterior.calibration.evidence.prior.unknowns.direction
    drawn: dict[Kind, Floats] = {}
    housing = housing_of(rig)
    if housing is not None:
        drawn["housing"] = clearance_reading(_bow(posterior), housing)
    if posterior.is_set_by_eye:
        return drawn
    if rig.sight.clearance_reading_m is not None:
        drawn["measured clearance"] = _measured(posterior, rig.sight.clearance_reading_m)
    if rig.sight.travel_ends_m is not None:
        near, far = rig.sight.travel_ends_m[::direction]
        drawn["far end"], drawn["near end"] = np.array([[far]]), np.array([[near]])
    return drawn


def _stops(posterior: Posterior) -> tuple[Floats, Floats]:
    """How far each draw's sight may go toward near and far, as direction × reading, (·, 1)."""
    drawn = _drawn(posterior)
    if "measured clearance" in drawn:
        drawn.pop("housing", None)
    direction = posterior.calibration.evidence.prior.unknowns.direction
    near, far = np.array([[-np.inf]]), np.array([[np.inf]])
    for kind, reading in drawn.items():
        if kind == "near end":
            near = direction * reading
        else:
            far = np.minimum(far, direction * reading)
    return near, far


def reading_limits(posterior: Posterior, probability: float = 0.9) -> ReadingLimits:
    """Every limit of the reading that sheet and arrows tell.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    probability : float, default 0.9
        Chance with which a band holds the truth. [-]

    Returns
    -------
    ReadingLimits
        May be empty.

    Source
    ------
    docs/physics.md eq. (5.11), (8.20).
    """
    drawn = _drawn(posterior)
    direction = posterior.calibration.evidence.prior.unknowns.direction
    tail = 0.5 * (1.0 - probability)
    far = {kind: direction * float(np.median(at)) for kind, at in drawn.items()}
    far.pop("near end", None)
    if "measured clearance" in far:
        far.pop("housing", None)
    first = min(far, key=lambda kind: far[kind], default=None)
    found = []
    for kind, readings in drawn.items():
        low, middle, high = (float(one) for one in np.quantile(readings, [tail, 0.5, 1.0 - tail]))
        role: Literal["binds", "beyond", "overruled"] = "beyond"
        if kind in (first, "near end"):
            role = "binds"
        elif kind not in far:
            role = "overruled"
        found.append(ReadingLimit(kind, middle, low, high, role))
    return ReadingLimits(direction, tuple(found))


def _between(distance: Floats, tangents: Floats, place: NDArray[np.intp], level: Floats) -> Floats:
    """Distance at which each draw's tangent passes a level after a place of the grid, (d,)."""
    last = len(distance) - 1
    here, there = np.clip(place, 0, last), np.clip(place + 1, 0, last)
    rows = np.arange(len(tangents))
    rise = tangents[rows, there] - tangents[rows, here]
    safe = np.where(rise == 0.0, 1.0, rise)
    share = np.where(rise == 0.0, 0.0, (level - tangents[rows, here]) / safe)
    return np.asarray(
        distance[here] + np.clip(share, 0.0, 1.0) * (distance[there] - distance[here])
    )


def looked_at(posterior: Posterior) -> Floats:
    """Distances at which reach is looked for.

    Parameters
    ----------
    posterior : Posterior
        Draws.

    Returns
    -------
    (n,) array
        As far as every drawn bow throws its arrow. [m]
    """
    steps = round((CURVE_TO_M - CURVE_FROM_M) / GRID_STEP_M)
    return within_reach(posterior, np.linspace(CURVE_FROM_M, CURVE_TO_M, steps + 1))


def stretch(
    distance_m: Floats, tangents: Floats, limits: tuple[Floats, Floats]
) -> tuple[Floats, Floats]:
    """Ends of each draw's last stretch of distances with tangents between two levels.

    Parameters
    ----------
    distance_m : (n,) array
        Distances, growing. [m]
    tangents : (d, n) array
        Of the sight angles there. [-]
    limits : two (d,) arrays
        Those levels, the lower first; may be infinite. [-]

    Returns
    -------
    two (d,) arrays
        Nearest and farthest; 0 and 0 where there is none. [m]

    Source
    ------
    docs/physics.md eq. (8.20).
    """
    last, (least, most) = len(distance_m) - 1, limits
    inside, short = tangents <= most[:, None], tangents < least[:, None]
    end = last - np.argmax(inside[:, ::-1], axis=1)
    start = np.argmax(inside, axis=1)
    short_end = np.where(short.any(axis=1), last - np.argmax(short[:, ::-1], axis=1), -1)
    farthest = _between(distance_m, tangents, end, most)
    nearest = np.where(
        short_end >= 0,
        _between(distance_m, tangents, short_end, least),
        _between(distance_m, tangents, start - 1, most),
    )
    none = ~inside.any(axis=1) | (short_end >= end)
    return np.where(none, 0.0, nearest), np.where(none, 0.0, farthest)


def reaches(posterior: Posterior, probability: float = 0.9) -> tuple[Reach, ...]:
    """Nearest and farthest distance of each pin.

    Toward near targets the marks turn back, so a low pin may reach very near ones too; that
    counts as long as it joins the far ones without a gap.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    probability : float, default 0.9
        Chance with which a band holds the truth. [-]

    Returns
    -------
    tuple of Reach
        One for each pin, the first first.

    Source
    ------
    docs/physics.md eq. (8.20).
    """
    unknowns = posterior.calibration.evidence.prior.unknowns
    distance = looked_at(posterior)
    tangents = drawn_tangents(posterior, distance)
    near, far = _stops(posterior)
    scale, direction = _bow(posterior).scale, unknowns.direction
    tail = 0.5 * (1.0 - probability)
    found = []
    for pin in range(1, unknowns.pins + 2):
        below = unknowns.pin_below(posterior.vectors, np.array([pin]))
        ends = [
            np.where(np.isinf(stop), stop, scale.tangent(_finite(direction * stop), below))[:, 0]
            for stop in (near, far)
        ]
        nearest, farthest = (
            np.quantile(one, [0.5, tail, 1.0 - tail]).tolist()
            for one in stretch(distance, tangents, (ends[0], ends[1]))
        )
        found.append(Reach(pin, tuple(nearest), tuple(farthest), float(distance[-1])))
    return tuple(found)


def _finite(reading: Floats) -> Floats:
    """Readings with a zero where there is no limit."""
    return np.where(np.isinf(reading), 0.0, reading)


def reach_chance(posterior: Posterior, distance_m: ArrayLike, pin: int = 1) -> Floats:
    """Chance that a pin's mark for a distance lies within all limits.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    distance_m : (n,) array
        Distances. [m]
    pin : int, default 1
        Which pin is aimed with. [-]

    Returns
    -------
    (n,) array
        From 0 to 1; 1 when no limit is known. [-]

    Source
    ------
    docs/physics.md eq. (8.20).
    """
    direction = posterior.calibration.evidence.prior.unknowns.direction
    near, far = _stops(posterior)
    run = direction * drawn_marks(posterior, distance_m, pin)
    good = (run >= near - ENOUGH_M) & (run <= far + ENOUGH_M)
    return np.asarray(good.mean(axis=0))


def travel_left(
    posterior: Posterior, distance_m: ArrayLike, pin: int = 1, probability: float = 0.9
) -> tuple[Floats, Floats, Floats]:
    """How far the pin may still go down from its mark until something stops it.

    Parameters
    ----------
    posterior : Posterior
        Draws.
    distance_m : (n,) array
        Distances. [m]
    pin : int, default 1
        Which pin is aimed with. [-]
    probability : float, default 0.9
        Chance with which a band holds the truth. [-]

    Returns
    -------
    three (n,) arrays
        Pin travel: median and both ends of the band, negative past the limit; nan when no limit
        is known. [m]

    Source
    ------
    docs/physics.md eq. (8.20).
    """
    scale = _bow(posterior).scale
    direction = posterior.calibration.evidence.prior.unknowns.direction
    _, far = _stops(posterior)
    marks = drawn_marks(posterior, distance_m, pin)
    if np.isinf(far).all():
        none = np.full(marks.shape[1], np.nan)
        return none, none, none
    left = scale.drop(direction * far) - scale.drop(marks)
    tail = 0.5 * (1.0 - probability)
    low, middle, high = np.quantile(left, [tail, 0.5, 1.0 - tail], axis=0)
    return middle, low, high
