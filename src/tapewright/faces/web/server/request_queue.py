"""Request queue: one person's long work does not become everybody's wait.

Holds:  a line for each person: so many requests at once, the next ones wait, and not for ever.
Never:  who a person is (security.py), what is long (security.py).
"""

import asyncio

MOST_WAITING = 64  # of one person; as many as connections


class _Line:
    def __init__(self, at_once: int) -> None:
        self.turn = asyncio.Semaphore(at_once)
        self.inside = 0  # who holds a turn or waits for one


class Turns:
    """Lines of people who want something done."""

    def __init__(self, at_once: int) -> None:
        self._at_once = at_once
        self._lines: dict[str, _Line] = {}

    async def take(self, person: str, wait_s: float) -> bool:
        """Whether it became this person's turn in time; whoever takes one gives it back."""
        line = self._lines.setdefault(person, _Line(self._at_once))
        if line.inside >= self._at_once + MOST_WAITING:
            return False
        line.inside += 1
        try:
            async with asyncio.timeout(wait_s):
                return await line.turn.acquire()
        except BaseException as left:
            self._leave(person)
            if isinstance(left, TimeoutError):
                return False
            raise

    def give(self, person: str) -> None:
        """Let the next one have the turn."""
        self._lines[person].turn.release()
        self._leave(person)

    def _leave(self, person: str) -> None:
        line = self._lines[person]
        line.inside -= 1
        if not line.inside:
            del self._lines[person]
