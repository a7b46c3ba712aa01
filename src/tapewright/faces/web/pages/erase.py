"""Erase: a person's rig gone for good, and what phones hand over to it later.

Holds:  /rigs/{rig_id}/erase; /erased with what waits there; sweeping once more.
Never:  what is emptied and swept (faces/rig_erasure.py, storage), parking (erased_rigs.py).
"""

from dataclasses import replace

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.rig_erasure import (
    KEPT_ALL_THE_SAME,
    OUT_OF_REACH,
    Gone,
    erase_rigs,
    going,
    refuse_other_name,
)
from tapewright.faces.web.forms import Form, seen_number
from tapewright.faces.web.page_request import At, Fields, PageRequest
from tapewright.faces.web.phone_sync.erased_rigs import parked_for_erased, refuse_not_parked
from tapewright.services.keep import Entry
from tapewright.services.move_notebook import erase, sweep

ROUTER = APIRouter(include_in_schema=False)


@ROUTER.get("/rigs/{rig_id}/erase")
def erase_page(at: At, rig_id: str) -> Response:
    """What would go, and what cannot be reached."""
    return _page(at, at.rig(rig_id), Form({"name": "", "also": ""}))


@ROUTER.post("/rigs/{rig_id}/erase")
def erase_rig(at: At, rig_id: str, fields: Fields) -> Response:
    """Erase a rig whose name was typed, as it was seen."""
    form = Form({"name": fields.get("name", ""), "also": fields.get("also", "")})
    rig = at.rig(rig_id)
    form.read("name", lambda: refuse_other_name(rig, form["name"]), None)
    if not form.is_good:
        return _page(at, rig, form)
    also = [one.strip() for one in form["also"].splitlines() if one.strip()]
    gone = erase_rigs(at.notebook, (replace(rig, number=seen_number(fields)),), at.now, also)
    at.app_state.answers.forget()
    return _erased_page(at, gone)


@ROUTER.get("/erased")
def erased_page(at: At) -> Response:
    """What was erased, counted, and what was handed over to it since."""
    return _erased_page(at, None)


@ROUTER.post("/erased/sweep")
def sweep_page(at: At) -> Response:
    """Sweep old bytes away once more."""
    return _erased_page(at, Gone(going(at.notebook, ()), 0, sweep(at.notebook), ()))


@ROUTER.post("/erased/{parked_id}/erase")
def erase_parked(at: At, parked_id: str) -> Response:
    """Erase what was handed over to an erased rig."""
    entry = at.notebook.entry(parked_id)
    refuse_not_parked(entry)
    entries = erase(at.notebook, (entry,), at.now)
    return _erased_page(at, Gone(going(at.notebook, ()), entries, sweep(at.notebook), ()))


def _page(at: PageRequest, rig: Entry, form: Form) -> Response:
    found = going(at.notebook, (rig,))
    told = {"going": found, "stays": KEPT_ALL_THE_SAME, "out_of_reach": OUT_OF_REACH}
    return at.page("erase.html", rig=rig, form=form, **told)


def _erased_page(at: PageRequest, gone: Gone | None) -> Response:
    count = at.notebook.number_of("erased", withdrawn=True)
    waiting = parked_for_erased(at.notebook)
    told = {"count": count, "waiting": waiting, "out_of_reach": OUT_OF_REACH}
    return at.page("erased.html", gone=gone, **told)
