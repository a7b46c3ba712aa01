"""Marks: the question a calibration is made for: where to set the sight, and how far to trust it.

Holds:  the errand ``marks``, which the command line calls fit.
Never:  formulas, sentences that people read as an answer.
"""

from dataclasses import replace
from typing import Any

from tapewright.faces.answer_json import answer_json, fixed_pins_json
from tapewright.faces.telling.answers import answer_blocks
from tapewright.questions.question import Field, Question, Said
from tapewright.services.calibrate import Answer
from tapewright.services.look_up_marks import FoundMarks, look_up_marks
from tapewright.words.units import Units

GUESSED = {"yd": "10:60:10yd", "m": "10:60:10m"}  # before the first arrow


def usual_marks(answer: Answer, units: Units) -> str:
    """Distances of the marks when nobody says which."""
    if answer.posterior.is_set_by_eye:
        return GUESSED[units.distance]
    return QUESTION.usual("distances", units)


def _find_marks(answer: Answer, said: Said, units: Units) -> FoundMarks:
    distances_m = said.distances("distances", usual_marks(answer, units))
    fixed_m = said.distances("fixed_pins", "") if said.text("fixed_pins") else ()
    return look_up_marks(answer, distances_m, fixed_m)


def _write_marks(found: FoundMarks, units: Units) -> dict[str, Any]:
    first, *further = found.pins
    answer = replace(found.answer, bands=first)
    return answer_json(answer, units, tuple(further)) | fixed_pins_json(found.fixed, units)


QUESTION = Question(
    "marks",
    "Marks",
    "Where to set the sight for each distance, how far each mark can be wrong, and what does not "
    "fit.",
    (
        Field(
            "distances",
            "Distances",
            "10:120:10yd",
            "10:110:10m",
            "From:to:step, or a list such as 18,30 m.",
        ),
        Field(
            "fixed_pins",
            "Pins of a sight that does not move",
            hint="The distance of each, as 20,30,40 yd: tells where they must sit.",
        ),
    ),
    _find_marks,
    answer_blocks,
    _write_marks,
)
