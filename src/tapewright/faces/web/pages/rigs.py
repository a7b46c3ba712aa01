"""Rigs: all of them at a glance, and one rig with everything that can be done with it.

Holds:  /rigs, /rigs/{rig_id}, withdrawing and restoring; the sample to play with.
Never:  the sheet (sheet.py), what is shot (shoot.py).
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.resources import files

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.kept import kept_stops, kept_trust
from tapewright.faces.quantities import format_quantity
from tapewright.faces.rig_sheet import read_rig_sheet
from tapewright.faces.settings import new_id
from tapewright.faces.shots_file import read_shots
from tapewright.faces.telling.blocks import Blocks
from tapewright.faces.web.forms import seen_number
from tapewright.faces.web.visit import At, Fields, Visit
from tapewright.faces.wording import trust_words
from tapewright.faces.wording_stops import check_list, unjudged_words
from tapewright.ground.errors import TapewrightError
from tapewright.services.keep import (
    Entry,
    KeptCalibration,
    KeptGroup,
    KeptRig,
    KeptSession,
    Write,
    kept_as,
)

ROUTER = APIRouter(include_in_schema=False)

SAMPLE = ("heron.toml", "heron-shots.csv")


@dataclass(frozen=True, slots=True)
class Line:
    """One rig in the list.

    Parameters
    ----------
    rig_id, name, trusted, shot, state : str
        Id; name; trusted distance; when it was shot last; what is next, all for people.
    """

    rig_id: str
    name: str
    trusted: str
    shot: str
    state: str


@ROUTER.get("/rigs")
def rigs_page(at: At, find: str = "") -> Response:
    """All rigs at a glance."""
    rigs = at.notebook.entries("rig")
    return at.page("rigs.html", lines=_lines(at, rigs, find), find=find, any_rig=bool(rigs))


@ROUTER.get("/rigs/{rig_id}")
def rig_page(at: At, rig_id: str) -> Response:
    """One rig: how far it is trusted, what is next, and every errand."""
    rig = at.rig(rig_id)
    trust, wrong = "", ""
    try:
        answer = at.answer(rig_id)
        trust = trust_words(answer, at.units)
    except TapewrightError as refused:
        answer, wrong = None, str(refused)
    checks: Blocks = ()
    if answer is not None and not answer.is_earned:
        checks = (check_list(answer.rig),)
    unjudged = "" if answer is None else unjudged_words(answer.rig)
    return at.page(
        "rig.html", rig=rig, answer=answer, trust=trust, wrong=wrong, checks=checks,
        unjudged=unjudged,
    )  # fmt: skip


@ROUTER.post("/rigs/{rig_id}/withdraw")
def withdraw(at: At, rig_id: str, fields: Fields) -> Response:
    """Put a rig aside; it can be taken back."""
    at.notebook.withdraw(rig_id, seen=seen_number(fields), now=at.now)
    return at.go("/rigs")


@ROUTER.post("/rigs/{rig_id}/restore")
def restore(at: At, rig_id: str, fields: Fields) -> Response:
    """Take a rig back that was put aside."""
    at.notebook.restore(rig_id, seen=seen_number(fields), now=at.now)
    return at.go(f"/rigs/{rig_id}")


@ROUTER.post("/sample")
def sample(at: At) -> Response:
    """Put the invented sample rig with its arrows into the notebook, to play with."""
    folder = files("tapewright.faces") / "sample"
    sheet, shots = ((folder / name).read_text(encoding="utf-8") for name in SAMPLE)
    rig, _ = read_rig_sheet(sheet)
    observations, _ = read_shots(shots, "sample", rig)
    rig_id, session_id = new_id(), new_id()
    writes = [
        Write(rig_id, KeptRig(sheet, f"{rig.name} (invented)")),
        Write(session_id, KeptSession(at.today, "sighting", "Invented arrows", 0), rig_id=rig_id),
        *(Write(new_id(), KeptGroup(session_id, one, ""), rig_id=rig_id) for one in observations),
    ]
    at.notebook.save_all(writes, now=at.now)
    at.recalibrate(rig_id)
    return at.go(f"/rigs/{rig_id}")


def _lines(at: Visit, rigs: Sequence[Entry], find: str) -> list[Line]:
    """Rigs whose name holds what was looked for, by name."""
    calibrations = at.notebook.latest("calibration")
    sessions = at.notebook.latest("session")
    wanted = find.casefold().strip()
    found = [one for one in rigs if wanted in _name(one).casefold()]
    found.sort(key=lambda one: _name(one).casefold())
    return [_line(at, one, calibrations.get(one.id), sessions.get(one.id)) for one in found]


def _name(rig: Entry) -> str:
    return kept_as(rig, KeptRig).name


def _line(at: Visit, rig: Entry, calibration: Entry | None, session: Entry | None) -> Line:
    shot = kept_as(session, KeptSession).shot_on if session else ""
    trusted, state = "", "not calibrated yet"
    if calibration:
        found = kept_as(calibration, KeptCalibration)
        trusted_m = kept_trust(calibration, rig)
        if trusted_m and trusted_m[0]:
            trusted = format_quantity(trusted_m[0], at.units.distance, 0)
        state = f"next {found.next_shot}" if found.next_shot else _short(found.cautions)
    stops = kept_stops(rig)
    return Line(rig.id, _name(rig), trusted, shot, stops[0].partition(". ")[0] if stops else state)


def _short(cautions: Sequence[str]) -> str:
    """The first caution as far as its first stop: fifty rigs must stay a list."""
    return re.split(r"[.:;] ", cautions[0])[0].rstrip(".") if cautions else ""
