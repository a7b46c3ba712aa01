"""Asking: one run of pytest in a process forked from one that has imported what all tests need.

Importing numpy, scipy and pytest takes longer than most tests that notice a break.

Holds:  that server of processes; the run in a child of it.
Never:  the choice of tests.
"""

import contextlib
import multiprocessing
import os
import signal
import sys
from pathlib import Path

NEEDED = [
    "__main__", "numpy", "scipy.optimize", "scipy.special", "scipy.stats", "pytest", "hypothesis",
    "pydantic", "fastapi", "click", "rich.console", "reportlab.pdfgen.canvas", "sqlalchemy",
    "alembic.command",
]  # fmt: skip
SERVER = multiprocessing.get_context("forkserver")
SERVER.set_forkserver_preload(NEEDED)


def run_tests(
    arguments: list[str], tree: Path, surroundings: dict[str, str], limit_s: float
) -> str:
    """What pytest said, its exit status in the last line; "time" if it did not end.

    Parameters
    ----------
    arguments : list of str
        Of pytest.
    tree : Path
        Where it runs.
    surroundings : dict
        Environment variables beside those of today.
    limit_s : float
        When it is killed, and all that it started. [s]
    """
    said = tree / ".said.txt"
    child = SERVER.Process(target=_run, args=(arguments, tree, surroundings, said))
    child.start()
    child.join(limit_s)
    if child.exitcode is None:
        with contextlib.suppress(ProcessLookupError):  # it had not begun
            os.killpg(child.pid, signal.SIGKILL)
        child.kill()
        child.join()
        return "time"
    return f"{said.read_text(encoding='utf-8', errors='replace')}\nexit {child.exitcode}"


def _run(arguments: list[str], tree: Path, surroundings: dict[str, str], said: Path) -> None:
    os.setsid()
    os.chdir(tree)
    os.environ.update(surroundings)
    sys.path[:0] = surroundings["PYTHONPATH"].split(os.pathsep)
    with said.open("w", encoding="utf-8") as file:
        os.dup2(file.fileno(), 1)
        os.dup2(file.fileno(), 2)
    import pytest  # noqa: PLC0415 — the server has it

    status = int(pytest.main(arguments))
    sys.stdout.flush()
    os._exit(status)  # threads that a test left behind must not hold it up
