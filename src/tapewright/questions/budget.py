"""Budget: which error costs how much at a distance, and what to improve first.

Holds:  the question ``budget``: its fields, how one's own errors are read, columns, sentences.
Never:  formulas, how a face asks and shows.
"""

import re
from math import sqrt
from typing import Any

from tapewright.ground.errors import BadInput
from tapewright.questions.question import Field, Question, Said
from tapewright.services.calibrate import Answer
from tapewright.services.weigh_errors import Budget, Errors, weigh_errors
from tapewright.words.answer import head_json, mark_cautions
from tapewright.words.blocks import Blocks, Mind
from tapewright.words.columns import Column, records, rounded, table
from tapewright.words.quantities import read_quantity
from tapewright.words.unit_names import Kind, quoted
from tapewright.words.units import Units, amount, distance_words

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
ERROR_NAMES = {
    "distance": "wrong distance",
    "cant": "cant",
    "peep": "eye in the peep",
    "wind": "wind misjudged",
    "slope": "slope misjudged",
    "temperature": "other air",
    "arrow speed": "speed from arrow to arrow",
    "dispersion": "dispersion",
    "wobble": "wobble from group to group",
    "tape": "band of the tape",
    "together": "all together",
}
ERROR_MENDS = {
    "distance": "measure distances, or practise judging them",
    "cant": "watch the bubble, or level the sight: see “level”",
    "peep": "a smaller peep, or one that matches the housing's ring",
    "wind": "learn to read the wind: see “wind”",
    "slope": "measure slopes: see “slopes”",
    "temperature": "marks for the day's air: see “weather”",
    "arrow speed": "match arrows by weight",
    "dispersion": "practice, and arrows that match",
    "wobble": "practice: the same grip, anchor and stance each time",
    "tape": "more groups: plan what to shoot next",
}
AT = Field("at", "Where", "60 yd", "50 m", "One distance.", takes="DISTANCE")
COLUMNS: tuple[Column[Budget], ...] = (
    Column("error alone", "", lambda it: [ERROR_NAMES[one.name] for one in it.shares]),
    Column("", "error", lambda it: [one.name for one in it.shares]),
    Column("left or right {unit}", "right_{unit}", lambda it: [one.right_m for one in it.shares],
           "miss", 2),
    Column("up or down {unit}", "up_{unit}", lambda it: [one.up_m for one in it.shares], "miss", 2),
    Column("share", "", lambda it: [f"{100 * one.saved:.0f} %" for one in it.shares]),
    Column("", "share", lambda it: [one.saved for one in it.shares], kept=4),
)  # fmt: skip


def _ask(answer: Answer, said: Said, units: Units) -> Budget:
    return weigh_errors(answer, said.distance("at", AT.usual_in(units)), _errors(said))


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


def _tell(found: Budget, units: Units) -> Blocks:
    title = f"Miss budget at {_where(found, units)}, one deviation each"
    return (
        table(title, COLUMNS, found, units),
        *_advice(found, units),
        *map(Mind, mark_cautions(found.answer, units)),
    )


def _write(found: Budget, units: Units) -> dict[str, Any]:
    unit = units.distance
    return head_json("tapewright.budget/1", found.answer) | {
        f"distance_{unit}": rounded(found.distance_m, unit, 4),
        "errors": records(COLUMNS, found, units),
        "advice": list(_advice(found, units)),
        "cautions": list(mark_cautions(found.answer, units)),
    }


def _where(found: Budget, units: Units) -> str:
    return distance_words(found.distance_m, units)


def _advice(found: Budget, units: Units) -> tuple[str, ...]:
    """What costs most and what to improve first."""
    together, miss = found.shares[-1], units.miss
    costs = (
        f"At {_where(found, units)}, when all of this comes together, one arrow in three misses by "
        f"more than {amount(together.up_m, miss)} up or down; one in three by more than "
        f"{amount(together.right_m, miss)} left or right."
    )
    mends = (
        f"{order} improve: {ERROR_NAMES[share.name]} (without it misses shrink by "
        f"{100.0 * (1.0 - sqrt(1.0 - share.saved)):.0f} %): {ERROR_MENDS[share.name]}."
        for order, share in zip(("First", "Then"), found.shares[:2], strict=True)
    )
    return (costs, *mends)


QUESTION = Question(
    "budget",
    "Miss budget",
    "Which error costs how much at a distance, and what to improve first. Each error is one "
    "standard deviation: two times in three you are better than that. Dispersion, wobble and the "
    "band of the tape come from your own arrows.",
    (
        AT,
        Field("distance", "Error of distance", "1 m", hint="Of judging or measuring it."),
        Field("cant", "Cant", "0.6 deg", hint="Of holding the bow upright."),
        Field("peep", "Eye in the peep", "0.25 mm", hint="How far beside its middle."),
        Field("wind", "Wind", "1 m/s", hint="Of judging a crosswind."),
        Field("slope", "Slope", "3 deg", hint="Of judging a slope."),
        Field("temperature", "Temperature", "8 K", hint="Of the air against the tape's."),
        Field("speed", "Arrow speed", "0.4 m/s", hint="From arrow to arrow."),
    ),
    _ask,
    _tell,
    _write,
    where="at",
    shelf="field",
    short="Budget",
    first=1,
)
