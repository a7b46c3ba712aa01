"""Budget: which error costs how much at a distance, and what to improve first.

Holds:  the question ``budget``: its fields, how one's own errors are read, columns, sentences.
Never:  formulas, how a face asks and shows.
"""

import re
from math import sqrt
from typing import Any

from tapewright.questions.question import Field, Measure, Question, Said
from tapewright.services.calibrate import Answer
from tapewright.services.equip import Rig, kind_of
from tapewright.services.weigh_errors import Budget, Errors, weigh_errors
from tapewright.words.answer_blocks import Blocks, Mind
from tapewright.words.answer_columns import Column, each, records, rounded, table
from tapewright.words.cautions import mark_cautions
from tapewright.words.quantity_parser import read_quantity
from tapewright.words.trust_sentences import head_json
from tapewright.words.unit_spellings import Kind, quoted
from tapewright.words.unit_system import Units, amount, distance_words

# Name of an error: what it is called, and what makes it smaller
ERRORS = {
    "distance": ("wrong distance", "measure distances, or practise judging them"),
    "cant": ("cant", "watch the bubble, or level the sight: see “level”"),
    "peep": ("eye in the peep", "a smaller peep, or one that matches the housing's ring"),
    "wind": ("wind misjudged", "learn to read the wind: see “wind”"),
    "slope": ("slope misjudged", "measure slopes: see “slopes”"),
    "temperature": ("other air", "marks for the day's air: see “weather”"),
    "arrow speed": ("speed from arrow to arrow", "match arrows by weight"),
    "dispersion": ("dispersion", "practice, and arrows that match"),
    "wobble": (
        "wobble from group to group", "practice: the same grip, anchor and stance each time"
    ),
    "tape": ("band of the tape", "more groups: plan what to shoot next"),
    "together": ("all together", ""),
}  # fmt: skip

WITHOUT_PEEP = ("eye beside the string", "the string seen at the same place in every shot")


def error_words(name: str, rig: Rig) -> tuple[str, str]:
    """What an error is called, and what makes it smaller, in the words of a rig's bow."""
    if name == "peep" and kind_of(rig.bow) != "compound":
        return WITHOUT_PEEP
    return ERRORS[name]


def _difference(text: str, kind: Kind, place: str, example: str) -> float:
    """A difference of temperatures as typed: 8 K, 8 °C and 14 °F are the same. [K]"""
    warm, cold = (
        read_quantity(one, kind, place, example)
        for one in (text, re.sub(r"[0-9]+(?:[.,][0-9]+)?", "0", text, count=1))
    )
    return warm - cold


def _error(kind: Kind, most: float, example: str) -> Measure:
    """One of the archer's own errors, which is at most so much in SI."""
    read = _difference if kind == "temperature" else read_quantity
    wrong = "is less than nothing, or more than anybody errs"
    return Measure(kind, (0.0, most, ""), example, wrong, f"Write such as {quoted(example)}", read)


FIELDS = (
    Field("distance", "Error of distance", "1 m", hint="Of judging or measuring it.",
          measure=_error("length", 30.0, "1 yd")),
    Field("cant", "Cant", "0.6 deg", hint="Of holding the bow upright.",
          measure=_error("angle", 0.3, "0.6 deg")),
    Field("peep", "Eye off centre", "0.25 mm",
          hint="How far beside the peep's middle, or beside the string without one.",
          measure=_error("length", 0.01, "0.25 mm")),
    Field("wind", "Wind", "1 m/s", hint="Of judging a crosswind.",
          measure=_error("speed", 20.0, "1 m/s")),
    Field("slope", "Slope", "3 deg", hint="Of judging a slope.",
          measure=_error("angle", 0.5, "3 deg")),
    Field("temperature", "Temperature", "8 K", hint="Of the air against the tape's.",
          measure=_error("temperature", 40.0, "8 K")),
    Field("speed", "Arrow speed", "0.4 m/s", hint="From arrow to arrow.",
          measure=_error("speed", 10.0, "1.5 ft/s")),
)  # fmt: skip
AT = Field("at", "Where", "60 yd", "50 m", "One distance.", takes="DISTANCE")
COLUMNS: tuple[Column[Any], ...] = (
    Column("", "error", "name"),
    Column("left or right {unit}", "right_{unit}", "right_m", "miss", 2),
    Column("up or down {unit}", "up_{unit}", "up_m", "miss", 2),
    Column("share", "", each(lambda one: f"{100 * one.saved:.0f} %")),
    Column("", "share", "saved", kept=4),
)


def _alone(rig: Rig) -> Column[Any]:
    """Names of the errors, in the words of a rig's bow."""
    return Column("error alone", "", each(lambda one: error_words(one.name, rig)[0]))


def _ask(answer: Answer, said: Said, units: Units) -> Budget:
    sizes = zip(Errors.__dataclass_fields__, map(said.quantity_if_said, FIELDS), strict=True)
    errors = Errors(**{known_as: size for known_as, size in sizes if size is not None})
    return weigh_errors(answer, said.distance(AT.name, AT.usual_in(units)), errors)


def _tell(found: Budget, units: Units) -> Blocks:
    title = f"Miss budget at {distance_words(found.distance_m, units)}, one deviation each"
    return (
        table(title, (_alone(found.answer.rig), *COLUMNS), found.shares, units),
        *_advice(found, units),
        *map(Mind, mark_cautions(found.answer, units)),
    )


def _write(found: Budget, units: Units) -> dict[str, Any]:
    unit = units.distance
    return head_json("tapewright.budget/1", found.answer) | {
        f"distance_{unit}": rounded(found.distance_m, unit, 4),
        "errors": records(COLUMNS, found.shares, units),
        "advice": list(_advice(found, units)),
        "cautions": list(mark_cautions(found.answer, units)),
    }


def _advice(found: Budget, units: Units) -> tuple[str, ...]:
    """What costs most and what to improve first."""
    together, miss = found.shares[-1], units.miss
    where = distance_words(found.distance_m, units)
    costs = (
        f"At {where}, when all of this comes together, one arrow in three misses by more than "
        f"{amount(together.up_m, miss)} up or down; one in three by more than "
        f"{amount(together.right_m, miss)} left or right."
    )
    told = []
    for order, share in zip(("First", "Then"), found.shares[:2], strict=True):
        name, mend = error_words(share.name, found.answer.rig)
        less = f"{100.0 * (1.0 - sqrt(1.0 - share.saved)):.0f} %"
        told.append(f"{order} improve: {name} (without it misses shrink by {less}): {mend}.")
    return (costs, *told)


QUESTION = Question(
    "budget", "Miss budget",
    "Which error costs how much at a distance, and what to improve first. Each error is one "
    "standard deviation: two times in three you are better than that. Dispersion, wobble and the "
    "band of the tape come from your own arrows.",
    (AT, *FIELDS),
    _ask, _tell, _write, where="at", shelf="field", short="Budget", first=1,
)  # fmt: skip
