"""Carried: a rig's page at the range, which tells and takes groups when nothing answers.

Holds:  /rigs/{rig_id}/carried.
Never:  what stands in a pack (carried_json.py), what groups mean (static/carried.js).
"""

import json
from typing import Any

from fastapi import APIRouter
from fastapi.responses import Response
from markupsafe import Markup

from tapewright.faces.carried_words import range_words
from tapewright.faces.web.api.carried import carried_of, pack_of
from tapewright.faces.web.page_request import At
from tapewright.ground.errors import TapewrightError
from tapewright.words.stops import refused_words

ROUTER = APIRouter(include_in_schema=False)


@ROUTER.get("/rigs/{rig_id}/carried")
def carried_page(at: At, rig_id: str) -> Response:
    """All that goes along, in one page."""
    rig = at.rig(rig_id)
    try:
        carried = carried_of(at, rig_id, at.units)
    except TapewrightError as refused:
        return at.page("carried.html", rig=rig, wrong=refused_words(refused), status=200)
    pack = pack_of(at, rig_id, at.units, carried)
    return at.page(
        "carried.html",
        rig=rig,
        wrong="",
        pack=inert(pack),
        said=inert(range_words(carried.answer.bands.probability)),
        tape=pack["tape"] is not None,
        pins=len(pack["trusted_m"]),
    )


def inert(value: dict[str, Any]) -> Markup:
    """JSON that cannot end the element it stands in."""
    text = json.dumps(value, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return Markup(text.replace("<", "\\u003c"))  # noqa: S704 — no name ends the script
