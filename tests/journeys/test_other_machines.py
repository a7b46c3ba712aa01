"""Machines that we do not own: what can be known of them here."""

import ast
import asyncio
import mimetypes
import multiprocessing
import os
import re
import socket
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import elsewhere
import pytest
from click.testing import CliRunner

from tapewright.faces.cli import appended_shots_file
from tapewright.faces.cli.batch_rigs import BatchOrder, Piece, refit_piece
from tapewright.faces.cli.commands import main
from tapewright.faces.web.templating import static_file
from tapewright.services.refit_many import RefitOrder

HOUSE = Path(__file__).resolve().parents[2]
SAMPLE = Path(str(files("tapewright.faces") / "sample"))
LONGEST_S = 300  # for one process; six seconds where nothing else runs
TYPED = """
from tapewright.faces.cli.commands import main
for words in (
    "fit rig.toml shots.csv", "tape rig.toml shots.csv --format pdf",
    "import rig.toml shots.csv --notebook n.db", "rigs --notebook n.db",
    "export --out n.json --notebook n.db", "backup b.db --notebook n.db",
    "restore b.db --notebook again.db", "check --notebook again.db",
    "batch . --workers 1 --no-tapes --out all",
):
    main(words.split(), standalone_mode=False)
"""
SERVED = """
import signal, threading, time, urllib.request
from tapewright.faces.cli.commands import main

def visit():
    for _ in range(600):
        try:
            with urllib.request.urlopen("http://127.0.0.1:{port}/rigs", timeout=60) as page:
                print("visited:", b"Tapewright" in page.read())
            break
        except OSError:
            time.sleep(0.1)
    signal.raise_signal(signal.SIGINT)

threading.Thread(target=visit, daemon=True).start()
main("serve --no-browser --port {port} --notebook n.db".split(), standalone_mode=False)
"""
# Asked for first (hasattr), so that they may be missing; reached by forked workers only.
ASKED_FOR = {("serving.py", "SO_REUSEPORT"), ("batch.py", "sched_getaffinity")}
OF_FORKED = {("worker_processes.py", "SIGKILL")}


def run_elsewhere(folder, code):
    env = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    return subprocess.run(
        [sys.executable, elsewhere.__file__, code], cwd=folder, env=env, capture_output=True,
        text=True, encoding="utf-8", timeout=LONGEST_S, check=False,
    )  # fmt: skip


@pytest.fixture
def desk(tmp_path, monkeypatch):
    for name, own in (("heron.toml", "rig.toml"), ("heron-shots.csv", "shots.csv")):
        (tmp_path / own).write_bytes((SAMPLE / name).read_bytes())
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_commands_ask_for_nothing_that_only_posix_has(desk):
    done = run_elsewhere(desk, TYPED)
    assert done.returncode == 0, done.stderr
    assert "Trusted to 92 yd" in done.stdout
    assert "Calibrated: 1. Failed: 0." in done.stdout
    assert (desk / "rig-tape.pdf").read_bytes().startswith(b"%PDF")


def test_the_server_asks_for_nothing_that_only_posix_has(desk):
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    done = run_elsewhere(desk, SERVED.replace("{port}", str(port)))
    assert done.returncode == 0, done.stderr
    assert "visited: True" in done.stdout


def test_what_was_taken_away_is_gone(desk):
    code = "import os, signal\nfor name in ('fcntl', 'resource'):\n    try: __import__(name)\n"
    code += "    except ImportError: print('none')\nprint(hasattr(os, 'fork'))"
    assert run_elsewhere(desk, code).stdout.split() == ["none", "none", "False"]


def test_no_line_of_ours_names_what_only_posix_has():
    only = {*elsewhere.OF_OS, *elsewhere.OF_SIGNAL, *elsewhere.OF_SOCKET, "SIGKILL", "AF_UNIX"}
    found = set()
    for path in (HOUSE / "src").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_bytes())):
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
                module, name = node.value.id, node.attr
                if module in {"os", "signal", "socket"} and name in only:
                    found.add((path.name, name))
    assert ASKED_FOR <= found <= ASKED_FOR | OF_FORKED


def test_texts_are_written_with_our_own_line_ends():
    for path in (HOUSE / "src").rglob("*.py"):
        for written in re.findall(
            r"(?<!formatter\.)write_text\([^\n]*", path.read_text(encoding="utf-8")
        ):
            assert 'newline="\\n"' in written, path


def test_files_with_the_line_ends_of_windows_make_the_same_prints(desk):
    runner = CliRunner()
    names = ("rig-tape.pdf", "rig-tape.svg", "rig-tape.tape.json")
    prints = []
    for is_windows in (False, True):
        if is_windows:
            for name in ("rig.toml", "shots.csv"):
                content = (desk / name).read_bytes()
                assert b"\r" not in content
                (desk / name).write_bytes(b"\xef\xbb\xbf" + content.replace(b"\n", b"\r\n"))
        done = runner.invoke(main, ["tape", "rig.toml", "shots.csv", "--force"])
        assert done.exit_code == 0, done.output
        prints.append([(desk / name).read_bytes() for name in names])
    assert prints[0] == prints[1]


@pytest.mark.parametrize("method", ["fork", "spawn"])
@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")
def test_a_rig_comes_out_the_same_however_a_process_was_started(method):
    sheet, shots = (
        (SAMPLE / name).read_text("utf-8") for name in ("heron.toml", "heron-shots.csv")
    )
    order = BatchOrder(
        RefitOrder("yd", 54.864), tapes=False, paper="A4", far_end="down", proof_mm=None,
        today="2031-04-05",
    )  # fmt: skip
    piece = Piece("heron", "x", sheet, shots)
    with multiprocessing.get_context(method).Pool(1) as pool:
        there = pool.apply_async(refit_piece, (piece, order)).get(LONGEST_S)
    assert not there.why
    assert there == refit_piece(piece, order)


def test_a_script_s_kind_is_told_whatever_the_system_s_own_list_says(monkeypatch):
    mimetypes.init()
    monkeypatch.setitem(mimetypes.types_map, ".js", "text/plain")
    monkeypatch.setitem(mimetypes._db.types_map[True], ".js", "text/plain")  # noqa: SLF001
    assert mimetypes.guess_type("range.js")[0] == "text/plain"
    for name in ("range.js", "vendor/uqr.mjs"):
        assert asyncio.run(static_file(name)).media_type.endswith("/javascript")


def test_where_the_system_would_change_line_ends_it_is_told_not_to(tmp_path, monkeypatch):
    as_it_is, seen, opened = 1 << 30, [], os.open

    def open_there(path, flags, *more):
        seen.append(flags)
        return opened(path, flags & ~as_it_is, *more)

    (tmp_path / "shots.csv").write_bytes(b"a\n")
    monkeypatch.setattr(os, "O_BINARY", as_it_is, raising=False)
    monkeypatch.setattr(os, "open", open_there)
    appended_shots_file._append(tmp_path / "shots.csv", "b\r\n")  # noqa: SLF001 — where it happens
    assert (tmp_path / "shots.csv").read_bytes() == b"a\nb\r\n"
    assert seen
    assert all(flags & as_it_is for flags in seen)


def test_a_port_is_asked_for_alone_where_sharing_is_the_rule():
    code = "import socket; socket.SO_EXCLUSIVEADDRUSE = -5\n"
    code += "from tapewright.faces.web import serving; print(serving.ALONE)"
    env = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    done = subprocess.run(
        [sys.executable, "-c", code], env=env, capture_output=True, text=True, check=True,
        timeout=LONGEST_S,
    )  # fmt: skip
    assert done.stdout == "-5\n"
