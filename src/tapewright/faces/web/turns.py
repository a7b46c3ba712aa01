"""Turns: one person's long work does not become everybody's wait.

Holds:  a line for each person: so many requests at once, the next ones wait, and not for ever.
Never:  who a person is (safety.py), what is long (safety.py).
"""

import asyncio
from collections import deque

MOST_WAITING = 64  # of one person; as many as connections


class _Line:
    def __init__(self) -> None:
        self.busy = 0
        self.waiting: deque[asyncio.Future[None]] = deque()


class Turns:
    """Lines of people who want something done."""

    def __init__(self, at_once: int) -> None:
        self._at_once = at_once
        self._lines: dict[str, _Line] = {}

    async def take(self, person: str, wait_s: float) -> bool:
        """Whether it became this person's turn in time; whoever takes one gives it back."""
        line = self._lines.setdefault(person, _Line())
        if line.busy < self._at_once:
            line.busy += 1
            return True
        if len(line.waiting) >= MOST_WAITING:
            return False
        turn = asyncio.get_running_loop().create_future()
        line.waiting.append(turn)
        try:
            await asyncio.wait_for(turn, wait_s)
        except BaseException as left:
            if turn.done() and not turn.cancelled():  # it came in the same moment
                self.give(person)
            elif turn in line.waiting:
                line.waiting.remove(turn)
            if isinstance(left, TimeoutError):
                return False
            raise
        return True

    def give(self, person: str) -> None:
        """Let the next one have the turn."""
        line = self._lines[person]
        while line.waiting:
            turn = line.waiting.popleft()
            if not turn.done():
                turn.set_result(None)
                return
        line.busy -= 1
        if not line.busy:
            del self._lines[person]
