"""Notebook: rigs in pages, what happened to one, and the whole notebook, for other programs.

Holds:  /api/rigs as a list, a rig's versions and history; /api/archive, /api/check.
Never:  one kept thing read or written (resources.py).
"""

from dataclasses import asdict, replace
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import Response

from tapewright.faces.history import history_of
from tapewright.faces.kept_setup import given_writes, set_up_kept
from tapewright.faces.notebook_check import checked_json
from tapewright.faces.rig_erasure import erase_rigs, erased_json, refuse_other_name
from tapewright.faces.rig_list import Listed
from tapewright.faces.rig_list import list_rigs as list_rigs_of
from tapewright.faces.settings import new_id
from tapewright.faces.web.api.endpoints import (
    ID,
    REFUSED,
    Aside,
    RigId,
    UnitsAsked,
    file_answer,
    units_of,
)
from tapewright.faces.web.api.resource_json import all_shaped
from tapewright.faces.web.api.schemas import (
    CheckedWhole,
    EraseBody,
    Erased,
    GiveBody,
    HistoryLine,
    Kept,
    RigKept,
    RigLine,
    Taken,
)
from tapewright.faces.web.page_request import At, PageRequest, attachment
from tapewright.reading.anonymous_sheet import given_sheet
from tapewright.services.keep import KeptRig, RigsAsked, kept_as
from tapewright.services.move_notebook import (
    archive_text,
    check_notebook,
    read_archive_bytes,
    take_in,
)

ROUTER = APIRouter(prefix="/api", responses=REFUSED)

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
ARCHIVE = "application/json"
SENT = {"requestBody": {"required": True, "content": {ARCHIVE: {"schema": {"type": "object"}}}}}
OneRig = Annotated[str | None, Query(pattern=ID, description="Absent: all rigs.")]


@ROUTER.get("/rigs", responses=NEXT_PAGE, tags=["rigs"])
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


def _line(rig: Listed) -> RigLine:
    return RigLine(
        **{name: getattr(rig.entry, name) for name in Kept.model_fields},
        name=rig.name,
        stop=list(rig.stops),
        trusted_distance_m=rig.trusted_m,
        shot_on=rig.shot_on or None,
        next_shot=rig.calibration.next_shot if rig.calibration and not rig.stops else "",
    )


@ROUTER.get("/rigs/{rig_id}/versions", tags=["rigs"])
def list_versions(at: At, rig_id: RigId) -> list[RigKept]:
    """All versions of a rig sheet, newest first."""
    at.rig(rig_id)
    return all_shaped(RigKept, at.notebook.history(rig_id))


@ROUTER.get("/rigs/{rig_id}/history", tags=["keeping"])
def read_history(at: At, rig_id: RigId, units: UnitsAsked = "imperial") -> list[HistoryLine]:
    """Everything that happened to a rig, newest first."""
    at.rig(rig_id)
    told = ((one, one.entry) for one in history_of(at.notebook, rig_id, units_of(units)))
    return [
        HistoryLine(
            when=entry.saved_at, kind=entry.kind, id=entry.id, number=entry.number,
            is_withdrawn=one.is_gone, words=one.words,
        )
        for one, entry in told
    ]  # fmt: skip


@ROUTER.get(
    "/archive",
    response_class=Response,
    responses=file_answer(ARCHIVE, "The archive, a file.", "object"),
    tags=["keeping"],
)
def export_archive(at: At, rig: OneRig = None) -> Response:
    """Everything that is kept as one file, or one rig of it."""
    text = archive_text(at.notebook, None if rig is None else (rig,))
    return Response(text, 200, attachment(f"tapewright-{at.today}.json"), ARCHIVE)


@ROUTER.get("/check", tags=["keeping"])
def check(at: At) -> CheckedWhole:
    """Whether every row of the notebook is as it was written."""
    return CheckedWhole(**checked_json(check_notebook(at.notebook)))


@ROUTER.post("/rigs/{rig_id}/give", status_code=201, tags=["keeping"])
def give_rig(at: At, rig_id: RigId, sent: GiveBody) -> RigKept:
    """Begin a bow anew for its taker, without the giver: nothing zeroed, nothing trusted."""
    record = set_up_kept(at.notebook, rig_id).record_text
    given = given_sheet(kept_as(at.rig(rig_id), KeptRig).sheet, sent.name, record)
    name = " ".join(sent.name.split())
    writes = given_writes(given, name, at.today, new_id(), new_id())
    return all_shaped(RigKept, at.notebook.save_all(writes, at.now)[:1])[0]


@ROUTER.post("/rigs/{rig_id}/erase", tags=["keeping"])
def erase_rig(at: At, rig_id: RigId, sent: EraseBody) -> Erased:
    """Erase a rig for good, with all that belongs to it and every version; there is no way back."""
    rig = at.rig(rig_id)
    refuse_other_name(rig, sent.name)
    seen = replace(rig, number=sent.seen)
    told = erased_json(erase_rigs(at.notebook, (seen,), at.now, sent.also))
    at.app_state.answers.forget()
    return Erased(**{key: told[key] for key in Erased.model_fields})


async def _sent_bytes(request: Request) -> bytes:
    return await request.body()


@ROUTER.post("/archive", openapi_extra=SENT, tags=["keeping"])
def import_archive(at: At, sent: Annotated[bytes, Depends(_sent_bytes)]) -> Taken:
    """Take in an archive, all of it or nothing."""
    return Taken(**took(at, sent))


def took(at: PageRequest, sent: bytes) -> dict[str, int]:
    """What taking in an archive did."""
    return asdict(take_in(at.notebook, read_archive_bytes(sent)))
