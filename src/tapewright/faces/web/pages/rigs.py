"""Rigs: all of them as a list, those put aside, and all calibrated anew.

Holds:  /rigs; /aside, the rigs put aside; /refits; the sample to play with.
Never:  one rig (rig.py), the sheet (sheet.py), what is shot (shoot.py).
"""

import re
from importlib.resources import files

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.kept_rigs import session_writes
from tapewright.faces.rig_list import Listed, apart, found_words, list_rigs
from tapewright.faces.settings import new_id
from tapewright.faces.web.page_request import At
from tapewright.reading.rig_sheet import read_rig_sheet
from tapewright.reading.shots_reader import read_shots
from tapewright.services import keep
from tapewright.services.keep import RigsAsked, Write, kept_as

ROUTER = APIRouter(include_in_schema=False)

MOST_FAULTS = 50
SAMPLE = ("heron.toml", "heron-shots.csv")


@ROUTER.get("/rigs")
def rigs_page(at: At, find: str = "", after: str = "", before: str = "") -> Response:
    """Rigs at a glance, a page at a time."""
    asked = RigsAsked(find, after, before)
    page, listed = list_rigs(at.notebook, asked)
    if not listed and (after or before):  # the last of them was put aside meanwhile
        asked = RigsAsked(find, before=RigsAsked.END)
        page, listed = list_rigs(at.notebook, asked)
    any_rig = bool(listed) or bool(find and at.notebook.newest("rig"))
    lines, found = [(one, _state(one)) for one in listed], found_words(page, asked)
    return at.page("rigs.html", lines=lines, find=find, any_rig=any_rig, page=page, found=found)


@ROUTER.post("/sample")
def sample(at: At) -> Response:
    """Put the invented sample rig with its arrows into the notebook, to play with."""
    folder = files("tapewright.faces") / "sample"
    sheet, shots = ((folder / name).read_text(encoding="utf-8") for name in SAMPLE)
    rig, _ = read_rig_sheet(sheet)
    observations, _ = read_shots(shots, "sample", rig)
    rig_id, session = new_id(), keep.KeptSession(at.today, "sighting", "Invented arrows", 0)
    writes = [Write(rig_id, keep.KeptRig(sheet, f"{rig.name} (invented)"))]
    writes += session_writes(rig_id, session, observations)
    at.notebook.save_all(writes, now=at.now)
    return at.changed(rig_id)


def _state(rig: Listed) -> str:
    """What is next with a rig of the list, as far as its first stop: fifty must stay a list."""
    found = rig.calibration
    if rig.stops:
        return rig.stops[0].partition(". ")[0]
    if found is None:
        return "not calibrated yet"
    if found.next_shot:
        return f"next {found.next_shot}"
    return re.split(r"[.:;] ", found.cautions[0])[0].rstrip(".") if found.cautions else ""


@ROUTER.get("/aside")
def aside_page(at: At, after: str = "", before: str = "") -> Response:
    """Rigs put aside, a page at a time."""
    page = at.notebook.rigs(RigsAsked(after=after, before=before, withdrawn=True))
    if not page.rigs and (after or before):  # the last of them was taken back meanwhile
        page = at.notebook.rigs(RigsAsked(before=RigsAsked.END, withdrawn=True))
    return at.page("aside.html", page=page, apart=apart)


@ROUTER.get("/refits")
def refits_page(at: At) -> Response:
    """How many rigs wait, and which could not be refitted last time, each with the reason."""
    failed = [(at.rig(job.rig_id or ""), job) for job in at.notebook.failed_jobs(MOST_FAULTS)]
    faults = sorted(
        (kept_as(rig, keep.KeptRig).name, rig.id, kept_as(job, keep.KeptJob).told)
        for rig, job in failed
        if not rig.is_withdrawn
    )
    waiting, rigs = at.notebook.number_of("job"), at.notebook.number_of("rig")
    return at.page("refits.html", waiting=waiting, rigs=rigs, faults=faults)


@ROUTER.post("/refits")
def refit_all(at: At) -> Response:
    """Ask for every rig to be calibrated anew."""
    at.recalibrate_all()
    return at.go("/refits")
