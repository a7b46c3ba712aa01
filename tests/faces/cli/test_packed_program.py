"""The program without Python: what a double click does, and a start as a worker."""

import os
import pickle
import socket
import subprocess
import sys
import threading
from http.server import BaseHTTPRequestHandler, HTTPServer
from importlib.resources import files
from pathlib import Path

import pytest

from tapewright.faces.cli import packed_program
from tapewright.services.job import Answered

LONGEST_S = 120  # for one process; two seconds where nothing else runs


@pytest.fixture
def free_port(monkeypatch):
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    monkeypatch.setattr(packed_program, "PORT", port)
    return port


@pytest.fixture
def started(monkeypatch):
    """What commands are started with; browsers are not opened."""
    told = []

    def note(words=None, **_more):
        told.append(words)
        return 0

    monkeypatch.setattr(packed_program, "commands", note)
    monkeypatch.setattr(packed_program.webbrowser, "open", told.append)
    return told


def begin(monkeypatch, *words):
    monkeypatch.setattr(sys, "argv", ["tapewright", *words])
    packed_program.main()


def serving(port, page):
    class Answer(BaseHTTPRequestHandler):
        def do_GET(self):
            self.send_response(200)
            self.end_headers()
            self.wfile.write(page)

        def log_message(self, *_told):
            pass

    server = HTTPServer(("127.0.0.1", port), Answer)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    return server


def test_with_words_it_is_the_command_line(monkeypatch, started):
    begin(monkeypatch, "fit", "rig.toml")
    assert started == [None]  # click reads them itself


def test_a_double_click_opens_the_notebook(monkeypatch, started, free_port, capsys):
    with pytest.raises(SystemExit) as ended:
        begin(monkeypatch)
    assert ended.value.code == 0
    assert started == [["serve", "--port", str(free_port)]]
    assert "tapewright -h" in capsys.readouterr().out


def test_a_second_double_click_shows_the_notebook_that_is_open(monkeypatch, started, free_port):
    server = serving(free_port, b"<title>Tapewright</title>")
    try:
        begin(monkeypatch)
    finally:
        server.shutdown()
        server.server_close()
    assert started == [f"http://127.0.0.1:{free_port}/"]


def test_where_another_program_has_the_port_the_next_free_one_is_taken(
    monkeypatch, started, free_port
):
    server = serving(free_port, b"something else")
    try:
        with pytest.raises(SystemExit):
            begin(monkeypatch)
    finally:
        server.shutdown()
        server.server_close()
    assert started == [["serve", "--port", str(free_port + 2)]]


def test_a_browser_finds_the_system_s_libraries(monkeypatch, started):
    monkeypatch.setenv("LD_LIBRARY_PATH", "/ours")
    monkeypatch.setenv("LD_LIBRARY_PATH_ORIG", "/theirs")
    monkeypatch.setenv("DYLD_LIBRARY_PATH", "/ours")
    monkeypatch.setenv("PYINSTALLER_RESET_ENVIRONMENT", "0")
    begin(monkeypatch, "fit")
    assert os.environ["LD_LIBRARY_PATH"] == "/theirs"
    assert "LD_LIBRARY_PATH_ORIG" not in os.environ
    assert "DYLD_LIBRARY_PATH" not in os.environ
    assert os.environ["PYINSTALLER_RESET_ENVIRONMENT"] == "1"
    assert started


@pytest.mark.usefixtures("free_port")
def test_a_window_that_would_close_at_once_waits_after_a_refusal(monkeypatch):
    asked = []
    monkeypatch.setattr(packed_program, "commands", lambda *_words, **_more: 2)
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True, raising=False)
    monkeypatch.setattr("builtins.input", asked.append)
    with pytest.raises(SystemExit) as ended:
        begin(monkeypatch)
    assert ended.value.code == 2
    assert asked == ["Press Enter to close this window. "]


def test_it_becomes_a_worker_by_a_word_of_its_own():
    code = "import sys; sys.argv = ['tapewright', 'be-a-worker']\n"
    code += "from tapewright.faces.cli.packed_program import main; main()"
    told = b""
    for sent in ((len, ()), [1, 2, 3]):
        content = pickle.dumps(sent)
        told += len(content).to_bytes(8) + content
    env = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    with subprocess.Popen(
        [sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=env
    ) as worker:
        assert worker.stdin is not None
        worker.stdin.write(told)
        worker.stdin.flush()
        answers = []
        for _ in range(2):
            size = int.from_bytes(worker.stdout.read(8))
            answers.append(pickle.loads(worker.stdout.read(size)))  # noqa: S301 — our own worker
        worker.stdin.close()
        assert worker.wait(LONGEST_S) == 1  # its parent is gone
    assert answers == [Answered(None), Answered(3)]


def test_a_packed_batch_starts_itself(monkeypatch):
    from tapewright.services import by_processes

    monkeypatch.setattr(sys, "frozen", True, raising=False)
    monkeypatch.setattr(sys, "executable", "/opt/tapewright/tapewright")
    assert by_processes.worker_command() == ["/opt/tapewright/tapewright", "be-a-worker"]


def test_the_recipe_collects_what_is_found_by_the_name_of_its_file():
    house = Path(str(files("tapewright"))).parents[1]
    recipe = (house / "builders/program/tapewright.spec").read_text(encoding="utf-8")
    assert '{"tapewright": "pyz+py"}' in recipe
    assert 'collect_submodules("tapewright")' in recipe
