"""Clicks: the question what a click moves at each distance, and how large it is.

Holds:  the errand ``clicks``.
Never:  formulas, sentences that people read as an answer.
"""

from dataclasses import replace
from typing import Any

from tapewright.faces.shooting_json import clicks_json
from tapewright.faces.telling.groups import clicks_blocks
from tapewright.questions.question import Field, Question, Said
from tapewright.reading.turns import read_turned
from tapewright.services.calibrate import Answer
from tapewright.services.correct_groups import Calibration
from tapewright.services.equip import Rig
from tapewright.services.learn_clicks import (
    FoundClicks,
    LearntClick,
    click_table,
    learn_clicks,
)
from tapewright.services.look_up_marks import bands_at
from tapewright.words.units import Units


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
    return replace(found, rows=tuple(replace(row, mark_m=float(one)) for row, one in rows))


def _write(found: FoundClicks, units: Units) -> dict[str, Any]:
    return clicks_json(found.rows, found.learnt, units, found.probability)


QUESTION = Question(
    "clicks",
    "Clicks",
    "What a click of the sight moves at each distance; or how large a click is, learnt from "
    "groups between which clicks were turned.",
    (
        Field("distances", "Distances", "20:80:10yd", "20:80:10m", "Where it is wanted."),
        Field(
            "learn",
            "Groups with clicks turned",
            hint="To learn a click: rows of group,distance_yd,clicks,up_in and, for windage, "
            "windage_clicks,right_in; clicks turned from the start.",
        ),
    ),
    _ask,
    clicks_blocks,
    _write,
)
