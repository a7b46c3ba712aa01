"""Crowd: processes of their own that write into a notebook, for tests of many at once.

Holds:  the fixture ``fork``; editors that take turns, workers that do jobs, a writer that goes on
        until it is killed.
Never:  tests; heavy imports, for some are started hundreds of times.
"""

import os
import resource
import sys
from datetime import UTC, datetime
from multiprocessing import forkserver, get_context
from random import Random

# What a notebook loads when it is opened, so that a process that has this file opens at once.
import psycopg
import pytest
import sqlalchemy.dialects.postgresql.psycopg
import sqlalchemy.dialects.sqlite.pysqlite

from tapewright.ground.errors import EditedMeanwhile, NotebookUnusable
from tapewright.storage.entries import Source, Write
from tapewright.storage.notebook import open_notebook
from tapewright.storage.records import KeptRig, KeptSession

__all__ = ["edit_by_turns", "fork", "psycopg", "sqlalchemy", "work"]
__all__ += ["write_as_nobody", "write_until_killed", "write_until_told"]

FORK = get_context("forkserver")


@pytest.fixture
def fork(monkeypatch):
    """Processes that begin in milliseconds: all that they load is loaded once, and no pytest."""
    FORK.set_forkserver_preload(["crowd"])
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("PYTHONPATH", os.pathsep.join(sys.path))  # the server looks nowhere else
        forkserver.ensure_running()
    monkeypatch.delattr("__main__.__file__", raising=False)
    return FORK


def now():
    """This moment."""
    return datetime.now(UTC)


def edit_by_turns(url, entry_id, times):
    """Save an entry so often, looking before each; how often it was confirmed."""
    notebook, confirmed = open_notebook(url), 0
    for _ in range(times):
        seen = notebook.entry(entry_id)
        try:
            notebook.save(entry_id, seen.body, seen=seen.number, now=now())
            confirmed += 1
        except EditedMeanwhile:
            pass
    notebook.close()
    return confirmed


def work(url, name):
    """Do jobs until there are none; the ids of those that were done."""
    notebook, done = open_notebook(url), []
    while notebook.entries("job"):
        job = notebook.take_job(name, now(), 600.0)
        if job:
            notebook.finish_job(job, name, now())
            done.append(job.id)
    notebook.close()
    return done


def write_until_told(url, confirmed, seed, most_bytes):
    """The same, but no file may grow beyond so many bytes: as a disk that becomes full."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (most_bytes, most_bytes))
    write_until_killed(url, confirmed, seed)


def write_as_nobody(url, confirmed, seed):
    """The same, but as somebody whom permissions bind, as they do not bind root."""
    if os.geteuid() == 0:
        os.setuid(65534)
    write_until_killed(url, confirmed, seed)


def write_until_killed(url, confirmed, seed):
    """Add, save and withdraw until somebody ends it; each confirmed write is told at once.

    A pair is a rig with a session made from it, added together: both are there or neither.
    """
    try:
        notebook = open_notebook(url)
        confirmed.send(("open",))
        chance = Random(seed)
        while True:
            rig, session = (f"{chance.getrandbits(80):020x}" for _ in range(2))
            sheet = "#" * chance.choice((10, 300, 9000))
            pair = (
                Write(rig, KeptRig(sheet, session)),
                Write(session, KeptSession("2026-11-25", "sighting", rig, 0), 0, rig,
                      (Source(rig, 1),)),
            )  # fmt: skip
            notebook.save_all(pair, now())
            confirmed.send(("pair", rig, session))
            notebook.save(rig, KeptRig(sheet + "2", session), seen=1, now=now())
            confirmed.send(("second", rig))
            notebook.withdraw(session, seen=1, now=now())
            confirmed.send(("withdrawn", session))
    except NotebookUnusable as told:
        confirmed.send(("told", str(told)))
