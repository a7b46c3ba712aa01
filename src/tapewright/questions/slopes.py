"""Slopes: what to dial up and down hill, beside the rule of thumb and its error.

Holds:  the question ``slopes``: its fields, tables, sentences and cautions.
Never:  formulas, how a face asks and shows.
"""

from dataclasses import replace
from typing import Any

import numpy as np

from tapewright.ground.errors import BadInput
from tapewright.questions.question import Field, Question, Said
from tapewright.questions.shared_fields import PIN, asked_pin
from tapewright.services.calibrate import Answer
from tapewright.services.stick_tape import Tape
from tapewright.services.table_slopes import Slopes, table_slopes
from tapewright.words.answer_blocks import Blocks, Mind, Table
from tapewright.words.answer_columns import Column, rounded, table
from tapewright.words.answer_json import head_json
from tapewright.words.cautions import SAFETY, mark_cautions
from tapewright.words.number_format import told
from tapewright.words.quantity_parser import read_number
from tapewright.words.readings_on_tape import OFF, dial_json, near_tick, shown_m
from tapewright.words.unit_spellings import quoted
from tapewright.words.unit_system import Units, amount, far

USUAL_SLOPES = "15,30,45,60"
MOST_SLOPES, STEEPEST_DEG = 12, 60.0
HOW = (
    "Uphill is more than zero. Dial the mark for the distance in the table, not for the one "
    "measured along the line of sight."
)
ON_TAPE = "Uphill is more than zero. Dial what the table says, not what was measured on the slope."
LOW = "“low” means: the mark is lower than any level mark; dial the reading itself."
LOW_ON_TAPE = (
    "“low” means: the mark is lower than the tape goes. Set its {tick}, and go on past its end by "
    "as many mm as the reading in the second table is below {at} mm."
)
BODY = (
    "On a slope bend at the hips: an upper body that leans changes draw length and anchor, and no "
    "table knows by how much."
)
UPHILL = "Uphill a miss flies far: look what lies behind and above the target."


def _ask(answer: Answer, said: Said, units: Units) -> Slopes:
    steep_deg = _slopes(said)
    distances_m = said.distances("distances", QUESTION.usual("distances", units))
    both = [*(-slope for slope in reversed(steep_deg)), *steep_deg]
    return table_slopes(answer, np.radians(both), distances_m, asked_pin(answer, said))


def _slopes(said: Said) -> list[float]:
    """Degrees as typed, each more than zero, growing."""
    text, place = said.text("slopes") or USUAL_SLOPES, said.place("slopes")
    bare = [part.strip().removesuffix("deg").removesuffix("°") for part in text.split(",")]
    slopes = [read_number(part, place, "15,30,45") for part in bare]
    if not all(0.0 < slope <= STEEPEST_DEG for slope in slopes):
        wrong = f"{quoted(text)} holds a slope that is not more than 0 and at most 60 degrees"
        mend = "Write such as 15,30,45: each is taken up and down hill"
        raise BadInput(place, wrong, mend)
    if len(slopes) > MOST_SLOPES:
        wrong = f"{quoted(text)} holds {len(slopes)} slopes"
        raise BadInput(place, wrong, f"Write at most {MOST_SLOPES}, such as 15,30,45")
    return sorted(set(slopes))


