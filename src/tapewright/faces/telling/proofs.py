"""Proofs: misses, causes and strips as tables and sentences.

Holds:  what ``prove`` and ``strips`` show.
Never:  computations, how a face draws it.
"""

from math import isnan

from tapewright.faces.wording_planning import chance_words
from tapewright.faces.wording_proving import (
    CAUSE_WORDS,
    accepted_words,
    dispersion_words,
    mend_words,
    neighbour_words,
    proof_cautions,
    set_words,
    size_words,
    telling_words,
    verdict_words,
)
from tapewright.services.choose_strip import ChosenSet, Neighbours
from tapewright.services.prove import Accepted, Proving
from tapewright.words.blocks import Block, Blocks, Mind, Table
from tapewright.words.quantities import in_unit
from tapewright.words.units import Units

SHOWN_CAUSES, SHOWN_STRIPS = 6, 6
LEAST_ODDS = 0.005


def _number(value: float, unit: str, decimals: int = 2) -> str:
    return "–" if isnan(value) else f"{in_unit(value, unit):+.{decimals}f}".replace("-", "−")


def _distance(distance_m: float, units: Units) -> str:
    return f"{in_unit(distance_m, units.distance):.5g}"


def misses_table(proving: Proving, units: Units) -> Table:
    """Every group against the tape, with the doubt when nothing is wrong."""
    miss = units.miss
    heads = ("group", units.distance, f"up {miss}", "± up", f"right {miss}", "± right")
    rows = tuple(
        (
            one.name,
            _distance(one.distance_m, units),
            _number(one.miss_up_m, miss),
            f"{in_unit(one.doubt_up_m, miss):.2f}" if not isnan(one.miss_up_m) else "–",
            _number(one.miss_right_m, miss),
            f"{in_unit(one.doubt_right_m, miss):.2f}" if not isnan(one.miss_right_m) else "–",
        )
        for one in proving.verdict.proofs
    )
    return Table("Misses against the tape", heads, rows)


def causes_table(proving: Proving, units: Units) -> Table:
    """Causes with their odds and sizes, likeliest first."""
    shown = [one for one in proving.verdict.causes if one.odds >= LEAST_ODDS][:SHOWN_CAUSES]
    rows = []
    for one in shown:
        at = ""
        if one.group is not None:
            at = f" at {_distance(proving.shot[one.group].distance_m, units)}"
        rows.append((CAUSE_WORDS[one.name] + at, chance_words(one.odds), size_words(one, units)))
    return Table("What may be wrong", ("cause", "odds", "size if so"), tuple(rows))


def proof_blocks(proving: Proving, units: Units) -> Blocks:
    """A proof: misses, causes, verdict, mend."""
    said = (
        verdict_words(proving, units),
        mend_words(proving, units),
        telling_words(proving, units),
        dispersion_words(proving, units),
    )
    return (
        misses_table(proving, units),
        causes_table(proving, units),
        *(sentence for sentence in said if sentence),
        *map(Mind, proof_cautions(proving)),
    )


def accepted_blocks(accepted: Accepted, units: Units) -> Blocks:
    """How marks moved when a proof was taken in."""
    return ("", moved_table(accepted, units), accepted_words(accepted, units))


def moved_table(accepted: Accepted, units: Units) -> Table:
    """How marks moved when a proof was taken in."""
    rows = tuple(
        (
            _distance(distance, units),
            f"{1e3 * (reading - moved):.2f}",
            f"{1e3 * reading:.2f}",
            _number(moved, "mm"),
        )
        for distance, reading, moved in zip(
            accepted.distance_m, accepted.answer.bands.reading_m, accepted.moved_m, strict=True
        )
    )
    return Table("Marks", (units.distance, "before mm", "now mm", "moved mm"), rows)


def neighbours_table(found: Neighbours, units: Units) -> Table:
    """What taking a neighbour changes at each distance."""
    less, same, more = found.strips
    heads = (
        units.distance,
        "mark mm",
        "shorter mm",
        f"impact {units.miss}",
        "longer mm",
        f"impact {units.miss}",
    )
    rows = tuple(
        (
            _distance(distance, units),
            f"{1e3 * same.reading_m[0][place]:.2f}",
            _number(less.reading_m[0][place] - same.reading_m[0][place], "mm"),
            _number(found.impact_m[0][place], units.miss, 1),
            _number(more.reading_m[0][place] - same.reading_m[0][place], "mm"),
            _number(found.impact_m[2][place], units.miss, 1),
        )
        for place, distance in enumerate(found.distance_m)
    )
    return Table("Neighbouring strips: what each changes", heads, rows)


def set_table(chosen: ChosenSet, units: Units) -> Table:
    """Ready-made strips, best first."""
    rows = tuple(
        (
            one.strip.name,
            chance_words(one.chance),
            f"{in_unit(one.worst_m, units.miss):.1f}",
            _distance(float(one.distance_m.min()), units),
            f"{1e3 * one.align_m:.2f}",
        )
        for one in chosen.ranked[:SHOWN_STRIPS]
    )
    title = "Ready-made strips, best first"
    if len(chosen.ranked) > SHOWN_STRIPS:
        title = f"The best {SHOWN_STRIPS} of {len(chosen.ranked)} ready-made strips"
    heads = ("strip", "chance", f"worst {units.miss}", f"tick {units.distance}", "at mm")
    return Table(title, heads, rows)


def errors_table(chosen: ChosenSet, units: Units) -> Table:
    """Impact that the best strips leave at each distance."""
    best = chosen.ranked[:3]
    distances = sorted({float(tick) for one in best for tick in one.distance_m})
    left = [dict(zip(one.distance_m.tolist(), one.error_m.tolist(), strict=True)) for one in best]
    rows = tuple(
        (
            _distance(distance, units),
            *(_number(errors.get(distance, float("nan")), units.miss) for errors in left),
        )
        for distance in distances
    )
    heads = (units.distance, *(f"strip {one.strip.name}" for one in best))
    return Table(f"Impact that the best leave, up ({units.miss})", heads, rows)


def strips_blocks(found: Neighbours, chosen: ChosenSet | None, units: Units) -> Blocks:
    """The likeliest strip, its neighbours, and a set of ready-made ones, ranked."""
    own: list[Block] = [neighbours_table(found, units), neighbour_words(found, units)]
    if chosen is None:
        return tuple(own)
    ready = ("", set_table(chosen, units), errors_table(chosen, units), set_words(chosen, units))
    return (*own, *ready)
