"""Share work: many independent pieces over the cores of a machine or a cluster, whoever dies.

Pieces are handed out a few at a time, so a million cost no more memory than ten. What comes back
is the same whoever did it; the order is not.

Holds:  pieces worked off by processes; by a Dask cluster; a piece that kills its worker twice.
Never:  what the work is, files, clocks.
"""

import os
import signal
import threading
from collections.abc import Callable, Generator, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from importlib import import_module
from itertools import islice
from multiprocessing import connection, get_all_start_methods, get_context, parent_process
from typing import Any, TypeVar

from tapewright import __version__
from tapewright.ground.errors import BadInput, MissingExtra

Piece = TypeVar("Piece")
Done = TypeVar("Done")

QUEUED = 2  # pieces waiting beside those in work: no worker ever waits for the next one
SOON_S = 30.0  # by then a cluster has answered, with a worker


def _begin() -> None:
    """What a fresh worker does first: leave the keyboard to the parent, and die with it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = parent_process()
    assert parent is not None, "a worker was started by somebody"

    def follow() -> None:
        connection.wait([parent.sentinel])
        os._exit(1)

    threading.Thread(target=follow, daemon=True).start()


def _pool(workers: int, preload: tuple[str, ...]) -> ProcessPoolExecutor:
    """Processes that share one costly start where the system can."""
    if "forkserver" not in get_all_start_methods():
        return ProcessPoolExecutor(workers, get_context("spawn"), _begin)
    context = get_context("forkserver")
    context.set_forkserver_preload(list(preload))
    return ProcessPoolExecutor(workers, context, _begin)


def shared_by_processes(
    work: Callable[[Piece], Done],
    pieces: Iterable[Piece],
    workers: int,
    preload: tuple[str, ...] = (),
) -> Iterator[tuple[Piece, Done | None]]:
    """Pieces with what the work made of them, as they are finished.

    When a worker dies, everything it may have had in hand is done again, each piece alone.

    Parameters
    ----------
    work : function
        Of one piece; known by its module and name. It answers, and does not raise.
    pieces : iterable
        Independent of each other; taken as they are needed.
    workers : int
        Processes. [-]
    preload : tuple of str
        Modules to load once for all of them.

    Yields
    ------
    piece, what became of it
        None when it killed its worker twice.
    """
    coming = iter(pieces)
    orphans: list[Piece] = []
    while True:
        with _pool(workers, preload) as pool:
            orphans += yield from _until_a_death(pool, work, coming, workers + QUEUED)
        if not orphans:
            return
        while orphans:
            yield (alone := orphans.pop()), _done_alone(work, alone, preload)


def _until_a_death(
    pool: ProcessPoolExecutor, work: Callable[[Piece], Done], coming: Iterator[Piece], most: int
) -> Generator[tuple[Piece, Done | None], None, list[Piece]]:
    """Work on until nothing is left or a worker dies; returns the pieces that were in hand."""
    in_hand: dict[Future[Done], Piece] = {}
    lost: list[Piece] = []
    while not lost:
        try:
            for piece in islice(coming, most - len(in_hand)):
                lost = [piece]  # until it is surely handed over
                in_hand[pool.submit(work, piece)] = piece
                lost = []
        except BrokenProcessPool:
            break
        if not in_hand:
            break
        finished, _ = wait(in_hand, return_when=FIRST_COMPLETED)
        for one in finished:
            piece = in_hand.pop(one)
            if isinstance(one.exception(), BrokenProcessPool):
                lost.append(piece)
            else:
                yield piece, one.result()
    for one, piece in in_hand.items():
        if isinstance(one.exception(), BrokenProcessPool):
            lost.append(piece)
        else:
            yield piece, one.result()
    return lost


def _done_alone(
    work: Callable[[Piece], Done], piece: Piece, preload: tuple[str, ...]
) -> Done | None:
    """One piece in a process of its own; None when it kills that too."""
    with _pool(1, preload) as pool:
        try:
            return pool.submit(work, piece).result()
        except BrokenProcessPool:
            return None


def shared_by_cluster(
    work: Callable[[Piece], Done], pieces: Iterable[Piece], address: str
) -> Iterator[tuple[Piece, Done | None]]:
    """Pieces with what the work made of them, as they are finished by a Dask cluster.

    Parameters
    ----------
    work, pieces
        As for ``shared_by_processes``.
    address : str
        Of the cluster's scheduler.

    Yields
    ------
    piece, what became of it
        None when it killed a worker again and again.

    Raises
    ------
    MissingExtra
        If Dask distributed is not installed.
    BadInput
        If no cluster answers, its workers have another version of the program, or it goes away.
    """
    try:
        distributed: Any = import_module("distributed")  # an optional extra, half typed
    except ImportError:
        raise MissingExtra("Work on a cluster", "cluster") from None
    try:
        client = distributed.Client(address, timeout=SOON_S)
    except (OSError, ValueError):
        mend = "Start its scheduler first, and write its address as host:port"
        raise BadInput("--cluster", f"no cluster answers at {address!r}", mend) from None
    with client:
        most = QUEUED * max(1, _workers_of(client))
        coming = iter(pieces)
        in_hand = {client.submit(work, piece, pure=False): piece for piece in islice(coming, most)}
        finished = distributed.as_completed(in_hand)
        for one in finished:
            piece = in_hand.pop(one)
            if one.cancelled():
                mend = "Run the same command again: what was done is not done again"
                raise BadInput("--cluster", "the cluster went away in the middle", mend)
            is_killed = isinstance(one.exception(), distributed.KilledWorker)
            yield piece, None if is_killed else one.result()
            for more in islice(coming, 1):
                fresh = client.submit(work, more, pure=False)
                in_hand[fresh] = more
                finished.add(fresh)


def program_version() -> str:
    """Version of the program, as a worker of a cluster has it."""
    return __version__


def _workers_of(client: Any) -> int:  # noqa: ANN401 — a library that may be missing
    """How many threads the cluster has, all with our version of the program."""
    try:
        client.wait_for_workers(1, timeout=SOON_S)
        versions = set(client.run(program_version).values())
    except TimeoutError:
        mend = "Start workers for its scheduler"
        raise BadInput("--cluster", "the cluster has no worker", mend) from None
    except ImportError:
        versions = set()
    if versions != {__version__}:
        wrong = f"not every worker has Tapewright {__version__}"
        raise BadInput("--cluster", wrong, "Install the same version on all machines")
    return sum(client.nthreads().values())
