"""By processes: a crew of worker processes on this machine, each with a line of its own.

A worker is a fresh Python that hears and answers over its own two pipes. Nobody else holds their
ends, so its death at any instant, in the middle of an answer too, ends its line and no other.
A thread for each worker speaks with it; killing the worker ends whatever that thread waits for.

Holds:  the crew; a worker's start, speech and end; what a worker does.
Never:  which job comes next, who is blamed (share_work.py).
"""

import os
import pickle
import signal
import sys
from collections.abc import Callable
from contextlib import suppress
from importlib import import_module
from queue import Empty, SimpleQueue
from subprocess import PIPE, Popen, TimeoutExpired
from threading import Event, Thread
from typing import IO, Any

from tapewright.ground.errors import BadInput
from tapewright.ground.extras import is_packed
from tapewright.services.job import Answered, Died, Failed, Job, News, Untouched

QUEUED = 2  # jobs waiting beside those in work: no worker ever waits for the next one
STEP_S = 1.0  # a program stopped and continued has waited one step, however long it was stopped
PATIENCE_S = 600.0  # nothing heard of anybody: they hang; the slowest rig takes seconds
SOON_S = 30.0  # by then a killed process is gone
PAUSE_S = 0.2  # before the next start after one that failed
MOST_STARTS = 20  # that fail in a row, for each worker
LENGTH_BYTES = 8
WORKER = "be-a-worker"  # what a packed program, which takes no Python, is told in place of START
START = "import sys; sys.path[:] = sys.argv[1:]; import {0}; {0}.serve()"


class Processes:
    """A crew of processes."""

    def __init__(
        self, work: Callable[[Any], Any], workers: int, preload: tuple[str, ...] = ()
    ) -> None:
        self.most = workers + QUEUED
        self._opening = pickle.dumps((work, preload))
        self._workers: list[_Worker] = []
        self._most_workers = workers
        self._todo: SimpleQueue[tuple[Job, bytes] | None] = SimpleQueue()
        self._told: SimpleQueue[tuple[Job, News]] = SimpleQueue()
        self._closing = Event()
        self._failed_starts = 0

    def give(self, job: Job) -> None:
        """Hand a job to whoever is free first."""
        self._todo.put((job, pickle.dumps(job.piece)))
        if len(self._workers) == self._most_workers:
            return
        try:
            self._workers.append(_Worker(self._opening, self._todo, self._told, self._closing))
        except RuntimeError:  # the system has no thread left for us
            self._most_workers = len(self._workers)
            if not self._workers:
                raise _no_worker("be started") from None

    def hear(self) -> tuple[Job, News]:
        """The next news; whoever hangs is killed."""
        job, news = self._heard()
        self._failed_starts = self._failed_starts + 1 if isinstance(news, Untouched) else 0
        if self._failed_starts >= MOST_STARTS * len(self._workers):
            raise _no_worker("be started")
        return job, news

    def _heard(self) -> tuple[Job, News]:
        for _ in range(round(PATIENCE_S / STEP_S)):
            with suppress(Empty):
                return self._told.get(timeout=STEP_S)
        for worker in self._workers:
            worker.kill()
        try:
            return self._told.get(timeout=SOON_S)
        except Empty:
            raise _no_worker("be ended") from None

    def close(self) -> None:
        """Kill all of them."""
        self._closing.set()
        for worker in self._workers:
            self._todo.put(None)
            worker.kill()
        for worker in self._workers:
            if not worker.is_gone():
                return  # not even a kill ends it: it waits for a disk, and ends after that


def _no_worker(can: str) -> BadInput:
    mend = "Look for memory, disk and processes, and run the same command again"
    return BadInput("workers", f"no worker can {can} on this machine", mend)


class _Unable(Exception):
    """A worker could be started, but not load the work."""


