"""Fit: where to set the sight for each distance, how far to trust it, and what does not fit.

Holds:  the question ``marks``, as addresses call it: its fields, tables, sentences; a calibration
        for programs.
Never:  formulas, how a face asks and shows.
"""

from collections.abc import Iterator
from functools import partial
from statistics import NormalDist
from typing import Any

import numpy as np

from tapewright.questions.question import Field, Question, Said
from tapewright.services.calibrate import Answer, Estimate, GroupCheck, pin_bands
from tapewright.services.equip import kind_of
from tapewright.services.look_up_marks import FixedPin, FoundMarks, look_up_marks
from tapewright.words.answer_blocks import Blocks, Mind, Table
from tapewright.words.answer_columns import Column, each, records, rounded, table
from tapewright.words.cautions import all_cautions, caution_words
from tapewright.words.house_value_sentences import house_words
from tapewright.words.marks_table import AT, BAND, MARKS, marks_table
from tapewright.words.number_format import NOTHING, known, known_ends, plain
from tapewright.words.quantity_parser import in_unit
from tapewright.words.readings_on_tape import on_sight
from tapewright.words.slips import slips_json
from tapewright.words.stops import stop_lines
from tapewright.words.trust_sentences import (
    estimate_unit,
    head_json,
    shot_words,
    trust_json,
    trust_words,
    unknown_words,
    with_stops,
)
from tapewright.words.unit_system import DECIMALS, Units, distance_words

GUESSED = {"yd": "10:60:10yd", "m": "10:60:10m"}  # before the first arrow
Groups = tuple[GroupCheck, ...]

GROUPS: tuple[Column[Groups], ...] = (
    Column("group", "group", "name"),
    Column("{unit}", "", "distance_m", "distance", None),
    Column("reading mm", "", "reading_m", "mm", 2, tape="first"),
    Column("arrows", "", each(lambda group: str(group.arrows))),
    Column("up {unit}", "miss_up_{unit}", "miss_up_m", "miss", 2),
    Column("right {unit}", "miss_right_{unit}", "miss_right_m", "miss", 2),
    Column("chance 1 in", "",
           each(lambda group: f"{10**group.surprise:.0f}{' odd' * group.is_odd}")),
    Column("", "surprise", "surprise"),
)  # fmt: skip
FIXED: tuple[Column[tuple[FixedPin, ...]], ...] = (
    Column("", "distance_{unit}", "distance_m", "distance", kept=4),
    Column("below", "below_first_mm", "below_m", "mm", half=BAND),
    Column("band", "", "low_m", "mm", half=BAND, to="high_m"),
    Column("", "low_mm", "low_m", "mm"),
    Column("", "high_mm", "high_m", "mm"),
)


def usual_marks(answer: Answer, units: Units) -> str:
    """Distances of the marks when nobody says which."""
    if answer.posterior.is_set_by_eye:
        return GUESSED[units.distance]
    return QUESTION.usual("distances", units)


def _ask(answer: Answer, said: Said, units: Units) -> FoundMarks:
    distances_m = said.distances("distances", usual_marks(answer, units))
    fixed_m = said.distances("fixed_pins", "") if said.text("fixed_pins") else ()
    return look_up_marks(answer, distances_m, fixed_m)


def groups_table(answer: Answer, units: Units) -> Table:
    """Groups against the fit."""
    pins = [one.pin for one in answer.observations]
    columns = on_sight(GROUPS, answer.tape, lambda _: pins, "distance_m")
    return table("Groups: centre against the fit", columns, answer.groups, units)


def _rows(answer: Answer, units: Units) -> Iterator[tuple[str, ...]]:
    """Of each unknown: its name, unit, the sheet, arrows alone, both, band, share of the arrows."""
    reach = NormalDist().inv_cdf(0.5 + 0.5 * answer.bands.probability)
    for one in answer.estimates:
        unit = estimate_unit(one, units)
        size = partial(in_unit, unit=unit) if unit else float
        low, high, least = size(one.low), size(one.high), 10.0 ** -DECIMALS[unit]
        alone = NOTHING
        if one.alone is not None and one.alone_sd is not None:
            alone = known(size(one.alone), reach * size(one.alone_sd), least=least)
        yield (
            unknown_words(one.name, answer.rig),
            unit,
            plain(size(one.sheet), DECIMALS[unit]),
            alone,
            known(size(one.median), 0.5 * (high - low), least=least),
            known_ends(low, high, least=least),
            f"{100 * max(one.learnt, 0.0):.0f} %" if answer.groups else NOTHING,
        )


def unknowns_table(answer: Answer, units: Units) -> Table:
    """What arrows and sheet together say of each unknown."""
    rows = ((name, both, band, unit, learnt) for name, unit, _, _, both, band, learnt in
            _rows(answer, units))  # fmt: skip
    return Table("Bow and archer", ("unknown", "value", "band", "unit", "from arrows"), tuple(rows),
                 spare=frozenset({4}))  # fmt: skip


