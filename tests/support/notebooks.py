"""Notebooks: one on every engine, over a real connection, for whoever tests with them.

PostgreSQL is started privately in a folder of its own, reached through a socket there, and gone
afterwards; no server of the machine is touched.

Holds:  fixtures ``notebook``, ``notebook_url``, ``url`` (each once per engine), ``server``; bodies;
        rows changed by hand.
Never:  tests.
"""

import os
import shutil
import sqlite3
import subprocess
import tempfile
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from itertools import count
from pathlib import Path

import psycopg
import pytest
from sqlalchemy import text

from tapewright.calibration.observation import Observation
from tapewright.flight.air import Air
from tapewright.storage.notebook import open_notebook
from tapewright.storage.records import (
    KeptCalibration,
    KeptChange,
    KeptGroup,
    KeptJob,
    KeptPrint,
    KeptPrinter,
    KeptRig,
    KeptSession,
)
from tapewright.storage.sums import entry_sum, salted_sum, version_sum
from tapewright.target.group import Group, Impact

MEND = "PostgreSQL is missing; install it with: sudo apt-get install postgresql"
NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
SETTINGS = (
    "-c listen_addresses= -c fsync=off -c full_page_writes=off -c max_connections=60"
    " -c shared_buffers=16MB"
)


def some_id(number):
    """The id with this number."""
    return f"{number:020x}"


RIG, SESSION, GROUP, CALIBRATION, PRINT, CHANGE, PRINTER, JOB = map(some_id, range(1, 9))
BODIES = {
    RIG: KeptRig('name = "Heron"  # Grüße\n', "Heron"),
    SESSION: KeptSession("2026-11-25", "sighting", "windy", 0),
    GROUP: KeptGroup(
        SESSION,
        Observation(
            Group("first", (Impact(0.1 + 0.2, -1e-17), Impact(None, 0.05, 3, called_bad=True))),
            18.288,
            0.0301,
            pin=2,
            slope_rad=-0.1,
            crosswind_mps=1.5,
            air=Air(288.15, 101325.0, 0.4),
        ),
        "",
    ),
    CALIBRATION: KeptCalibration(
        "3f2a", "0.1.0", 7, 0.9, (64.0, 58.5), 24, 6, ("Too few far groups.",), "Shoot at 60 yd.",
        ((18.288, 0.0301, 0.0299, 0.0303), (54.864, 0.0622, 0.0615, 0.0631)),
    ),
    PRINT: KeptPrint("tape", "3f2a", PRINTER, {"paper": "A4", "hand": "right"}, "2026-11-25"),
    CHANGE: KeptChange(1, 1, 2, new_string=True, words="new string"),
    PRINTER: KeptPrinter("den", 99.4, 100.1),
    JOB: KeptJob("calibrate"),
}  # fmt: skip


class Server:
    """A private PostgreSQL in a folder of its own.

    Parameters
    ----------
    folder : Path
        Its cluster, its socket and its log.
    programs : Path
        Where initdb and pg_ctl are.
    """

    def __init__(self, folder, programs):
        self.folder, self._programs, self._names = folder, programs, count(1)

    def run(self, program, *words):
        """Run one of PostgreSQL's programs, never as root."""
        as_owner = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
        subprocess.run(
            [*as_owner, self._programs / program, *words],
            check=True, capture_output=True, cwd=self.folder, timeout=60,
        )  # fmt: skip

    def start(self):
        """Start it and wait until it answers."""
        options = f"{SETTINGS} -c unix_socket_directories={self.folder}"
        self.run("pg_ctl", "-D", self.folder / "cluster", "-w", "-s",
                 "-l", self.folder / "log", "-o", options, "start")  # fmt: skip

    def stop(self):
        """Stop it at once."""
        self.run("pg_ctl", "-D", self.folder / "cluster", "-m", "immediate", "-w", "-s", "stop")

    def url(self, name):
        """The address of a database."""
        return f"postgresql://postgres@/{name}?host={self.folder}"

    def ask(self, sql, name="postgres"):
        """Rows of one statement, as the administrator."""
        with psycopg.connect(self.url(name), autocommit=True) as connection:
            asked = connection.execute(sql)
            return asked.fetchall() if asked.description else []

    def new_database(self, like="template1"):
        """The name of a new database, empty or like another one."""
        name = f"notebook{next(self._names)}"
        self.ask(f"CREATE DATABASE {name} TEMPLATE {like}")
        return name

    def lend(self, like="template1"):
        """The address of a new database, which is gone afterwards: each has seven megabytes."""
        name = self.new_database(like)
        yield self.url(name)
        self.ask(f"DROP DATABASE {name} WITH (FORCE)")


