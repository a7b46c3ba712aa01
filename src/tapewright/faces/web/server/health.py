"""Health: whether the notebook answers, asked once a second at most and waited for 3 s at most.

Who watches over a server asks often, and anybody may: the notebook is not asked more for that. A
database that hangs is asked once, however many want to know.

Holds:  the Pulse.
Never:  addresses, what is counted besides (metrics.py).
"""

import time
from collections.abc import Callable
from concurrent.futures import Future
from threading import Lock, Thread

from tapewright.ground.errors import TapewrightError

WAIT_S, FRESH_S = 3.0, 1.0


class Pulse:
    """Whether something answers."""

    def __init__(self, knock: Callable[[], None]) -> None:
        self._knock, self._turn = knock, Lock()
        self._asked: Future[float] | None = None  # seconds that the answer took
        self._asked_s = 0.0

    def beat(self) -> float | None:
        """Seconds that an answer took; None where none came."""
        now_s = time.monotonic()
        with self._turn:
            old = self._asked
            if old is None or (old.done() and now_s > self._asked_s + FRESH_S):
                self._asked, self._asked_s = Future(), now_s
                Thread(target=self._ask, args=(self._asked,), daemon=True).start()
            asked = self._asked
        assert asked is not None
        try:
            return asked.result(timeout=WAIT_S)
        except (TapewrightError, TimeoutError):
            return None

    def _ask(self, asked: Future[float]) -> None:
        since_s = time.monotonic()
        try:
            self._knock()
        except BaseException as refused:  # noqa: BLE001 — told to whoever asks
            asked.set_exception(refused)
        else:
            asked.set_result(time.monotonic() - since_s)
