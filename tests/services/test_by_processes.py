import os
import pickle
import signal
import subprocess
import sys
import threading
import types
from pathlib import Path

import pieces_of_work as given
import pytest
from processes import is_running, when

from tapewright.ground.errors import BadInput
from tapewright.services import by_processes
from tapewright.services.share_work import GivenUp, shared_by_processes

SUPPORT = str(Path(given.__file__).parent)
ON_POSIX = pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")


@pytest.fixture(autouse=True)
def _no_long_wait(monkeypatch):
    monkeypatch.setattr(by_processes, "PATIENCE_S", 120.0)


def twelve(folder):
    """Twelve pieces; at the fifth something happens once."""
    pieces = [(number, "") for number in range(12)]
    pieces[5] = (5, str(folder / "happened"))
    return pieces


def done(work, pieces, workers=2):
    return dict(shared_by_processes(work, pieces, workers))


@ON_POSIX
def test_a_worker_killed_in_its_work_loses_nothing(tmp_path):
    pieces = twelve(tmp_path)
    assert done(given.double_unless_killed, pieces) == {one: 2 * one[0] for one in pieces}
    assert (tmp_path / "happened").exists()


@ON_POSIX
def test_a_worker_killed_in_the_middle_of_its_answer_loses_nothing(tmp_path):
    pieces = twelve(tmp_path)
    assert done(given.double_after_half_an_answer, pieces) == {one: 2 * one[0] for one in pieces}
    assert (tmp_path / "happened").exists()


@ON_POSIX
def test_a_worker_stopped_and_continued_goes_on_where_it_was(tmp_path):
    pieces, marker = twelve(tmp_path), tmp_path / "happened"

    def go_on():
        worker = int(when(lambda: marker.exists() and marker.read_text(encoding="utf-8")))
        when(lambda: ") T" in Path(f"/proc/{worker}/stat").read_text(encoding="utf-8"))
        os.kill(worker, signal.SIGCONT)

    helper = threading.Thread(target=go_on)
    helper.start()
    assert done(given.double_once_continued, pieces) == {one: 2 * one[0] for one in pieces}
    helper.join(60.0)
    assert not helper.is_alive()


@ON_POSIX
def test_a_worker_stopped_for_ever_is_killed_and_its_piece_done_again(tmp_path, monkeypatch):
    monkeypatch.setattr(by_processes, "PATIENCE_S", 4.0)
    pieces = twelve(tmp_path)
    assert done(given.double_once_continued, pieces) == {one: 2 * one[0] for one in pieces}


@ON_POSIX
def test_a_large_piece_for_a_stopped_worker_does_not_hold_the_parent_for_ever(monkeypatch):
    monkeypatch.setattr(by_processes, "PATIENCE_S", 4.0)
    shared = shared_by_processes(given.length_after_a_stop, [b"", bytes(5_000_000)], 1)
    first, worker = next(shared)
    assert first == b""
    os.kill(worker, signal.SIGSTOP)  # the pipe holds much less than what it is to be sent
    assert next(shared) == (bytes(5_000_000), 5_000_000)
    shared.close()


def test_workers_killed_as_they_start_or_rest_blame_nobody(monkeypatch):
    started = []
    real = by_processes.Popen

    def killing(*words, **more):
        process = real(*words, **more)
        started.append(process)
        if len(started) <= 9:
            process.kill()
        return process

    monkeypatch.setattr(by_processes, "Popen", killing)
    shared = shared_by_processes(given.double, range(5), 1)
    assert next(shared) == (0, 0)
    assert len(started) == 10
    assert sorted(shared) == [(number, 2 * number) for number in range(1, 5)]


def test_where_no_worker_can_start_one_is_told_so(monkeypatch):
    monkeypatch.setattr(by_processes, "START", "raise SystemExit(3)")
    monkeypatch.setattr(by_processes, "PAUSE_S", 0.0)
    with pytest.raises(BadInput, match=r"workers: no worker can be started on this machine"):
        done(given.double, range(5))


