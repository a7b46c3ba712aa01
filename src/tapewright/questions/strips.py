"""Strips: which strip to take: the likeliest, a neighbour, or a ready-made one.

Holds:  the question ``strips``: its fields, columns and sentences.
Never:  formulas, how a face asks and shows.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import nan
from typing import Any

from tapewright.ground.errors import BadInput
from tapewright.questions.question import Field, Question, Said
from tapewright.questions.shared_fields import APART, BETWEEN, asked_ends
from tapewright.reading.strip_side_click_tables import read_strips
from tapewright.services.calibrate import Answer
from tapewright.services.choose_strip import (
    ChosenSet,
    Neighbours,
    Ranked,
    farthest_tick,
    find_neighbours,
    rank_set,
)
from tapewright.services.stick_tape import Tape
from tapewright.words.answer_blocks import Blocks, Table
from tapewright.words.answer_columns import Column, each, joined, records, rounded, table
from tapewright.words.number_format import chance_words, told
from tapewright.words.readings_on_tape import on_sight, shown_words
from tapewright.words.strip_names import LIKELIEST, strip_names
from tapewright.words.unit_system import Units, amount, distance_words, far

STEP = Field("step", "Step", hint="How much longer and shorter the neighbours are, such as 0.5 mm.",
             measure=APART)  # fmt: skip
CLOSE_M = 1e-6
SURE = 0.8
SHOWN_STRIPS, SHOWN_ERRORS = 6, 3


@dataclass(frozen=True, slots=True)
class FoundStrips:
    """Strips of one's own, and a set that somebody made, ranked."""

    own: Neighbours  # the likeliest and its neighbours
    chosen: ChosenSet | None  # the set, if there was one


def _reading_m(found: Neighbours, strip: int) -> Any:  # noqa: ANN401 — an array
    return found.strips[strip].reading_m[0]


def _near_m(one: Ranked) -> float:
    """Distance of the tick by which a strip is stuck on."""
    return float(one.distance_m.min())


NEIGHBOURS: tuple[Column[Neighbours], ...] = (
    Column("{unit}", "", "distance_m", "distance", None),
    Column("mark mm", "", lambda it: _reading_m(it, 1), "mm", 2),
    Column("shorter mm", "", lambda it: _reading_m(it, 0) - _reading_m(it, 1), "mm", 2,
           signed=True),
    Column("impact {unit}", "", lambda it: it.impact_m[0], "miss", signed=True),
    Column("longer mm", "", lambda it: _reading_m(it, 2) - _reading_m(it, 1), "mm", 2, signed=True),
    Column("impact {unit}", "", lambda it: it.impact_m[2], "miss", signed=True),
)  # fmt: skip
# The same where a tape is on: what it shows at the ticks of each strip
ON_TAPE: tuple[Column[Neighbours], ...] = (
    NEIGHBOURS[0],
    replace(NEIGHBOURS[1], tape="alone"),
    Column("shorter mm", "", lambda it: _reading_m(it, 0), "mm", 2, tape="alone"),
    NEIGHBOURS[3],
    Column("longer mm", "", lambda it: _reading_m(it, 2), "mm", 2, tape="alone"),
    NEIGHBOURS[5],
)
# Distance, reading, impact of one strip
TICKS: tuple[Column[tuple[Any, Any, Any]], ...] = (
    Column("", "distance_{unit}", lambda it: it[0], "distance", kept=4),
    Column("", "reading_mm", lambda it: it[1], "mm", kept=4, tape="first"),
    Column("", "impact_up_{unit}", lambda it: it[2], "miss"),
)
RANKED: tuple[Column[Sequence[Ranked]], ...] = (
    Column("strip", "strip", "strip.name"),
    Column("chance", "", each(lambda one: chance_words(one.chance))),
    Column("", "chance", "chance", kept=4),
    Column("worst {unit}", "worst_{unit}", "worst_m", "miss"),
    Column("tick {unit}", "align_distance_{unit}", each(_near_m), "distance", None, 4),
    Column("at mm", "align_reading_mm", "align_m", "mm", 2, tape="first"),
    Column("", "runs_against_scale", "reversed_way"),
)
ERRORS: tuple[Column[Ranked], ...] = (
    Column("", "distance_{unit}", "distance_m", "distance", kept=4),
    Column("", "error_up_{unit}", "error_m", "miss"),
)


