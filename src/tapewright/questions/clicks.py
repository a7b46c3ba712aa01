"""Clicks: say what a click does at each distance, or learn how large it is.

Holds:  the question ``clicks``: its fields, columns and sentences.
Never:  formulas, how a face asks and shows.
"""

from collections.abc import Sequence
from dataclasses import replace
from math import nan
from typing import Any

from tapewright.questions.question import Field, Question, Said
from tapewright.reading.strip_side_click_tables import read_turned
from tapewright.services.calibrate import Answer
from tapewright.services.correct_groups import Calibration
from tapewright.services.equip import Rig
from tapewright.services.learn_clicks import (
    ClickRow,
    FoundClicks,
    LearntClick,
    click_table,
    learn_clicks,
)
from tapewright.services.look_up_marks import bands_at
from tapewright.services.stick_tape import Tape
from tapewright.words.answer_blocks import Blocks
from tapewright.words.answer_columns import Column, banded_columns, each, records, table
from tapewright.words.number_format import known
from tapewright.words.quantity_parser import format_quantity
from tapewright.words.readings_on_tape import on_sight, step_m
from tapewright.words.unit_system import Units

MM_M = 1e-3

MARKS: tuple[Column[Sequence[ClickRow]], ...] = (
    Column("distance {unit}", "distance_{unit}", "distance_m", "distance", None, 4),
    Column("mark mm", "mark_mm", "mark_m", "mm", 2, 4, tape="alone"),
)
CLICKED: tuple[Column[Sequence[ClickRow]], ...] = (
    Column("{unit} per mm of reading", "",
           each(lambda row: abs(row.up_per_reading) * MM_M), "miss", 3, tape="not"),
    Column("{unit} per mm of pin", "", each(lambda row: abs(row.right_per_pin) * MM_M), "miss", 3),
    Column("", "up_{unit}_per_mm", each(lambda row: row.up_per_reading * MM_M), "miss", kept=5),
    Column("", "right_{unit}_per_pin_mm", each(lambda row: row.right_per_pin * MM_M),
           "miss", kept=5),
    Column("{unit} per click up", "up_{unit}_per_click", "up_click_m", "miss", 3, 5),
    Column("{unit} per click right", "right_{unit}_per_click", "right_click_m", "miss", 3, 5),
)  # fmt: skip


def _on_tape(tape: Tape | None, click_m: float | None) -> tuple[Column[Sequence[ClickRow]], ...]:
    """What a number of the tape moves, and what a click moves on it; nothing without one."""
    if tape is None:
        return ()
    one = tape.unit

    def per_number(row: ClickRow) -> float:
        numbers = step_m(tape, row.mark_m, MM_M) / tape.unit_m
        return abs(row.up_per_reading) * MM_M / numbers if numbers else nan

    def per_click(row: ClickRow) -> float:
        return step_m(tape, row.mark_m, click_m) if click_m else nan

    clicked = Column(f"dial {one} per click", f"dialled_{one}_per_click", each(per_click),
                     one, 2, 4)  # fmt: skip
    return (
        Column(f"{{unit}} per {one} dialled", f"up_{{unit}}_per_dialled_{one}",
               each(per_number), "miss", 2, 4),
        *((clicked,) if click_m else ()),
    )  # fmt: skip


def _columns(rig: Rig) -> list[Column[Sequence[ClickRow]]]:
    """Columns in what is on the sight."""
    tape, click_m = rig.sight.tape, rig.sight.elevation_click_m
    marks, clicks = (on_sight(some, tape, at="distance_m") for some in (MARKS, CLICKED))
    return [*marks, *_on_tape(tape, click_m), *clicks]


LEARNT: tuple[Column[Sequence[LearntClick]], ...] = (
    Column("", "axis", "axis"),
    *banded_columns("click", "click_m", "mm", kept=5),
    *banded_columns("angle", "angle_rad", "mrad", kept=5),
    Column("", "groups", "groups"),
    Column("", "arrows", "arrows"),
)


