"""Questions: calibrations and every question to them for other programs.

Holds:  /api/rigs/{rig_id}/calibration and /ask/{name}, one address for each question.
Never:  what a question asks or finds (questions).
"""

from collections.abc import Callable
from inspect import Parameter, Signature
from typing import Any

from fastapi import APIRouter

from tapewright.faces.web.api.bodies import Anything, CalibrationKept
from tapewright.faces.web.api.kept_shapes import calibration_kept
from tapewright.faces.web.api.queries import parameter
from tapewright.faces.web.api.refusals import REFUSED, Distances, RigId, UnitsAsked, units_of
from tapewright.faces.web.page_request import At, PageRequest
from tapewright.questions.every import all_questions
from tapewright.questions.fit import calibration_json
from tapewright.questions.question import Field, Question, Said
from tapewright.services.calibrate import Answer, answer_at
from tapewright.words.json_head import with_stops
from tapewright.words.quantities import read_distances
from tapewright.words.stops import stop_lines
from tapewright.words.units import Units

ROUTER = APIRouter(prefix="/api/rigs/{rig_id}", tags=["asking"], responses=REFUSED)

LAST = {"yd": 120, "m": 110}
MOST_LETTERS = 20_000


@ROUTER.get("/calibration")
def read_calibration(
    at: At, rig_id: RigId, units: UnitsAsked = "imperial", distances: Distances = ""
) -> Anything:
    """The calibration of a rig as it stands, as ``fit --json`` writes it."""
    read = units_of(units)
    usual = f"10:{LAST[read.distance]}:10{read.distance}"
    wanted_m = read_distances(distances.strip() or usual, "distances").distances_m
    return calibration_json(answer_at(_answer(at, rig_id, read), wanted_m), read)


@ROUTER.get("/calibrations")
def list_calibrations(at: At, rig_id: RigId) -> list[CalibrationKept]:
    """All calibrations of a rig that were kept: how trust grew."""
    rig = at.rig(rig_id)
    return [calibration_kept(one, rig) for one in at.notebook.entries("calibration", rig_id)]


def _answer(at: PageRequest, rig_id: str, units: Units) -> Answer:
    at.rig(rig_id)
    return at.app_state.answers.of(at.kept(rig_id), units)


def _query(field: Field) -> Parameter:
    """Parameter of an address for a field of a question."""
    kind, query = parameter(field, MOST_LETTERS)
    return Parameter(field.name, Parameter.KEYWORD_ONLY, default=query, annotation=kind)


def _asker(question: Question[Any]) -> Callable[..., Anything]:
    """Function that an address calls, with a parameter for each field."""

    def ask(the_request: PageRequest, rig_id: str, units: str, **texts: str) -> Anything:
        read = units_of(units)
        answer = _answer(the_request, rig_id, read)
        written = question.write(question.ask(answer, Said(texts), read), read)
        return with_stops(written, stop_lines(answer.rig))

    fixed = [
        Parameter(name, Parameter.KEYWORD_ONLY, annotation=kind)
        for name, kind in (("the_request", At), ("rig_id", RigId))
    ]
    units = Parameter("units", Parameter.KEYWORD_ONLY, default="imperial", annotation=UnitsAsked)
    asked = [*fixed, units, *map(_query, question.fields)]
    ask.__signature__ = Signature(asked, return_annotation=Anything)  # type: ignore[attr-defined]
    ask.__name__ = f"ask_{question.name}"
    ask.__doc__ = f"{question.title}: {question.about}"
    return ask


for _one in all_questions().values():
    ROUTER.add_api_route(f"/ask/{_one.name}", _asker(_one), methods=["GET"])