def _ask(answer: Answer, said: Said, units: Units) -> FoundStrips:
    ends_m, step_m = asked_ends(answer, said, units), said.quantity_if_said(STEP)
    distances_m = said.distances("distances", QUESTION.usual("distances", units))
    own = find_neighbours(answer, distances_m, ends_m, step_m)
    return FoundStrips(own, _chosen(answer, said))


def _chosen(answer: Answer, said: Said) -> ChosenSet | None:
    """A set of strips, ranked; None without one."""
    text = said.texts.get("set") or ""
    if not text:
        return None
    strips_of = read_strips(text.replace("\r\n", "\n"), said.place("set"))
    farthest_m = said.distance("to", "") if said.text("to") else farthest_tick(strips_of)
    short = [one.name for one in strips_of if (one.distance_m <= farthest_m + CLOSE_M).sum() < 2]
    if short:
        wrong = f"strip {short[0]} has fewer than two ticks up to there"
        raise BadInput(said.place("to"), wrong, "Ask for a farther distance")
    return rank_set(answer, strips_of, farthest_m)


def _tell(found: FoundStrips, units: Units) -> Blocks:
    """The likeliest strip, its neighbours, and a set of ready-made ones, ranked."""
    own, chosen = found.own, found.chosen
    tape = own.answer.tape
    mine = (neighbours_table(own, units, tape), neighbour_words(own, units))
    if chosen is None:
        return mine
    return (*mine, "", set_table(chosen, units), errors_table(chosen, units),
            set_words(chosen, units))  # fmt: skip


def neighbours_table(found: Neighbours, units: Units, tape: Tape | None = None) -> Table:
    """What taking a neighbour changes at each distance."""
    columns = on_sight(NEIGHBOURS if tape is None else ON_TAPE, tape, at="distance_m")
    return table("Neighbouring strips: what each changes", columns, found, units)


def set_table(chosen: ChosenSet, units: Units) -> Table:
    """Ready-made strips, best first."""
    title, ranked = "Ready-made strips, best first", chosen.ranked
    if len(ranked) > SHOWN_STRIPS:
        title = f"The best {SHOWN_STRIPS} of {len(ranked)} ready-made strips"
    columns = on_sight(RANKED, chosen.answer.tape)
    return table(title, columns, ranked[:SHOWN_STRIPS], units)


def errors_table(chosen: ChosenSet, units: Units) -> Table:
    """Impact that the best strips leave at each distance."""
    best = chosen.ranked[:SHOWN_ERRORS]
    distances_m = sorted({float(tick) for one in best for tick in one.distance_m})
    columns: list[Column[None]] = [Column("{unit}", "", distances_m, "distance", None)]
    for one in best:
        left = dict(zip(one.distance_m.tolist(), one.error_m.tolist(), strict=True))
        left_m = [left.get(distance, nan) for distance in distances_m]
        columns.append(Column(f"strip {one.strip.name}", "", left_m, "miss", 2, signed=True))
    return table(f"Impact that the best leave, up ({units.miss})", columns, None, units)


def neighbour_words(found: Neighbours, units: Units) -> str:
    """How to tell three strips apart, as sentences."""
    near, farther = (far(end, units) for end in found.ends_m)
    lengths_mm = [1e3 * strip.length_m for strip in found.strips]
    shorter, _, longer = strip_names(lengths_mm)
    lengths = ", ".join(told(one, 2) for one in lengths_mm)
    return (
        f"Strips {shorter}, {LIKELIEST} and {longer}: from {near} to {farther} {units.distance} "
        f"{lengths} mm. All share the {near} {units.distance} mark. Far arrows high: take "
        f"{shorter}; low: {longer}."
    )


