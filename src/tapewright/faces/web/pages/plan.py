"""Plan: what to shoot next, each step with a way to write the group down.

Holds:  /rigs/{rig_id}/plan.
Never:  how a plan is made or told (questions/plan.py).
"""

from typing import Any

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.web.next_shots import next_shots
from tapewright.faces.web.page_request import At
from tapewright.faces.web.pages.question import ask, page_of
from tapewright.words.next_shot import counted_words
from tapewright.words.stops import question_lines

ROUTER = APIRouter(include_in_schema=False)


@ROUTER.get("/rigs/{rig_id}/plan")
def plan_page(at: At, rig_id: str) -> Response:
    """Ask for a plan, and show it under what was wanted, or what must be answered before."""
    asked = ask(at, rig_id, "plan")
    plan, answer = asked.found, asked.answer
    things: dict[str, Any] = {"shots": (), "counted": "", "missing": ()}
    if plan is not None:
        things |= {"shots": next_shots(plan, at.units), "counted": counted_words(plan)}
    elif answer is not None and not answer.stops:
        things |= {"missing": question_lines(answer.questions)}
    return page_of(at, rig_id, asked, "plan.html", **things)
