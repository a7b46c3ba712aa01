"""Rigs: rig sheets for other programs.

Holds:  /api/rigs and one rig: read, save, withdraw, restore, its versions.
Never:  sessions and groups (shooting.py), questions (asking.py).
"""

from fastapi import APIRouter

from tapewright.faces.kept import kept_stops, kept_trust
from tapewright.faces.rig_sheet import read_rig_sheet
from tapewright.faces.settings import new_id
from tapewright.faces.web.api.answers import REFUSED, Aside, RigId
from tapewright.faces.web.api.shapes import RigBody, RigKept, RigLine, RigSaved, SeenBody
from tapewright.faces.web.api.written import rig_kept
from tapewright.faces.web.visit import At
from tapewright.services.keep import (
    Entry,
    KeptCalibration,
    KeptRig,
    KeptSession,
    kept_as,
)

ROUTER = APIRouter(prefix="/api/rigs", tags=["rigs"], responses=REFUSED)


@ROUTER.get("")
def list_rigs(at: At, *, withdrawn: Aside = False) -> list[RigLine]:
    """All rigs, each with how far it is trusted."""
    calibrations, sessions = at.notebook.latest("calibration"), at.notebook.latest("session")
    rigs = at.notebook.entries("rig", withdrawn=withdrawn)
    return [_line(one, calibrations.get(one.id), sessions.get(one.id)) for one in rigs]


@ROUTER.post("", status_code=201)
def create_rig(at: At, sent: RigBody) -> RigKept:
    """Keep a new rig."""
    body, rig_id = rig_body(sent.sheet), new_id()
    entry = at.notebook.add(body, entry_id=rig_id, now=at.now)
    at.recalibrate(rig_id)
    return rig_kept(entry)


@ROUTER.get("/{rig_id}")
def read_rig(at: At, rig_id: RigId) -> RigKept:
    """One rig."""
    return rig_kept(at.rig(rig_id))


@ROUTER.put("/{rig_id}")
def save_rig(at: At, rig_id: RigId, sent: RigSaved) -> RigKept:
    """Save a rig sheet as a new version; a changed bow or arrow is a change, not a correction."""
    at.rig(rig_id)
    entry = at.notebook.save(rig_id, rig_body(sent.sheet), seen=sent.seen, now=at.now)
    at.recalibrate(rig_id)
    return rig_kept(entry)


@ROUTER.post("/{rig_id}/withdraw")
def withdraw_rig(at: At, rig_id: RigId, sent: SeenBody) -> RigKept:
    """Put a rig aside."""
    at.rig(rig_id)
    at.notebook.withdraw(rig_id, seen=sent.seen, now=at.now)
    return rig_kept(at.rig(rig_id))


@ROUTER.post("/{rig_id}/restore")
def restore_rig(at: At, rig_id: RigId, sent: SeenBody) -> RigKept:
    """Take a rig back."""
    at.rig(rig_id)
    at.notebook.restore(rig_id, seen=sent.seen, now=at.now)
    return rig_kept(at.rig(rig_id))


@ROUTER.get("/{rig_id}/versions")
def list_versions(at: At, rig_id: RigId) -> list[RigKept]:
    """All versions of a rig sheet, newest first."""
    at.rig(rig_id)
    return [rig_kept(one) for one in at.notebook.history(rig_id)]


def rig_body(sheet: str) -> KeptRig:
    """A sheet that can be read, ready to be kept."""
    rig, _ = read_rig_sheet(sheet)
    return KeptRig(sheet, rig.name)


def _line(rig: Entry, calibration: Entry | None, session: Entry | None) -> RigLine:
    found, stop = kept_as(calibration, KeptCalibration) if calibration else None, kept_stops(rig)
    trusted_m = kept_trust(calibration, rig) if calibration and not stop else ()
    return RigLine(
        id=rig.id,
        number=rig.number,
        saved_at=rig.saved_at,
        is_withdrawn=rig.is_withdrawn,
        name=kept_as(rig, KeptRig).name,
        stop=list(stop),
        trusted_distance_m=(trusted_m[0] or None) if trusted_m else None,
        shot_on=kept_as(session, KeptSession).shot_on if session else None,
        next_shot=found.next_shot if found and not stop else "",
    )
