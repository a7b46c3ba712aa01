"""Pieces of work: what workers are given in tests; they find it by this module's name.

Holds:  work that doubles, that dies once, that always dies.
Never:  a test.
"""

import os
import signal
import time
from pathlib import Path


def double(number):
    return 2 * number


def double_later(number):
    time.sleep(0.05)
    return 2 * number


def double_unless_killed(piece):
    """Dies the first time it is asked for the piece whose marker is missing; then doubles."""
    number, marker = piece
    if marker and not Path(marker).exists():
        Path(marker).touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return 2 * number


def double_but_not_seven(number):
    if number == 7:
        os.kill(os.getpid(), signal.SIGKILL)
    return 2 * number


def double_slowly(piece):
    """Says where that it has begun, and takes its time."""
    number, begun = piece
    Path(begun).write_text(str(os.getpid()), encoding="utf-8")
    time.sleep(60)
    return 2 * number
