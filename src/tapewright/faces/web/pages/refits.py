"""Refits: all rigs calibrated anew in the background, and how far that is.

Holds:  /refits.
Never:  the work itself (background.py, services/refit_kept.py).
"""

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.settings import new_id
from tapewright.faces.web.visit import At, Visit
from tapewright.services.keep import KeptJob, KeptRig, kept_as
from tapewright.services.refit_kept import ask_for_refits, open_refits

ROUTER = APIRouter(include_in_schema=False)

MOST_FAULTS = 50


@ROUTER.get("/refits")
def refits_page(at: At) -> Response:
    """How many rigs wait, and which could not be refitted last time."""
    names = {one.id: kept_as(one, KeptRig).name for one in at.notebook.entries("rig")}
    faults = [(names[rig_id], rig_id, told) for rig_id, told in _failed(at, names)]
    return at.page(
        "refits.html", waiting=len(open_refits(at.notebook)), rigs=len(names), faults=faults
    )


@ROUTER.post("/refits")
def refit_all(at: At) -> Response:
    """Ask for every rig to be calibrated anew."""
    ask_for_refits(at.notebook, at.now, new_id)
    at.request.app.state.background.wake()
    return at.go("/refits")


def _failed(at: Visit, names: dict[str, str]) -> list[tuple[str, str]]:
    """Rigs whose last job failed, each with the reason."""
    jobs = at.notebook.entries("job", withdrawn=True)
    last = {one.rig_id: kept_as(one, KeptJob) for one in jobs}
    failed = [(rig_id, last[rig_id]) for rig_id in names if rig_id in last]
    return [(rig_id, job.told) for rig_id, job in failed if job.state == "failed"][:MOST_FAULTS]
