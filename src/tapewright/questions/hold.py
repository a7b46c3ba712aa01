"""Hold: which single reading serves the widest span of distances for a target of a given size.

Holds:  the question ``hold``: its fields, columns, sentences and cautions.
Never:  formulas, how a face asks and shows.
"""

from collections.abc import Callable
from dataclasses import dataclass
from operator import attrgetter
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tapewright.ground.units import UNITS
from tapewright.questions.question import Field, Measure, Question, Said
from tapewright.questions.shared_fields import PIN, asked_pin
from tapewright.services.calibrate import Answer
from tapewright.services.make_card import CardOrder, RangeCard, make_card
from tapewright.words.answer_blocks import Blocks, Mind
from tapewright.words.answer_columns import Column, records, rounded, table
from tapewright.words.answer_json import head_json
from tapewright.words.cautions import SAFETY, mark_cautions
from tapewright.words.marks_table import half_band_m
from tapewright.words.readings_on_tape import dial_json, dial_words, told_columns
from tapewright.words.unit_system import Units, distance_words, far, round_amount

Floats = NDArray[np.float64]
SHOWN = 5  # readings in the table, spread over the distances asked for
SIZE = Field("size", "Height of the target", "8 in", "20 cm", "Of what the arrow must hit.",
             measure=Measure("length", (0.5, 200.0, "cm")))  # fmt: skip
AIM = (
    "Aim at the middle. The arrow then lands no farther above or below it than half the target "
    "anywhere between; your own dispersion comes on top of that."
)


@dataclass(frozen=True, slots=True)
class Hold:
    """Which mark serves how far, at each distance looked at."""

    card: RangeCard
    size_m: float  # from the upper edge of the target to the lower
    best: int  # place of the mark that serves the widest span

    @property
    def shown(self) -> list[int]:
        """Places told in the table: some of them, the best among them."""
        spread = np.linspace(0, len(self.card.marks.distance_m) - 1, SHOWN).round().astype(int)
        return sorted({*spread.tolist(), self.best})


def _shown(values: Callable[[RangeCard], Floats]) -> Callable[[Hold], Floats]:
    return lambda found: np.asarray(values(found.card))[found.shown]


def _spans_m(card: RangeCard) -> Floats:
    return card.flight.hold_far_m - card.flight.hold_near_m


COLUMNS: tuple[Column[Hold], ...] = (
    Column("mark for {unit}", "distance_{unit}", _shown(attrgetter("marks.distance_m")),
           "distance", None, 4),
    Column("reading mm", "reading_mm", _shown(attrgetter("marks.reading_m")), "mm", tape="first",
           half=_shown(lambda card: half_band_m(card.marks))),
    Column("from {unit}", "from_{unit}", _shown(attrgetter("flight.hold_near_m")), "distance",
           kept=2),
    Column("to {unit}", "to_{unit}", _shown(attrgetter("flight.hold_far_m")), "distance", kept=2),
    Column("serves {unit}", "serves_{unit}", _shown(_spans_m), "distance", kept=2),
)  # fmt: skip


def _ask(answer: Answer, said: Said, units: Units) -> Hold:
    size_m = said.quantity(SIZE, units)
    distances_m = said.distances("distances", QUESTION.usual("distances", units))
    pin, unit_m = asked_pin(answer, said), UNITS[units.distance].factor
    card = make_card(answer, CardOrder(distances_m, 0.5 * size_m, pin, unit_m))
    return Hold(card, size_m, int(np.nanargmax(_spans_m(card))))


def _tell(found: Hold, units: Units) -> Blocks:
    size = round_amount(found.size_m, units.miss)
    faint = [place for place, row in enumerate(found.shown) if row != found.best]
    return (
        table(f"Marks that serve a target {size} high", _columns(found), found, units, faint),
        *_words(found, units),
        *map(Mind, _cautions(found, units)),
    )


def _write(found: Hold, units: Units) -> dict[str, Any]:
    card, unit, best = found.card, units.distance, found.best
    return head_json("tapewright.hold/1", card.answer) | {
        "pin": card.order.pin,
        f"size_{units.miss}": rounded(found.size_m, units.miss),
        f"distance_{unit}": rounded(card.marks.distance_m[best], unit, 4),
        "reading_mm": rounded(card.marks.reading_m[best], "mm", 4),
        **dial_json(
            card.answer.tape,
            card.marks.reading_m[best],
            card.order.pin,
            card.marks.distance_m[best],
        ),
        f"from_{unit}": rounded(card.flight.hold_near_m[best], unit, 2),
        f"to_{unit}": rounded(card.flight.hold_far_m[best], unit, 2),
        "marks": records(_columns(found), found, units),
        "cautions": [*_words(found, units), *_cautions(found, units)],
    }


def _columns(found: Hold) -> list[Column[Hold]]:
    return told_columns(COLUMNS, found.card.answer, found.card.order.pin, COLUMNS[0].values)


def _words(found: Hold, units: Units) -> tuple[str, ...]:
    """The one mark, and between where it serves."""
    card, best = found.card, found.best
    near_m, far_m = card.flight.hold_near_m[best], card.flight.hold_far_m[best]
    half_m = half_band_m(card.marks)[best]
    at_m, reading_m = card.marks.distance_m[best], card.marks.reading_m[best]
    dial = dial_words(card.answer, reading_m, half_m, card.order.pin, at_m)
    mark = distance_words(at_m, units)
    reach = f"{far(near_m, units)} to {distance_words(far_m, units)}"
    return (f"Set the sight to {dial}, the mark for {mark}: it serves from {reach}.", AIM)


def _cautions(found: Hold, units: Units) -> tuple[str, ...]:
    """How far the mark is trusted, marks that are guesses, the animal and the law."""
    card = found.card
    far_m, trusted_m = card.flight.hold_far_m[found.best], card.trusted_m
    where, is_beyond = distance_words(trusted_m, units), card.answer.is_earned and far_m > trusted_m
    beyond = f"This pin is trusted to {where} only: past that the far end is a guess."
    told = mark_cautions(card.answer, units)
    return (*([beyond] if is_beyond else []), *told, SAFETY[0], SAFETY[5])


QUESTION = Question(
    "hold", "One mark for many distances",
    "The single reading that serves the widest span of distances for a target of a given size, "
    "and between which distances each mark serves.",
    (
        SIZE,
        Field("distances", "Distances", "10:50:1yd", "9:45:1m", "Whose marks are tried."),
        PIN,
    ),
    _ask, _tell, _write, shelf="field", short="Hold", first=1,
)  # fmt: skip
