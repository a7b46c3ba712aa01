"""Meet weather: marks of a calibrated rig in other air, and in wind.

Holds:  the Weather and Blown records; the errands that make them.
Never:  formulas, sentences.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.confidence import ladder
from tapewright.confidence.ladder import FAR_K, air_cautions, warmer_than_shot
from tapewright.field.weather import LIMBS_PER_K, Away, marks_away
from tapewright.field.wind import WindMiss, wind_miss
from tapewright.flight.air import Air
from tapewright.services.calibrate import Answer
from tapewright.services.equip import air_from_weather
from tapewright.services.stand_in import few_bows

STRONG_MPS = 10.8  # Beaufort 6, a strong breeze; World Meteorological Organization, Beaufort scale
SPREADS = 3.0  # of one's own dispersion, that an arrow may lie aside; common practice, no source

__all__ = [
    "FAR_K",
    "LIMBS_PER_K",
    "Air",
    "Away",
    "Blown",
    "Weather",
    "WindMiss",
    "air_away",
    "before_arrows_in",
    "meet_air",
    "meet_wind",
    "shot_temperatures",
]


@dataclass(frozen=True)
class Weather:
    """A rig in other air."""

    answer: Answer  # the calibration
    pin: int  # which pin is aimed with, 1 the first
    air: Air  # the other air
    marks: Away  # marks at home and away

    @property
    def warmer_k(self) -> float:
        """How much warmer than the nearest air in which arrows were shot. [K]"""
        away_k = self.air.temperature_k
        return warmer_than_shot(shot_temperatures(self.answer), away_k)

    @property
    def is_far(self) -> bool:
        """Whether limbs and string may shoot so differently that one near arrow comes first."""
        return abs(self.warmer_k) >= FAR_K


@dataclass(frozen=True)
class Blown:
    """A rig in wind."""

    answer: Answer  # the calibration
    cross_mps: float  # wind to the right, and from the target to the archer
    head_mps: float
    misses: WindMiss  # what it does

    @property
    def is_strong(self) -> bool:
        """Whether no archer judges such a wind well."""
        return bool(np.hypot(self.cross_mps, self.head_mps) >= STRONG_MPS)

    def stays_on(self, butt_width_m: float) -> NDArray[np.bool_]:
        """At which distances an arrow that is held off and meets a lull still hits the butt."""
        spread = {one.name: one.median for one in self.answer.estimates}["dispersion_right"]
        misses = self.misses
        side_m = np.abs(misses.right_m) + SPREADS * spread * misses.distance_m
        return np.asarray(side_m <= 0.5 * butt_width_m)


def shot_temperatures(answer: Answer) -> tuple[float, ...]:
    """Temperatures in which arrows were shot; the sheet's own before the first."""
    return ladder.shot_temperatures(answer.observations, answer.rig.air.temperature_k)


def air_away(
    home: Air,
    temperature_k: float | None = None,
    pressure_pa: float | None = None,
    sea_level_pressure_pa: float | None = None,
    altitude_m: float | None = None,
    relative_humidity: float | None = None,
) -> Air:
    """Other air; what is not said of it is as at home."""
    if pressure_pa is None and altitude_m is None:
        pressure_pa = home.pressure_pa
    return air_from_weather(
        home.temperature_k if temperature_k is None else temperature_k,
        pressure_pa,
        sea_level_pressure_pa,
        altitude_m,
        home.relative_humidity if relative_humidity is None else relative_humidity,
    )


def before_arrows_in(answer: Answer, temperature_k: float) -> Answer:
    """The same calibration before arrows in such air: how far the next may be shot, and why."""
    shot = [replace(one, air=one.air or answer.rig.air) for one in answer.observations]
    before_m = answer.posterior.calibration.evidence.prior.hit_before_m
    others = (one for one in answer.cautions if one.kind != "other air")
    today = (replace(one, subject="today") for one in air_cautions(shot, temperature_k))
    rungs = ladder.ladder_of(
        shot, answer.groups, before_m, temperature_k, broadheads=answer.ladder.broadheads
    )
    return replace(answer, ladder=rungs, cautions=(*others, *today))


def meet_air(answer: Answer, distance_m: ArrayLike, air: Air, pin: int = 1) -> Weather:
    """Marks in other air."""
    posterior = answer.posterior
    unknowns = posterior.calibration.evidence.prior.unknowns
    below_m = unknowns.pin_below(posterior.vectors, np.array([pin]))
    ratio = air.density_kg_m3 / answer.rig.air.density_kg_m3
    draws = unknowns.bow(posterior.vectors)
    marks = marks_away(draws, distance_m, ratio, below_m, answer.bands.probability)
    return Weather(answer, pin, air, marks)


def meet_wind(answer: Answer, distance_m: ArrayLike, cross_mps: float, head_mps: float) -> Blown:
    """What a steady wind does to marks for calm air."""
    bows = few_bows(answer.posterior)
    misses = wind_miss(bows, distance_m, cross_mps, head_mps, answer.bands.probability)
    return Blown(answer, cross_mps, head_mps, misses)
