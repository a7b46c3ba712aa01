"""Clusters: a real Dask scheduler and its workers, in processes of their own.

Holds:  starting them; their addresses and ids; ending them.
Never:  a test.
"""

import contextlib
import os
import subprocess
import sys
import time
from pathlib import Path

from processes import descendants

HERE = str(Path(__file__).parent)
UP_S = 120.0


class Running:
    """A scheduler with workers that are started again when they die.

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
            "DASK_DISTRIBUTED__WORKER__DAEMON": "true",
        }
        self._environment = os.environ | settings
        self._quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        self.scheduler = self._start("scheduler", "--host", "127.0.0.1", "--port", "0")
        self.workers = self._start(
            "worker", "--nworkers", str(workers), "--nthreads", "1", "--host", "127.0.0.1"
        )

    def _start(self, kind, *more):
        words = ["-m", f"distributed.cli.dask_{kind}", "--scheduler-file", self._said]
        return subprocess.Popen(
            [sys.executable, *words, "--no-dashboard", *more], env=self._environment, **self._quiet
        )

    @property
    def address(self):
        """Of the scheduler, once it is there with every worker."""
        import distributed

        end = time.monotonic() + UP_S
        while not self._said.exists() and time.monotonic() < end:
            time.sleep(0.1)
        with distributed.Client(scheduler_file=str(self._said), timeout=UP_S) as client:
            client.wait_for_workers(1, timeout=UP_S)
            return client.scheduler.address

    def worker_ids(self):
        """Processes that work now."""
        below = descendants(self.workers.pid)
        return sorted(one for one in below if _is_worker(one))

    def close(self):
        """End all of it."""
        below = [self.scheduler.pid, self.workers.pid, *descendants(self.workers.pid)]
        for pid in below:
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, 9)
        self.scheduler.wait(60.0)
        self.workers.wait(60.0)


def _is_worker(pid):
    try:
        words = Path(f"/proc/{pid}/cmdline").read_bytes()
    except OSError:
        return False
    return b"spawn_main" in words


@contextlib.contextmanager
def running(folder, workers, deaths=3):
    """A cluster for as long as it is needed."""
    cluster = Running(folder, workers, deaths)
    try:
        yield cluster
    finally:
        cluster.close()
