"""Typed: what the commands answer to what is typed, and the files they write.

Holds:  one call in a folder; the record of what it told and wrote.
Never:  which calls there are (calls.py).
"""

import hashlib
import os
import shlex
import sys
import traceback
from contextlib import contextmanager, suppress
from pathlib import Path

import click.testing
from answers.calls import slug
from answers.sameness import begin_anew, in_lines, plain

MOST_TEXT = 60_000  # letters; what is longer is recorded by its sum
TEXTS = {".json", ".csv", ".html", ".toml", ".txt", ".svg", ".md"}
HIDDEN = (".db", ".db-wal", ".db-shm", ".passcode")
WIDE = {"COLUMNS": "100", "TERM": "xterm", "LINES": "40"}


class Record:
    """Answers in a folder, one file an answer.

    Parameters
    ----------
    folder : Path
        Where they are written.
    known : dict of str to str
        Ids and folders of this run, and what they are called.
    """

    def __init__(self, folder, known=()):
        self.folder, self.known, self._names = folder, dict(known), set()
        folder.mkdir(parents=True, exist_ok=True)

    def __len__(self):
        return len(self._names)

    def write(self, name, text):
        """Write an answer under a name of its own."""
        free, number = name, 1
        while free.casefold() in self._names:
            number += 1
            free = f"{name}~{number}"
        self._names.add(free.casefold())
        (self.folder / free).write_text(text, encoding="utf-8")

    def told(self, content, kind=""):
        """Content as it is recorded: short texts whole, all else by size and sum."""
        text = None
        with suppress(UnicodeDecodeError):
            text = content.decode() if b"\x00" not in content else None
        if text is not None:
            text = plain(text, self.known)
            content = text.encode()
        shown = f"[{len(content)} bytes, sha256 {hashlib.sha256(content).hexdigest()}]\n"
        if text is None or len(text) > MOST_TEXT:
            return shown
        is_json = "json" in kind or text.lstrip()[:1] in ("{", "[")
        return shown + (in_lines(text) if is_json else text) + "\n"


class Terminal:
    """A folder in which somebody types.

    Parameters
    ----------
    program : click.Command
        The group of all commands.
    folder : Path
        Where files are.
    record : Record
        Where answers go.
    """

    def __init__(self, program, folder, record):
        self._program, self.folder, self._record = program, folder, record
        record.known[str(folder)] = "folder"

    def call(self, words, *, keeps=False, terminal=False):
        """Type one line, record what comes of it, and put the folder back as it was.

        Parameters
        ----------
        words : list of str
            Behind the program's name.
        keeps : bool
            Whether what was written stays for the next call.
        terminal : bool
            Whether the answer goes to a terminal, where tables have rules.
        """
        begin = _files(self.folder)
        if not keeps:
            begin_anew()
        with _inside(self.folder, self._surroundings(terminal=terminal)), _screen(wanted=terminal):
            done = click.testing.CliRunner().invoke(
                self._program, words, prog_name="tapewright", catch_exceptions=True
            )
        parts = [f"$ tapewright {shlex.join(words)}\n", f"status {done.exit_code}\n"]
        for name, content in (("stdout", done.stdout_bytes), ("stderr", done.stderr_bytes)):
            if content:
                parts += [f"--- {name} ", self._record.told(content)]
        if done.exception is not None and not isinstance(done.exception, SystemExit):
            parts += ["--- fault\n", *traceback.format_exception_only(done.exception)]
        for path, content in _files(self.folder).items():
            if begin.get(path) == content:
                continue
            if not path.name.endswith(HIDDEN):
                shown = self._told_file(path, content)
                parts += [f"--- wrote {path.relative_to(self.folder).as_posix()} ", shown]
            if not keeps:
                _put_back(path, begin.get(path))
        ending = " (terminal)" if terminal else ""
        self._record.write(slug(words) + ending, "".join(parts))

    def _told_file(self, path, content):
        if path.suffix in TEXTS:
            return self._record.told(content, path.suffix)
        if path.suffix == ".dxf":
            return self._record.told(content)
        return f"[{len(content)} bytes, sha256 {hashlib.sha256(content).hexdigest()}]\n"

    def _surroundings(self, *, terminal):
        home = str(self.folder / "home")
        told = {"HOME": home, "XDG_DATA_HOME": home, "TAPEWRIGHT_NOTEBOOK": "notes.db"}
        return told | (WIDE if terminal else {})


def _files(folder):
    """Everything in a folder: what a call changes is seen by its content."""
    return {
        path: path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()
    }  # fmt: skip


def _put_back(path, content):
    if content is None:
        path.unlink()
    else:
        path.write_bytes(content)


@contextmanager
def _inside(folder, surroundings):
    """Work in a folder with an environment of its own."""
    here, before = Path.cwd(), dict(os.environ)
    os.chdir(folder)
    os.environ.update(surroundings)
    try:
        yield
    finally:
        os.chdir(here)
        os.environ.clear()
        os.environ.update(before)


@contextmanager
def _screen(*, wanted):
    """Let what is written go to a terminal, as far as a program can tell."""
    wrapper = getattr(click.testing, "_NamedTextIOWrapper", None)
    if not wanted or wrapper is None:
        yield
        return
    wrapper.isatty = lambda _self: True
    try:
        yield
    finally:
        del wrapper.isatty


def close_servers():
    """Let a server end as soon as it begins: what serve tells before is what is wanted."""
    import uvicorn  # noqa: PLC0415 — the web's, needed only here
    from uvicorn.supervisors import Multiprocess  # noqa: PLC0415 — the same

    uvicorn.Server.run = lambda *_, **__: None
    Multiprocess.run = lambda *_, **__: None
    sys.stdin = open(os.devnull, encoding="utf-8")  # noqa: PTH123, SIM115 — as long as we run
