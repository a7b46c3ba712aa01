"""Rigs: rig sheets for other programs.

Holds:  /api/rigs and one rig: read, save, withdraw, restore, its versions.
Never:  sessions and groups (groups.py), questions (questions.py).
"""

from typing import Annotated, Any

from fastapi import APIRouter, Query, Response

from tapewright.faces.rig_list import Listed
from tapewright.faces.rig_list import list_rigs as list_rigs_of
from tapewright.faces.settings import new_id
from tapewright.faces.web.api.aside import offer_aside
from tapewright.faces.web.api.bodies import RigBody, RigKept, RigLine, RigSaved
from tapewright.faces.web.api.kept_shapes import all_shaped, shaped
from tapewright.faces.web.api.refusals import ID, REFUSED, Aside, RigId
from tapewright.faces.web.page_request import At
from tapewright.reading.sheet import read_rig_sheet
from tapewright.services.keep import KeptRig, RigsAsked

ROUTER = APIRouter(prefix="/api/rigs", tags=["rigs"], responses=REFUSED)

MOST_LISTED, MOST_SEARCH = 1000, 200
NEXT_PAGE: dict[int | str, dict[str, Any]] = {
    200: {
        "headers": {
            "Link": {
                "description": 'If there is a next page: <its address>; rel="next".',
                "schema": {"type": "string"},
            }
        }
    }
}
Search = Annotated[
    str,
    Query(
        max_length=MOST_SEARCH,
        description="Only rigs whose name holds this, whatever its capitals and accents.",
    ),
]
After = Annotated[str | None, Query(pattern=ID, description="Id of the last rig that you have.")]
Limit = Annotated[int, Query(ge=1, le=MOST_LISTED, description="How many at most.")]


@ROUTER.get("", responses=NEXT_PAGE)
def list_rigs(
    at: At,
    response: Response,
    search: Search = "",
    after: After = None,
    limit: Limit = MOST_LISTED,
    *,
    withdrawn: Aside = False,
) -> list[RigLine]:
    """Rigs by name, each with how far it is trusted.

    If there are more than the limit, the header Link says where the next page is.
    """
    asked = RigsAsked(search, after or "", limit=limit, withdrawn=withdrawn)
    page, listed = list_rigs_of(at.notebook, asked)
    if page.after is not None:
        further = at.request.url.include_query_params(after=page.after)
        response.headers["Link"] = f'<{further.path}?{further.query}>; rel="next"'
    return [_line(one) for one in listed]


@ROUTER.post("", status_code=201)
def create_rig(at: At, sent: RigBody) -> RigKept:
    """Keep a new rig."""
    body, rig_id = rig_body(sent.sheet), new_id()
    entry = at.notebook.add(body, entry_id=rig_id, now=at.now)
    at.recalibrate(rig_id)
    return shaped(RigKept, entry)


@ROUTER.get("/{rig_id}")
def read_rig(at: At, rig_id: RigId) -> RigKept:
    """One rig."""
    return shaped(RigKept, at.rig(rig_id))


@ROUTER.put("/{rig_id}")
def save_rig(at: At, rig_id: RigId, sent: RigSaved) -> RigKept:
    """Save a rig sheet as a new version; a changed bow or arrow is a change, not a correction."""
    at.rig(rig_id)
    entry = at.notebook.save(rig_id, rig_body(sent.sheet), seen=sent.seen, now=at.now)
    at.recalibrate(rig_id)
    return shaped(RigKept, entry)


@ROUTER.get("/{rig_id}/versions")
def list_versions(at: At, rig_id: RigId) -> list[RigKept]:
    """All versions of a rig sheet, newest first."""
    at.rig(rig_id)
    return all_shaped(RigKept, at.notebook.history(rig_id))


def rig_body(sheet: str) -> KeptRig:
    """A sheet that can be read, ready to be kept."""
    rig, _ = read_rig_sheet(sheet)
    return KeptRig(sheet, rig.name)


def _line(rig: Listed) -> RigLine:
    return RigLine(
        id=rig.entry.id,
        number=rig.entry.number,
        saved_at=rig.entry.saved_at,
        is_withdrawn=rig.entry.is_withdrawn,
        name=rig.name,
        stop=list(rig.stops),
        trusted_distance_m=rig.trusted_m,
        shot_on=rig.shot_on or None,
        next_shot=rig.calibration.next_shot if rig.calibration and not rig.stops else "",
    )


offer_aside(ROUTER, "", RigKept, "a rig")