@contextmanager
def private_server():
    """A private PostgreSQL; skipped with the mend if it is not installed, a failure in CI."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    there = found[-1] if found else shutil.which("initdb")
    if there is None:
        (pytest.fail if os.environ.get("CI") else pytest.skip)(MEND)
    folder = Path(tempfile.mkdtemp(prefix="tw"))  # short: a socket's path may have 107 characters
    if os.geteuid() == 0:
        shutil.chown(folder, "postgres")
    private = Server(folder, Path(there).parent)
    try:
        private.run("initdb", "-D", folder / "cluster", "-A", "trust", "-U", "postgres",
                    "--no-sync", "-E", "UTF8", "--locale=C.UTF-8")  # fmt: skip
        private.start()
        try:
            yield private
        finally:
            private.stop()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(scope="session")
def server():
    """The same, for all tests of a run."""
    with private_server() as private:
        yield private


@pytest.fixture(params=["sqlite", "postgresql"])
def engine_name(request):
    """The name of every engine in turn."""
    return request.param


@pytest.fixture
def url(engine_name, request, tmp_path):
    """The address of a notebook that is not there yet, once per engine."""
    if engine_name == "sqlite":
        yield f"sqlite:///{tmp_path / 'notes' / 'notebook.db'}"
    else:
        yield from request.getfixturevalue("server").lend()


@pytest.fixture(scope="session")
def empty_file(tmp_path_factory):
    """The file of an empty notebook, to be copied: the steps are run once, not for every test."""
    path = tmp_path_factory.mktemp("empty") / "notebook.db"
    open_notebook(f"sqlite:///{path}").close()
    return path


@pytest.fixture(scope="session")
def empty_database(server):
    """The name of a database with an empty notebook, to be copied."""
    name = server.new_database()
    open_notebook(server.url(name)).close()
    return name


@pytest.fixture
def notebook_url(engine_name, request, tmp_path):
    """The address of an empty notebook, once per engine."""
    if engine_name == "sqlite":
        path = tmp_path / "notebook.db"
        shutil.copyfile(request.getfixturevalue("empty_file"), path)
        yield f"sqlite:///{path}"
    else:
        empty = request.getfixturevalue("empty_database")
        yield from request.getfixturevalue("server").lend(empty)


@pytest.fixture
def notebook(notebook_url):
    """An empty notebook, once per engine."""
    opened = open_notebook(notebook_url)
    yield opened
    opened.close()


@pytest.fixture
def file_notebook(empty_file, tmp_path):
    """An empty notebook in a file."""
    path = tmp_path / "file.db"
    shutil.copyfile(empty_file, path)
    opened = open_notebook(f"sqlite:///{path}")
    yield opened
    opened.close()


def write_by_hand(notebook, entry_id, body):
    """Another body in the latest version, with sums that fit: as a strange program would."""
    with notebook.writing() as connection:
        asked = (
            "SELECT e.kind, e.rig_id, e.added_at, e.latest, e.withdrawn_at, v.salt, v.saved_at,"
            " (SELECT sum FROM version WHERE entry_id = :id AND number = e.latest - 1)"
            " FROM entry e JOIN version v ON v.entry_id = e.id AND v.number = e.latest"
            " WHERE e.id = :id"
        )
        *cells, salt, saved_at, before = connection.execute(text(asked), {"id": entry_id}).one()
        head = version_sum(entry_id, cells[3], saved_at, (), before, salted_sum(salt, body))
        told = {"id": entry_id, "number": cells[3], "body": body, "head": head}
        told["sum"] = entry_sum(entry_id, *cells, head)
        here = "WHERE entry_id = :id AND number = :number"
        for line in (
            f"UPDATE version SET body = :body, sum = :head {here}",  # noqa: S608
            "UPDATE entry SET sum = :sum WHERE id = :id",
        ):
            connection.execute(text(line), told)


def say_behind(url, *lines):
    """Change rows behind the notebook's back, keys between tables or not."""
    if url.startswith("sqlite"):
        opened = sqlite3.connect(url.removeprefix("sqlite:///"), isolation_level=None)
        before = "PRAGMA foreign_keys=OFF"
    else:
        opened = psycopg.connect(url, autocommit=True)
        before = "SET session_replication_role = replica"
    with closing(opened):
        for line in (before, *lines):
            assert opened.execute(line).rowcount


def fill(notebook):
    """Keep one of every kind, the rig in two versions and the printer withdrawn."""
    from tapewright.storage.entries import Source

    def add(entry_id, rig_id=RIG, sources=()):
        notebook.add(BODIES[entry_id], entry_id=entry_id, now=NOW, rig_id=rig_id, sources=sources)

    add(RIG, None)
    notebook.save(RIG, KeptRig('name = "Heron"\n', "Heron"), seen=1, now=NOW)
    add(SESSION)
    add(GROUP)
    add(CHANGE)
    add(CALIBRATION, sources=(Source(GROUP, 1), Source(RIG, 2)))
    add(PRINTER, None)
    add(PRINT, sources=(Source(CALIBRATION, 1),))
    add(JOB)
    notebook.withdraw(PRINTER, seen=1, now=NOW)