def align_words(
    best: Ranked, units: Units, *, is_zeroed: bool, answer: Answer | None = None
) -> str:
    """Where to stick a ready-made strip, as sentences."""
    near = distance_words(_near_m(best), units)
    how = f"Zero the bow at {near}, then stick that tick under the pointer."
    if is_zeroed:
        at = f"{told(1e3 * best.align_m, 2)} mm"
        if (
            answer is not None
            and answer.tape
            and (shown := shown_words(answer.tape, best.align_m, at_m=_near_m(best)))
        ):
            at = f"{shown} of the tape that is on ({at})"
        how = f"Stick it so that its {near} tick stands at {at}."
    if best.reversed_way:
        how += " Its positions run against your scale's numbers: far ticks go the other way."
    return how


def set_words(chosen: ChosenSet, units: Units) -> str:
    """Which strip of a set to take, as sentences."""
    best = chosen.ranked[0]
    farthest = distance_words(chosen.farthest_m, units)
    take = (
        f"Take strip {best.strip.name}: the best of the set with {chance_words(best.chance)} "
        f"chance; up to {farthest} it leaves at most {amount(best.worst_m, units.miss)}. "
        + align_words(best, units, is_zeroed=bool(chosen.answer.observations), answer=chosen.answer)
    )
    if not chosen.best_is_good:
        tolerance = amount(chosen.answer.rig.archer.tolerance_m, units.miss)
        bad = f"That is more than your {tolerance}: no strip of this set will do; print your own."
        return f"{take} {bad}"
    if best.chance < SURE and len(chosen.ranked) > 1:
        other = chosen.ranked[1].strip.name
        return f"{take} Strip {other} may be the better one: shoot a far group and ask again."
    return take


def _write(found: FoundStrips, units: Units) -> dict[str, Any]:
    own, chosen, unit = found.own, found.chosen, units.distance
    names = strip_names([1e3 * strip.length_m for strip in own.strips])
    return {
        "schema": "tapewright.strips/1",
        "rig": own.answer.rig.name,
        "fingerprint": own.answer.fingerprint,
        f"near_{unit}": rounded(own.ends_m[0], unit, 4),
        f"far_{unit}": rounded(own.ends_m[1], unit, 4),
        "strips": [
            {
                "strip": name,
                "check_length_mm": rounded(strip.length_m, "mm"),
                "span_mm": rounded(strip.length_m, "mm"),  # by the name of earlier versions
                "marks": records(TICKS, (own.distance_m, strip.reading_m[0], impacts), units),
            }
            for name, strip, impacts in zip(names, own.strips, own.impact_m, strict=True)
        ],
        **({} if chosen is None else {"set": _set_json(chosen, units)}),
    }


def _set_json(chosen: ChosenSet, units: Units) -> dict[str, Any]:
    errors = [{"errors": records(ERRORS, one, units)} for one in chosen.ranked]
    return {
        f"to_{units.distance}": rounded(chosen.farthest_m, units.distance, 4),
        "good_enough": chosen.best_is_good,
        "ranked": joined(records(RANKED, chosen.ranked, units), errors),
    }


QUESTION = Question(
    "strips", "Strips",
    "The likeliest strip between its two neighbours: what each would change. Or paste a table of "
    "ready-made strips and see which one fits, where to stick it, and what it leaves. Two zeroed "
    "marks are enough for that.",
    (
        Field("distances", "Distances", "20:100:10yd", "20:100:10m", "Where marks are wanted."),
        BETWEEN,
        STEP,
        Field(
            "set", "Ready-made strips", hint="Rows of strip,distance_yd,position_mm.", is_file=True
        ),
        Field("to", "Wanted to", hint="Farther ticks of the set do not count, such as 80 yd."),
    ),
    _ask, _tell, _write,
    more="Two zeroed marks are rows of SHOTS.csv with right and up left empty. A set is ranked by "
    "the chance that each strip is its best.", shelf="check",
)  # fmt: skip
