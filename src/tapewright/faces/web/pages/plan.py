"""Plan: what to shoot next, each step with a way to write the group down.

Holds:  /rigs/{rig_id}/plan.
Never:  how a plan is made or told (questions/plan.py, faces/telling/plans.py).
"""

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.web.forms import Form
from tapewright.faces.web.shot_plans import NextShot, next_shots, shot_plan
from tapewright.faces.web.visit import At
from tapewright.faces.wording_planning import counted_words
from tapewright.ground.errors import TapewrightError, Withheld
from tapewright.questions.plan import QUESTION as PLAN
from tapewright.words.blocks import Blocks
from tapewright.words.stops import question_lines

ROUTER = APIRouter(include_in_schema=False)


@ROUTER.get("/rigs/{rig_id}/plan")
def plan_page(at: At, rig_id: str) -> Response:
    """Ask for a plan, and show it under what was wanted."""
    rig = at.rig(rig_id)
    form = Form({one.name: at.request.query_params.get(one.name, "") for one in PLAN.fields})
    blocks: Blocks = ()
    shots: tuple[NextShot, ...] = ()
    counted, asked = "", tuple[str, ...]()
    try:
        plan = shot_plan(at.answer(rig_id), form.said, at.units)
        blocks, shots = PLAN.tell(plan, at.units), next_shots(plan, at.units)
        counted = counted_words(plan)
    except TapewrightError as refused:
        form.refuse("", refused)
        if isinstance(refused, Withheld):
            asked = question_lines(refused.questions)
    status = 200 if form.is_good else 422
    things = {"question": PLAN, "form": form, "blocks": blocks, "shots": shots}
    things |= {"counted": counted, "asked": asked}
    return at.page("plan.html", status=status, rig=rig, **things)
