"""Give: a bow without its person, as a new rig for a pupil or as a file to hand on.

Holds:  /rigs/{rig_id}/give and its file.
Never:  what is left out (reading/anonymous_sheet.py), what is told (faces/giving_sentences.py).
"""

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.giving_sentences import FILE_ALONE, given_lines, was_lines
from tapewright.faces.kept_setup import given_writes, set_up_kept
from tapewright.faces.kept_stops import kept_stops
from tapewright.faces.settings import new_id
from tapewright.faces.web.forms import Form
from tapewright.faces.web.page_request import At, Fields, PageRequest, attachment
from tapewright.reading.anonymous_sheet import GivenSheet, given_sheet
from tapewright.services.keep import Entry, KeptRig, kept_as

ROUTER = APIRouter(include_in_schema=False)


@ROUTER.get("/rigs/{rig_id}/give")
def give_page(at: At, rig_id: str) -> Response:
    """What goes along with a bow and what does not."""
    return _page(at, at.rig(rig_id), Form({"name": ""}))


@ROUTER.post("/rigs/{rig_id}/give")
def give(at: At, rig_id: str, fields: Fields) -> Response:
    """A new rig in this notebook, or its file, without the person."""
    rig, form = at.rig(rig_id), Form({"name": fields.get("name", "")})
    sheet, record = kept_as(rig, KeptRig).sheet, set_up_kept(at.notebook, rig.id).record_text
    given = form.read("name", lambda: given_sheet(sheet, form["name"], record), None)
    if given is None:
        return _page(at, rig, form)
    name = " ".join(form["name"].split())
    if fields.get("as") == "file":
        return Response(given.text, 200, attachment(f"{name}.toml"), "application/toml")
    writes = given_writes(given, name, at.today, new_id(), new_id())
    entry = at.notebook.save_all(writes, at.now)[0]
    told = (*kept_stops(rig), *was_lines(given))  # what stops it with the giver is told, too
    return at.page("given.html", rig=entry, told=told)


def _page(at: PageRequest, rig: Entry, form: Form) -> Response:
    record = set_up_kept(at.notebook, rig.id).record_text
    told = given_lines(GivenSheet("", (), record))
    if record:
        told = (*told, FILE_ALONE)
    return at.page("give.html", rig=rig, form=form, told=told)