def test_where_no_process_can_be_made_one_is_told_so(monkeypatch):
    monkeypatch.setattr(by_processes.sys, "executable", "/nowhere/python")
    monkeypatch.setattr(by_processes, "PAUSE_S", 0.0)
    with pytest.raises(BadInput, match=r"workers: no worker can be started on this machine"):
        done(given.double, range(5))


def test_what_raises_or_cannot_be_sent_is_told_with_its_piece():
    found = done(given.raise_or_double, range(6))
    assert found.pop(3) == GivenUp("It could not be worked on: ZeroDivisionError: three.")
    assert "cannot pickle" in found.pop(4).why
    assert found == {0: 0, 1: 2, 2: 4, 5: 10}


def test_work_that_workers_cannot_find_is_told(monkeypatch):
    hidden = types.ModuleType("hidden_work")
    exec("def treble(number): return 3 * number", hidden.__dict__)  # noqa: S102 — ours
    monkeypatch.setitem(sys.modules, "hidden_work", hidden)
    found = done(hidden.treble, [1])
    assert found[1].why.startswith("It could not be worked on: ModuleNotFoundError: No module")


def test_a_piece_that_cannot_be_sent_ends_the_work_and_leaves_no_worker():
    shared = shared_by_processes(given.double, [1, 2, threading.Lock(), 4], 1)
    with pytest.raises(TypeError, match="cannot pickle"):
        list(shared)


def test_what_work_prints_does_not_get_into_its_answers(capfd):
    assert done(given.print_and_double, range(4)) == {0: 0, 1: 2, 2: 4, 3: 6}
    assert capfd.readouterr().out == ""


def test_no_worker_holds_the_line_of_another():
    """Each has its two pipes, and only the parent has the other ends."""
    if not Path("/proc/self/fd").exists():
        pytest.skip("looks at /proc")
    shared = shared_by_processes(given.pipes_held, range(40), 3)
    held = {worker: pipes for _, (worker, pipes) in shared}
    assert all(len(pipes) == 2 for pipes in held.values())
    every = [pipe for pipes in held.values() for pipe in pipes]
    assert len(every) == len(set(every))


def program(tmp_path, ending):
    """A program of its own that works on one slow piece; and where that says its worker's id."""
    begun = tmp_path / "begun"
    script = tmp_path / "script.py"
    script.write_text(
        "import signal\n"
        "from tapewright.services.share_work import shared_by_processes as s\n"
        "import pieces_of_work as p\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)  # whoever started it\n"
        f"try: list(s(p.double_slowly, [(1, {str(begun)!r})], 1))\n{ending}",
        encoding="utf-8",
    )
    environment = os.environ | {"PYTHONPATH": os.pathsep.join([SUPPORT, *sys.path])}
    running = subprocess.Popen(
        [sys.executable, script], env=environment, text=True, start_new_session=True,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    return running, begun


@ON_POSIX
def test_workers_die_with_the_program(tmp_path):
    running, begun = program(tmp_path, "finally: pass\n")
    worker = int(when(lambda: begun.exists() and begun.read_text(encoding="utf-8")))
    running.kill()
    running.communicate(timeout=60.0)
    assert when(lambda: not is_running(worker))


@ON_POSIX
def test_a_worker_that_nobody_hears_any_more_ends_without_a_word():
    reading, writing = os.pipe()
    words = [sys.executable, "-c", by_processes.START.format(by_processes.__name__), *sys.path]
    worker = subprocess.Popen(words, stdin=subprocess.PIPE, stdout=writing, stderr=subprocess.PIPE)
    os.close(writing)
    os.close(reading)
    by_processes.send(worker.stdin, pickle.dumps((given.double, ())))
    assert worker.wait(60.0) == 1  # it ends although its own line is still open
    assert worker.communicate(timeout=60.0) == (None, b"")


@ON_POSIX
def test_ctrl_c_reaches_the_program_and_ends_the_workers_without_a_word(tmp_path):
    running, begun = program(tmp_path, "except KeyboardInterrupt: print('stopped')\n")
    worker = int(when(lambda: begun.exists() and begun.read_text(encoding="utf-8")))
    os.killpg(running.pid, signal.SIGINT)
    assert running.communicate(timeout=60.0) == ("stopped\n", "")
    assert when(lambda: not is_running(worker))
