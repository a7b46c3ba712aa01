"""Questions: the calibration and every question to it for other programs.

Holds:  /api/rigs/{rig_id}/calibration and /ask/{name}, one address for each question.
Never:  what a question asks or finds (questions).
"""

from functools import partial
from typing import Annotated, Any

from fastapi import APIRouter, Query

from tapewright.faces.web.api.addresses import (
    REFUSED,
    UNITS,
    RigId,
    UnitsAsked,
    offer,
    queries,
    units_of,
)
from tapewright.faces.web.api.bodies import Anything
from tapewright.faces.web.page_request import At, PageRequest
from tapewright.questions.every import all_questions
from tapewright.questions.fit import calibration_json
from tapewright.questions.question import Question, Said
from tapewright.services.calibrate import answer_at
from tapewright.words.json_head import with_stops
from tapewright.words.quantities import read_distances
from tapewright.words.stops import stop_lines

ROUTER = APIRouter(prefix="/api/rigs/{rig_id}", tags=["asking"], responses=REFUSED)

LAST = {"yd": 120, "m": 110}
MOST_LETTERS = 20_000
Distances = Annotated[str, Query(max_length=400, description='Such as "20:60:10yd" or "18,30 m".')]


@ROUTER.get("/calibration")
def read_calibration(
    at: At, rig_id: RigId, units: UnitsAsked = "imperial", distances: Distances = ""
) -> Anything:
    """The calibration of a rig as it stands, as ``fit --json`` writes it."""
    read = units_of(units)
    usual = f"10:{LAST[read.distance]}:10{read.distance}"
    wanted_m = read_distances(distances.strip() or usual, "distances").distances_m
    return calibration_json(answer_at(at.answer(rig_id, read), wanted_m), read)


def _ask(
    question: Question[Any], at: PageRequest, /, rig_id: str, units: str, **texts: str
) -> Anything:
    read = units_of(units)
    answer = at.answer(rig_id, read)
    written = question.write(question.ask(answer, Said(texts), read), read)
    return with_stops(written, stop_lines(answer.rig))


for _one in all_questions().values():
    offer(
        ROUTER,
        f"/ask/{_one.name}",
        partial(_ask, _one),
        f"ask_{_one.name}",
        f"{_one.title}: {_one.about}",
        Anything,
        {"units": UNITS} | queries(_one.fields, MOST_LETTERS),
    )
