"""Budget: the question which error costs how much, and what to improve first.

Holds:  the errand ``budget``; how one's own errors are read.
Never:  formulas, sentences that people read as an answer.
"""

import re

from tapewright.faces.budget_json import budget_json
from tapewright.faces.telling.budget import budget_blocks
from tapewright.ground.errors import BadInput
from tapewright.questions.question import Field, Question, Said
from tapewright.services.calibrate import Answer
from tapewright.services.weigh_errors import Budget, Errors, weigh_errors
from tapewright.words.quantities import read_quantity
from tapewright.words.unit_names import Kind, quoted
from tapewright.words.units import Units

# Field, kind, largest sensible value in SI, an example.
LIMITS: tuple[tuple[str, Kind, float, str], ...] = (
    ("distance", "length", 30.0, "1 yd"),
    ("cant", "angle", 0.3, "0.6 deg"),
    ("peep", "length", 0.01, "0.25 mm"),
    ("wind", "speed", 20.0, "1 m/s"),
    ("slope", "angle", 0.5, "3 deg"),
    ("temperature", "temperature", 40.0, "8 K"),
    ("speed", "speed", 10.0, "1.5 ft/s"),
)


def _weigh(answer: Answer, said: Said, units: Units) -> Budget:
    return weigh_errors(answer, said.distance("at", QUESTION.usual("at", units)), _errors(said))


def _errors(said: Said) -> Errors:
    """The archer's own errors as typed; what is not said stays as is usual."""
    known_as = Errors.__dataclass_fields__
    found: dict[str, float] = {}
    for (name, kind, most, example), field in zip(LIMITS, known_as, strict=True):
        text, place = said.text(name), said.place(name)
        if not text:
            continue
        read = _difference if kind == "temperature" else read_quantity
        value = read(text, kind, place, example)
        if not 0.0 <= value <= most:
            wrong = f"{quoted(text)} is less than nothing, or more than anybody errs"
            raise BadInput(place, wrong, f"Write such as {quoted(example)}")
        found[field] = value
    return Errors(**found)


def _difference(text: str, kind: Kind, place: str, example: str) -> float:
    """A difference of temperatures as typed: 8 K, 8 °C and 14 °F are the same. [K]"""
    warm, cold = (
        read_quantity(one, kind, place, example)
        for one in (text, re.sub(r"[0-9]+(?:[.,][0-9]+)?", "0", text, count=1))
    )
    return warm - cold


QUESTION = Question(
    "budget",
    "Miss budget",
    "Which error costs how much at a distance, and what to improve first. Each error is one "
    "standard deviation: two times in three you are better than that. Dispersion, wobble and the "
    "band of the tape come from your own arrows.",
    (
        Field("at", "Where", "60 yd", "50 m", "One distance."),
        Field("distance", "Error of distance", "1 m", hint="Of judging or measuring it."),
        Field("cant", "Cant", "0.6 deg", hint="Of holding the bow upright."),
        Field("peep", "Eye in the peep", "0.25 mm", hint="How far beside its middle."),
        Field("wind", "Wind", "1 m/s", hint="Of judging a crosswind."),
        Field("slope", "Slope", "3 deg", hint="Of judging a slope."),
        Field("temperature", "Temperature", "8 K", hint="Of the air against the tape's."),
        Field("speed", "Arrow speed", "0.4 m/s", hint="From arrow to arrow."),
    ),
    _weigh,
    budget_blocks,
    budget_json,
    where="at",
)
