"""Offline range: a rig's page at the range; what groups that wait do to marks and trust.

Holds:  /rigs/{rig_id}/carried.
Never:  what stands in a pack (faces/offline_pack.py), what groups mean (static/carried.js).
"""

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.kept_rigs import rig_of
from tapewright.faces.web.page_request import At
from tapewright.ground.errors import TapewrightError
from tapewright.services.stops import refuse_stopped
from tapewright.words.rules import phone_words
from tapewright.words.stops import refused_words

ROUTER = APIRouter(include_in_schema=False)


@ROUTER.get("/rigs/{rig_id}/carried")
def carried_page(at: At, rig_id: str) -> Response:
    """What is told without the notebook; the pack itself lies at an address of its own."""
    rig, wrong = at.rig(rig_id), ""
    ruled: tuple[str, ...] = ()
    try:
        ruled = phone_words(rig_of(rig).rules)
        refuse_stopped(at.kept(rig_id).rig)
    except TapewrightError as refused:
        wrong = refused_words(refused)
    return at.page("carried.html", rig=rig, wrong=wrong, ruled=ruled, has_form=False)
