"""Change: another arrow, point, vane, peep or string, and what the old arrows still tell.

Every draw of the old rig is carried over by itself: what the change fixes is applied, what it
does not tell is drawn. The cloud that comes out is the new rig's belief, wider than the old one.
A speed, a drag or a height that only the new sheet tells is weighed in like a measurement.

Holds:  the new belief from old draws, old sheet and new sheet; which changes it cannot carry.
Never:  a fit; sentences.
Source: docs/physics.md §9; docs/sources.md [KLO43].
"""

from dataclasses import dataclass, replace
from math import log

import numpy as np
from numpy.typing import NDArray

from tapewright.calibration.observation import source_doubt
from tapewright.calibration.prior import (
    USUAL_BRACE_HEIGHT_M,
    USUAL_DRAG,
    USUAL_VIRTUAL_MASS_KG,
    Prior,
    prior_from_rig,
)
from tapewright.calibration.rig import Arrow, Belief, Bow, Rig
from tapewright.calibration.unknowns import Unknowns
from tapewright.flight.bow_energy import power_stroke
from tapewright.ground.units import INCH_M

Floats = NDArray[np.float64]

# One standard deviation of what a change leaves open; common practice, no source.
VIRTUAL_MASS_LOG_SD = 0.3  # factor 1.35 about the usual virtual mass
SPEED_LOG_SD = 0.005  # of carrying a speed over at all
STRING_LOG_SD = 0.01  # a new string, another draw weight or draw length
DRAG_LOG_SD = 0.02  # same vanes and point
OTHER_DRAG_LOG_SD = 0.12  # other vanes, another point
NEW_FLIGHT_RAD = 0.5e-3  # another arrow, or a bow worked on, sends it off at another angle
NEW_SIDE_RAD = 0.5e-3
BAR_LEAN_RAD = 0.02  # a sight's bar against the arrow: moving the sight along it moves the zero

USUAL_DRAW_LENGTH_M = 29.0 * INCH_M


@dataclass(frozen=True, slots=True)
class _Carry:
    """Draws on their way, changed in place, and what they are carried by."""

    cloud: Floats
    was: Prior
    sheet: Prior
    old: Rig
    new: Rig
    rng: np.random.Generator

    def normal(self, sd: float) -> Floats:
        return np.asarray(sd * self.rng.standard_normal(len(self.cloud)))

    def column(self, name: str) -> Floats:
        """A view: adding to it changes the draws."""
        return self.cloud[:, self.sheet.unknowns.place(name)]

    def shift(self, name: str, by: Floats) -> None:
        self.column(name)[:] += by


def other_scale(old: Rig, new: Rig) -> tuple[str, ...]:
    """What makes the new sheet's sight count differently, so that no reading carries over.

    Parameters
    ----------
    old, new : Rig
        The sheets before and after the change.

    Returns
    -------
    tuple of str
        Keys of the sheet; empty when the old readings carry over.
    """
    before, after = old.sight, new.sight
    differs = {
        "hand": old.hand != new.hand,
        "farther": before.farther != after.farther,
        "arm_length": before.arm_length_m != after.arm_length_m,
        "arm_level_reading": before.arm_level_reading_m != after.arm_level_reading_m,
        "reading_per_travel": _is_another(before.reading_per_travel, after.reading_per_travel),
    }
    return tuple(key for key, is_other in differs.items() if is_other)


def has_another_scale(old: Rig, new: Rig) -> bool:
    """Whether no reading of the old rig carries over to the new one.

    Parameters
    ----------
    old, new : Rig
        The sheets before and after the change.

    Returns
    -------
    bool
        True for another direction, arm or reading per travel, or a bow for the other hand.
    """
    return bool(other_scale(old, new))


def carried_draws(
    vectors: Floats,
    unknowns: Unknowns,
    old: Rig,
    new: Rig,
    rng: np.random.Generator,
    *,
    new_string: bool = False,
) -> Floats:
    """Draws of the new rig's unknowns, from those of the old one.

    Parameters
    ----------
    vectors : (d, u) array
        Draws of the old rig's unknowns.
    unknowns : Unknowns
        Their names and order.
    old, new : Rig
        The sheets before and after the change; their scales must be one.
    rng : numpy random Generator
        Chance.
    new_string : bool, default False
        Whether string or cables were replaced, of which no sheet tells.

    Returns
    -------
    (d, v) array
        In the order of ``prior_from_rig(new, …)``, without errors of distances.

    Source
    ------
    docs/physics.md eq. (9.9).
    """
    none = np.zeros(0)
    was, sheet = prior_from_rig(old, none), prior_from_rig(new, none)
    cloud = _reordered(vectors, unknowns, sheet.unknowns)
    carry = _Carry(cloud, was, sheet, old, new, rng)
    if _is_another_arrow(old.arrow, new.arrow):
        _change_arrow(carry)
    carry.shift("log_drag", np.log(new.air.density_kg_m3 / old.air.density_kg_m3))
    place = sheet.unknowns.place("launch_ahead")
    carry.shift("launch_ahead", sheet.mean[place] - was.mean[was.unknowns.place("launch_ahead")])
    _change_bow(carry, new_string=new_string)
    _change_peep(carry)
    _change_radius(carry)
    _change_pins(carry)
    _weigh_in(carry)
    return cloud


