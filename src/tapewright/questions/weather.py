"""Weather: marks in other air beside those at home, and how much it matters.

Holds:  the question ``weather``: its fields, columns, sentences and cautions.
Never:  formulas, how a face asks and shows.
"""

from typing import Any

import numpy as np

from tapewright.ground.errors import BadInput, OutsideValidRange
from tapewright.questions.question import Field, Question, Said
from tapewright.questions.shared_fields import PIN, asked_pin
from tapewright.services.calibrate import Answer
from tapewright.services.meet_weather import Air, Weather, air_away, meet_air
from tapewright.words.answer_blocks import Blocks, Mind
from tapewright.words.answer_columns import Column, records, rounded, table
from tapewright.words.cautions import mark_cautions, warmer_words
from tapewright.words.quantity_parser import format_quantity, read_quantity
from tapewright.words.readings_on_tape import on_sight
from tapewright.words.trust_sentences import head_json
from tapewright.words.unit_spellings import Kind
from tapewright.words.unit_system import Units, amount, distance_words, round_amount

COLD = "Cold limbs may shoot slower: that is not in these marks. Read a chronograph in the cold."
SPEED_PER_K = (0.0005, 0.001)  # of arrow speed, docs/physics.md eq. (9.16)
NO_OTHER_PERCENT = 0.05  # rounds to nothing
# Field, what air_away calls it, kind, example.
AIR: tuple[tuple[str, str, Kind, str], ...] = (
    ("temperature", "temperature_k", "temperature", "15 °C"),
    ("pressure", "pressure_pa", "pressure", "850 hPa"),
    ("sea_level_pressure", "sea_level_pressure_pa", "pressure", "1013 hPa"),
    ("altitude", "altitude_m", "length", "1800 m"),
    ("humidity", "relative_humidity", "fraction", "30 %"),
)


AWAY = ("marks.away_low_m", "marks.away_high_m")
COLUMNS: tuple[Column[Weather], ...] = (
    Column("{unit}", "distance_{unit}", "marks.distance_m", "distance", None, 4),
    Column("home mm", "home_mm", "marks.home_m", "mm", half=AWAY, tape="alone"),
    Column("away mm", "away_mm", "marks.away_m", "mm", half=AWAY, tape="first"),
    Column("band away mm", "", AWAY[0], "mm", half=AWAY, to=AWAY[1], tape="alone"),
    Column("", "away_low_mm", AWAY[0], "mm"),
    Column("", "away_high_mm", AWAY[1], "mm"),
    Column(
        "change mm",
        "",
        lambda it: it.marks.away_m - it.marks.home_m,
        "mm",
        2,
        signed=True,
        tape="not",
    ),
    Column("home mark hits {unit}", "miss_{unit}", "marks.miss_m", "miss", signed=True),
)


def _ask(answer: Answer, said: Said, units: Units) -> Weather:
    away = _air(answer, said)
    distances_m = said.distances("distances", QUESTION.usual("distances", units))
    return meet_air(answer, distances_m, away, asked_pin(answer, said))


def _refuse_contradictions(said: Said) -> None:
    """Refuse pressures that say nothing, or two things."""
    place = said.place
    if not any(said.text(name) for name, *_ in AIR):
        some = ", ".join(map(place, ("temperature", "altitude")))
        wrong, mend = "nothing is said of the air away", f"Add {some} or {place('pressure')}"
        raise BadInput("weather", wrong, mend)
    if said.text("sea_level_pressure") and not said.text("altitude"):
        wrong = "it says nothing without the altitude of the place"
        mend = f'Add {place("altitude")}, such as "1800 m"'
        raise BadInput(place("sea_level_pressure"), wrong, mend)
    for other in ("sea_level_pressure", "altitude"):
        if said.text("pressure") and said.text(other):
            spoken, here = place(other).replace("_", " "), place("pressure")
            wrong = f"pressure on the spot leaves nothing for {spoken} to say"
            mend = f"Keep {here} if a barometer showed it on the spot, else leave it out"
            raise BadInput(here, wrong, mend)


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


def _tell(found: Weather, units: Units) -> Blocks:
    pin = f", pin {found.pin}" if len(found.answer.trusted_m) > 1 else ""
    title = f"Marks at home and away{pin}; what the home mark hits away, high is more than 0"
    return (
        table(title, _columns(found), found, units),
        *_words(found, units),
        *map(Mind, _cautions(found, units)),
    )


