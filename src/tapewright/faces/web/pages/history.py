"""History: everything that happened to a rig, older sheets, and the way back.

Holds:  /rigs/{rig_id}/history with one version of the sheet, going back to it, putting aside and
        taking back.
Never:  what happened in words (faces/history.py).
"""

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.history import history_of
from tapewright.faces.kept_rigs import kept_trust
from tapewright.faces.web.forms import seen_number
from tapewright.faces.web.page_request import At, Fields, PageRequest
from tapewright.faces.web.session_lists import kept_of_rig, refuse_back
from tapewright.faces.web.sheet_forms import sheet_differences
from tapewright.ground.errors import NotKept
from tapewright.services.keep import Entry, KeptCalibration, KeptRig, kept_as
from tapewright.words.answer_blocks import Table
from tapewright.words.unit_system import Units, amount

ROUTER = APIRouter(include_in_schema=False)

MARKABLE = {"session", "group", "print", "change"}
MOST_DIGITS = 6


@ROUTER.get("/rigs/{rig_id}/history")
def history_page(at: At, rig_id: str) -> Response:
    """Everything in one list, the newest first."""
    rig = at.rig(rig_id)
    happenings = history_of(at.notebook, rig_id, at.units)
    calibrations = [one.entry for one in happenings if one.entry.kind == "calibration"]
    return at.page(
        "history.html",
        rig=rig,
        happenings=happenings,
        trust=_trust_table(calibrations, rig, at.units) if calibrations else None,
        markable=MARKABLE,
    )


@ROUTER.get("/rigs/{rig_id}/history/sheet/{number}")
def sheet_page(at: At, rig_id: str, number: str) -> Response:
    """One version of the sheet, and what changed since and before."""
    rig, old = at.rig(rig_id), _version(at, rig_id, number)
    before = _version(at, rig_id, str(old.number - 1)) if old.number > 1 else old
    was, text, now = (kept_as(one, KeptRig).sheet for one in (before, old, rig))
    since, then = sheet_differences(text, now), sheet_differences(was, text)
    return at.page("old_sheet.html", rig=rig, old=old, text=text, since=since, then=then)


@ROUTER.post("/rigs/{rig_id}/history/sheet/{number}/back")
def go_back(at: At, rig_id: str, number: str, fields: Fields) -> Response:
    """Save an older sheet as the newest version; nothing is overwritten."""
    at.rig(rig_id)
    body = kept_as(_version(at, rig_id, number), KeptRig)
    at.notebook.save(rig_id, body, seen=seen_number(fields), now=at.now)
    return at.changed(rig_id, "/history")


@ROUTER.post("/rigs/{rig_id}/history/{entry_id}/withdraw")
@ROUTER.post("/rigs/{rig_id}/history/{entry_id}/restore")
def marked(at: At, rig_id: str, entry_id: str, fields: Fields) -> Response:
    """Put a session, a group, a print or a change aside, or take it back."""
    entry = kept_of_rig(at, rig_id, entry_id)
    if entry.kind not in MARKABLE:
        raise NotKept(entry_id)
    if at.way == "restore":
        refuse_back(at, rig_id, entry)
    at.mark(entry_id, seen_number(fields))
    return at.changed(rig_id, "/history")


def _version(at: PageRequest, rig_id: str, number: str) -> Entry:
    """One version of a rig's sheet. NotKept if there is none of that number."""
    if not (number.isascii() and number.isdigit() and len(number) <= MOST_DIGITS):
        raise NotKept(rig_id)
    return at.notebook.entry(rig_id, int(number))


def _trust_table(calibrations: list[Entry], rig: Entry, units: Units) -> Table:
    """How trust grew, the newest first."""
    rows = []
    for one in calibrations:
        body = kept_as(one, KeptCalibration)
        trusted = [
            amount(one_m, units.distance) if one_m else "–" for one_m in kept_trust(one, rig)
        ]
        counts = (str(body.arrows), str(body.groups))
        rows.append((one.saved_at[:10], ", ".join(trusted) or "–", *counts, body.fingerprint))
    heads = ("when", "trusted to", "arrows", "groups", "calibration")
    return Table("How trust grew", heads, tuple(rows))