def find_clicks(
    rig: Rig, fitted: Calibration, said: Said, units: Units, probability: float
) -> FoundClicks:
    """What clicks do, and what turned groups tell of them."""
    distances_m = said.distances("distances", QUESTION.usual("distances", units))
    turned, learnt = said.texts.get("learn"), tuple[LearntClick, ...]()
    if turned:
        learnt = learn_clicks(fitted, read_turned(turned, said.place("learn")), probability)
    return FoundClicks(rig, click_table(fitted, distances_m), learnt, probability)


def _ask(answer: Answer, said: Said, units: Units) -> FoundClicks:
    fitted, probability = answer.posterior.calibration, answer.bands.probability
    found = find_clicks(answer.rig, fitted, said, units, probability)
    if not answer.posterior.is_set_by_eye:
        return found
    # before the first arrow readings count from the near mark, as on every other page
    marks_m = bands_at(answer, [row.distance_m for row in found.rows]).reading_m
    rows = zip(found.rows, marks_m, strict=True)
    return replace(found, rows=tuple(replace(row, mark_m=float(mark)) for row, mark in rows))


def _tell(found: FoundClicks, units: Units) -> Blocks:
    sight = found.rig.sight
    return (
        table("What a click does to the impact", _columns(found.rig), found.rows, units),
        _size_words("elevation", sight.elevation_click_m, "along the tape" if sight.tape else ""),
        _size_words("windage", sight.windage_click_m),
        *(learnt_words(learnt, found.probability) for learnt in found.learnt),
    )


def _write(found: FoundClicks, units: Units) -> dict[str, Any]:
    written = {
        "schema": "tapewright.clicks/1",
        "clicks": records(_columns(found.rig), found.rows, units),
    }
    if not found.learnt:
        return written
    return written | {"band": found.probability, "learnt": records(LEARNT, found.learnt, units)}


def _size_words(axis: str, size_m: float | None, along: str = "") -> str:
    """Size of a click as the sheet says it, or how to come by it."""
    if size_m is None:
        return (
            f"{axis}_click is not on the rig sheet: turn many clicks and read the change off a "
            "gauge strip or a side scale, or learn it from groups with clicks turned between them."
        )
    what = along or ("of reading" if axis == "elevation" else "of pin travel")
    return f"One {axis} click is {format_quantity(size_m, 'mm')} {what}."


def learnt_words(learnt: LearntClick, probability: float) -> str:
    """Size of a click as learnt from arrows, in as many digits as are known."""
    click, angle, is_up = learnt.click_m, learnt.angle_rad, learnt.axis == "elevation"
    half_mm, half_mrad = (500.0 * (band.high - band.low) for band in (click, angle))
    size, low, high = (known(1e3 * end, half_mm) for end in (click.value, click.low, click.high))
    told = (
        f"One {learnt.axis} click is {size} mm of {'reading' if is_up else 'pin travel'}, {low} "
        f"to {high} with {100 * probability:.0f} % chance; it moves the impact by "
        f"{known(1e3 * abs(angle.value), half_mrad)} mrad. From {learnt.groups} groups, "
        f"{learnt.arrows} arrows."
    )
    if click.low <= 0.0 <= click.high:
        return f"{told} That is no size yet: turn more clicks between groups, or shoot more arrows."
    if click.value < 0.0:
        way = "toward larger numbers" if is_up else "with the pin going right"
        return f"{told} Below zero: the clicks were not counted {way}."
    return told


FIELDS = (
    Field("distances", "Distances", "20:80:10yd", "20:80:10m", "Where it is wanted.", takes="LIST"),
    Field("learn", "Groups with clicks turned", is_file=True,
          hint="To learn a click: rows of group,distance_yd,clicks,up_in and, for windage, "
          "windage_clicks,right_in; clicks turned from the start."),
)  # fmt: skip
QUESTION = Question(
    "clicks", "Clicks",
    "What a click of the sight moves at each distance; or how large a click is, learnt from "
    "groups between which clicks were turned.", FIELDS, _ask, _tell, _write,
    more="Clicks stand on the rig sheet: elevation_click as change of reading, windage_click as "
    "way of the pin. With SHOTS.csv the bow is fitted to the arrows first.", shelf="check",
)  # fmt: skip