def _write(found: Weather, units: Units) -> dict[str, Any]:
    air = found.air
    return head_json("tapewright.weather/1", found.answer) | {
        "pin": found.pin,
        "air": {
            "temperature_c": rounded(air.temperature_k, "°C", 2),
            "pressure_hpa": rounded(air.pressure_pa, "hPa", 2),
            "humidity_percent": round(100.0 * air.relative_humidity, 1),
            "density_ratio": round(found.marks.density_ratio, 5),
        },
        "warmer_c": round(found.warmer_k, 2) + 0.0,
        "near_arrow_first": found.is_far,
        "marks": records(_columns(found), found, units),
        "cautions": [*_words(found, units), *_cautions(found, units)],
    }


def _columns(found: Weather) -> list[Column[Weather]]:
    return on_sight(COLUMNS, found.answer.tape, found.pin, "marks.distance_m")


def _words(found: Weather, units: Units) -> tuple[str, ...]:
    """Density; the worst miss, or from where on the home tape no longer serves; cold limbs."""
    air, change = found.air, 100.0 * (found.marks.density_ratio - 1.0)
    density = "as dense as at home"
    if abs(change) >= NO_OTHER_PERCENT:
        density = f"{abs(change):.1f} % {'thicker' if change > 0.0 else 'thinner'} than at home"
    away = (
        f"Away: {format_quantity(air.temperature_k, '°C', 0)}, "
        f"{format_quantity(air.pressure_pa, 'hPa', 0)}, humidity "
        f"{100 * air.relative_humidity:.0f} %: air {density}."
    )
    return (away, *_serves(found, units), COLD)


def _serves(found: Weather, units: Units) -> tuple[str, ...]:
    """How far the marks of home serve; far from home limbs and string decide, not the air."""
    marks, tolerance_m = found.marks, found.answer.rig.archer.tolerance_m
    size_m = np.abs(marks.miss_m)
    off = size_m > 0.25 * tolerance_m
    place = int(np.argmax(off) if off.any() else np.argmax(size_m))
    where = distance_words(marks.distance_m[place], units)
    if off.any():
        tolerance = round_amount(tolerance_m, units.miss)
        told = f"From {where} on the marks of home miss by more than a quarter of your {tolerance}"
        return (f"{told}: dial the marks of the day there.",)
    miss = amount(size_m[place], units.miss)
    serve = f"The marks of home serve: at {where}, the worst, they miss by {miss}."
    return () if found.is_far else (serve,)


def _cautions(found: Weather, units: Units) -> tuple[str, ...]:
    """Far from home, what the air does is little."""
    known = mark_cautions(found.answer, units, in_air=False)
    if not found.is_far:
        return known
    low, high = (100.0 * share * abs(found.warmer_k) for share in SPEED_PER_K)
    limbs = (
        f"It is {warmer_words(found.warmer_k)} than where arrows were shot, and these marks count "
        f"the air alone. Limbs and string change, too: by {low:.1f} to {high:.1f} % of arrow "
        "speed, either way, as far as anybody knows. Shoot one near arrow first, and go farther "
        "only from what it shows."
    )
    return (limbs, *known)


QUESTION = Question(
    "weather", "Weather",
    "Marks in other air beside those at home, and how much it matters. What is not said of the "
    "air away is taken as at home.",
    (
        Field("temperature", "Temperature", hint="Of the air away, such as -5 °C or 30 °F."),
        Field("altitude", "Altitude", hint="Of the place, such as 1800 m or 6000 ft."),
        Field("pressure", "Pressure", hint="As a barometer on the spot shows it, such as 850 hPa."),
        Field("sea_level_pressure", "Pressure at sea level",
              hint="A weather report's figure; needs the altitude."),
        Field("humidity", "Humidity", hint="Such as 30 %."),
        Field("distances", "Distances", "10:100:10yd", "10:90:10m", "Where marks are wanted."),
        PIN,
    ),
    _ask, _tell, _write,
    needs=tuple(name for name, *_ in AIR),
    shelf="field", first=2,
)  # fmt: skip
