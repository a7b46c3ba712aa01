"""Job: one of many pieces on its way to whoever works on it, and what is heard of it.

Holds:  the Job; news of one: answered, failed, its worker died, nobody touched it; the Crew.
Never:  who works (by_processes.py, by_cluster.py), which job comes next (share_work.py).
"""

from dataclasses import dataclass
from typing import Any, Protocol


class Job:
    """A piece with the deaths that it was near; these change on its way."""

    def __init__(self, piece: Any) -> None:  # noqa: ANN401 — any work
        self.piece = piece
        self.deaths = 0
        self.deaths_alone = 0
        self.is_alone = False


@dataclass(frozen=True, slots=True)
class Answered:
    """The work made something of it."""

    answer: Any


@dataclass(frozen=True, slots=True)
class Failed:
    """The work raised, or its answer could not be sent."""

    why: str


@dataclass(frozen=True, slots=True)
class Died:
    """The worker that had it died, so many times."""

    times: int = 1


@dataclass(frozen=True, slots=True)
class Untouched:
    """No worker could be started for it."""


News = Answered | Failed | Died | Untouched


class Crew(Protocol):
    """Whoever works on jobs."""

    @property
    def most(self) -> int:
        """How many jobs keep it busy."""

    def give(self, job: Job) -> None:
        """Hand a job out."""

    def hear(self) -> tuple[Job, News]:
        """The next news of a job in hand; waits only so long."""

    def close(self) -> None:
        """Let everybody go, whatever they have in hand."""
