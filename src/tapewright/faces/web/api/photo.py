"""Photo: a picture of a target becomes proposed impacts, for other programs.

Holds:  /api/rigs/{rig_id}/photo; nothing is kept, neither the picture nor what it shows.
Never:  what is seen in a picture.
"""

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Query, Request
from starlette.datastructures import UploadFile

from tapewright.faces.photo_json import PhotoShots, photo_json
from tapewright.faces.web.api.endpoints import REFUSED, RigId, UnitsAsked, units_of
from tapewright.faces.web.page_request import At
from tapewright.faces.web.photo_form import look_at
from tapewright.ground.errors import BadInput
from tapewright.reading.typed_reading import read_reading
from tapewright.words.quantity_parser import read_corners, read_quantity, read_size

ROUTER = APIRouter(prefix="/api/rigs/{rig_id}", tags=["shooting"], responses=REFUSED)

BYTES = {"schema": {"type": "string", "format": "binary"}}
FORM = {
    "schema": {
        "type": "object",
        "properties": {"picture": {"type": "string", "format": "binary"}},
        "required": ["picture"],
    }
}
SENT = {
    "requestBody": {
        "required": True,
        "description": "The picture as the camera made it: JPEG, PNG or HEIC, up to 55 MB.",
        "content": {
            "image/jpeg": BYTES, "image/png": BYTES, "image/heic": BYTES,
            "multipart/form-data": FORM,
        },
    }
}  # fmt: skip
MULTIPART = "multipart/form-data"

Distance = Annotated[str, Query(max_length=40, description='Shot from, as "20 yd".')]
Reading = Annotated[
    str,
    Query(
        max_length=40,
        description='The pointer showed, as "31.2 mm"; with a tape on the sight the tape, as 38.5.',
    ),
]
Code = Annotated[
    str, Query(max_length=80, description="Of a target of several sheets: see its plan sheet.")
]
Size = Annotated[
    str, Query(max_length=40, description='Of a rectangle around the aim, as "40x40 cm".')
]
Corners = Annotated[
    str,
    Query(
        max_length=200,
        description="Its corners in the upright picture, upper left, upper right, lower right, "
        'lower left, in pixels, as "120,80 1910,95 1880,2500 140,2480".',
    ),
]
Name = Annotated[str, Query(max_length=60, description="Of the group.")]


async def _picture(request: Request) -> tuple[str, bytes]:
    """Name and bytes of the picture, however it was sent."""
    if not request.headers.get("content-type", "").startswith(MULTIPART):
        return "photograph", await request.body()
    async with request.form(max_files=1, max_fields=1) as form:
        sent = form.get("picture")
        if not isinstance(sent, UploadFile):
            raise BadInput("picture", "no file was sent", "Send it in a part of this name")
        return sent.filename or "photograph", await sent.read()


@ROUTER.post("/photo", openapi_extra=SENT)
def propose_group(
    at: At,
    rig_id: RigId,
    sent: Annotated[tuple[str, bytes], Depends(_picture)],
    distance: Distance,
    reading: Reading,
    group: Name = "photograph",
    code: Code = "",
    size: Size = "",
    corners: Corners = "",
    units: UnitsAsked = "imperial",
) -> dict[str, Any]:
    """Impacts that a picture seems to show; a person must confirm them before they are kept."""
    kept = at.kept(rig_id).rig
    distance_m = read_quantity(distance, "length", "distance", "20 yd")
    tape = kept.sight.tape
    reading_m = read_reading(reading, tape, 1, "reading")
    told = {
        "code": code.strip() or None,
        "size_m": read_size(size, "size") if size.strip() else None,
        "corners": read_corners(corners, "corners") if corners.strip() else None,
    }
    name, content = sent
    shots = PhotoShots(look_at(content, name, kept, told), group, distance_m, reading_m, tape)
    return photo_json(shots, units_of(units), ())
