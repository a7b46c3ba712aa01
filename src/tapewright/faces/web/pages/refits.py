"""Refits: all rigs calibrated anew in the background, and how far that is.

Holds:  /refits.
Never:  the work itself (background.py, services/refit_kept.py).
"""

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.settings import new_id
from tapewright.faces.web.page_request import At, PageRequest
from tapewright.services.keep import KeptJob, KeptRig, kept_as
from tapewright.services.refit_kept import ask_for_refits

ROUTER = APIRouter(include_in_schema=False)

MOST_FAULTS = 50


@ROUTER.get("/refits")
def refits_page(at: At) -> Response:
    """How many rigs wait, and which could not be refitted last time."""
    waiting, rigs = at.notebook.number_of("job"), at.notebook.number_of("rig")
    return at.page("refits.html", waiting=waiting, rigs=rigs, faults=_failed(at))


@ROUTER.post("/refits")
def refit_all(at: At) -> Response:
    """Ask for every rig to be calibrated anew."""
    ask_for_refits(at.notebook, at.now, new_id)
    at.request.app.state.background.wake()
    return at.go("/refits")


def _failed(at: PageRequest) -> list[tuple[str, str, str]]:
    """Rigs whose last job failed, each with the reason: name, id, what the worker said."""
    found = []
    for job in at.notebook.failed_jobs(MOST_FAULTS):
        rig = at.rig(job.rig_id or "")
        if not rig.is_withdrawn:
            found.append((kept_as(rig, KeptRig).name, rig.id, kept_as(job, KeptJob).told))
    return sorted(found)
