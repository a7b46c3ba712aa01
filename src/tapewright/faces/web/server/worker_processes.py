"""Worker processes: several processes behind one address; one that dies is replaced at once.

The server library looks after its workers one by one and waits five seconds for each that does not
answer yet. A worker that is only starting kept it from seeing that another had died, and was
killed itself where a busy machine let it start slowly. Here nobody waits for anybody.

On Linux they are forked from a process that has loaded the program already: a new worker works a
moment later, and not after the seconds, on a busy machine half a minute, that loading takes.

Holds:  starting workers and looking after them: the dead, the stopped, those that never come up.
Never:  what a worker does (serving.py).
"""

import logging
import multiprocessing
import os
import signal
import sys
import time
from contextlib import suppress
from dataclasses import dataclass
from multiprocessing.connection import wait
from socket import socket
from typing import Any

from uvicorn._subprocess import subprocess_started
from uvicorn.config import Config
from uvicorn.supervisors import Multiprocess
from uvicorn.supervisors.multiprocess import Process

LOG = logging.getLogger("tapewright.web")
SILENT_S = 5.0  # until a worker that answered before counts as stopped
STARTING_S = 120.0  # until one that never did
AGAIN_S = 1.0  # before a start that failed is tried again
LOOK_EVERY_S = 0.5
GONE_S = 10.0  # a killed process is gone at once, unless its disk hangs
LOADED = [
    "tapewright.faces.web.serving",
    "tapewright.services.calibrate",
]  # before the first fork
ORPHANED = 255  # what the library says of workers whose forking process is gone; they live on


@dataclass(slots=True)
class _Seen:
    """What is known of one worker."""

    since_s: float  # of its start, or of the question that it has not answered
    has_answered: bool = False  # ever
    is_asked: bool = False  # and has not answered yet


class Worker(Process):
    """One of them."""

    process: Any  # of whichever kind

    def __init__(self, config: Config, sockets: list[socket]) -> None:
        super().__init__(config, sockets)
        if sys.platform == "linux":
            forking = multiprocessing.get_context("forkserver")
            forking.set_forkserver_preload(LOADED)
            told = {"config": config, "target": self.target, "sockets": sockets}
            self.process = forking.Process(
                target=subprocess_started, kwargs=told | {"stdin_fileno": None}
            )


def stand_where_one_may() -> None:
    """Leave a folder that this user may not enter, or that is gone: no worker could start there."""
    try:
        os.chdir(os.getcwd())  # noqa: PTH109 — as the processes do it
    except OSError:
        os.chdir(os.path.abspath(os.sep))  # noqa: PTH100 — the root, whatever the system calls it


def _end(worker: Process) -> None:
    """End a worker, whatever it does."""
    worker.kill()
    worker.process.join(GONE_S)
    if worker.exitcode == ORPHANED and worker.pid:
        with suppress(ProcessLookupError):
            os.kill(worker.pid, signal.SIGKILL)


class Workers(Multiprocess):
    """Processes that serve together."""

    def init_processes(self) -> None:
        """Start all of them."""
        stand_where_one_may()
        self._seen: dict[int, _Seen] = {}
        self.processes = [Worker(self.config, self.sockets) for _ in range(self.processes_num)]
        for one in self.processes:
            one.start()

    def count(self) -> int:
        """How many of them live."""
        return sum(one.process.is_alive() for one in list(self.processes))

    def keep_subprocess_alive(self) -> None:
        """Replace whoever died, never came up, or says nothing any more."""
        now_s = time.monotonic()
        for at, worker in enumerate(list(self.processes)):
            if self.should_exit.is_set():
                return
            seen = self._seen.setdefault(worker.pid or 0, _Seen(now_s))
            if worker.process.is_alive() and not self._is_stuck(worker, seen, now_s):
                continue
            _end(worker)
            if not seen.has_answered and now_s < seen.since_s + AGAIN_S:
                self.should_exit.wait(AGAIN_S)  # it could not begin: the notebook may be away
            LOG.error("Worker %s ended; another takes its place.", worker.pid)
            self._seen.pop(worker.pid or 0, None)
            self.processes[at] = Worker(self.config, self.sockets)
            self.processes[at].start()
        wait([one.process.sentinel for one in self.processes], LOOK_EVERY_S)

    @staticmethod
    def _is_stuck(worker: Process, seen: _Seen, now_s: float) -> bool:
        """Ask a worker whether it is well, hear what it said to that; whether it is silent."""
        line = worker.parent_conn
        try:
            while line.poll(0):
                line.recv()
                seen.has_answered, seen.is_asked = True, False
            if not seen.is_asked:
                line.send(b"ping")
                seen.is_asked = True
                seen.since_s = now_s if seen.has_answered else seen.since_s
        except (OSError, EOFError):
            return True
        return now_s > seen.since_s + (SILENT_S if seen.has_answered else STARTING_S)
