"""Share work: many independent pieces over the cores of a machine or a cluster, whoever dies.

Pieces are handed out a few at a time, so a million cost no more memory than ten. What comes back
is the same whoever did it; the order is not. A worker's death says little about the piece that it
had: somebody else may have killed it, or a hungry neighbour taken its memory. So a piece is done
again, then again with nothing beside it, and is given up only when that kills worker after worker.

Holds:  work shared by processes, by a Dask cluster; which piece comes next; which is given up.
Never:  what the work is, files, clocks.
"""

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import TypeVar

from tapewright.services.by_cluster import Cluster
from tapewright.services.by_processes import Processes
from tapewright.services.job import Answered, Crew, Died, Failed, Job

Piece = TypeVar("Piece")
Done = TypeVar("Done")

DEATHS_BESIDE_OTHERS = 2  # then it is put aside, to be done alone
DEATHS_ALONE = 3  # then it is given up


@dataclass(frozen=True, slots=True)
class GivenUp:
    """What became of a piece that could not be done."""

    why: str  # as a sentence


def shared_by_processes(
    work: Callable[[Piece], Done],
    pieces: Iterable[Piece],
    workers: int,
    preload: tuple[str, ...] = (),
) -> Iterator[tuple[Piece, Done | GivenUp]]:
    """Pieces with what the work made of them, as they are finished."""
    crew = Processes(work, workers, preload)
    try:
        yield from shared_by(crew, pieces)
    finally:
        crew.close()


def shared_by_cluster(
    work: Callable[[Piece], Done], pieces: Iterable[Piece], address: str
) -> Iterator[tuple[Piece, Done | GivenUp]]:
    """Pieces with what the work made of them, as they are finished by a Dask cluster."""
    crew = Cluster(work, address)
    try:
        crew.wait_for_worker()
        yield from shared_by(crew, pieces)
    finally:
        crew.close()


def shared_by(crew: Crew, pieces: Iterable[Piece]) -> Iterator[tuple[Piece, Done | GivenUp]]:
    """Pieces with what a crew made of them, as they are finished."""
    coming = map(Job, pieces)
    again, aside = deque[Job](), deque[Job]()
    in_hand = 0
    while True:
        while in_hand < crew.most and (job := again.popleft() if again else next(coming, None)):
            crew.give(job)
            in_hand += 1
        if not in_hand:
            if not aside:
                return
            crew.give(_alone(aside.popleft()))  # nothing else is left to be handed out
            in_hand = 1
        job, news = crew.hear()
        in_hand -= 1
        if isinstance(news, Answered):
            yield job.piece, news.answer
        elif isinstance(news, Failed):
            yield job.piece, GivenUp(f"It could not be worked on: {news.why}.")
        elif isinstance(news, Died) and _is_to_blame(job, news.times):
            why = f"{job.deaths_alone} workers died at it, one after the other, with nothing beside"
            yield job.piece, GivenUp(f"{why}. Try it by itself.")
        elif job.is_alone or job.deaths >= DEATHS_BESIDE_OTHERS:
            aside.append(job)
        else:
            again.append(job)


def _alone(job: Job) -> Job:
    job.is_alone = True
    return job


def _is_to_blame(job: Job, deaths: int) -> bool:
    if job.is_alone:
        job.deaths_alone += deaths
    else:
        job.deaths += deaths
    return job.deaths_alone >= DEATHS_ALONE
