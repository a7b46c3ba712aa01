"""Outdoors: questions of the day: slopes, other air, wind.

Holds:  the errands ``slopes``, ``weather`` and ``wind``.
Never:  formulas, sentences that people read as an answer.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from tapewright.faces.outdoors_json import slopes_json, weather_json, wind_json
from tapewright.faces.telling.outdoors import slopes_blocks, weather_blocks, wind_blocks
from tapewright.ground.errors import BadInput, OutsideValidRange
from tapewright.questions.butt import read_butt
from tapewright.questions.pin import PIN, asked_pin
from tapewright.questions.question import Field, Question, Said
from tapewright.services.calibrate import Answer
from tapewright.services.meet_weather import Air, Blown, Weather, air_away, meet_air, meet_wind
from tapewright.services.table_slopes import Slopes, table_slopes
from tapewright.words.blocks import Blocks
from tapewright.words.quantities import read_number, read_quantity
from tapewright.words.unit_names import Kind, quoted
from tapewright.words.units import Units

USUAL_SLOPES = "15,30,45,60"
MOST_SLOPES, STEEPEST_DEG = 12, 60.0
MOST_WIND_MPS = 20.0
SPOT_ENDS = (0.5, 200.0, "cm")
# Field, what air_away calls it, kind, example.
AIR: tuple[tuple[str, str, Kind, str], ...] = (
    ("temperature", "temperature_k", "temperature", "15 °C"),
    ("pressure", "pressure_pa", "pressure", "850 hPa"),
    ("sea_level_pressure", "sea_level_pressure_pa", "pressure", "1013 hPa"),
    ("altitude", "altitude_m", "length", "1800 m"),
    ("humidity", "relative_humidity", "fraction", "30 %"),
)


@dataclass(frozen=True, slots=True)
class HeldOff:
    """What a wind does, beside the width of what is aimed at."""

    blown: Blown  # the wind and its misses
    spot_m: float  # width of the spot, and of what stops the arrow
    butt_width_m: float


def _find_slopes(answer: Answer, said: Said, units: Units) -> Slopes:
    steep_deg = _slopes(said)
    distances_m = said.distances("distances", SLOPES.usual("distances", units))
    both = [*(-one for one in reversed(steep_deg)), *steep_deg]
    return table_slopes(answer, np.radians(both), distances_m, asked_pin(answer, said))


def _slopes(said: Said) -> list[float]:
    """Degrees as typed, each more than zero, growing."""
    text, place = said.text("slopes") or USUAL_SLOPES, said.place("slopes")
    bare = [one.strip().removesuffix("deg").removesuffix("°") for one in text.split(",")]
    found = [read_number(one, place, "15,30,45") for one in bare]
    if not all(0.0 < one <= STEEPEST_DEG for one in found):
        wrong = f"{quoted(text)} holds a slope that is not more than 0 and at most 60 degrees"
        mend = "Write such as 15,30,45: each is taken up and down hill"
        raise BadInput(place, wrong, mend)
    if len(found) > MOST_SLOPES:
        wrong = f"{quoted(text)} holds {len(found)} slopes"
        raise BadInput(place, wrong, f"Write at most {MOST_SLOPES}, such as 15,30,45")
    return sorted(set(found))


def _meet_weather(answer: Answer, said: Said, units: Units) -> Weather:
    away = _air(answer, said)
    distances_m = said.distances("distances", WEATHER.usual("distances", units))
    return meet_air(answer, distances_m, away, asked_pin(answer, said))


def _refuse_contradictions(said: Said) -> None:
    """Refuse pressures that say nothing, or two things."""
    place = said.place
    if not any(said.text(name) for name, *_ in AIR):
        some = ", ".join(place(one) for one in ("temperature", "altitude"))
        wrong, mend = "nothing is said of the air away", f"Add {some} or {place('pressure')}"
        raise BadInput("weather", wrong, mend)
    if said.text("sea_level_pressure") and not said.text("altitude"):
        wrong = "it says nothing without the altitude of the place"
        mend = f'Add {place("altitude")}, such as "1800 m"'
        raise BadInput(place("sea_level_pressure"), wrong, mend)
    for other in ("sea_level_pressure", "altitude"):
        if said.text("pressure") and said.text(other):
            spoken = place(other).replace("_", " ")
            wrong = f"pressure on the spot leaves nothing for {spoken} to say"
            mend = (
                f"Keep {place('pressure')} if a barometer showed it on the spot, else leave it out"
            )
            raise BadInput(place("pressure"), wrong, mend)


def _air(answer: Answer, said: Said) -> Air:
    """The air away, or a refusal that names the field."""
    _refuse_contradictions(said)
    typed = {
        known_as: read_quantity(said.text(name), kind, said.place(name), example)
        for name, known_as, kind, example in AIR
        if said.text(name)
    }
    try:
        return air_away(answer.rig.air, **typed)
    except OutsideValidRange as outside:
        name = outside.quantity.split()[-1].casefold()
        if name == "pressure" and said.text("altitude"):
            name = "altitude"
        wrong = (
            f"{outside.quantity.lower()} comes to {outside.value:.4g} {outside.unit}, and nobody "
            f"shoots outside {outside.low:g} to {outside.high:g} {outside.unit}"
        )
        raise BadInput(said.place(name), wrong, "Check the number and its unit") from None


def _meet_wind(answer: Answer, said: Said, units: Units) -> HeldOff:
    head_mps = _wind(said, "head", "0 mph")
    calm_or_usual = "0 mph" if said.text("head") else WIND.usual("cross", units)
    cross_mps = _wind(said, "cross", calm_or_usual)
    if cross_mps == 0.0 and head_mps == 0.0:
        raise BadInput(said.place("cross"), "no wind blows", 'Write such as "10 mph", or "5 m/s"')
    spot_m = said.quantity("spot", "length", WIND.usual("spot", units), SPOT_ENDS)
    distances_m = said.distances("distances", WIND.usual("distances", units))
    butt = read_butt(said, WIND.usual("butt", units))
    return HeldOff(meet_wind(answer, distances_m, cross_mps, head_mps), spot_m, butt.width_m)


def _wind(said: Said, name: str, usual: str) -> float:
    text, place = said.text(name) or usual, said.place(name)
    speed_mps = read_quantity(text, "speed", place, "10 mph")
    if abs(speed_mps) > MOST_WIND_MPS:
        wrong = f"{quoted(text)} is a gale in which nobody shoots"
        raise BadInput(place, wrong, 'Write 20 m/s or less, such as "10 mph"')
    return speed_mps


def _tell_wind(found: HeldOff, units: Units) -> Blocks:
    return wind_blocks(found.blown, units, found.spot_m, found.butt_width_m)


def _write_wind(found: HeldOff, units: Units) -> dict[str, Any]:
    return wind_json(found.blown, units, found.spot_m, found.butt_width_m)


SLOPES = Question(
    "slopes",
    "Slopes",
    "What to dial up and down hill: the level distance whose mark serves, and the reading itself, "
    "beside the rule of thumb and its error.",
    (
        Field("distances", "Distances", "10:80:10yd", "10:70:10m", "Along the line of sight."),
        Field(
            "slopes",
            "Slopes",
            USUAL_SLOPES,
            hint="Degrees, at most 60; each is taken up and down hill.",
        ),
        PIN,
    ),
    _find_slopes,
    slopes_blocks,
    slopes_json,
)

WEATHER = Question(
    "weather",
    "Weather",
    "Marks in other air beside those at home, and how much it matters. What is not said of the "
    "air away is taken as at home.",
    (
        Field("temperature", "Temperature", hint="Of the air away, such as -5 °C or 30 °F."),
        Field("altitude", "Altitude", hint="Of the place, such as 1800 m or 6000 ft."),
        Field("pressure", "Pressure", hint="As a barometer on the spot shows it, such as 850 hPa."),
        Field(
            "sea_level_pressure",
            "Pressure at sea level",
            hint="A weather report's figure; needs the altitude.",
        ),
        Field("humidity", "Humidity", hint="Such as 30 %."),
        Field("distances", "Distances", "10:100:10yd", "10:90:10m", "Where marks are wanted."),
        PIN,
    ),
    _meet_weather,
    weather_blocks,
    weather_json,
    needs=tuple(name for name, *_ in AIR),
)

WIND = Question(
    "wind",
    "Wind",
    "How far to hold off, in lengths and in widths of the spot; and what a head or tail wind does.",
    (
        Field("cross", "Wind across", "10 mph", "5 m/s", "To your right more than zero."),
        Field("head", "Head wind", hint="In your face more than zero. Left open: none."),
        Field("spot", "Spot", "4 in", "10 cm", "Width of what you aim at."),
        Field("butt", "Butt", "36x36 in", "90x90 cm", "Width x height of what stops the arrow."),
        Field("distances", "Distances", "20:100:10yd", "20:90:10m", "Where it is wanted."),
    ),
    _meet_wind,
    _tell_wind,
    _write_wind,
)
