"""Processes: waiting for something to become true, and looking at other processes.

Holds:  waiting with a limit; whether a process lives; what stands below it.
Never:  starting, what the processes do.
"""

import os
import time
from pathlib import Path

import pytest


def when(true, longest_s=120.0):
    """What the question answers, once it is true."""
    end = time.monotonic() + longest_s
    while time.monotonic() < end:
        if found := true():
            return found
        time.sleep(0.02)
    return pytest.fail("it took too long")


def is_running(pid):
    """Whether a process lives; one that is dead and not yet buried does not."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    status = Path(f"/proc/{pid}/stat")
    try:
        return ") Z" not in status.read_text(encoding="utf-8")
    except OSError:
        return not Path("/proc/self/stat").exists()


def descendants(pid):
    """Every process below one."""
    parents = {}
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            parents[int(path.parent.name)] = int(path.read_text().rpartition(")")[2].split()[1])
        except OSError:
            continue  # gone meanwhile
    found, fresh = set(), {pid}
    while fresh:
        fresh = {child for child, parent in parents.items() if parent in fresh} - found
        found |= fresh
    return found
