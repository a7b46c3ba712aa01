"""Move sight: shifts of the impact become readings, pin travel and clicks.

The pin goes where the impact is not to go: an impact that must rise takes the pin down, one that
must go right takes it left, for either hand alike.

Holds:  the SightMove record; the likeliest bow and what its sight does to the impact.
Never:  how far to shift (correct.py), sentences.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tapewright.calibration.fit import Calibration, fit_bow
from tapewright.calibration.observation import Observation
from tapewright.calibration.rig import Rig
from tapewright.ground.errors import LaunchUnreachable
from tapewright.services.record_groups import of_point
from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import Aim, impact, impact_gradient
from tapewright.target.correction import AxisMove, turns_and_clicks

__all__ = [
    "SightMove",
    "fitted_sight",
    "height",
    "past_measured_limit",
    "pin_per_shift",
    "right_per_click",
    "sight_move",
    "turns_and_clicks",
    "up_per_click",
]

MOST_STEPS = 12  # Newton's, from the old reading to the new; three are usual
ENOUGH_M = 1e-6  # at the target: a thousandth of a millimetre
IN_BAND = 1.645  # standard deviations to half a 90 % band


@dataclass(frozen=True, slots=True)
class SightMove:
    """What to turn on the sight."""

    reading_m: float  # where the pointer is to stand
    by_reading_m: float  # change of reading, signed as the numbers run; 0: leave it
    # The same in clicks, positive toward larger numbers; None: no click on the sheet
    reading_clicks: int | None
    pin_up: int  # 1 when the pin goes up, −1 when down, 0 when it stays
    pin_right_m: float  # way of the pin to the right; negative to the left; 0: leave it
    right_clicks: int | None  # the same in clicks
    # Where the windage scale is to stand; None: the group does not tell where it stood
    windage_m: float | None = None
    # Halves of the 90 % bands of what is to be turned; 0: told as it stands, as of whole clicks
    by_reading_half_m: float = 0.0
    pin_right_half_m: float = 0.0


def past_measured_limit(rig: Rig, reading_m: float) -> bool:
    """Whether a reading lies where the archer measured that the sight must not go."""
    sight = rig.sight
    way = 1.0 if sight.farther == "increases" else -1.0
    clear = sight.clearance_reading_m
    if clear is not None and way * (reading_m - clear) > ENOUGH_M:
        return True
    ends = sight.travel_ends_m
    return ends is not None and not min(ends) - ENOUGH_M <= reading_m <= max(ends) + ENOUGH_M


def fitted_sight(rig: Rig, observations: Sequence[Observation] = ()) -> Calibration:
    """The likeliest bow, for turning impacts into readings."""
    return fit_bow(rig, of_point(observations, rig.arrow.point)[0])


def _bow_and_aim(fitted: Calibration, one: Observation) -> tuple[SightedBow, Aim]:
    """The likeliest bow, aimed as the group was."""
    rig, unknowns = fitted.rig, fitted.evidence.prior.unknowns
    air = one.air or rig.air
    aim = Aim(
        slope_rad=one.slope_rad,
        density_ratio=air.density_kg_m3 / rig.air.density_kg_m3,
        pin_below_m=unknowns.pin_below(fitted.best, np.array([one.pin])),
    )
    return unknowns.bow(fitted.best), aim


def height(fitted: Calibration, one: Observation, reading_m: float) -> float:
    """Where the forward model puts the arrow with a reading."""
    bow, aim = _bow_and_aim(fitted, one)
    up_m = float(np.squeeze(impact(bow, one.distance_m, reading_m, aim)[1]))
    if np.isnan(up_m):
        raise LaunchUnreachable(one.distance_m)
    return up_m


def _up_per_reading(fitted: Calibration, one: Observation, reading_m: float) -> float:
    bow, aim = _bow_and_aim(fitted, one)
    return float(np.squeeze(impact_gradient(bow, one.distance_m, reading_m, aim).by_reading))


def _reading_for_shift(fitted: Calibration, one: Observation, shift_m: float) -> float:
    """Reading that shifts the impact up by so much from that of the group's own reading."""
    wanted_m = height(fitted, one, one.reading_m) + shift_m
    reading_m, miss_m = one.reading_m, -shift_m
    for _ in range(MOST_STEPS):
        reading_m -= miss_m / _up_per_reading(fitted, one, reading_m)
        miss_m = height(fitted, one, reading_m) - wanted_m
        if abs(miss_m) < ENOUGH_M:
            break
    return reading_m


def up_per_click(fitted: Calibration, one: Observation, shift_m: float) -> float | None:
    """Shift of the impact by one click, without sign, on the way to a wanted shift."""
    click_m = fitted.rig.sight.elevation_click_m
    if click_m is None:
        return None
    way_m = _reading_for_shift(fitted, one, shift_m) - one.reading_m
    if abs(way_m) < click_m:
        return click_m * abs(_up_per_reading(fitted, one, one.reading_m))
    return click_m * abs(shift_m / way_m)


def pin_per_shift(fitted: Calibration, one: Observation) -> float:
    """Way of the pin to the right for each metre that the impact is to go right: negative."""
    return -fitted.evidence.prior.unknowns.sight_radius_m / one.distance_m


def _reading_half_m(
    fitted: Calibration, one: Observation, by_reading_m: float, shift_sd_m: float
) -> float:
    """Half of the band of a change of reading: where arrows lie, and what a reading does."""
    place = fitted.evidence.prior.unknowns.place("log_gain")
    gain_sd = float(np.sqrt(fitted.covariance[place, place]))
    lies_m = shift_sd_m / abs(_up_per_reading(fitted, one, one.reading_m))
    return IN_BAND * float(np.hypot(by_reading_m * gain_sd, lies_m))


def sight_move(
    fitted: Calibration, one: Observation, up: AxisMove, right: AxisMove, shift_sd_m: float = 0.0
) -> SightMove:
    """Shifts of the impact, turned into what is dialled; how well they are known, if that is told.

    Whole clicks are turned as they are told.
    """
    direction = fitted.evidence.prior.unknowns.direction
    if up.clicks is None:
        new_m = _reading_for_shift(fitted, one, up.shift_m) if up.is_move else one.reading_m
        reading_clicks = None
    else:
        reading_clicks = direction * up.clicks
        new_m = one.reading_m + reading_clicks * (fitted.rig.sight.elevation_click_m or 0.0)
    per_shift = pin_per_shift(fitted, one)
    pin_right_m = right.shift_m * per_shift + 0.0
    by_m = new_m - one.reading_m
    is_known = bool(shift_sd_m) and up.clicks is None
    return SightMove(
        reading_m=new_m,
        by_reading_m=by_m,
        reading_clicks=reading_clicks,
        pin_up=-int(np.sign(up.shift_m)),
        pin_right_m=pin_right_m,
        right_clicks=None if right.clicks is None else -right.clicks,
        windage_m=None if one.windage_m is None else one.windage_m + pin_right_m,
        by_reading_half_m=_reading_half_m(fitted, one, by_m, shift_sd_m) if is_known else 0.0,
        pin_right_half_m=IN_BAND * abs(per_shift) * shift_sd_m if right.clicks is None else 0.0,
    )


def right_per_click(fitted: Calibration, one: Observation) -> float | None:
    """Shift of the impact to the side by one click, without sign."""
    click_m = fitted.rig.sight.windage_click_m
    return None if click_m is None else click_m / abs(pin_per_shift(fitted, one))