def in_distances_of(
    cloud: Floats, new: Rig, was: str, told: str, rng: np.random.Generator
) -> Floats:
    """Draws for marks that are told for distances of another source than before.

    Parameters
    ----------
    cloud : (d, v) array
        From ``carried_draws``.
    new : Rig
        The sheet after the change.
    was, told : str
        Sources of distances for which marks were told, and are.
    rng : numpy random Generator
        Chance.

    Returns
    -------
    (d, v) array
        The same draws where the source is the same.

    Source
    ------
    docs/physics.md eq. (7.13): such distances are off as half of that in the speed would be.
    """
    doubt = 0.5 * source_doubt(was, told)
    if not doubt:
        return cloud
    cloud = cloud.copy()
    place = prior_from_rig(new, np.zeros(0)).unknowns.place("log_speed")
    cloud[:, place] += doubt * rng.standard_normal(len(cloud))
    return cloud


def carried_prior(cloud: Floats, new: Rig, hit_before_m: float, *, is_zeroed: bool = True) -> Prior:
    """Belief of the new rig: carried draws, and the Gaussian with their mean and covariance.

    Without a new arrow the draws themselves are the answer; with some the Gaussian is fitted.

    Parameters
    ----------
    cloud : (d, v) array
        From ``carried_draws``.
    new : Rig
        The sheet after the change.
    hit_before_m : float
        Farthest distance at which a group that fits had hit before it; 0 for none. [m]
    is_zeroed : bool, default True
        Whether arrows or typed marks had tied the old rig's scale to its flight.

    Returns
    -------
    Prior
        For ``fit_bow`` and ``draw_posterior``.

    Source
    ------
    docs/physics.md eq. (9.11).
    """
    covariance = np.cov(cloud.T)
    sd = np.sqrt(np.diag(covariance))
    lower = np.linalg.cholesky(covariance / np.outer(sd, sd))
    sheet = prior_from_rig(new, np.zeros(0))
    whitener = np.linalg.inv(lower) / sd
    mean = cloud.mean(axis=0)
    return replace(
        sheet,
        mean=mean,
        sd=sd,
        assumed=(),
        disagreements=(),  # what both sheets tell is in the draws already
        whitener=whitener,
        cloud=cloud,
        hit_before_m=hit_before_m,
        is_zeroed=is_zeroed,
    )


def _reordered(vectors: Floats, had: Unknowns, wanted: Unknowns) -> Floats:
    """Draws in the new order; pins that the old sight lacked stay at zero for now."""
    columns = [
        vectors[:, had.place(name)] if name in had.names else np.zeros(len(vectors))
        for name in wanted.names
    ]
    return np.stack(columns, axis=1)


def _is_another_arrow(before: Arrow, after: Arrow) -> bool:
    def looks(one: Arrow) -> tuple[float | str | None, ...]:
        sizes = (one.mass_kg.value, one.shaft_diameter_m, one.length_m, one.vane_height_m)
        return (*sizes, one.point)

    return looks(before) != looks(after)


def _is_another(before: Belief | None, after: Belief | None) -> bool:
    """Whether two measured values differ; a value said for the first time is no change."""
    return before is not None and after is not None and before.value != after.value


def _is_news(before: Belief | None, after: Belief | None) -> bool:
    """Whether the new sheet tells a value that the old one did not."""
    return after is not None and (before is None or before.value != after.value)


def _change_arrow(carry: _Carry) -> None:
    """Speed by virtual mass; drag by mass and area; where it leaves the bow is open."""
    before, after = carry.old.arrow, carry.new.arrow
    was_kg, is_kg = (one.mass_kg.value for one in (before, after))
    thinner = 2.0 * log(after.shaft_diameter_m / before.shaft_diameter_m)
    carry.shift("log_drag", np.asarray(thinner + log(was_kg / is_kg)))
    if was_kg != is_kg:
        moving_kg = USUAL_VIRTUAL_MASS_KG * np.exp(carry.normal(VIRTUAL_MASS_LOG_SD))
        carry.shift("log_speed", 0.5 * np.log((was_kg + moving_kg) / (is_kg + moving_kg)))
        # Weighed a little wrong, an arrow is also a little faster or slower than reckoned.
        for arrow in (before, after):
            off = carry.normal((arrow.mass_kg.sd or 0.0) / arrow.mass_kg.value)
            share = arrow.mass_kg.value / (arrow.mass_kg.value + USUAL_VIRTUAL_MASS_KG)
            carry.shift("log_speed", 0.5 * share * off)
            carry.shift("log_drag", off)
        carry.shift("log_speed", carry.normal(SPEED_LOG_SD))
    same = before.point == after.point and before.vane_height_m == after.vane_height_m
    usual = log(USUAL_DRAG[after.point][0] / USUAL_DRAG[before.point][0])
    carry.shift("log_drag", usual + carry.normal(DRAG_LOG_SD if same else OTHER_DRAG_LOG_SD))
    carry.shift("zero_tangent", carry.normal(NEW_FLIGHT_RAD))
    carry.shift("windage", carry.normal(NEW_SIDE_RAD))


