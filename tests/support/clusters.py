"""Clusters: a real Dask scheduler and its workers, in processes of their own.

Holds:  starting them; their addresses and ids; ending them.
Never:  a test.
"""

import contextlib
import os
import subprocess
import sys
import threading
import time
from pathlib import Path

HERE = str(Path(__file__).parent)
UP_S = 300.0


class Running:
    """A scheduler with workers; one that dies is soon followed by another.

    Parameters
    ----------
    folder : Path
        Where it says its address.
    workers : int
        How many of one thread each.
    deaths : int
        After how many more than that the scheduler itself blames a piece.
    """

    def __init__(self, folder, workers, deaths=3):
        self._said = folder / "scheduler.json"
        settings = {
            "PYTHONPATH": os.pathsep.join([HERE, *sys.path]),
            "DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES": str(deaths),
        }
        self._environment = os.environ | settings
        self.scheduler = self._start("scheduler", "--host", "127.0.0.1", "--port", "0")
        self._workers = [self._worker() for _ in range(workers)]
        self._closing = threading.Event()
        self._supervisor = threading.Thread(target=self._keep_up, daemon=True)
        self._supervisor.start()

    def _start(self, kind, *more):
        words = ["-m", f"distributed.cli.dask_{kind}", "--scheduler-file", self._said]
        return subprocess.Popen(
            [sys.executable, *words, "--no-dashboard", *more], env=self._environment,
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip

    def _worker(self):
        return self._start("worker", "--no-nanny", "--nthreads", "1", "--host", "127.0.0.1")

    def _keep_up(self):
        while not self._closing.wait(0.1):
            for place, worker in enumerate(self._workers):
                if worker.poll() is not None:
                    self._workers[place] = self._worker()

    @property
    def address(self):
        """Of the scheduler, once it is there with every worker."""
        import distributed

        end = time.monotonic() + UP_S
        while not self._said.exists() and time.monotonic() < end:
            time.sleep(0.1)
        with distributed.Client(scheduler_file=str(self._said), timeout=UP_S) as client:
            client.wait_for_workers(len(self._workers), timeout=UP_S)
            return client.scheduler.address

    def worker_ids(self):
        """Processes that work now, or begin to."""
        return [one.pid for one in self._workers if one.poll() is None]

    def close(self):
        """End all of it."""
        self._closing.set()
        self._supervisor.join(UP_S)
        for one in (self.scheduler, *self._workers):
            one.kill()
            one.wait(UP_S)


@contextlib.contextmanager
def running(folder, workers, deaths=3):
    """A cluster for as long as it is needed."""
    cluster = Running(folder, workers, deaths)
    try:
        yield cluster
    finally:
        cluster.close()
