"""Change: another arrow, point, vane, peep or string, and what the old arrows still tell.

Every draw of the old rig is carried over by itself: what the change fixes is applied, what it
does not tell is drawn. The cloud that comes out is the new rig's belief, wider than the old one.
A speed, a drag or a height that only the new sheet tells is weighed in like a measurement.

Holds:  the new belief from old draws, old sheet and new sheet; which changes it cannot carry.
Never:  a fit; sentences.
Source: docs/physics.md §9; docs/sources.md [KLO43].
"""

from dataclasses import dataclass, replace
from math import hypot, log

import numpy as np
from numpy.typing import NDArray

from tapewright.calibration.house_values import TRAVEL, same_kind
from tapewright.calibration.kinds import kind_of, usual_of
from tapewright.calibration.observation import source_doubt
from tapewright.calibration.prior import USUAL_DRAG, Prior, prior_from_rig
from tapewright.calibration.rig import Arrow, Belief, Rig
from tapewright.calibration.unknowns import Unknowns
from tapewright.field import change_doubts as doubts
from tapewright.flight.bow_energy import power_stroke

Floats = NDArray[np.float64]


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
        "kind": kind_of(old.bow) != kind_of(new.bow),
        "hand": old.hand != new.hand,
        "farther": before.farther != after.farther,
        "arm_length": before.arm_length_m != after.arm_length_m,
        "arm_level_reading": before.arm_level_reading_m != after.arm_level_reading_m,
        "reading_per_travel": _is_another(before.reading_per_travel, after.reading_per_travel)
        and old.is_from_house(TRAVEL) == new.is_from_house(TRAVEL),
        "kind of sight": bool(before.kind and after.kind)
        and not same_kind(before.kind, after.kind),
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
        True for another kind of bow, direction, arm or reading per travel, or the other hand.
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
    other_clothes: bool = False,
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
    other_clothes : bool, default False
        Whether the archer wears other clothes, as bulky ones: no sheet tells that either.

    Returns
    -------
    (d, v) array
        In the order of ``prior_from_rig(new, …)``, without errors of distances.

    Source
    ------
    docs/physics.md eq. (9.9), (9.17) to (9.21).
    """
    none = np.zeros(0)
    was, sheet = prior_from_rig(old, none), prior_from_rig(new, none)
    cloud = _reordered(vectors, unknowns, sheet.unknowns)
    carry = _Carry(cloud, was, sheet, old, new, rng)
    if _is_another_arrow(old.arrow, new.arrow):
        _change_arrow(carry)
    _change_air(carry)
    place = sheet.unknowns.place("launch_ahead")
    carry.shift("launch_ahead", sheet.mean[place] - was.mean[was.unknowns.place("launch_ahead")])
    _change_bow(carry)
    if new_string:
        _change_string(carry)
    if other_clothes:
        _change_clothes(carry)
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
        return (one.mass_kg.value, one.vane_height_m, *_shaft(one))

    return looks(before) != looks(after) or _is_another_point(before, after)


def _shaft(arrow: Arrow) -> tuple[float | None, ...]:
    return arrow.shaft_diameter_m, arrow.length_m


def _is_another_point(before: Arrow, after: Arrow) -> bool:
    """A broadhead for a field point or back, or blades of another size."""
    blades = before.blade_diameter_m, after.blade_diameter_m
    return before.point != after.point or (None not in blades and blades[0] != blades[1])


def _is_another(before: Belief | None, after: Belief | None) -> bool:
    """Whether two measured values differ; a value said for the first time is no change."""
    return before is not None and after is not None and before.value != after.value


def _is_news(before: Belief | None, after: Belief | None) -> bool:
    """Whether the new sheet tells a value that the old one did not."""
    return after is not None and (before is None or before.value != after.value)


def _change_arrow(carry: _Carry) -> None:
    """Speed by virtual mass, drag by what makes it; where the arrow leaves the bow is open."""
    before, after = carry.old.arrow, carry.new.arrow
    thicker = log(after.shaft_diameter_m / before.shaft_diameter_m)
    longer = log(after.length_m / before.length_m) if after.length_m and before.length_m else 0.0
    heavier = log(after.mass_kg.value / before.mass_kg.value)
    another_shaft = _shaft(before) != _shaft(after)
    another_point = _is_another_point(before, after)
    if heavier or another_shaft:
        carry.shift("log_speed", carry.normal(doubts.SPEED_LOG_SD))
    if heavier:
        _change_mass(carry, heavier)
    usual = log(USUAL_DRAG[after.point][0] / USUAL_DRAG[before.point][0])
    by_diameter = doubts.DRAG_BY_DIAMETER + carry.normal(doubts.DRAG_BY_DIAMETER_SD)
    carry.shift("log_drag", usual + thicker * by_diameter + doubts.DRAG_BY_LENGTH * longer)
    same = not another_point and before.vane_height_m == after.vane_height_m
    carry.shift("log_drag", carry.normal(doubts.DRAG_LOG_SD if same else doubts.OTHER_DRAG_LOG_SD))
    flight = doubts.shaft_flight(another_shaft=another_shaft, another_point=another_point)
    lifted_m = 0.5 * abs(after.shaft_diameter_m - before.shaft_diameter_m)
    up = hypot(flight, doubts.RECOIL_RAD * heavier, doubts.REST_RAD_PER_M * lifted_m)
    carry.shift("zero_tangent", carry.normal(up))
    carry.shift("windage", carry.normal(max(flight, doubts.SIDE_RAD)))


def _change_mass(carry: _Carry, heavier: float) -> None:
    """The same energy for another mass, eq. (4.2), with a virtual mass that is not known."""
    before, after = carry.old.arrow, carry.new.arrow
    was_kg, is_kg = before.mass_kg.value, after.mass_kg.value
    usual_kg, log_sd = doubts.moving_mass(carry.old.bow)
    moving_kg = usual_kg * np.exp(carry.normal(log_sd))
    carry.shift("log_speed", 0.5 * np.log((was_kg + moving_kg) / (is_kg + moving_kg)))
    carry.shift("log_speed", carry.normal(doubts.MASS_LAW_LOG_SD * abs(heavier)))
    carry.shift("log_drag", np.asarray(-heavier))
    # Weighed a little wrong, an arrow is also a little faster or slower than reckoned.
    for arrow in (before, after):
        off = carry.normal((arrow.mass_kg.sd or 0.0) / arrow.mass_kg.value)
        share = arrow.mass_kg.value / (arrow.mass_kg.value + usual_kg)
        carry.shift("log_speed", 0.5 * share * off)
        carry.shift("log_drag", off)


def _change_air(carry: _Carry) -> None:
    """Drag by density; what cold does to limbs nobody has measured, eq. (9.16)."""
    before, after = carry.old.air, carry.new.air
    carry.shift("log_drag", np.log(after.density_kg_m3 / before.density_kg_m3))
    colder_k = abs(after.temperature_k - before.temperature_k)
    carry.shift("log_speed", carry.normal(doubts.SPEED_LOG_SD_PER_K * colder_k))


def _both(before: float | None, after: float | None, usual: float) -> tuple[float, float]:
    """A length before and after; said by one sheet only it was the same."""
    return before or after or usual, after or before or usual


def _change_bow(carry: _Carry) -> None:
    """More speed by more draw weight or a longer stroke, eq. (9.19), and the eye farther back."""
    before, after = carry.old.bow, carry.new.bow
    harder = 0.0
    if before.draw_weight_n and after.draw_weight_n:
        harder = log(after.draw_weight_n / before.draw_weight_n)
    usual = usual_of(after)
    lengths = _both(before.draw_length_m, after.draw_length_m, usual.draw_length_m.value)
    braces = _both(before.brace_height_m, after.brace_height_m, usual.brace_height_m)
    strokes = [power_stroke(*one) for one in zip(lengths, braces, strict=True)]
    if harder:
        share, doubt = doubts.speed_by_weight(after)
        carry.shift("log_speed", share * (harder + carry.normal(doubts.WEIGHED_LOG_SD)))
        carry.shift("log_speed", carry.normal(doubt * abs(harder)))
    if strokes[0] != strokes[1]:
        pushed_m = strokes[1] + carry.normal(doubts.STROKE_SD_M)
        share, doubt = doubts.speed_by_stroke(after, weighed=harder != 0.0)
        carry.shift("log_speed", (share + carry.normal(doubt)) * np.log(pushed_m / strokes[0]))
    if lengths[0] != lengths[1]:
        _draw_farther(carry, lengths[1] - lengths[0])
    if harder or strokes[0] != strokes[1]:
        carry.shift("zero_tangent", carry.normal(doubts.WORKED_ON_RAD))
        carry.shift("windage", carry.normal(doubts.SIDE_RAD))


def _draw_farther(carry: _Carry, by_m: float) -> None:
    """The eye goes back with the string: a longer sight radius, unless it was measured anew."""
    before, after = carry.old.sight.sight_radius_m, carry.new.sight.sight_radius_m
    if not _is_another(before, after):
        radius_m = carry.sheet.unknowns.sight_radius_m
        _stretch(carry, (radius_m + by_m + carry.normal(doubts.STROKE_SD_M)) / radius_m)
    if not _is_another(carry.old.sight.peep_height_m, carry.new.sight.peep_height_m):
        _lift(carry, carry.normal(doubts.EYE_BY_DRAW * abs(by_m)))


def _change_string(carry: _Carry) -> None:
    """A string of unknown mass; nocking point and peep tied again by a ruler."""
    carry.shift("log_speed", carry.normal(doubts.STRING_LOG_SD))
    carry.shift("zero_tangent", carry.normal(doubts.TIED_AGAIN_RAD))
    carry.shift("windage", carry.normal(doubts.SIDE_RAD))
    if not _is_another(carry.old.sight.peep_height_m, carry.new.sight.peep_height_m):
        _lift(carry, carry.normal(doubts.tied_peep(carry.new.bow)))


def _change_clothes(carry: _Carry) -> None:
    """Other gloves, sleeve, anchor: another angle, and a draw a little longer or shorter."""
    carry.shift("zero_tangent", carry.normal(doubts.CLOTHES_RAD))
    carry.shift("windage", carry.normal(doubts.CLOTHES_RAD))
    usual = usual_of(carry.new.bow)
    draw_m = carry.new.bow.draw_length_m or usual.draw_length_m.value
    stroke_m = power_stroke(draw_m, carry.new.bow.brace_height_m or usual.brace_height_m)
    share, _ = doubts.speed_by_stroke(carry.new.bow, weighed=False)
    carry.shift("log_speed", carry.normal(share * doubts.CLOTHES_DRAW_M / stroke_m))


def _change_peep(carry: _Carry) -> None:
    """A raised peep shifts every angle alike."""
    before, after = carry.old.sight.peep_height_m, carry.new.sight.peep_height_m
    if before is None or after is None or before.value == after.value:
        return
    doubt_m = hypot(before.sd or 0.0, after.sd or 0.0)
    _lift(carry, after.value - before.value + carry.normal(doubt_m))


def _lift(carry: _Carry, lift_m: Floats) -> None:
    carry.shift("peep_height", lift_m)
    carry.shift("zero_tangent", -lift_m / carry.sheet.unknowns.sight_radius_m)


def _change_radius(carry: _Carry) -> None:
    """A pin set farther out stretches the scale, and slides along a bar that may lean."""
    before, after = carry.old.sight.sight_radius_m, carry.new.sight.sight_radius_m
    if before is None or after is None or before.value == after.value:
        return
    doubt_m = hypot(before.sd or 0.0, after.sd or 0.0)
    _stretch(carry, (after.value + carry.normal(doubt_m)) / before.value)
    slid = abs(after.value - before.value) / after.value
    carry.shift("zero_tangent", carry.normal(doubts.BAR_LEAN_RAD * slid))
    carry.shift("windage", carry.normal(doubts.BAR_LEAN_RAD * slid))


def _stretch(carry: _Carry, ratio: Floats) -> None:
    """The reading at which sight and arrow are parallel stays where it was."""
    carry.shift("log_gain", np.log(ratio))
    carry.column("zero_tangent")[:] /= ratio


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
    is_said = new.sight.reading_per_travel is not None
    if is_said and (
        old.sight.reading_per_travel is None
        or (old.is_from_house(TRAVEL) and not new.is_from_house(TRAVEL))
    ):
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