def sheet_table(answer: Answer, units: Units) -> Table:
    """What the sheet says of each unknown, what the arrows alone, and what both together."""
    rows = ((f"{name}, {unit}" if unit else name, *told) for name, unit, *told in
            _rows(answer, units))  # fmt: skip
    heads = ("unknown", "sheet", "arrows alone", "both", "band", "from arrows")
    return Table("Sheet against arrows", heads, tuple(rows))


def fixed_table(fixed: tuple[FixedPin, ...], units: Units) -> Table:
    """Where the pins of a sight that does not move must sit."""
    told = table("", FIXED, fixed, units)
    rows = ((distance_words(one.distance_m, units), *row) for one, row in
            zip(fixed, told.rows, strict=True))  # fmt: skip
    heads = ("pin for", *told.heads)
    return Table("Fixed pins: mm below the first", heads, tuple(rows))


def answer_cautions(answer: Answer, units: Units) -> tuple[Mind, ...]:
    """What speaks against a calibration, and where the sight may not be set."""
    return tuple(map(Mind, all_cautions(answer, units)))


def made_words(answer: Answer) -> tuple[str, ...]:
    """What was assumed, what the house knows in its place, and how the calibration was drawn."""
    posterior = answer.posterior
    assumed = posterior.calibration.evidence.prior.assumed
    tail = "" if np.isnan(posterior.tail_shape) else f", tail shape {posterior.tail_shape:.2f}"
    drawn = (
        f"Calibration {answer.fingerprint}: {posterior.method}, "
        f"{posterior.effective_draws:.0f} effective draws{tail}."
    )
    usual = f"Not on the sheet, usual values taken: {'; '.join(assumed)}." if assumed else ""
    return tuple(filter(None, (house_words(answer.rig), usual, drawn)))


def _tell(found: FoundMarks, units: Units) -> Blocks:
    """A calibration from its trusted distance to its small print."""
    answer = found.answer
    return (
        f"{answer.rig.name}: {shot_words(answer)}",
        trust_words(answer, units) + "\n",
        *(marks_table(answer, bands, units, pin) for pin, bands in enumerate(found.pins, 1)),
        *([groups_table(answer, units)] if answer.groups else []),
        unknowns_table(answer, units),
        *answer_cautions(answer, units),
        *made_words(answer),
        *([fixed_table(found.fixed, units)] if found.fixed else []),
    )


def _write(found: FoundMarks, units: Units) -> dict[str, Any]:
    answer, unit, posterior = found.answer, units.distance, found.answer.posterior
    estimates = {one.name: one for one in answer.estimates}
    spread = [estimates[f"dispersion_{axis}"].median for axis in ("up", "right")]
    first, *further = found.pins
    answered = {
        **head_json("tapewright.calibration/1", answer),
        "unknowns": {name: _unknown(one, units) for name, one in estimates.items()},
        "dispersion_mrad": rounded((0.5 * (spread[0] ** 2 + spread[1] ** 2)) ** 0.5, "mrad", 4),
        "wobble_mrad": rounded(estimates["wobble"].median, "mrad", 4),
        "effective_draws": round(posterior.effective_draws),
        "tail_shape": rounded(posterior.tail_shape, "", 3),
        "method": posterior.method,
        **trust_json(answer, unit),
        "assumed": list(posterior.calibration.evidence.prior.assumed),
        "groups": records(GROUPS, answer.groups, units),
        "marks": records(on_sight(MARKS, answer.tape, 1, AT), first, units),
        "slips": slips_json(answer, units),
        "cautions": [caution_words(one, answer, units) for one in answer.cautions],
        "kind": kind_of(answer.rig.bow),
    }
    if further:
        answered["pins"] = [
            {
                "pin": pin,
                **trust_json(answer, unit, pin),
                "marks": records(on_sight(MARKS, answer.tape, pin, AT), bands, units),
            }
            for pin, bands in enumerate(further, 2)
        ]
    if found.fixed:
        answered["fixed_pins"] = records(FIXED, found.fixed, units)
    return answered


def _unknown(one: Estimate, units: Units) -> dict[str, float | str | None]:
    unit = estimate_unit(one, units)
    ends = (("median", one.median), ("low", one.low), ("high", one.high))
    return {name: rounded(value, unit, DECIMALS[unit] + 2) for name, value in ends} | {"unit": unit}


def calibration_json(answer: Answer, units: Units) -> dict[str, Any]:
    """A calibration for other programs: marks of all pins where the answer has them, its stops."""
    further = (pin_bands(answer, pin) for pin in range(2, len(answer.trusted_m) + 1))
    found = FoundMarks(answer, (answer.bands, *further))
    return with_stops(_write(found, units), stop_lines(answer.rig))


QUESTION = Question(
    "marks", "Marks",
    "Where to set the sight for each distance, how far each mark can be wrong, and what does not "
    "fit.",
    (
        Field("distances", "Distances", "10:120:10yd", "10:110:10m",
              "From:to:step, or a list such as 18,30 m."),
        Field("fixed_pins", "Pins of a sight that does not move",
              hint="The distance of each, as 20,30,40 yd: tells where they must sit."),
    ),
    _ask, _tell, _write,
)  # fmt: skip