class _Worker:
    """A thread that takes jobs and asks a process of its own."""

    def __init__(
        self,
        opening: bytes,
        todo: SimpleQueue[tuple[Job, bytes] | None],
        told: SimpleQueue[tuple[Job, News]],
        closing: Event,
    ) -> None:
        self._opening, self._todo, self._told, self._closing = opening, todo, told, closing
        self._process: Popen[bytes] | None = None
        self._thread = Thread(target=self._work_off, name="worker", daemon=True)
        self._thread.start()

    def kill(self) -> None:
        """End what it has in hand; the thread hears of it as of any death."""
        process = self._process
        if process is not None:
            process.kill()

    def is_gone(self) -> bool:
        """Whether its process is gone, soon at the latest."""
        self._thread.join(SOON_S)
        return not self._thread.is_alive()

    def _work_off(self) -> None:
        while not self._closing.is_set() and (given := self._todo.get()) is not None:
            job, packed = given  # the wait above ends with a job or with the crew
            self._told.put((job, self._asked(packed)))
        self._end()

    def _asked(self, packed: bytes) -> News:
        try:
            process = self._started()
        except _Unable as unable:
            return Failed(str(unable))
        except Exception:  # noqa: BLE001 — a thread that died here would be waited for
            self._end()
            self._closing.wait(PAUSE_S)
            return Untouched()
        try:
            return _speak(process, packed)
        except (OSError, EOFError):
            self._end()
            return Died()
        except Exception as fault:  # noqa: BLE001 — the same
            return _failed(fault)

    def _started(self) -> Popen[bytes]:
        """The process, which has loaded all it needs; a new one when the old one is dead."""
        if self._process is not None and self._process.poll() is None:
            return self._process
        self._end()
        if self._closing.is_set():
            raise EOFError
        process = Popen(worker_command(), stdin=PIPE, stdout=PIPE, process_group=0)  # noqa: S603 — ourselves
        self._process = process  # from here on kill() finds it; before, the flag tells
        if self._closing.is_set():
            raise EOFError
        if isinstance(opened := _speak(process, self._opening), Failed):
            raise _Unable(opened.why)
        return process

    def _end(self) -> None:
        process, self._process = self._process, None
        if process is None:
            return
        process.kill()
        for pipe in (process.stdin, process.stdout):
            assert pipe is not None
            with suppress(OSError):  # what was left to write has no reader
                pipe.close()
        with suppress(TimeoutExpired):
            process.wait(SOON_S)


def worker_command() -> list[str]:
    """How a worker is started."""
    if is_packed():
        return [sys.executable, WORKER]
    return [sys.executable, "-c", START.format(__name__), *sys.path]


def _speak(process: Popen[bytes], packed: bytes) -> News:
    """Say something to a worker and hear its answer; its death ends the wait."""
    assert process.stdin is not None
    assert process.stdout is not None
    send(process.stdin, packed)
    heard: News = pickle.loads(receive(process.stdout))  # noqa: S301 — our own process
    return heard


def send(pipe: IO[bytes], packed: bytes) -> None:
    """Send a whole message."""
    pipe.write(len(packed).to_bytes(LENGTH_BYTES))
    pipe.write(packed)
    pipe.flush()


def receive(pipe: IO[bytes]) -> bytes:
    """A whole message; half a one is the end of its sender."""
    head = pipe.read(LENGTH_BYTES)
    packed = pipe.read(int.from_bytes(head))
    if len(head) < LENGTH_BYTES or len(packed) < int.from_bytes(head):
        raise EOFError
    return packed


def _failed(fault: Exception) -> Failed:
    return Failed(f"{type(fault).__name__}: {fault}")


def serve() -> None:
    """What a worker does: one job after the other, until nobody is there to hear."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the keyboard is the parent's
    source, sink = os.fdopen(os.dup(0), "rb"), os.fdopen(os.dup(1), "wb")
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    os.dup2(2, 1)  # what a library prints does not get between the answers
    given: SimpleQueue[bytes] = SimpleQueue()
    Thread(target=_follow, args=(source, given), daemon=True).start()
    try:
        work, preload = pickle.loads(given.get())  # noqa: S301 — our own parent
        for name in preload:
            import_module(name)
    except Exception as fault:  # noqa: BLE001 — told to the parent
        _tell(sink, pickle.dumps(_failed(fault)))
        return
    _tell(sink, pickle.dumps(Answered(None)))
    while True:  # each wait ends with a job, or the whole process ends with its parent
        _tell(sink, _answer(work, given.get()))


def _tell(sink: IO[bytes], packed: bytes) -> None:
    try:
        send(sink, packed)
    except OSError:  # the parent died just now
        os._exit(1)


def _follow(source: IO[bytes], given: SimpleQueue[bytes]) -> None:
    """Take what the parent sends, and die with it, even in the middle of a job."""
    try:
        while True:
            given.put(receive(source))
    finally:
        os._exit(1)


def _answer(work: Callable[[Any], Any], packed: bytes) -> bytes:
    try:
        return pickle.dumps(Answered(work(pickle.loads(packed))))  # noqa: S301 — our own parent
    except Exception as fault:  # noqa: BLE001 — told to the parent
        return pickle.dumps(_failed(fault))
