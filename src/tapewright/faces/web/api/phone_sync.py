"""Phone sync: where a phone hands over the groups it kept, for programs.

Holds:  /api/rigs/{rig_id}/hand-over/{session_id}.
Never:  what becomes of a group (web/phone_sync/take_in.py).
"""

from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, BackgroundTasks, Path
from fastapi.responses import Response
from pydantic import BaseModel, Field

from tapewright.faces.web.api import endpoints as api
from tapewright.faces.web.api.endpoints import RigId
from tapewright.faces.web.page_request import At
from tapewright.faces.web.phone_sync.message_format import HandedSession
from tapewright.faces.web.phone_sync.take_in import State, moves_marks, take_over
from tapewright.ground.errors import BadInput

ROUTER = APIRouter(prefix="/api/rigs/{rig_id}", responses=api.REFUSED)


class GroupTold(BaseModel):
    """What became of a group that was handed over."""

    id: str
    state: State = Field(description="parked: a person must settle it, under /rigs/RIG/parked.")
    why: str = Field(description="Why it is parked.")


class HandOverTold(BaseModel):
    """What became of a session; every group named is in the notebook and may be forgotten."""

    id: str
    groups: list[GroupTold]


KEPT = {"model": HandOverTold, "description": "Kept or parked, at least one of them just now."}
OTHER = {
    "description": "Kept or parked; a group of this id was there and differs, so this one is "
    "parked beside it.",
    "content": {"application/json": {"schema": {"$ref": f"{api.REFERENCE}HandOverTold"}}}
    | api.PROBLEM,
}


@ROUTER.put(
    "/hand-over/{session_id}",
    responses={201: KEPT, 409: OTHER},
    response_description="All of it was there before.",
    tags=["shooting"],
)
def hand_over(
    at: At,
    rig_id: RigId,
    session_id: Annotated[str, Path(pattern=api.ID, description="Made by the phone.")],
    sent: HandedSession,
    answer: Response,
    afterwards: BackgroundTasks,
) -> HandOverTold:
    """Take in a session that a phone kept without a signal: all or nothing, and once."""
    if any((one.rig, one.part) != (rig_id, session_id) for one in sent.groups):
        wrong = "a group is of another rig or session than the address says"
        raise BadInput("groups", wrong, "Hand each session over at its own address")
    told = take_over(at, rig_id, sent.groups)
    if moves_marks(told):
        afterwards.add_task(at.recalibrate, rig_id)
    if any(one.is_other for one in told):
        answer.status_code = HTTPStatus.CONFLICT
    elif any(one.is_new for one in told):
        answer.status_code = HTTPStatus.CREATED
    groups = [GroupTold(id=one.group.id, state=one.state, why=one.why) for one in told]
    return HandOverTold(id=session_id, groups=groups)
