"""Photo: a picture of the target in place of a ruler; its arrows are confirmed by tapping.

Holds:  /rigs/{rig_id}/photo: the picture asked for, and the form of a group over it.
Never:  keeping a picture, what is seen in one (faces/web/photo_form.py).
"""

from collections.abc import Mapping
from functools import partial
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.kept_rigs import rig_of
from tapewright.faces.web.forms import Form
from tapewright.faces.web.group_form import GroupForm
from tapewright.faces.web.page_request import At, Fields, Files, PageRequest
from tapewright.faces.web.pages.groups import new_form, shown_group
from tapewright.faces.web.photo_form import Pictured, look_at, with_proposals
from tapewright.faces.web.server.security import POLICY
from tapewright.ground.errors import BadInput
from tapewright.services.equip import Rig
from tapewright.services.read_photo import PhotoReading
from tapewright.words.quantity_parser import read_corner, read_size

ROUTER = APIRouter(include_in_schema=False)

# The picture lies inside the page itself, so that no server need keep it.
WITH_PICTURE = {"Content-Security-Policy": POLICY.replace("blob:", "data:")}
CORNERS = {
    "corner-1": "Upper left", "corner-2": "Upper right",
    "corner-3": "Lower right", "corner-4": "Lower left",
}  # fmt: skip
TOLD = ("picture", "code", "size", *CORNERS)


@ROUTER.get("/rigs/{rig_id}/photo")
def photo_page(at: At, rig_id: str) -> Response:
    """Ask for a picture; what was typed of the group comes along in the address."""
    return _page(at, rig_id, _form({}), _carried(at.request.query_params))


@ROUTER.post("/rigs/{rig_id}/photo")
def take_photo(at: At, rig_id: str, fields: Fields, files: Files) -> Response:
    """Show the group that a picture proposes, over the picture, or why it cannot be used."""
    form, carried = _form(fields), _carried(fields)
    found = _found(form, files, rig_of(at.rig(rig_id)))
    if found is None:
        return _page(at, rig_id, form, carried)
    photo = Pictured(found, at.units, urlencode(carried))
    form = new_form(with_proposals(carried, found, at.units))
    page = shown_group(at, rig_id, form, photo=photo)
    page.headers.update(WITH_PICTURE)
    return page


def _form(fields: Mapping[str, str]) -> Form:
    return Form({name: fields.get(name, "") for name in TOLD})


def _carried(fields: Mapping[str, str]) -> dict[str, str]:
    """What was typed of the group before."""
    texts = GroupForm(fields, 1).texts
    return {name: text for name, text in texts.items() if text and name != "seen"}


def _found(form: Form, files: Mapping[str, tuple[str, bytes]], rig: Rig) -> PhotoReading | None:
    """What the picture tells; None when something is wrong, told beside its field."""
    name, content = next((file for file in files.values() if file[1]), ("", b""))
    if not content:
        wrong = BadInput("picture", "no picture was sent", "Take one, or choose one")
        form.refuse("picture", wrong)
    told = _told(form)
    if not form.is_good:
        return None
    return form.read("picture", lambda: look_at(content, name, rig, told), None)


def _told(form: Form) -> dict[str, Any]:
    """What was typed beside the picture: a code, and of a target without marks a rectangle."""
    told = {"code": form["code"].strip() or None}
    typed = {name: form[name].strip() for name in CORNERS}
    if not form["size"].strip() and not any(typed.values()):
        return told
    size_m = form.read("size", lambda: read_size(form["size"], "size"), None)
    corners = (
        form.read(name, partial(read_corner, text, name), (0.0, 0.0))
        for name, text in typed.items()
    )
    return {**told, "size_m": size_m, "corners": tuple(corners)}


def _page(at: PageRequest, rig_id: str, form: Form, carried: Mapping[str, str]) -> Response:
    rig = at.rig(rig_id)
    return at.page("photo.html", rig=rig, form=form, carried=carried, corners=CORNERS)
