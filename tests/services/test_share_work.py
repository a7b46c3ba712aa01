import os
import signal
import subprocess
import sys
import time
from itertools import count, islice
from pathlib import Path

import pieces_of_work as given
import pytest

from tapewright.ground.errors import BadInput, MissingExtra
from tapewright.services.share_work import shared_by_cluster, shared_by_processes

SUPPORT = str(Path(given.__file__).parent)


@pytest.mark.parametrize("workers", [1, 2])
def test_every_piece_is_done_once_on_any_number_of_workers(workers):
    done = list(shared_by_processes(given.double, range(20), workers))
    assert sorted(done) == [(number, 2 * number) for number in range(20)]


def test_no_piece_is_no_work():
    assert list(shared_by_processes(given.double, [], 2)) == []


def test_pieces_are_taken_as_they_are_needed():
    endless = count()
    done = shared_by_processes(given.double, endless, 1)
    assert len(list(islice(done, 4))) == 4
    done.close()
    assert next(endless) < 12  # those done and the few that were in hand


def test_a_worker_killed_in_the_middle_loses_nothing(tmp_path):
    pieces = [(number, "") for number in range(12)]
    pieces[5] = (5, str(tmp_path / "died"))
    done = dict(shared_by_processes(given.double_unless_killed, pieces, 2))
    assert done == {piece: 2 * piece[0] for piece in pieces}
    assert (tmp_path / "died").exists()


def test_a_piece_that_kills_its_worker_twice_is_given_up_and_no_other():
    done = dict(shared_by_processes(given.double_but_not_seven, range(12), 2))
    assert done == {number: None if number == 7 else 2 * number for number in range(12)}


@pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")
def test_workers_die_with_the_program(tmp_path):
    begun = tmp_path / "begun"
    code = (
        "from tapewright.services.share_work import shared_by_processes as s\n"
        "import pieces_of_work as p\n"
        f"if __name__ == '__main__': list(s(p.double_slowly, [(1, {str(begun)!r})], 1))\n"
    )
    script = tmp_path / "script.py"
    script.write_text(code, encoding="utf-8")
    environment = os.environ | {"PYTHONPATH": os.pathsep.join([SUPPORT, *sys.path])}
    with subprocess.Popen([sys.executable, script], env=environment) as program:
        worker = int(_when(lambda: begun.exists() and begun.read_text(encoding="utf-8")))
        program.send_signal(signal.SIGKILL)
    assert _when(lambda: not _is_running(worker))


def _is_running(pid):
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    status = Path(f"/proc/{pid}/stat")
    return not status.exists() or ") Z" not in status.read_text(encoding="utf-8")


def _when(true, longest_s=30.0):
    end = time.monotonic() + longest_s
    while time.monotonic() < end:
        if found := true():
            return found
        time.sleep(0.05)
    pytest.fail("it took too long")


def test_without_its_extra_a_cluster_is_refused(monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(MissingExtra, match=r"run --with cluster$"):
        next(shared_by_cluster(given.double, [1], "localhost:1"))


def test_a_cluster_that_does_not_answer_is_refused(monkeypatch):
    pytest.importorskip("distributed")
    monkeypatch.setattr("tapewright.services.share_work.SOON_S", 0.3)
    with pytest.raises(BadInput, match=r"no cluster answers at 'tcp://127\.0\.0\.1:9'"):
        next(shared_by_cluster(given.double, [1], "tcp://127.0.0.1:9"))
