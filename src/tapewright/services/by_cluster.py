"""By cluster: a crew of workers of a Dask cluster, somebody else's machines.

Holds:  the crew; every wait for the cluster with its limit and its sentence.
Never:  which job comes next, who is blamed (share_work.py).
"""

import logging
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from importlib import import_module
from queue import Empty, SimpleQueue
from time import sleep
from typing import Any

from tapewright import __version__
from tapewright.ground.errors import BadInput, MissingExtra
from tapewright.services.job import Answered, Died, Failed, Job, News

QUEUED = 2  # jobs for each thread of the cluster: none waits for the next one
SOON_S = 30.0  # by then a cluster has answered, with a worker
GLANCE_S = 0.25  # between looks for the first worker
STEP_S = 10.0  # then one asks whether the scheduler is still there
PATIENCE_S = 600.0  # nothing finished: the slowest rig takes seconds, a new worker a minute
AGAIN = "Run the same command again: what was done is not done again"


class Cluster:
    """A crew of a Dask cluster."""

    def __init__(self, work: Callable[[Any], Any], address: str) -> None:
        try:
            self._dask: Any = import_module("distributed")  # an optional extra, half typed
        except ImportError:
            raise MissingExtra("Work on a cluster", "cluster") from None
        logging.getLogger("distributed").setLevel(logging.CRITICAL)  # we say it in a sentence
        try:
            self._client = self._dask.Client(address, timeout=SOON_S, set_as_default=False)
        except (OSError, ValueError):
            mend = "Start its scheduler first, and write its address as host:port"
            raise BadInput("cluster", f"no cluster answers at {address!r}", mend) from None
        self._work = partial(told_with_version, work)
        self._in_hand: dict[str, tuple[Job, Any]] = {}
        self._told: SimpleQueue[Any] = SimpleQueue()
        self._threads = 0

    @property
    def most(self) -> int:
        """How many jobs keep it busy."""
        return QUEUED * max(1, self._threads)

    def wait_for_worker(self) -> None:
        """Wait until one is there."""
        for _ in range(round(SOON_S / GLANCE_S)):
            self._look()
            if self._threads:
                return
            sleep(GLANCE_S)
        raise BadInput("cluster", "the cluster has no worker", "Start workers for its scheduler")

    def give(self, job: Job) -> None:
        """Hand a job to whoever is free first."""
        try:
            future = self._client.submit(self._work, job.piece, pure=False)
        except RuntimeError:  # the client closed itself
            raise _went_away() from None
        self._in_hand[future.key] = job, future
        future.add_done_callback(self._told.put)

    def hear(self) -> tuple[Job, News]:
        """The next news."""
        for _ in range(round(PATIENCE_S / STEP_S)):
            with suppress(Empty):
                future = self._told.get(timeout=STEP_S)
                job, _ = self._in_hand.pop(future.key)
                return job, self._news(future)
            self._look()
        minutes = f"for {PATIENCE_S / 60:.0f} minutes"
        if not self._threads:
            raise BadInput("cluster", f"the cluster has had no worker {minutes}", AGAIN)
        raise BadInput("cluster", f"no worker finished a rig {minutes}", AGAIN)

    def _look(self) -> None:
        """Look how large the cluster is, and whether it is still there."""
        try:
            self._threads = sum(self._client.nthreads(callback_timeout=SOON_S).values())
        except TimeoutError:
            raise BadInput("cluster", "its scheduler no longer answers", AGAIN) from None
        except (OSError, RuntimeError, AttributeError):  # closed, or just closing itself
            raise _went_away() from None

    def _news(self, future: Any) -> News:  # noqa: ANN401 — a library that may be missing
        for _ in range(round(PATIENCE_S / SOON_S) or 1):
            try:
                version, answer = future.result(timeout=SOON_S)
            except self._dask.KilledWorker as killed:
                return Died(killed.allowed_failures + 1)
            except TimeoutError:  # who had the answer died before it told; it is made again
                self._look()
                continue
            except Exception as fault:  # noqa: BLE001 — told with the rig
                return self._fault(future, fault)
            if version != __version__:
                raise _other_version()
            return Answered(answer)
        raise BadInput("cluster", "its answers do not come through", AGAIN)

    def _fault(self, future: Any, fault: Exception) -> Failed:  # noqa: ANN401 — the same
        if future.cancelled():
            raise _went_away() from None
        if is_of_other_version(fault):
            raise _other_version() from None
        return Failed(f"{type(fault).__name__}: {fault}")

    def close(self) -> None:
        """Leave the cluster; what it has in hand is dropped."""
        self._in_hand.clear()
        with suppress(TimeoutError, OSError, RuntimeError):
            self._client.close(timeout=SOON_S)


def told_with_version(work: Callable[[Any], Any], piece: Any) -> tuple[str, Any]:  # noqa: ANN401 — any work
    """What a worker of a cluster does: the work, and which version of the program did it."""
    return __version__, work(piece)


def is_of_other_version(fault: BaseException | None) -> bool:
    """Whether something was missing over there that is here."""
    while fault is not None:
        if isinstance(fault, (ImportError, AttributeError)):
            return True
        fault = fault.__cause__
    return False


def _other_version() -> BadInput:
    wrong = f"not every worker has Tapewright {__version__}"
    return BadInput("cluster", wrong, "Install the same version on all machines")


def _went_away() -> BadInput:
    return BadInput("cluster", "the cluster went away in the middle", AGAIN)
