"""Strips: the question which strip to take: the likeliest, a neighbour, or a ready-made one.

Holds:  the errand ``strips``; how a span's ends are read.
Never:  formulas, sentences that people read as an answer.
"""

from dataclasses import dataclass
from typing import Any

from tapewright.faces.proving_json import strips_json
from tapewright.faces.telling.proofs import strips_blocks
from tapewright.ground.errors import BadInput
from tapewright.questions.question import Field, Question, Said
from tapewright.reading.strips import read_strips
from tapewright.services.calibrate import Answer
from tapewright.services.choose_strip import (
    ChosenSet,
    Neighbours,
    farthest_tick,
    find_neighbours,
    rank_set,
)
from tapewright.words.blocks import Blocks
from tapewright.words.quantities import read_distances, read_quantity
from tapewright.words.unit_names import quoted
from tapewright.words.units import Units

USUAL_SPAN = "20,60"
CLOSE_M = 1e-6


@dataclass(frozen=True, slots=True)
class FoundStrips:
    """Strips of one's own, and a set that somebody made, ranked."""

    own: Neighbours  # the likeliest and its neighbours
    chosen: ChosenSet | None  # the set, if there was one


def span_ends(said: Said, units: Units) -> tuple[float, float]:
    """Near and far distance between which spans are told. [m]"""
    text, place = said.text("span") or USUAL_SPAN, said.place("span")
    with_unit = text if text[-1:].isalpha() else f"{text} {units.distance}"
    ends = read_distances(with_unit, place).distances_m
    if len(ends) != 2:
        raise BadInput(
            place, f"{quoted(text)} is not two distances", "Write near and far, as 20,60"
        )
    return ends[0], ends[1]


def _step(said: Said) -> float | None:
    text, place = said.text("step"), said.place("step")
    if not text:
        return None
    step_m = read_quantity(text, "length", place, "0.5 mm")
    if step_m <= 0.0:
        raise BadInput(place, f"{quoted(text)} tells no strips apart", "Write a length as 0.5 mm")
    return step_m


def _chosen(answer: Answer, said: Said) -> ChosenSet | None:
    """A set of strips, ranked; None without one."""
    text = said.texts.get("set") or ""
    if not text:
        return None
    strips_of = read_strips(text.replace("\r\n", "\n"), said.place("set"))
    farthest_m = farthest_tick(strips_of)
    if said.text("to"):
        farthest_m = said.distance("to", "80 yd")
    short = [one.name for one in strips_of if (one.distance_m <= farthest_m + CLOSE_M).sum() < 2]
    if short:
        wrong = f"strip {short[0]} has fewer than two ticks up to there"
        raise BadInput(said.place("to"), wrong, "Ask for a farther distance")
    return rank_set(answer, strips_of, farthest_m)


def _find_strips(answer: Answer, said: Said, units: Units) -> FoundStrips:
    ends_m, step_m = span_ends(said, units), _step(said)
    distances_m = said.distances("distances", QUESTION.usual("distances", units))
    own = find_neighbours(answer, distances_m, ends_m, step_m)
    return FoundStrips(own, _chosen(answer, said))


def _blocks(found: FoundStrips, units: Units) -> Blocks:
    return strips_blocks(found.own, found.chosen, units)


def _json(found: FoundStrips, units: Units) -> dict[str, Any]:
    return strips_json(found.own, found.chosen, units)


QUESTION = Question(
    "strips",
    "Strips",
    "The likeliest strip between its two neighbours: what each would change. Or paste a table of "
    "ready-made strips and see which one fits, where to stick it, and what it leaves. Two zeroed "
    "marks are enough for that.",
    (
        Field("distances", "Distances", "20:100:10yd", "20:100:10m", "Where marks are wanted."),
        Field("span", "Span between", USUAL_SPAN, hint="Where strips are told apart: near, far."),
        Field("step", "Step", hint="Difference of the neighbours' spans, such as 0.5 mm."),
        Field("set", "Ready-made strips", hint="Rows of strip,distance_yd,position_mm."),
        Field("to", "Wanted to", hint="Farther ticks of the set do not count, such as 80 yd."),
    ),
    _find_strips,
    _blocks,
    _json,
)