def _stroke(bow: Bow) -> float:
    return power_stroke(
        bow.draw_length_m or USUAL_DRAW_LENGTH_M, bow.brace_height_m or USUAL_BRACE_HEIGHT_M
    )


def _change_bow(carry: _Carry, *, new_string: bool) -> None:
    """Energy in proportion to draw weight and power stroke, eq. (4.5)."""
    before, after = carry.old.bow, carry.new.bow
    work = _stroke(after) / _stroke(before)
    weights = before.draw_weight_n, after.draw_weight_n
    if weights[0] and weights[1]:
        work *= weights[1] / weights[0]
    if work == 1.0 and not new_string:
        return
    carry.shift("log_speed", 0.5 * log(work) + carry.normal(STRING_LOG_SD))
    carry.shift("zero_tangent", carry.normal(NEW_FLIGHT_RAD))
    carry.shift("windage", carry.normal(NEW_SIDE_RAD))


def _change_peep(carry: _Carry) -> None:
    """A raised peep shifts every angle alike."""
    before, after = carry.old.sight.peep_height_m, carry.new.sight.peep_height_m
    if before is None or after is None or before.value == after.value:
        return
    doubt_m = float(np.hypot(before.sd or 0.0, after.sd or 0.0))
    lift_m = after.value - before.value + carry.normal(doubt_m)
    carry.shift("peep_height", lift_m)
    carry.shift("zero_tangent", -lift_m / carry.sheet.unknowns.sight_radius_m)


def _change_radius(carry: _Carry) -> None:
    """A pin set farther out stretches the scale, and slides along a bar that may lean."""
    before, after = carry.old.sight.sight_radius_m, carry.new.sight.sight_radius_m
    if before is None or after is None or before.value == after.value:
        return
    doubt_m = float(np.hypot(before.sd or 0.0, after.sd or 0.0))
    ratio = (after.value + carry.normal(doubt_m)) / before.value
    carry.shift("log_gain", np.log(ratio))
    carry.column("zero_tangent")[:] /= ratio
    slid = abs(after.value - before.value) / after.value
    carry.shift("zero_tangent", carry.normal(BAR_LEAN_RAD * slid))
    carry.shift("windage", carry.normal(BAR_LEAN_RAD * slid))


def _change_pins(carry: _Carry) -> None:
    """Pins that are new, or sit elsewhere, are where the new sheet says."""
    had, sheet = carry.old.sight.pins_below_first_m, carry.sheet
    for pin, said in enumerate(carry.new.sight.pins_below_first_m):
        if pin >= len(had) or said.value != had[pin].value:
            name = f"pin_{pin + 2}_below"
            place = sheet.unknowns.place(name)
            carry.column(name)[:] = sheet.mean[place] + carry.normal(float(sheet.sd[place]))


def _weigh_in(carry: _Carry) -> None:
    """What only the new sheet tells, as measurements; what both tell is in the draws already."""
    old, new = carry.old, carry.new
    speed = new.bow.launch_speed_mps
    if not _is_news(old.bow.launch_speed_mps, speed):
        speed = None
    readings = tuple(one for one in new.bow.chronograph if one not in old.bow.chronograph)
    if speed is not None or readings:
        bow = replace(new.bow, launch_speed_mps=speed, chronograph=readings, rating=None)
        _learn(carry, "log_speed", prior_from_rig(replace(new, bow=bow), np.zeros(0)))
    if _is_news(old.arrow.drag_coefficient, new.arrow.drag_coefficient):
        _learn(carry, "log_drag", carry.sheet)
    if old.sight.peep_height_m is None and new.sight.peep_height_m is not None:
        _learn(carry, "peep_height", carry.sheet)
    if old.sight.reading_per_travel is None and new.sight.reading_per_travel is not None:
        _learn(carry, "log_gain", carry.sheet)


def _learn(carry: _Carry, name: str, said: Prior) -> None:
    """Move every draw toward a measurement as a Gaussian would, eq. (9.11)."""
    place = said.unknowns.place(name)
    column = carry.column(name).copy()
    away = carry.cloud - carry.cloud.mean(axis=0)
    with_it = away.T @ (column - column.mean()) / (len(column) - 1)
    gain = with_it / (column.var(ddof=1) + said.sd[place] ** 2)
    missed = said.mean[place] + carry.normal(float(said.sd[place])) - column
    carry.cloud[:] += np.outer(missed, gain)
