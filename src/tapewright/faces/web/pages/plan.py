"""Plan: what to shoot next, each step with a way to write the group down.

Holds:  /rigs/{rig_id}/plan.
Never:  how a plan is made or told (questions/plan.py).
"""

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.web.next_shots import next_shots
from tapewright.faces.web.pages.asking import ask, page_of
from tapewright.faces.web.visit import At
from tapewright.words.next_shot import counted_words

ROUTER = APIRouter(include_in_schema=False)


@ROUTER.get("/rigs/{rig_id}/plan")
def plan_page(at: At, rig_id: str) -> Response:
    """Ask for a plan, and show it under what was wanted."""
    asked = ask(at, rig_id, "plan")
    plan = asked.found
    shots = () if plan is None else next_shots(plan, at.units)
    counted = "" if plan is None else counted_words(plan)
    return page_of(at, rig_id, asked, "plan.html", shots=shots, counted=counted)
