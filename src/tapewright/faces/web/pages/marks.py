"""Marks: how far a rig's marks can be trusted, and why.

Holds:  /rigs/{rig_id}/marks.
Never:  tables and sentences (questions/fit.py), the picture's drawing (bands_chart.py).
"""

import numpy as np
from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.web.bands_chart import Frame, fan
from tapewright.faces.web.forms import Form
from tapewright.faces.web.page_request import At
from tapewright.ground.errors import LaunchUnreachable, TapewrightError
from tapewright.ground.units import UNITS
from tapewright.questions.fit import (
    QUESTION,
    answer_cautions,
    drawn_words,
    fixed_table,
    groups_table,
    made_words,
    sheet_table,
)
from tapewright.services.calibrate import Answer, Bands
from tapewright.services.look_up_marks import bands_at, look_up_marks, seen_groups
from tapewright.words.answer_blocks import Table
from tapewright.words.marks_table import dial_table, marks_table
from tapewright.words.trust_sentences import shot_words, trust_words
from tapewright.words.unit_system import Units, amount

ROUTER = APIRouter(include_in_schema=False)

NEAREST_DRAWN, FARTHEST_DRAWN, STEP_DRAWN = 10, 120, 2
LEAST_DRAWN, PAST_TRUSTED = 60, 20
STEPS = (1, 5, 10)


@ROUTER.get("/rigs/{rig_id}/marks")
def marks_page(at: At, rig_id: str) -> Response:
    """How far the marks can be trusted, the marks, and what they rest on."""
    rig = at.rig(rig_id)
    form = Form({one.name: "" for one in QUESTION.fields} | dict(at.request.query_params))
    units = at.units
    try:
        answer = at.answer(rig_id)
    except TapewrightError as refused:
        return at.page("marks.html", rig=rig, answer=None, wrong=str(refused), form=form)
    pin = min(_pin(form["pin"]), len(answer.trusted_m))
    short, marks, fixed = _tables(answer, pin, form, units)
    sheet = sheet_table(answer, units)
    return at.page(
        "marks.html",
        rig=rig,
        answer=answer,
        form=form,
        fields={field.name: field for field in QUESTION.fields},
        pin=pin,
        picture=fan_of(answer, pin, units),
        trust=trust_words(answer, units),
        shot=shot_words(answer),
        trusted=[amount(one, units.distance) if one else "" for one in answer.trusted_m],
        short=short,
        marks=marks,
        fixed=fixed,
        why=(groups_table(answer, units), sheet) if answer.groups else (sheet,),
        cautions=answer_cautions(answer, units),
        made=made_words(answer),
        drawn=drawn_words(answer),
        percent=f"{100.0 * answer.bands.probability:.0f} %",
        usual=_range(answer, units, 10),
        steps=[(step, _range(answer, units, step)) for step in STEPS],
    )


def _pin(text: str) -> int:
    return max(int(text[:2]), 1) if text.isascii() and text.isdigit() else 1


def _last(answer: Answer, units: Units) -> int:
    """Last distance that is of interest, in the person's unit."""
    factor = UNITS[units.distance].factor
    past = max(answer.once_zeroed_m) / factor + PAST_TRUSTED
    seen = [one.distance_m / factor + PAST_TRUSTED / 2 for one in answer.groups]
    return min(-(-round(max(past, LEAST_DRAWN, *seen)) // 10) * 10, FARTHEST_DRAWN)


def _range(answer: Answer, units: Units, step: int) -> str:
    return f"{NEAREST_DRAWN}:{_last(answer, units)}:{step}{units.distance}"


def _tables(
    answer: Answer, pin: int, form: Form, units: Units
) -> tuple[Table | None, Table | None, Table | None]:
    """Marks of a pin in short and in full, and where fixed pins must sit.

    What cannot be read is told in the form.
    """

    def marks() -> tuple[Table, Table]:
        wanted_m = form.said.distances("distances", _range(answer, units, 10), unit=units.distance)
        found = bands_at(answer, wanted_m, pin)
        return dial_table(answer, found, units, pin), marks_table(answer, found, units, pin)

    def fixed() -> Table | None:
        wanted_m = form.said.distances("fixed_pins", "", unit=units.distance)
        return fixed_table(look_up_marks(answer, (), wanted_m).fixed, units)

    has_fixed = form.said.text("fixed_pins")
    none: tuple[Table | None, Table | None] = (None, None)
    short, full = form.read("distances", marks, none)
    return short, full, form.read("fixed_pins", fixed, None) if has_fixed else None


def _drawn(answer: Answer, pin: int, units: Units) -> Bands | None:
    """Bands of a pin for the picture, as far as every arrow flies and the pin serves."""
    factor = UNITS[units.distance].factor
    last = _last(answer, units)
    distances = np.arange(NEAREST_DRAWN, last + 1, STEP_DRAWN) * factor
    if pin > 1:
        distances = distances[distances >= answer.turning_m]
    while len(distances) > 1:
        try:
            return bands_at(answer, distances, pin)
        except LaunchUnreachable:
            distances = distances[: len(distances) // 2]
    return None


def fan_of(answer: Answer, pin: int, units: Units) -> str:
    """Picture of a pin's bands over distance; empty where nothing can be drawn."""
    found = _drawn(answer, pin, units)
    if found is None:
        return ""
    allowed = answer.limits.allows(found.reading_m)
    ends_m = None if allowed.all() else float(found.distance_m[np.argmin(allowed)])
    groups = [one for one in seen_groups(answer) if one.pin == pin]
    frame = Frame(units, answer.rig.archer.tolerance_m, answer.trusted_m[pin - 1], ends_m)
    return fan(found, groups, frame)
