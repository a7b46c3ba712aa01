"""Answers: a calibration as tables and sentences.

Holds:  what ``fit`` shows: marks, groups, unknowns, cautions, fixed pins.
Never:  computations, how a face draws it.
"""

import numpy as np

from tapewright.services.calibrate import Answer, Bands
from tapewright.services.look_up_marks import FixedPin, FoundMarks
from tapewright.words.answer import (
    caution_words,
    estimate_unit,
    past_limit_words,
    shot_words,
    trust_words,
    unknown_words,
)
from tapewright.words.blocks import Block, Blocks, Mind, Table
from tapewright.words.quantities import in_unit
from tapewright.words.units import DECIMALS, Units, amount


def _number(value: float, unit: str, decimals: int) -> str:
    if np.isnan(value):
        return "–"
    return f"{in_unit(value, unit) if unit else value:.{decimals}f}"


def _distance(distance_m: float, units: Units) -> str:
    return f"{in_unit(distance_m, units.distance):.6g}"


def _impacts(low_m: float, high_m: float, units: Units) -> str:
    """Both ends of a band at the target; zero has no sign."""
    ends = (round(in_unit(end, units.miss), 1) + 0.0 for end in (low_m, high_m))
    return " to ".join(f"{end:+.1f}" if end else "0.0" for end in ends)


def marks_table(answer: Answer, found: Bands, units: Units, pin: int) -> Table:
    """Marks of one pin with their bands."""
    trusted_m = answer.trusted_m[pin - 1]
    allowed = answer.limits.allows(found.reading_m)
    heads = (
        f"distance {units.distance}",
        "mark mm",
        "band mm",
        f"impact {units.miss}",
    )
    rows = []
    for place, distance in enumerate(found.distance_m):
        low, high = found.low_m[place], found.high_m[place]
        band = f"{_number(low, 'mm', 2)} to {_number(high, 'mm', 2)}"
        impact = _impacts(found.impact_low_m[place], found.impact_high_m[place], units)
        if np.isnan([low, high, found.impact_low_m[place]]).any():
            band, impact = "the arm does", "not reach"
        elif not allowed[place]:
            band, impact = "past the limit:", "do not shoot"
        mark = _number(found.reading_m[place], "mm", 2)
        rows.append((_distance(distance, units), mark, band, impact))
    beyond = frozenset(
        place for place, distance in enumerate(found.distance_m) if distance > trusted_m + 1e-6
    )
    title = "Marks" if pin == 1 else f"Marks of pin {pin}"
    return Table(title, heads, tuple(rows), beyond)


def groups_table(answer: Answer, units: Units) -> Table:
    """Groups against the fit."""
    heads = (
        "group",
        units.distance,
        "reading mm",
        "arrows",
        f"up {units.miss}",
        f"right {units.miss}",
        "chance 1 in",
    )
    rows = tuple(
        (
            one.name,
            _distance(one.distance_m, units),
            _number(one.reading_m, "mm", 2),
            str(one.arrows),
            _number(one.miss_up_m, units.miss, 2),
            _number(one.miss_right_m, units.miss, 2),
            f"{10**one.surprise:.0f}" + (" odd" if one.is_odd else ""),
        )
        for one in answer.groups
    )
    return Table("Groups: centre against the fit", heads, rows)


def unknowns_table(answer: Answer, units: Units) -> Table:
    """What arrows and sheet together say of each unknown."""
    rows = []
    for one in answer.estimates:
        unit = estimate_unit(one, units)
        decimals = DECIMALS[unit]
        rows.append(
            (
                unknown_words(one.name),
                _number(one.median, unit, decimals),
                f"{_number(one.low, unit, decimals)} to {_number(one.high, unit, decimals)}",
                unit,
                f"{100 * max(one.learnt, 0.0):.0f} %" if answer.groups else "–",
            )
        )
    heads = ("unknown", "value", "band", "unit", "from arrows")
    return Table("Bow and archer", heads, tuple(rows))


def sheet_table(answer: Answer, units: Units) -> Table:
    """What the sheet says of each unknown, what the arrows alone, and what both together."""
    rows = []
    for one in answer.estimates:
        unit = estimate_unit(one, units)
        decimals = DECIMALS[unit]
        low, high = (_number(end, unit, decimals) for end in (one.low, one.high))
        rows.append(
            (
                f"{unknown_words(one.name)}{f', {unit}' if unit else ''}",
                _number(one.sheet, unit, decimals),
                "–" if one.alone is None else _number(one.alone, unit, decimals),
                _number(one.median, unit, decimals),
                f"{low} to {high}",
                f"{100 * max(one.learnt, 0.0):.0f} %" if answer.groups else "–",
            )
        )
    heads = ("unknown", "sheet", "arrows alone", "both", "band", "from arrows")
    return Table("Sheet against arrows", heads, tuple(rows))


def fixed_table(fixed: tuple[FixedPin, ...], units: Units) -> Table:
    """Where the pins of a sight that does not move must sit."""
    rows = tuple(
        (
            amount(one.distance_m, units.distance),
            f"{1e3 * one.below_m:.2f}",
            f"{1e3 * one.low_m:.2f} to {1e3 * one.high_m:.2f}",
        )
        for one in fixed
    )
    return Table("Fixed pins: mm below the first", ("pin for", "below", "band"), rows)


def answer_cautions(answer: Answer, units: Units) -> tuple[Mind, ...]:
    """What speaks against a calibration, and where the sight may not be set."""
    told = [caution_words(caution, answer, units) for caution in answer.cautions]
    return tuple(Mind(one) for one in (*told, past_limit_words(answer)) if one)


def made_words(answer: Answer) -> tuple[str, ...]:
    """What was assumed, and how the calibration was drawn."""
    assumed = answer.posterior.calibration.evidence.prior.assumed
    posterior = answer.posterior
    tail = "" if np.isnan(posterior.tail_shape) else f", tail shape {posterior.tail_shape:.2f}"
    drawn = (
        f"Calibration {answer.fingerprint}: {posterior.method}, "
        f"{posterior.effective_draws:.0f} effective draws{tail}."
    )
    if not assumed:
        return (drawn,)
    return (f"Not on the sheet, usual values taken: {'; '.join(assumed)}.", drawn)


def answer_blocks(found: FoundMarks, units: Units) -> Blocks:
    """A calibration from its trusted distance to its small print."""
    answer = found.answer
    blocks: list[Block] = [
        f"{answer.rig.name}: {shot_words(answer)}",
        trust_words(answer, units) + "\n",
        *(marks_table(answer, one, units, pin) for pin, one in enumerate(found.pins, 1)),
    ]
    if answer.groups:
        blocks.append(groups_table(answer, units))
    blocks.append(unknowns_table(answer, units))
    blocks += [*answer_cautions(answer, units), *made_words(answer)]
    if found.fixed:
        blocks.append(fixed_table(found.fixed, units))
    return tuple(blocks)
