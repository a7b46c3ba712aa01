"""Refit kept: calibrate the rigs of a notebook in the background, whoever has time.

Every rig is one job. Workers may be threads, processes or machines over one notebook: each job is
taken by one of them, and a job whose worker fell silent is taken again by another.

Holds:  a job for each rig; working jobs off; how many are left.
Never:  how one rig is calibrated (handed in), the clock, threads.
"""

from collections.abc import Callable, Iterator
from datetime import datetime
from itertools import islice

from tapewright.ground.errors import EditedMeanwhile, NotebookUnusable, NotKept, TapewrightError
from tapewright.services.keep import Entry, KeptJob, Notebook, Write

__all__ = ["NotebookUnusable", "ask_for_refits", "open_refits", "work_off"]

WHAT = "refit"
AT_ONCE = 500  # jobs kept in one go
LEASE_S = 120.0  # a rig takes a second or so; who is silent for so long has died


def open_refits(notebook: Notebook) -> Iterator[Entry]:
    """Jobs that nobody has finished yet, those in hand included."""
    for job in notebook.each("job"):
        if isinstance(job.body, KeptJob) and job.body.what == WHAT:
            yield job


def ask_for_refits(notebook: Notebook, now: datetime, new_id: Callable[[], str]) -> int:
    """A job for every rig that has none waiting; how many were added.

    So many are kept at a time that others can save between them. Whoever is stopped in the middle
    asks again: rigs that have their job get no second one.
    """
    waiting = {
        job.rig_id
        for job in open_refits(notebook)
        if isinstance(job.body, KeptJob) and job.body.state == "waiting"
    }
    added, rigs = 0, (rig.id for rig in notebook.each("rig") if rig.id not in waiting)
    while some := tuple(islice(rigs, AT_ONCE)):
        notebook.save_all([Write(new_id(), KeptJob(WHAT), rig_id=one) for one in some], now)
        added += len(some)
    return added


def work_off(
    notebook: Notebook,
    refit: Callable[[str], str],
    worker: str,
    clock: Callable[[], datetime],
    most: int | None = None,
) -> int:
    """Take jobs and do them until none is left."""
    done = 0
    while most is None or done < most:
        job = notebook.take_job(worker, clock(), LEASE_S)
        if job is None:
            break
        told, failed = _told(job, refit)
        try:
            notebook.finish_job(job, told, clock(), failed=failed)
        except (EditedMeanwhile, NotKept):
            continue  # somebody thought us dead and has taken it over, or erased its rig
        done += 1
    return done


def _told(job: Entry, refit: Callable[[str], str]) -> tuple[str, bool]:
    """What became of a job, and whether it failed."""
    if not isinstance(job.body, KeptJob) or job.body.what != WHAT or job.rig_id is None:
        return "This program does not know such work.", True
    try:
        return refit(job.rig_id), False
    except NotebookUnusable:
        raise
    except TapewrightError as bad:
        return str(bad), True
    except Exception as fault:  # noqa: BLE001 — one rig never stops the rest
        return f"Unexpected fault: {type(fault).__name__}: {fault}", True
