"""Guesses: how often each address has guessed lately, counted together by all workers.

A guess is written down before anybody looks whether it is right, in one step that no other worker
can come between, so that guesses made at the same time are counted like those made one by one.

Holds:  the count, in memory or in a file that several processes share.
Never:  what was guessed, what a passcode is.
"""

import sqlite3
from pathlib import Path
from threading import Lock
from weakref import finalize

WAIT_S = 5.0  # for another worker that is writing


class Guesses:
    """Guesses of the last while.

    Parameters
    ----------
    most : int
        Guesses that one address has. [-]
    window_s : float
        In this time. [s]
    file : Path or None
        Shared by several processes; None: only this one counts.
    """

    def __init__(self, most: int, window_s: float, file: Path | None = None) -> None:
        self._most, self._window_s = most, window_s
        self._lock = Lock()
        self._table = sqlite3.connect(
            ":memory:" if file is None else file,
            timeout=WAIT_S,
            isolation_level=None,
            check_same_thread=False,  # the lock sees to that
        )
        finalize(self, self._table.close)
        self._table.execute("PRAGMA synchronous = OFF")  # a count need not outlive the power
        self._table.execute("CREATE TABLE IF NOT EXISTS guess (address TEXT, at_s REAL)")

    def begin(self, address: str, now_s: float) -> float:
        """Count a guess; seconds to wait instead if there are none left. [s]

        Parameters
        ----------
        address : str
            Who guesses.
        now_s : float
            On a clock that only goes forward. [s]
        """
        with self._lock, self._table:
            self._table.execute("BEGIN IMMEDIATE")
            self._table.execute("DELETE FROM guess WHERE at_s <= ?", (now_s - self._window_s,))
            made = self._table.execute(
                "SELECT at_s FROM guess WHERE address = ? ORDER BY at_s", (address,)
            ).fetchall()
            if len(made) >= self._most:
                first_s: float = made[-self._most][0]
                return first_s + self._window_s - now_s
            self._table.execute("INSERT INTO guess VALUES (?, ?)", (address, now_s))
            return 0.0

    def take_back(self, address: str, now_s: float) -> None:
        """Forget one guess: it was right, or nobody looked at it."""
        with self._lock, self._table:
            self._table.execute("BEGIN IMMEDIATE")
            self._table.execute(
                "DELETE FROM guess WHERE rowid IN"
                " (SELECT rowid FROM guess WHERE address = ? AND at_s = ? LIMIT 1)",
                (address, now_s),
            )