def _tell(found: Slopes, units: Units) -> Blocks:
    unit, miss, by_slope = units.distance, units.miss, found.table
    slopes = [f"{told(slope, 0, signed=True)}°" for slope in np.degrees(by_slope.slope_rad)]
    where: Column[Slopes] = Column("{unit}", "", "table.distance_m", "distance", None)

    def matrix(title: str, cells: Any, of: str, *, signed: bool = False) -> Table:  # noqa: ANN401 — an array
        both = zip(slopes, cells, strict=True)
        columns = (Column(slope, "", row, of, signed=signed, none=OFF) for slope, row in both)
        return table(title, (where, *columns), found, units)

    tape, readings_m = found.answer.tape, by_slope.reading_m
    if tape is None:
        dial = matrix(f"Dial the mark for, {unit}", by_slope.dial_m, "distance")
    else:
        dial = matrix(f"Dial on the tape, {tape.unit}", _shown(found, tape), tape.unit)
    is_low = np.isnan(by_slope.dial_m.T)  # a distance a row
    low = tuple(
        (row[0], *("low" if none else cell for cell, none in zip(row[1:], lows, strict=True)))
        for row, lows in zip(dial.rows, is_low, strict=True)
    )
    thumb = f"Miss of the rule of thumb (dial the horizontal distance), {miss}: high is more than 0"
    return (
        replace(dial, rows=low),
        matrix("Reading, mm", readings_m, "mm"),
        matrix(thumb, found.rule.miss_m, "miss", signed=True),
        *_notes(found, units),
        *map(Mind, _cautions(found, units)),
    )


def _shown(found: Slopes, tape: Tape) -> list[list[float]]:
    """What the tape shows at each reading. [m]"""
    return [[shown_m(tape, one, found.pin) for one in row] for row in found.table.reading_m]


def _write(found: Slopes, units: Units) -> dict[str, Any]:
    unit, miss, by_slope, rule = units.distance, units.miss, found.table, found.rule
    return head_json("tapewright.slopes/1", found.answer) | {
        "pin": found.pin,
        "slopes": [
            {
                "slope_deg": round(float(np.degrees(slope)), 4),
                "marks": [
                    {
                        f"distance_{unit}": rounded(distance, unit, 4),
                        "reading_mm": rounded(by_slope.reading_m[here], "mm"),
                        **dial_json(found.answer.tape, by_slope.reading_m[here], found.pin),
                        f"dial_{unit}": rounded(by_slope.dial_m[here], unit, 2),
                        f"horizontal_{unit}": rounded(rule.dial_m[here], unit, 2),
                        f"horizontal_miss_{miss}": rounded(rule.miss_m[here], miss),
                        f"uncorrected_miss_{miss}": rounded(rule.uncorrected_m[here], miss),
                    }
                    for column, distance in enumerate(by_slope.distance_m)
                    for here in [(row, column)]
                ],
            }
            for row, slope in enumerate(by_slope.slope_rad)
        ],
        "cautions": [*_notes(found, units), *_cautions(found, units)],
    }


def _notes(found: Slopes, units: Units) -> tuple[str, ...]:
    """How to read it, where the rule of thumb fails, what no table knows."""
    low = () if np.isfinite(found.table.dial_m).all() else (_low_words(found),)
    miss = found.rule.miss_m
    row, column = np.unravel_index(int(np.argmax(np.abs(miss))), miss.shape)
    slope = told(np.degrees(found.table.slope_rad[row]), 0, signed=True)
    distance = f"{far(found.table.distance_m[column], units)} {units.distance}"
    worst = miss[row, column]
    way = "high" if worst > 0.0 else "low"
    rule = (
        f"The rule “dial the horizontal distance” is worst here at {distance}, {slope}°: "
        f"{amount(abs(worst), units.miss)} {way}. It forgets the eye above the arrow, and that "
        "gravity slows an arrow uphill and helps it downhill."
    )
    how = HOW if found.answer.tape is None else ON_TAPE
    return (how, *low, rule, BODY)


def _low_words(found: Slopes) -> str:
    """What “low” means: with a tape on nobody sees the reading."""
    tape, readings_m = found.answer.tape, found.table.reading_m
    if tape is None:
        return LOW
    lows_m = readings_m[np.isnan(found.table.dial_m)]
    tick, at_m = near_tick(tape, float(lows_m[0]), found.pin)
    return LOW_ON_TAPE.format(tick=tick, at=told(1e3 * at_m, 1))


def _cautions(found: Slopes, units: Units) -> tuple[str, ...]:
    return (*mark_cautions(found.answer, units), UPHILL, SAFETY[0])


QUESTION = Question(
    "slopes", "Slopes",
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
    _ask, _tell, _write, shelf="field", first=2,
)  # fmt: skip
