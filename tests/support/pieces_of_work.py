"""Pieces of work: what workers are given in tests; they find it by this module's name.

Holds:  work that doubles, and dies, stops, raises or chatters on its way.
Never:  a test.
"""

import os
import signal
import sys
import threading
import time
from contextlib import suppress
from pathlib import Path

from tapewright.services import by_processes


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


def double_after_half_an_answer(piece):
    """Dies the first time in the middle of its answer; then doubles."""
    number, marker = piece
    if marker and not Path(marker).exists():
        Path(marker).touch()
        by_processes.send = _send_half
    return 2 * number


def _send_half(pipe, packed):
    pipe.write(len(packed).to_bytes(8))
    pipe.write(packed[: len(packed) // 2])
    pipe.flush()
    os.kill(os.getpid(), signal.SIGKILL)


def double_once_continued(piece):
    """Stops its process the first time, as Ctrl-Z would, for as long as nobody continues it."""
    number, marker = piece
    if marker and not Path(marker).exists():
        Path(marker).write_text(str(os.getpid()), encoding="utf-8")
        os.kill(os.getpid(), signal.SIGSTOP)
    return 2 * number


def raise_or_double(number):
    if number == 3:
        raise ZeroDivisionError("three")
    return threading.Lock() if number == 4 else 2 * number


def print_and_double(number):
    sys.stdout.write("a library says something\n")
    os.write(1, b"and something else\n")
    return 2 * number


def double_with_older_version(work, number):
    return "0.0.9", work(number)


def fail_for_want_of_a_module(_work, _number):
    raise ModuleNotFoundError("No module named 'tapewright.services.by_cluster'")


def length_after_a_stop(piece):
    return len(piece) or os.getpid()


def pipes_held(_number):
    """Process and the pipes that it holds, beside what everybody may write to."""
    time.sleep(0.05)
    found = set()
    for path in Path("/proc/self/fd").iterdir():
        with suppress(OSError):  # the list itself is closed by now
            found.add(str(path.readlink()) if int(path.name) > 2 else "")
    return os.getpid(), sorted(one for one in found if one.startswith("pipe:"))


def raise_at_three(number):
    if number == 3:
        raise ZeroDivisionError("three")
    return 2 * number


def double_in_two_seconds(number):
    time.sleep(2.0)
    return 2 * number


def large_answer(number):
    """A megabyte, so that it takes a while to be told."""
    return bytes([number]) * 1_000_000
